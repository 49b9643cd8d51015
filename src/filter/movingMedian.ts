import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { runningMedian } from '../numeric/runningMedian.js';
import { longRuns } from './runFilter.js';

/** What movingMedian takes. */
export interface MovingMedianOptions {
  /** Window in samples, odd, at least 3. No default. */
  readonly samples: number;
  /** Valid runs shorter than the window: an error ('refuse', default) or a mask with the reason 'filter edge' ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

const movingMedianOperation = defineOperation<MovingMedianOptions>('movingMedian', (channel, options) => {
  const where = 'movingMedian';
  checkOptions(where, options, { required: ['samples'], optional: ['shortRuns'] });
  const samples = checkNumber(where, 'samples', options.samples, { integer: true, min: 3 });
  if (samples % 2 === 0) throw new InputError({ where, argument: 'samples', expected: 'odd, so that the median is a sample in the middle', given: String(samples) });
  const shortRuns = checkChoice(where, 'shortRuns', options.shortRuns ?? 'refuse', ['refuse', 'mask']);
  const { runs, masks } = longRuns(where, channel, samples - 1, shortRuns);
  const values = channel.values.slice();
  for (const { from, to } of runs) runningMedian(channel.values, values, from, to, samples);
  return { values, ...(masks.length > 0 ? { invalid: [...channel.invalid, ...masks] } : {}), found: { window: samples / channel.sampleRate, runs: runs.length, ...(masks.length > 0 ? { maskedRuns: masks.length } : {}) } };
});

/**
 * Replaces each sample by the median of a window about it: single outliers vanish, steps stay sharp.
 *
 * Definition: yᵢ = median(x_{i−h} … x_{i+h}), h = (samples − 1)/2; beyond the ends of a run its first or last value is repeated.
 *
 * Kept: unit, clock, masks; each valid run on its own. Cost: samples × window/2 moves at most, in one sorted window.
 *
 * @param channel any unit
 * @param options samples (odd, at least 3), shortRuns
 * @returns the smoothed channel; every value is one of the recorded ones
 * @throws InputError for an even window, or a valid run shorter than the window
 * @see removeSpikes, lowpass
 * @example
 * movingMedian(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, 90, 3, 4] }), { samples: 3 }).values // => [1,2,3,4,4]
 * @references J. W. Tukey, Exploratory Data Analysis, 1977 (running medians; from memory).
 */
export function movingMedian<U extends Unit>(channel: Channel<U>, options: MovingMedianOptions): Channel<U> {
  return movingMedianOperation(channel, options) as Channel<U>;
}
