import type { Channel } from '../record/Channel.js';
import type { Run, Span } from '../record/span.js';

/** Stretches in which a bit of the converter does not move. */
export interface StuckBits {
  readonly spans: readonly Span[];
  readonly notes: readonly string[];
}

const blockLength = 2048;

/**
 * Finds stuck bits and spells of coarse quantisation, in blocks of 2048 samples, whose ends are then followed sample by sample.
 *
 * Low bits: 100 steps or more, all of them multiples of one that is at least 4 times the record's quantum (any unit). Single bits: a bit of a whole number that
 * never changes while the block spans 4 of its periods or more (counts only, since an offset mixes the bits).
 */
export function findStuckBits(channel: Channel, valid: readonly Run[], quantum: number): StuckBits {
  const spans: Span[] = [];
  const found = new Set<string>();
  if (quantum === 0) return { spans, notes: [] };
  for (const run of valid) {
    for (let from = run.from; from + 256 <= run.to; from += blockLength) {
      const to = Math.min(run.to, from + blockLength);
      const holds = stuckIn(channel, from, to, quantum);
      if (holds === null) continue;
      found.add(holds.what);
      let a = from, b = to;
      while (a > run.from && from - a < blockLength && holds.test(a - 1)) a--;
      while (b < run.to && b - to < blockLength && holds.test(b)) b++;
      spans.push({ from: a, to: b, why: 'stuck bit' });
    }
  }
  return { spans, notes: [...found] };
}

function stuckIn(channel: Channel, from: number, to: number, quantum: number): { readonly what: string; readonly test: (i: number) => boolean } | null {
  const x = channel.values;
  let least = Number.POSITIVE_INFINITY, moves = 0, low = Number.POSITIVE_INFINITY, high = Number.NEGATIVE_INFINITY;
  for (let i = from; i < to; i++) {
    const step = i === from ? 0 : Math.abs(x[i]! - x[i - 1]!);
    if (step > 0) {
      moves++;
      if (step < least) least = step;
    }
    if (x[i]! < low) low = x[i]!;
    if (x[i]! > high) high = x[i]!;
  }
  const base = x[from]!;
  const ratio = least / quantum;
  const fits = (i: number): boolean => Math.abs((x[i]! - base) / least - Math.round((x[i]! - base) / least)) < 0.02;
  if (moves >= 100 && ratio >= 3.5 && every(from, to, fits)) {
    return { what: `The signal moves in steps of ${Math.round(ratio)} quanta for a while: low bits stuck, or a coarser range.`, test: fits };
  }
  if (channel.unit !== 'count' || moves < 100) return null;
  for (let bit = 0; 2 ** (bit + 3) <= high - low; bit++) {
    const value = (base >> bit) & 1;
    const same = (i: number): boolean => Number.isInteger(x[i]!) && ((x[i]! >> bit) & 1) === value;
    if (every(from, to, same)) return { what: `Bit ${bit} of the counts stands at ${value} for a while.`, test: same };
  }
  return null;
}

function every(from: number, to: number, test: (i: number) => boolean): boolean {
  for (let i = from; i < to; i++) if (!test(i)) return false;
  return true;
}
