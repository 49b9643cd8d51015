import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { designLowpass } from './design.js';
import { runFilter, type FilterRunOptions } from './runFilter.js';

/** What decimate takes. */
export interface DecimateOptions {
  /** Every how-many-th sample is kept, a whole number from 2. No default. */
  readonly factor: number;
  /** Valid runs too short for the filter: an error ('refuse', default) or a mask ('mask'). */
  readonly shortRuns?: FilterRunOptions['shortRuns'];
}

const decimateOperation = defineOperation<DecimateOptions>('decimate', (channel, options) => {
  const where = 'decimate';
  checkOptions(where, options, { required: ['factor'], optional: ['shortRuns'] });
  const factor = checkNumber(where, 'factor', options.factor, { integer: true, min: 2 });
  const length = Math.ceil(channel.values.length / factor);
  if (length < 2) throw new InputError({ where, argument: 'factor', expected: `below the number of samples (${channel.values.length})`, given: String(factor) });
  const sampleRate = channel.sampleRate / factor;
  const cutoff = 0.4 * sampleRate;
  const design = designLowpass({ cutoff, order: 8, family: 'chebyshev 1', ripple: 0.05, sampleRate: channel.sampleRate });
  const smooth = runFilter(where, channel, design, options.shortRuns === undefined ? {} : { shortRuns: options.shortRuns }, { cutoff, family: design.family, order: 8 });
  const values = new Float64Array(length);
  for (let i = 0; i < length; i++) values[i] = smooth.values![i * factor]!;
  const invalid = (smooth.invalid ?? channel.invalid).map((s): Span => ({ from: Math.floor(s.from / factor), to: Math.ceil(s.to / factor), why: s.why }));
  return { values, invalid, sampleRate, found: { ...smooth.found, sampleRate } };
});

/**
 * Lowers the sample rate by a whole factor, after a zero-phase anti-alias filter.
 *
 * Definition: Chebyshev I, order 8, 0.05 dB ripple, edge at 0.4 of the new rate, forwards and backwards; then every factor-th sample
 * from the first (as scipy.signal.decimate by default).
 *
 * Kept: unit, start; a new sample is masked where any of the samples that it stands for is, so that no gap vanishes. Cost: one zero-phase filter.
 *
 * @param channel any unit
 * @param options factor (whole, from 2), shortRuns
 * @returns a channel of sampleRate / factor
 * @throws InputError for a factor that is not whole, or a valid run too short for the filter (27 samples)
 * @see resample, lowpass
 * @example
 * const level = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: new Float64Array(1000).fill(40) });
 * decimate(level, { factor: 10 }).sampleRate // => 100
 * decimate(level, { factor: 10 }).values[50] // => 39.5
 */
export function decimate<U extends Unit>(channel: Channel<U>, options: DecimateOptions): Channel<U> {
  return decimateOperation(channel, options) as Channel<U>;
}
