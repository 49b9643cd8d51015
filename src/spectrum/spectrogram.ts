import { checkOptions } from '../record/check.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { segmentPowers } from '../numeric/segments.js';
import { binFrequencies, settingsOf, squared, type SpectrumSettings } from './powerDensity.js';
import { cutSegments, segmentKeys, type SegmentOptions } from './segmentation.js';

/** Power density from moment to moment. */
export interface Spectrogram extends SpectrumSettings {
  /** Seconds from the first sample to the middle of each segment; segments with a masked sample are not there. */
  readonly time: Float64Array;
  /** Hz. */
  readonly frequency: Float64Array;
  /** One spectrum a segment, in `unit`. */
  readonly density: readonly Float64Array[];
  readonly unit: string;
  readonly of: Unit;
}

/**
 * Gives the power density of every segment on its own.
 *
 * Definition: as powerDensity before the average; equal to scipy.signal.spectrogram with the same window and detrend.
 *
 * Kept: only whole valid segments. Cost: as powerDensity, and segments × bins numbers of memory.
 *
 * @param channel any unit
 * @param options segment (samples) or segmentSeconds, no default; overlap, window, detrend as powerDensity
 * @returns time (s), frequency (Hz), density by segment, unit, notes
 * @throws InputError as powerDensity
 * @see speedMap, powerDensity
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Array.from({ length: 400 }, (_, i) => Math.sin(i)) });
 * spectrogram(T, { segment: 100 }).time // => [0.5,1,1.5,2,2.5,3,3.5]
 */
export function spectrogram(channel: Channel, options: SegmentOptions): Spectrogram {
  const where = 'spectrogram';
  checkChannel(where, channel);
  checkOptions(where, options, { optional: segmentKeys });
  const cut = cutSegments(where, channel, options ?? {});
  const bins = (cut.length >> 1) + 1;
  const scale = 1 / (channel.sampleRate * cut.window.reduce((s, w) => s + w * w, 0));
  const powers = segmentPowers(channel.values, cut);
  const last = cut.length % 2 === 0 ? bins - 1 : bins;
  const density = Array.from(cut.starts as number[], (_, s) => powers.subarray(s * bins, (s + 1) * bins).map((p, k) => (k === 0 || k === last ? p : 2 * p) * scale));
  return makeResult<Spectrogram>('Spectrogram', {
    ...settingsOf(channel, cut, 'mean'), time: Float64Array.from(cut.starts, (s) => (s + cut.length / 2) / channel.sampleRate), frequency: binFrequencies(channel.sampleRate, cut.length),
    density, unit: squared(channel.unit, true), of: channel.unit,
  }, (s) => `Spectrogram of ${s.name} [${s.unit}]: ${s.time.length} segments of ${s.segment} samples`);
}
