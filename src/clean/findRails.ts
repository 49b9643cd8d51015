import type { Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import type { Span } from '../record/span.js';
import type { EqualRuns } from './equalRuns.js';

/** The ends of the range, in the channel's unit; where one is left out it is looked for. */
export interface RailRule {
  readonly high?: number;
  readonly low?: number;
}

/** Rails found, the levels used, and what to know about them. */
export interface Rails {
  readonly spans: readonly Span[];
  readonly rule: { readonly high: number | null; readonly low: number | null; readonly highSamples: number; readonly lowSamples: number };
  readonly notes: readonly string[];
}

/** Finds samples at the ends of the range: stated levels, or extreme values that stand far more often than the levels next to them. */
export function findRails(channel: Channel, runs: EqualRuns, quantum: number, dropout: number | null, rule: RailRule): Rails {
  if (rule.high !== undefined && rule.low !== undefined && rule.low >= rule.high) {
    throw new InputError({ where: 'findFaults', argument: 'rail', expected: 'low below high', given: `low ${rule.low}, high ${rule.high}` });
  }
  const high = rule.high ?? extremeLevel(channel.values, runs, quantum, dropout, 1);
  const low = rule.low ?? extremeLevel(channel.values, runs, quantum, dropout, -1);
  const spans: Span[] = [];
  let highSamples = 0, lowSamples = 0;
  for (let r = 0; r < runs.count; r++) {
    const from = runs.starts[r]!;
    const value = channel.values[from]!;
    const length = runs.lengths[r]!;
    if (high !== null && value >= high) highSamples += length;
    else if (low !== null && value <= low) lowSamples += length;
    else continue;
    spans.push({ from, to: from + length, why: 'rail' });
  }
  const notes: string[] = [];
  const unit = channel.unit === '?' ? '' : ` ${channel.unit}`;
  if (highSamples > 0) notes.push(`${samplesStand(highSamples)} at the upper rail (${high}${unit}): the true peaks were higher, and damage without them is a lower bound.`);
  if (lowSamples > 0) notes.push(`${samplesStand(lowSamples)} at the lower rail (${low}${unit}): the true troughs were lower, and damage without them is a lower bound.`);
  return { spans, rule: { high, low, highSamples, lowSamples }, notes };
}

function samplesStand(count: number): string {
  return count === 1 ? '1 sample stands' : `${count} samples stand`;
}

/** The highest (sign 1) or lowest (−1) value, if it stands in at least 3 samples and 5 times as often as each of the 8 levels next to it. */
function extremeLevel(values: Float64Array, runs: EqualRuns, quantum: number, dropout: number | null, sign: 1 | -1): number | null {
  if (quantum === 0) return null;
  let extreme = Number.NEGATIVE_INFINITY;
  for (let r = 0; r < runs.count; r++) {
    const v = values[runs.starts[r]!]!;
    if (v !== dropout && sign * v > extreme) extreme = sign * v;
  }
  // The smallest step of numbers that were computed is their rounding, which is no quantum.
  const step = Math.max(quantum, 1e-12 * Math.abs(extreme));
  const counts = new Float64Array(9);
  for (let r = 0; r < runs.count; r++) {
    const v = values[runs.starts[r]!]!;
    // What lies within half a step of the extreme without being it belongs to the next level: a converter that clips repeats one number.
    const below = sign * v === extreme ? 0 : Math.max(1, Math.round((extreme - sign * v) / step));
    if (v !== dropout && below <= 8) counts[below]! += runs.lengths[r]!;
  }
  const next = counts.subarray(1).reduce((most, c) => Math.max(most, c), 0);
  return counts[0]! >= 3 && counts[0]! >= 5 * next ? sign * extreme : null;
}
