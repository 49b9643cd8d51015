import type { Channel } from '../record/Channel.js';
import type { Span } from '../record/span.js';
import { heldLimit, repeatAt, stepAfter, type EqualRuns, type NoiseBlock } from './equalRuns.js';

/** What counts as a repeat: limits in the channel's unit and in samples. */
export interface RepeatRule {
  /** The value of lost samples, or null where they are not looked for. */
  readonly level: number | null;
  /** Are held values looked for? */
  readonly held: boolean;
  /** Samples from which a run is held, in place of what the noise allows. */
  readonly asked: number | null;
  readonly quantum: number;
}

const dropout = 1;
const heldValue = 2;

/** Runs of equal samples that are longer than noise allows, and short visits to the dropout level. */
export function findRepeats(channel: Channel, runs: EqualRuns, blocks: readonly NoiseBlock[], rule: RepeatRule): Span[] {
  const flags = new Uint8Array(runs.count);
  for (const block of blocks) flagBlock(channel.values, runs, block, rule, flags);
  if (rule.held) continueAcrossDropouts(channel.values, runs, flags);
  const spans: Span[] = [];
  for (let r = 0; r < runs.count; r++) {
    if (flags[r] === 0) continue;
    const from = runs.starts[r]!;
    spans.push({ from, to: from + runs.lengths[r]!, why: flags[r] === dropout ? 'dropout' : 'held value' });
  }
  return spans;
}

function flagBlock(values: Float64Array, runs: EqualRuns, block: NoiseBlock, rule: RepeatRule, flags: Uint8Array): void {
  const limit = heldLimit(block.repeat, values.length);
  const limits = new Map<number, number>();
  const limitAt = (value: number): number => {
    let own = limits.get(value);
    if (own === undefined) limits.set(value, own = heldLimit(repeatAt(values, runs, block, value), values.length));
    return own;
  };
  for (let r = block.firstRun; r < block.endRun; r++) {
    const length = runs.lengths[r]!;
    const value = values[runs.starts[r]!]!;
    const atLevel = value === rule.level;
    if (!atLevel && (length < 2 || !rule.held)) continue;
    const before = stepAfter(values, runs, r - 1);
    const after = stepAfter(values, runs, r);
    const jumps = !block.smooth || !(Math.abs(before) <= 3 * rule.quantum) || !(Math.abs(after) <= 3 * rule.quantum);
    const tooLong = rule.asked !== null && !atLevel ? length >= rule.asked : length >= limit && jumps && length >= limitAt(value);
    const least = Math.min(Math.abs(before), Math.abs(after));
    const visit = atLevel && (before * after < 0 ? least > (length >= 2 ? 3 : 8) * block.step : length >= 2 && least > 30 * rule.quantum);
    if (tooLong || visit) flags[r] = atLevel ? dropout : heldValue;
  }
}

/** A held value that goes on after a dropout, or stood before it, is held there too, however short. */
function continueAcrossDropouts(values: Float64Array, runs: EqualRuns, flags: Uint8Array): void {
  for (const step of [1, -1]) {
    let value = Number.NaN;
    for (let k = 0; k < runs.count; k++) {
      const r = step === 1 ? k : runs.count - 1 - k;
      const own = values[runs.starts[r]!]!;
      if (flags[r] === heldValue) value = own;
      else if (flags[r] === 0 && own === value && flags[r - step] === dropout) flags[r] = heldValue;
      else if (flags[r] !== dropout) value = Number.NaN;
    }
  }
}
