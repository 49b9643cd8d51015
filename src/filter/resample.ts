import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel, Outcome } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { interpolateRun, sincShape, sincTable, type SincTable } from '../numeric/interpolate.js';
import { longRuns } from './runFilter.js';

/** Half length of the sinc in samples of the slower of the two clocks, and Kaiser's β. */
const { half, beta } = sincShape;

/** What upsamplePeaks takes. */
export interface UpsamplePeaksOptions {
  /** How many samples are made of one, a whole number from 2. No default. */
  readonly factor: number;
  /** Valid runs of 32 samples or fewer: an error ('refuse', default) or a mask ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

/** What resample takes. */
export interface ResampleOptions {
  /** The new rate, Hz. No default. */
  readonly sampleRate: number;
  /** Valid runs too short for the interpolation: an error ('refuse', default) or a mask ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

/** Reads every valid run at the places m·down/up of its samples. A new sample is valid where it lies between valid samples of one run. */
function interpolate(where: string, channel: Channel, table: SincTable, down: number, shortRuns: 'refuse' | 'mask' | undefined): Outcome {
  const policy = checkChoice(where, 'shortRuns', shortRuns ?? 'refuse', ['refuse', 'mask']);
  const { runs, masks } = longRuns(where, channel, table.half, policy);
  const up = table.phases;
  const length = Math.floor(((channel.values.length - 1) * up) / down) + 1;
  const values = new Float64Array(length);
  const spans = [...channel.invalid, ...masks];
  const placeAfter = (i: number): number => Math.ceil((i * up) / down);
  for (const { from, to } of runs) {
    const first = placeAfter(from);
    const last = Math.floor(((to - 1) * up) / down);
    interpolateRun(table, { first: first * down - from * up, step: down, count: last - first + 1 }, channel.values, from, to, values, first);
  }
  const invalid = spans.flatMap((s): Span[] => {
    const from = s.from === 0 ? 0 : Math.floor(((s.from - 1) * up) / down) + 1;
    const to = s.to === channel.values.length ? length : placeAfter(s.to);
    for (let i = from; i < to; i++) values[i] = channel.values[Math.min(channel.values.length - 1, Math.round((i * down) / up))]!;
    return to > from ? [{ from, to, why: s.why }] : [];
  });
  return { values, invalid, sampleRate: (channel.sampleRate * up) / down, found: { runs: runs.length, ...(masks.length > 0 ? { maskedRuns: masks.length } : {}) } };
}

const upsampleOperation = defineOperation<UpsamplePeaksOptions>('upsamplePeaks', (channel, options) => {
  checkOptions('upsamplePeaks', options, { required: ['factor'], optional: ['shortRuns'] });
  const factor = checkNumber('upsamplePeaks', 'factor', options.factor, { integer: true, min: 2, max: 1000 });
  const outcome = interpolate('upsamplePeaks', channel, sincTable(factor, half, 1, beta), 1, options.shortRuns);
  return { ...outcome, found: { ...outcome.found, trueBelow: 0.45 * channel.sampleRate } };
});

/**
 * Makes factor samples of one by band-limited interpolation, so that peaks between samples are found.
 *
 * Definition: y(t) = Σ x_k·sinc(t − k)·w(t − k), Kaiser window of ± 32 samples, β = 10.06; the recorded samples are kept exactly. True to
 * 1e-4 below 0.45 of the sample rate (`found.trueBelow`, Hz), provided that nothing above half the rate was folded into the record.
 *
 * Kept: unit, start, masks. Each valid run on its own, continued by its odd mirror image at the ends; between two runs all is masked. Cost: 64 products a new sample.
 *
 * @param channel any unit
 * @param options factor (whole, 2 to 1000), shortRuns
 * @returns a channel of sampleRate × factor
 * @throws InputError for a factor that is not whole, or a valid run of 32 samples or fewer
 * @see turningPoints, resample
 * @example
 * const tone = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array.from({ length: 400 }, (_, i) => Math.cos(0.8 * Math.PI * (i - 200.5))) });
 * upsamplePeaks(tone, { factor: 2 }).values[401] // => 1.000
 * @references C. E. Shannon, Communication in the presence of noise, Proc. IRE 37 (1949) 10.
 */
export function upsamplePeaks<U extends Unit>(channel: Channel<U>, options: UpsamplePeaksOptions): Channel<U> {
  return upsampleOperation(channel, options) as Channel<U>;
}

/** The fraction up/down with the least down that equals the ratio to 1e-12, or null beyond 10 000. */
function asFraction(ratio: number): { readonly up: number; readonly down: number } | null {
  let [p0, q0, p1, q1] = [0, 1, 1, 0];
  let rest = ratio;
  for (let i = 0; i < 40; i++) {
    const a = Math.floor(rest);
    [p0, q0, p1, q1] = [p1, q1, a * p1 + p0, a * q1 + q0];
    if (p1 > 10_000 || q1 > 10_000) return null;
    if (Math.abs(p1 / q1 - ratio) <= 1e-12 * ratio) return { up: p1, down: q1 };
    rest = 1 / (rest - a);
  }
  return null;
}

const resampleOperation = defineOperation<ResampleOptions>('resample', (channel, options) => {
  const where = 'resample';
  checkOptions(where, options, { required: ['sampleRate'], optional: ['shortRuns'] });
  const sampleRate = checkNumber(where, 'sampleRate', options.sampleRate, { above: 0, unit: 'Hz' });
  const ratio = sampleRate / channel.sampleRate;
  const fraction = asFraction(ratio);
  if (!fraction) {
    throw new InputError({ where, argument: 'sampleRate', expected: `a ratio of whole numbers up to 10 000 to the rate of ${channel.name} (${channel.sampleRate} Hz)`, given: `${sampleRate} Hz`, remedy: 'Choose a rounder rate.' });
  }
  const { up, down } = fraction;
  const table = ratio >= 1 ? sincTable(up, half, 1, beta) : sincTable(up, 2 * Math.ceil(half / ratio / 2), 0.9 * ratio, beta);
  const outcome = interpolate(where, channel, table, down, options.shortRuns);
  return { ...outcome, sampleRate, found: { ...outcome.found, up, down, trueBelow: ratio >= 1 ? 0.45 * channel.sampleRate : 0.4 * sampleRate } };
});

/**
 * Gives a channel another clock by band-limited interpolation: so that channels of different rates can be read together.
 *
 * Definition: as upsamplePeaks, read at the new instants; where the new rate is lower, the sinc is widened so that all above half the new
 * rate is 100 dB down. True below `found.trueBelow` Hz (0.45 of the old rate going up, 0.4 of the new one going down).
 *
 * Kept: unit, start, masks; each valid run on its own. Cost: 64 products a new sample going up, 64/ratio going down.
 *
 * @param channel any unit
 * @param options sampleRate (Hz), shortRuns
 * @returns the same signal at the new rate
 * @throws InputError where the rates are no ratio of whole numbers up to 10 000, or a valid run is too short
 * @see decimate, upsamplePeaks, alignChannels
 * @example
 * const slow = makeChannel({ name: 'T', unit: '°C', sampleRate: 10, values: Array.from({ length: 200 }, (_, i) => 20 + Math.sin(0.1 * i)) });
 * resample(slow, { sampleRate: 25 }).values[250] - 20 - Math.sin(10) // => 0.0000
 */
export function resample<U extends Unit>(channel: Channel<U>, options: ResampleOptions): Channel<U> {
  return resampleOperation(channel, options) as Channel<U>;
}
