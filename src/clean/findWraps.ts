import type { Channel } from '../record/Channel.js';
import type { Run, Span } from '../record/span.js';

/** The range at which a converter starts again from its other end. */
export interface WrapRule {
  /** Counts (or units of the channel) of one full turn, for example 65536. Left out, a channel of counts that uses both ends of a power of two gives it. */
  readonly modulus?: number;
}

/** Samples on the wrong turn, and the range they wrap in. */
export interface Wraps {
  readonly spans: readonly Span[];
  readonly modulus: number | null;
}

/**
 * Finds saw-tooth wrap-around: steps of more than half the range, from within a tenth of one end to within a tenth of the other. The turn on which most samples
 * lie is taken for the right one; samples on any other are listed.
 */
export function findWraps(channel: Channel, valid: readonly Run[], rule: WrapRule): Wraps {
  const x = channel.values;
  let low = Number.POSITIVE_INFINITY, high = Number.NEGATIVE_INFINITY;
  for (const { from, to } of valid) {
    for (let i = from; i < to; i++) {
      if (x[i]! < low) low = x[i]!;
      if (x[i]! > high) high = x[i]!;
    }
  }
  const power = 2 ** Math.ceil(Math.log2(high - low + 1));
  const modulus = rule.modulus ?? (channel.unit === 'count' && power >= 64 && high - low >= 0.97 * power ? power : null);
  if (modulus === null) return { spans: [], modulus: null };
  const bottom = rule.modulus === undefined ? low : Math.min(low, high - modulus);
  const pieces: { from: number; to: number; turn: number }[] = [];
  let turn = 0, last = Number.NaN;
  for (const { from, to } of valid) {
    let start = from;
    for (let i = from; i < to; i++) {
      const step = x[i]! - last;
      const wraps = Math.abs(step) > modulus / 2 && Math.min(x[i]!, last) - bottom < 0.1 * modulus && bottom + modulus - Math.max(x[i]!, last) < 0.1 * modulus;
      if (wraps) {
        if (i > start) pieces.push({ from: start, to: i, turn });
        start = i;
        turn -= Math.sign(step);
      }
      last = x[i]!;
    }
    pieces.push({ from: start, to, turn });
  }
  const samples = new Map<number, number>();
  for (const p of pieces) samples.set(p.turn, (samples.get(p.turn) ?? 0) + p.to - p.from);
  const right = [...samples].reduce((a, b) => (b[1] > a[1] ? b : a), [0, 0])[0];
  return { spans: pieces.filter((p) => p.turn !== right).map(({ from, to }) => ({ from, to, why: 'wrap-around' as const })), modulus };
}
