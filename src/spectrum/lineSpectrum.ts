import { checkChoice, checkOptions } from '../record/check.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { windowTransform } from '../numeric/window.js';
import type { Averaging } from './averages.js';
import { averagePower, binFrequencies, settingsOf, type SpectrumSettings } from './powerDensity.js';
import { cutSegments, segmentKeys, windowText, type SegmentOptions } from './segmentation.js';

/** What an amplitude counts: half the swing of a sine ('peak'), its rms, or its whole swing. */
export type AmplitudeKind = 'peak' | 'rms' | 'peak-to-peak';

/** What lineSpectrum takes. */
export interface LineSpectrumOptions extends SegmentOptions {
  /** Default 'mean'; of powers, so that lines keep their size. */
  readonly average?: Averaging;
  /** Default 'peak'. */
  readonly amplitude?: AmplitudeKind;
}

/** An averaged amplitude spectrum: a sine of amplitude A on a bin reads A. */
export interface LineSpectrum extends SpectrumSettings {
  /** Hz. */
  readonly frequency: Float64Array;
  /** In `unit`, counted as `kind` says; at 0 Hz the size of the mean whatever the kind (0 where it was taken out). */
  readonly amplitude: Float64Array;
  readonly kind: AmplitudeKind;
  /** The unit of the channel. */
  readonly unit: Unit;
  readonly of: Unit;
}

/** A sine's amplitude over its rms. */
export function perRms(kind: AmplitudeKind): number {
  return kind === 'rms' ? 1 : kind === 'peak' ? Math.SQRT2 : 2 * Math.SQRT2;
}

/** What |X|/Σ w of bin k of N is multiplied by for an amplitude: 1 at 0, not doubled at half the rate. */
export function binFactor(k: number, length: number, kind: AmplitudeKind): number {
  return k === 0 ? 1 : 2 * k === length ? perRms(kind) : Math.SQRT2 * perRms(kind);
}

/**
 * Gives the amplitude of every bin by averaging windowed segments.
 *
 * Definition: amplitude[k] = c·√(2·avg|Σ w[n]·x[n]·e^{−2πikn/N}|²)/Σ w, c = 1 (rms), √2 (peak), 2√2 (peak-to-peak); not doubled under the root at 0 Hz and at half the rate.
 *
 * Kept: as powerDensity. A line between two bins reads low (`notes` say by how much); findLines corrects that, the flat-top window avoids it. Cost: as powerDensity.
 *
 * @param channel any unit
 * @param options segment (samples) or segmentSeconds, no default; overlap, window, detrend, average as powerDensity; amplitude 'peak' (default), 'rms' or 'peak-to-peak'
 * @returns frequency (Hz), amplitude, kind, unit, segments, enbw (Hz), notes
 * @throws InputError as powerDensity
 * @see findLines, powerDensity
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 10 * Math.sin(2 * Math.PI * 0.05 * i)) });
 * lineSpectrum(T, { segment: 1000 }).amplitude[50] // => 10.000
 * lineSpectrum(T, { segment: 1000, amplitude: 'rms' }).amplitude[50] // => 7.071
 */
export function lineSpectrum(channel: Channel, options: LineSpectrumOptions): LineSpectrum {
  const where = 'lineSpectrum';
  checkChannel(where, channel);
  checkOptions(where, options, { optional: [...segmentKeys, 'average', 'amplitude'] });
  const average = checkChoice<Averaging>(where, 'average', options?.average ?? 'mean', ['mean', 'median']);
  const kind = checkChoice<AmplitudeKind>(where, 'amplitude', options?.amplitude ?? 'peak', ['peak', 'rms', 'peak-to-peak']);
  const cut = cutSegments(where, channel, options ?? {});
  const settings = settingsOf(channel, cut, average);
  const sum = cut.window.reduce((a, b) => a + b, 0);
  const amplitude = averagePower(channel, cut, average).map((p, k) => ((k === 0 ? 1 : perRms(kind)) * Math.sqrt(p)) / sum);
  const low = -20 * Math.log10(windowTransform(cut.choice, cut.length, 0.5));
  const notes = [...settings.notes, `a line midway between two bins reads ${low.toPrecision(2)} dB (${(100 * (1 - 10 ** (-low / 20))).toPrecision(2)} %) low`];
  return makeResult<LineSpectrum>('LineSpectrum', {
    frequency: binFrequencies(channel.sampleRate, cut.length), amplitude, kind, unit: channel.unit, of: channel.unit, ...settings, notes: Object.freeze(notes),
  }, (s) => `LineSpectrum of ${s.name} [${s.unit} ${s.kind}]: 0 to ${s.sampleRate / 2} Hz in steps of ${Number((s.sampleRate / s.segment).toPrecision(4))} Hz, ${s.segments} segments of ${s.segment} samples (${windowText(s.window)})`);
}
