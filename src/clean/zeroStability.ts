import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import type { Unit } from '../record/units.js';

/** How steady a zero is over averaging time. Arrays of one length. */
export interface ZeroStability {
  readonly unit: Unit;
  /** Averaging times, s. */
  readonly time: Float64Array;
  /** Allan deviation of successive means, of overlapping means, and the modified one, in the channel's unit. */
  readonly allan: Float64Array;
  readonly overlapping: Float64Array;
  readonly modified: Float64Array;
  /** The averaging time at which the overlapping deviation is least, s, and that deviation: averaging longer brings drift, not rest. */
  readonly bestTime: number;
  readonly bestDeviation: number;
  readonly notes: readonly string[];
}

const where = 'zeroStability';

/**
 * Finds how far the mean of a resting signal wanders between averages of growing length: the Allan deviation.
 *
 * σ²(τ) = ½ ⟨(ȳk+1 − ȳk)²⟩ of neighbouring means over τ, one after another, or overlapping (every start), or modified (means of starts too). White noise falls with 1/√τ; where the curve turns up the
 * zero drifts: no rest window longer than bestTime makes the zero better.
 *
 * @param channel a record at rest
 * @param options window in s, within which no sample may be masked; averages: times in s (default 1, 2, 4 … samples, up to a third of the window)
 * @returns deviations by averaging time, the best time, notes
 * @throws InputError for masked samples inside the window, or an averaging time beyond a third of it
 * @see fitZero
 * @example
 * const y = makeChannel({ name: 'zero', unit: 'N·m', sampleRate: 1, values: [892, 809, 823, 798, 671, 644, 883, 903, 677] });
 * zeroStability(y, { window: { from: 0, to: 9 }, averages: [2] }).overlapping[0] // => 85.95287
 * @references W. J. Riley, Handbook of Frequency Stability Analysis, NIST SP 1065 (2008), 5.2.2, 5.2.4 and 5.2.5.
 */
export function zeroStability(channel: Channel, options: { readonly window: TimeWindow; readonly averages?: readonly number[] }): ZeroStability {
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['window'], optional: ['averages'] });
  const { from, to } = windowToSamples(where, channel, options.window);
  if (channel.invalid.some((s) => s.to > from && s.from < to)) {
    throw new InputError({ where, argument: 'window', expected: 'without masked samples', given: `${options.window.from} to ${options.window.to} s, with some`, remedy: 'Choose a window between the masked spans: validRuns lists what lies between.' });
  }
  const n = to - from;
  const lengths = averagingLengths(channel.sampleRate, n, options.averages);
  const sums = new Float64Array(n + 1);
  const first = channel.values[from]!;
  for (let i = 0; i < n; i++) sums[i + 1] = sums[i]! + (channel.values[from + i]! - first);
  const [allan, overlapping, modified] = [plainDeviation, overlappingDeviation, modifiedDeviation].map((f) => Float64Array.from(lengths, (m) => f(sums, m))) as [Float64Array, Float64Array, Float64Array];
  const time = Float64Array.from(lengths, (m) => m / channel.sampleRate);
  const best = overlapping.reduce((b, v, i) => (v < overlapping[b]! ? i : b), 0);
  const notes: string[] = [];
  if (best < lengths.length - 1 && overlapping.at(-1)! > 1.5 * overlapping[best]!) notes.push(`Averages longer than ${time[best]!.toPrecision(3)} s no longer steady the zero: it drifts. Take zeros often rather than long.`);
  return makeResult('ZeroStability', checkResult(where, channel.name, { unit: channel.unit, time, allan, overlapping, modified, bestTime: time[best]!, bestDeviation: overlapping[best]!, notes: Object.freeze(notes) }),
    (s) => `Zero steady to ${s.bestDeviation.toPrecision(3)} ${s.unit} over ${s.bestTime.toPrecision(3)} s (Allan deviation)`);
}

function averagingLengths(rate: number, n: number, averages: readonly number[] | undefined): readonly number[] {
  const most = Math.floor(n / 3);
  if (most < 1) throw new InputError({ where, argument: 'window', expected: 'at least three samples long', given: `${n} samples` });
  if (averages === undefined) return Array.from({ length: Math.floor(Math.log2(most)) + 1 }, (_, k) => 2 ** k);
  if (!Array.isArray(averages) || averages.length === 0) throw new InputError({ where, argument: 'averages', expected: 'averaging times in s', given: show(averages) });
  return averages.map((t, k) => Math.round(checkNumber(where, `averages[${k}]`, t, { min: 1 / rate, max: most / rate, unit: 's' }) * rate));
}

/** Means one after another. */
function plainDeviation(sums: Float64Array, m: number): number {
  const means = Math.floor((sums.length - 1) / m);
  let total = 0;
  for (let k = 0; k + 2 <= means; k++) total += (sums[(k + 2) * m]! - 2 * sums[(k + 1) * m]! + sums[k * m]!) ** 2;
  return Math.sqrt(total / (2 * (means - 1))) / m;
}

/** Means from every start. */
function overlappingDeviation(sums: Float64Array, m: number): number {
  const terms = sums.length - 2 * m;
  let total = 0;
  for (let i = 0; i < terms; i++) total += (sums[i + 2 * m]! - 2 * sums[i + m]! + sums[i]!) ** 2;
  return Math.sqrt(total / (2 * terms)) / m;
}

/** Means from every start, averaged over m starts. */
function modifiedDeviation(sums: Float64Array, m: number): number {
  const terms = sums.length - 3 * m + 1;
  let inner = 0, total = 0;
  for (let i = 0; i < m; i++) inner += sums[i + 2 * m]! - 2 * sums[i + m]! + sums[i]!;
  for (let j = 0; j < terms; j++) {
    total += inner * inner;
    if (j + 1 < terms) inner += sums[j + 3 * m]! - 3 * sums[j + 2 * m]! + 3 * sums[j + m]! - sums[j]!;
  }
  return Math.sqrt(total / (2 * terms)) / (m * m);
}
