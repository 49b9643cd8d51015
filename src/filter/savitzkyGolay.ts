import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { savitzkyGolayRun } from '../numeric/savitzkyGolay.js';
import { longRuns } from './runFilter.js';

/** What savitzkyGolay takes. */
export interface SavitzkyGolayOptions {
  /** Window in samples, odd, 3 to 9999. No default. */
  readonly samples: number;
  /** Degree of the polynomial, 0 to 10 and below the window. No default: it decides which peaks keep their height. */
  readonly degree: number;
  /** Valid runs shorter than the window: an error ('refuse', default) or a mask with the reason 'filter edge' ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

const operation = defineOperation<SavitzkyGolayOptions>('savitzkyGolay', (channel, options) => {
  const where = 'savitzkyGolay';
  checkOptions(where, options, { required: ['samples', 'degree'], optional: ['shortRuns'] });
  const samples = checkNumber(where, 'samples', options.samples, { integer: true, min: 3, max: 9999 });
  if (samples % 2 === 0) throw new InputError({ where, argument: 'samples', expected: 'odd, so that a sample lies in the middle', given: String(samples) });
  const degree = checkNumber(where, 'degree', options.degree, { integer: true, min: 0, max: Math.min(10, samples - 1) });
  const shortRuns = checkChoice(where, 'shortRuns', options.shortRuns ?? 'refuse', ['refuse', 'mask']);
  const { runs, masks } = longRuns(where, channel, samples - 1, shortRuns);
  const values = channel.values.slice();
  for (const { from, to } of runs) savitzkyGolayRun(channel.values, values, from, to, samples, degree);
  return { values, ...(masks.length > 0 ? { invalid: [...channel.invalid, ...masks] } : {}), found: { window: samples / channel.sampleRate, degree, runs: runs.length, ...(masks.length > 0 ? { maskedRuns: masks.length } : {}) } };
});

/**
 * Smooths by a polynomial fitted to a window about every sample: peaks keep their height better than under a low-pass of the same noise.
 *
 * Definition: the value at its middle of the polynomial fitted by least squares to x_{i−h} … x_{i+h}, h = (samples − 1)/2; the first and last h samples of a run are read off its first and last polynomial.
 * Polynomials up to `degree` come through unchanged. Its stop band is poor (side lobes of a fifth or so): where a band must be gone, use lowpass.
 *
 * Kept: unit, clock, masks; each valid run on its own. Cost: samples products a sample.
 *
 * @param channel any unit
 * @param options samples (odd, from 3), degree, shortRuns
 * @returns the smoothed channel
 * @throws InputError for an even window, a degree not below it, or a valid run shorter than it
 * @see lowpass, movingMedian
 * @example
 * const parabola = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [0, 1, 4, 9, 16, 25, 36] });
 * savitzkyGolay(parabola, { samples: 5, degree: 2 }).values[3] // => 9.0000
 * @references A. Savitzky and M. J. E. Golay, Smoothing and differentiation of data by simplified least squares procedures, Anal. Chem. 36 (1964) 1627 (from memory); ends as scipy.signal.savgol_filter(mode='interp').
 */
export function savitzkyGolay<U extends Unit>(channel: Channel<U>, options: SavitzkyGolayOptions): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
