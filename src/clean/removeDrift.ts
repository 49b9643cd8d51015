import { validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { momentsOf, spanOf } from '../numeric/moments.js';
import type { Unit } from '../record/units.js';
import { medianOf } from './theilSen.js';

/** How slow a movement counts as drift. A physical choice: no default. */
export interface DriftOptions {
  /** s; the baseline is drawn through the medians of windows of this length. */
  readonly window: number;
}

const operation = defineOperation<DriftOptions>('removeDrift', (channel, options) => {
  const where = 'removeDrift';
  checkOptions(where, options, { required: ['window'] });
  checkNumber(where, 'window', options.window, { above: 2 / channel.sampleRate, unit: 's' });
  const n = channel.values.length;
  const count = Math.floor(n / (options.window * channel.sampleRate) + 1e-9);
  if (count < 2) throw new InputError({ where, argument: 'window', expected: `at most half the record (${n / channel.sampleRate / 2} s)`, given: `${options.window} s` });
  const knots = medians(channel, count);
  if (knots.length < 2) throw new InputError({ where, argument: 'channel', expected: 'valid in at least two windows', given: 'one that is masked almost throughout' });
  const base = baseline(knots, n);
  const middle = medianOf(base);
  const values = Float64Array.from(channel.values, (v, i) => v - base[i]! + middle);
  const moved = momentsOf(base);
  const span = spanOf(channel.values, validRuns(channel));
  return { values, found: { windows: knots.length, baselineLow: moved.min, baselineHigh: moved.max, level: middle, partOfSpan: span === 0 ? 0 : (moved.max - moved.min) / span } };
});

interface Knot { readonly at: number; readonly value: number }

/** Medians of the valid samples of equal windows, at the middle of each. */
function medians(channel: Channel, count: number): Knot[] {
  const runs = validRuns(channel);
  const n = channel.values.length;
  const knots: Knot[] = [];
  let r = 0;
  for (let k = 0; k < count; k++) {
    const [from, to] = [Math.floor((n * k) / count), Math.floor((n * (k + 1)) / count)];
    const own: number[] = [];
    while (r > 0 && runs[r - 1]!.to > from) r--;
    for (; r < runs.length && runs[r]!.from < to; r++) for (let i = Math.max(from, runs[r]!.from); i < Math.min(to, runs[r]!.to); i++) own.push(channel.values[i]!);
    if (own.length > 0) knots.push({ at: (from + to - 1) / 2, value: medianOf(own) });
  }
  return knots;
}

/** Straight lines through the knots, carried on beyond the first and last. */
function baseline(knots: readonly Knot[], n: number): Float64Array {
  const out = new Float64Array(n);
  let k = 0;
  for (let i = 0; i < n; i++) {
    while (k + 2 < knots.length && i > knots[k + 1]!.at) k++;
    const [a, b] = [knots[k]!, knots[k + 1]!];
    out[i] = a.value + ((b.value - a.value) * (i - a.at)) / (b.at - a.at);
  }
  return out;
}

/**
 * Takes slow movement off a channel: value − baseline + median of the baseline, with the baseline drawn straight through the medians of windows.
 *
 * Allowed only where no state without load exists and only ranges within a window matter. It takes true changes of the mean load off too: starts, stops and load steps
 * lose their large cycles, and mean, power and load ratio lose their meaning. Where the shaft rested before and after, use fitZero and removeZero. The step tells how far the
 * baseline moved, and what part of the record's span that is: a large part is load, not drift.
 *
 * Kept: clock, masks. Cost: one sort per window.
 *
 * @param channel any channel
 * @param options window in s: several times the longest cycle that is to be kept, at most half the record
 * @returns the channel on a level baseline
 * @throws InputError for a window longer than half the record
 * @see fitZero, removeZero, highpass
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, 2, 3, 4, 5, 6, 7, 8] });
 * Array.from(removeDrift(T, { window: 4 }).values) // => [4.5,4.5,4.5,4.5,4.5,4.5,4.5,4.5]
 * @references Common practice, no source.
 */
export function removeDrift<U extends Unit>(channel: Channel<U>, options: DriftOptions): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
