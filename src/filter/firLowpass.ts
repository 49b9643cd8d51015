import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { firGain, firLowpassTaps, firRun } from '../numeric/fir.js';
import type { WindowChoice } from '../numeric/window.js';
import { checkFrequency } from './design.js';
import { longRuns } from './runFilter.js';

/** What firLowpass takes. */
export interface FirLowpassOptions {
  /** Middle of the transition, where the gain is one half (within 0.15), Hz. No default. */
  readonly cutoff: number;
  /** Number of coefficients, odd, 3 to 9999. No default: the transition is about 3.3·sampleRate/taps wide with the Hamming window. */
  readonly taps: number;
  /** Default 'hamming' (stop band 53 dB down). */
  readonly window?: 'rectangular' | 'hann' | 'hamming' | 'blackman';
  /** Valid runs no longer than half the coefficients: an error ('refuse', default) or a mask with the reason 'filter edge' ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

/** Farthest that the gain at the cutoff may lie from one half. */
const off = 0.15;

/** Gain at the cutoff; refused where the transition runs into 0 Hz or half the sample rate, so that the cutoff is none. */
function checkGain(h: Float64Array, cutoff: number, sampleRate: number, window: WindowChoice): number {
  const edge = cutoff / sampleRate;
  const gain = firGain(h, edge);
  if (Math.abs(gain - 0.5) <= off) return gain;
  let taps = h.length + 2;
  while (taps <= 9999 && Math.abs(firGain(firLowpassTaps(taps, edge, window), edge) - 0.5) > off) taps += Math.max(2, 2 * Math.round(taps / 200));
  throw new InputError({
    where: 'firLowpass', argument: 'taps', expected: `enough for a gain of one half at ${cutoff} Hz (within ${off})`, given: `${h.length}, which leave ${gain.toFixed(2)}`,
    remedy: taps <= 9999 ? `Use ${taps} or more, or another cutoff.` : 'Use decimate first, or lowpass.',
  });
}

const operation = defineOperation<FirLowpassOptions>('firLowpass', (channel, options) => {
  const where = 'firLowpass';
  checkOptions(where, options, { required: ['cutoff', 'taps'], optional: ['window', 'shortRuns'] });
  const cutoff = checkFrequency(where, 'cutoff', options.cutoff, channel.sampleRate);
  const taps = checkNumber(where, 'taps', options.taps, { integer: true, min: 3, max: 9999 });
  if (taps % 2 === 0) throw new InputError({ where, argument: 'taps', expected: 'odd, so that nothing is shifted in time', given: String(taps) });
  const window = checkChoice(where, 'window', options.window ?? 'hamming', ['rectangular', 'hann', 'hamming', 'blackman']);
  const shortRuns = checkChoice(where, 'shortRuns', options.shortRuns ?? 'refuse', ['refuse', 'mask']);
  const { runs, masks } = longRuns(where, channel, (taps - 1) / 2, shortRuns);
  const h = firLowpassTaps(taps, cutoff / channel.sampleRate, window);
  const gain = checkGain(h, cutoff, channel.sampleRate, window);
  const values = channel.values.slice();
  for (const { from, to } of runs) firRun(h, channel.values, values, from, to);
  return { values, ...(masks.length > 0 ? { invalid: [...channel.invalid, ...masks] } : {}), found: { window, taps, seconds: taps / channel.sampleRate, gainAtCutoff: Number(gain.toFixed(4)), runs: runs.length, ...(masks.length > 0 ? { maskedRuns: masks.length } : {}) } };
});

/**
 * Takes away what is faster than the cutoff by a linear-phase filter of finite length: nothing is shifted in time, and no sample feels more than half its length away.
 *
 * Definition: yᵢ = Σ_n h_n·x_{i+n−(N−1)/2}, h_n ∝ sinc(2·(cutoff/sampleRate)·(n − (N − 1)/2))·w_n, Σ h_n = 1. The gain is one half at the cutoff where the
 * transition fits between 0 and half the sample rate, which takes about sampleRate/cutoff coefficients; the step's `found` states it, and what is off by more than 0.15 is refused.
 *
 * Kept: unit, clock, masks; each valid run on its own, each end continued by its odd mirror image. Cost: taps/2 products a sample; lowpass gives a steeper edge for less.
 *
 * @param channel any unit
 * @param options cutoff (Hz), taps (odd), window (default 'hamming'), shortRuns
 * @returns the filtered channel
 * @throws InputError for a cutoff not below half the sample rate, an even number of coefficients or too few for the cutoff, or a valid run too short
 * @see lowpass, savitzkyGolay
 * @example
 * const step = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 64 }, (_, i) => (i < 32 ? 0 : 100)) });
 * const smooth = firLowpass(step, { cutoff: 60, taps: 21 });
 * smooth.values[31] + smooth.values[32] // => 100.00
 * smooth.values[20] // => 0.0000
 * smooth.trail[1].found.gainAtCutoff // => 0.5468
 * @references A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, 1989, chapter 7 (window method; from memory).
 */
export function firLowpass<U extends Unit>(channel: Channel<U>, options: FirLowpassOptions): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
