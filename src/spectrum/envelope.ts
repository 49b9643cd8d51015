import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { envelopeOfRun } from '../numeric/analytic.js';
import { bandpass } from '../filter/lowpass.js';
import { lineSpectrum, type LineSpectrum, type LineSpectrumOptions } from './lineSpectrum.js';

const envelopeOperation = defineOperation<{ readonly center?: boolean }>('envelope', (channel, options) => {
  checkOptions('envelope', options, { optional: ['center'] });
  if (typeof (options.center ?? true) !== 'boolean') throw new InputError({ where: 'envelope', argument: 'center', expected: 'true or false', given: show(options.center) });
  if (validRuns(channel).length === 0) throw new InputError({ where: 'envelope', argument: channel.name, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const values = channel.values.slice();
  for (const { from, to } of validRuns(channel)) {
    let mean = 0;
    for (let i = from; i < to; i++) mean += channel.values[i]! / (to - from);
    const about = (options.center ?? true) ? Float64Array.from(channel.values.subarray(from, to), (v) => v - mean) : channel.values.slice(from, to);
    const done = new Float64Array(to - from);
    envelopeOfRun(about, done, 0, to - from);
    values.set(done, from);
  }
  return { values, found: { runs: validRuns(channel).length } };
});

/**
 * Gives the size of an oscillation from moment to moment: |x + i·Hx| of the analytic signal.
 *
 * Definition: the spectrum of the run doubled above 0 Hz and zero below, as scipy.signal.hilbert. Meant for a signal of one band: filter first.
 *
 * Kept: unit, clock, masks; each valid run on its own, taken as one period (the first and last few periods of the oscillation are uncertain). Cost: two transforms of the run's length.
 *
 * @param channel any unit
 * @param options center: take the mean of each run out first (default true)
 * @returns the envelope, never negative
 * @throws InputError for something that is no channel, or a channel that is masked throughout
 * @see envelopeSpectrum, bandpass
 * @example
 * const am = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 128, values: Array.from({ length: 128 }, (_, i) => (1 + 0.5 * Math.cos((2 * Math.PI * i) / 128)) * Math.cos((2 * Math.PI * 16 * i) / 128)) });
 * envelope(am).values[0] // => 1.5
 */
export function envelope<U extends Unit>(channel: Channel<U>, options: { readonly center?: boolean } = {}): Channel<U> {
  return envelopeOperation(channel, options) as Channel<U>;
}

/** What envelopeSpectrum takes. */
export interface EnvelopeSpectrumOptions extends LineSpectrumOptions {
  /** The band that carries the modulation, Hz. No default. */
  readonly from: number;
  readonly to: number;
}

/**
 * Shows what a carrier is modulated by: band-pass, envelope, line spectrum. Gear meshes and resonances excited once a revolution show shaft frequency here.
 *
 * Definition: lineSpectrum(envelope(bandpass(channel))), Butterworth of order 4, zero phase. A modulation (1 + m·cos) of a carrier A reads m·A at its frequency.
 *
 * Kept: masks, as its parts. Cost: the sum of its parts.
 *
 * @param channel any unit
 * @param options from and to (Hz): the carrier's band; the rest as lineSpectrum
 * @returns as lineSpectrum
 * @throws InputError as bandpass and lineSpectrum
 * @see envelope
 * @example
 * const am = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 8000 }, (_, i) => (2 + Math.cos(2 * Math.PI * 0.005 * i)) * Math.cos(2 * Math.PI * 0.2 * i)) });
 * envelopeSpectrum(am, { from: 150, to: 250, segment: 2000 }).amplitude[10] // => 1.00
 */
export function envelopeSpectrum(channel: Channel, options: EnvelopeSpectrumOptions): LineSpectrum {
  const where = 'envelopeSpectrum';
  checkChannel(where, channel);
  const { from, to, ...rest } = checkOptions(where, options, { required: ['from', 'to'], optional: ['segment', 'segmentSeconds', 'overlap', 'window', 'detrend', 'average', 'amplitude'] });
  checkNumber(where, 'from', from, { above: 0, unit: 'Hz' });
  checkNumber(where, 'to', to, { above: from, unit: 'Hz' });
  return lineSpectrum(envelope(bandpass(channel, { from, to })), rest);
}
