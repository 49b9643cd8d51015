import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import { normaliseSpans, runsBetween, type Run } from '../record/span.js';
import { sumOfCrossPowers } from '../numeric/segments.js';
import { binFrequencies, settingsOf, squared, type SpectrumSettings } from './powerDensity.js';
import { cutSegments, segmentKeys, type SegmentOptions } from './segmentation.js';

/** Gain and phase of a response over frequency. */
export interface ResponseEstimate {
  readonly gain: Float64Array;
  /** rad, −π to π; positive where the output leads. */
  readonly phase: Float64Array;
}

/** How two channels go together over frequency. */
export interface CrossSpectrum extends SpectrumSettings {
  /** Hz. */
  readonly frequency: Float64Array;
  /** Cross density avg conj(X)·Y, one-sided, in `unit`. */
  readonly re: Float64Array;
  readonly im: Float64Array;
  readonly unit: string;
  /** Power densities of input and output. */
  readonly inputDensity: Float64Array;
  readonly outputDensity: Float64Array;
  /** |Gxy|²/(Gxx·Gyy), 0 to 1. */
  readonly coherence: Float64Array;
  /** Coherence that two unrelated channels exceed with probability 1 − level. */
  readonly coherenceLimit: number;
  readonly level: number;
  /** H1 = Gxy/Gxx: right where the noise is in the output. H2 = Gyy/Gyx: right where it is in the input. The truth lies between. */
  readonly h1: ResponseEstimate;
  readonly h2: ResponseEstimate;
  /** Standard deviation of the gain over the gain, √((1 − γ²)/(2·γ²·averages)); Infinity where the coherence is 0. */
  readonly gainError: Float64Array;
  /** Output per input, for example 'N·m per rad/s'. */
  readonly responseUnit: string;
}

/** What crossSpectrum takes. */
export interface CrossSpectrumOptions extends SegmentOptions {
  /** Of coherenceLimit, default 0.95. */
  readonly level?: number;
}

/** Refuses two channels that do not share one clock. */
export function checkSameClock(where: string, a: Channel, b: Channel): void {
  const differ = a.sampleRate !== b.sampleRate ? ['sampleRate', `${a.sampleRate} Hz as ${a.name}`, `${b.sampleRate} Hz`]
    : a.values.length !== b.values.length ? ['length', `${a.values.length} samples as ${a.name}`, `${b.values.length}`]
      : a.start !== b.start ? ['start', `${a.start} as ${a.name}`, String(b.start)] : null;
  if (differ) throw new InputError({ where, argument: `${differ[0]} of ${b.name}`, expected: differ[1]!, given: differ[2]!, remedy: 'Bring both to one clock with resample and slice, or with alignChannels.' });
}

/** The runs in which both channels are valid. */
export function sharedRuns(a: Channel, b: Channel): readonly Run[] {
  return runsBetween(normaliseSpans([...a.invalid, ...b.invalid], a.values.length), a.values.length);
}

/** Refuses a channel that has nothing to compare: one value throughout, or so small or large that its square leaves double precision. */
function checkVaries(where: string, channel: Channel, runs: readonly Run[]): void {
  let low = Infinity, high = -Infinity;
  for (const { from, to } of runs) for (let i = from; i < to; i++) {
    low = Math.min(low, channel.values[i]!);
    high = Math.max(high, channel.values[i]!);
  }
  const square = (high - low) ** 2;
  if (!(square > 0 && square < Infinity)) throw new InputError({ where, argument: channel.name, expected: 'a channel that varies where both are valid (and whose square is a number)', given: low === high ? `${low} throughout` : `values from ${low} to ${high}`, remedy: 'What does not vary has no response and no coherence: look whether the channel was connected.' });
}

const angles = (re: Float64Array, im: Float64Array): Float64Array => re.map((r, k) => Math.atan2(im[k]!, r));

/**
 * Compares two channels frequency by frequency: cross spectrum, coherence, and the response of the second to the first as H1 and H2.
 *
 * Definition: Gxy = 2·avg conj(X)·Y/(fs·Σ w²) over segments, as scipy.signal.csd; γ² = |Gxy|²/(Gxx·Gyy); H1 = Gxy/Gxx; H2 = Gyy/conj(Gxy). Unrelated channels: γ² > 1 − (1 − level)^{1/(averages − 1)}
 * with probability 1 − level.
 *
 * Kept: only segments that are valid in both are read. Cost: one complex transform a segment.
 *
 * @param input the cause, any unit
 * @param output the effect, any unit, on the same clock
 * @param options segment (samples) or segmentSeconds, no default; overlap, window, detrend as powerDensity; level (default 0.95)
 * @returns frequency (Hz), cross density, coherence and its limit, h1 and h2 (gain, phase in rad), gainError, notes
 * @throws InputError for channels on two clocks, a channel that does not vary, or fewer than two segments (whose coherence is 1 whatever the channels)
 * @see powerDensity, alignChannels
 * @example
 * const rng = createRandom(4);
 * const x = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 8192 }, () => rng.normal()) });
 * const y = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: x.values.map((v) => 3 * v) });
 * const c = crossSpectrum(x, y, { segment: 256 });
 * c.h1.gain[20] // => 3.0000
 * c.coherence[20] // => 1.0000
 * c.responseUnit // => "N·m per rad/s"
 * @references J. S. Bendat and A. G. Piersol, Random Data, 4th ed., 2010, chapters 6 and 9 (H1, H2, errors; from memory).
 */
export function crossSpectrum(input: Channel, output: Channel, options: CrossSpectrumOptions): CrossSpectrum {
  const where = 'crossSpectrum';
  checkChannel(where, input);
  checkChannel(where, output);
  checkSameClock(where, input, output);
  checkOptions(where, options, { optional: [...segmentKeys, 'level'] });
  const level = checkNumber(where, 'level', options?.level ?? 0.95, { above: 0, below: 1 });
  const runs = sharedRuns(input, output);
  const cut = cutSegments(where, input, options ?? {}, runs);
  if (cut.starts.length < 2) throw new InputError({ where, argument: 'segment', expected: 'short enough for two segments: the coherence of one is always 1', given: `${cut.length} samples, one segment`, remedy: 'Use a shorter segment.' });
  for (const channel of [input, output]) checkVaries(where, channel, runs);
  const settings = settingsOf(input, cut, 'mean');
  const squares = cut.window.reduce((s, w) => s + w * w, 0);
  const sums = sumOfCrossPowers(input.values, output.values, cut);
  const last = cut.length % 2 === 0 ? cut.length / 2 : -1;
  const density = (sum: Float64Array): Float64Array => sum.map((v, k) => ((k === 0 || k === last ? 1 : 2) * v) / (cut.starts.length * input.sampleRate * squares));
  const [xx, yy, re, im] = [density(sums.xx), density(sums.yy), density(sums.re), density(sums.im)];
  const crossPower = re.map((r, k) => r * r + im[k]! ** 2);
  const ratio = (a: Float64Array, b: Float64Array): Float64Array => a.map((v, k) => (b[k]! > 0 ? v / b[k]! : 0));
  const coherence = ratio(crossPower, xx.map((v, k) => v * yy[k]!)).map((c) => Math.min(1, c));
  const modulus = crossPower.map(Math.sqrt);
  const phase = angles(re, im);
  return makeResult<CrossSpectrum>('CrossSpectrum', {
    frequency: binFrequencies(input.sampleRate, cut.length), re, im, unit: input.unit === output.unit ? squared(input.unit, true) : `${input.unit} × ${output.unit} / Hz`, inputDensity: xx, outputDensity: yy,
    coherence, coherenceLimit: 1 - (1 - level) ** (1 / Math.max(settings.effectiveAverages - 1, 1e-9)), level,
    h1: { gain: ratio(modulus, xx), phase }, h2: { gain: ratio(yy, modulus), phase: phase.slice() },
    gainError: coherence.map((c) => (c > 0 ? Math.sqrt((1 - c) / (2 * c * settings.effectiveAverages)) : Infinity)), responseUnit: `${output.unit} per ${input.unit}`,
    ...settings, name: `${input.name} → ${output.name}`,
  }, (c) => `CrossSpectrum ${c.name} [${c.responseUnit}]: ${c.segments} segments of ${c.segment} samples, worth ${c.effectiveAverages.toPrecision(3)} averages; coherence above ${c.coherenceLimit.toPrecision(2)} is not chance`);
}
