import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { segmentPowers, sumOfPowers, type Detrend } from '../numeric/segments.js';
import type { WindowChoice } from '../numeric/window.js';
import { confidenceOf, effectiveAverages, medianPowers, type Averaging, type Confidence } from './averages.js';
import { cutSegments, segmentKeys, windowText, type Cut, type SegmentOptions } from './segmentation.js';

/** What powerDensity takes. */
export interface PowerDensityOptions extends SegmentOptions {
  /** Over the segments: 'mean' (default), or 'median', which a few segments with a transient do not move. */
  readonly average?: Averaging;
  /** Of the confidence interval, default 0.95. */
  readonly level?: number;
}

/** How an averaged spectrum was made. */
export interface SpectrumSettings {
  readonly name: string;
  /** Hz. */
  readonly sampleRate: number;
  /** Length of a segment, samples. */
  readonly segment: number;
  readonly overlap: number;
  readonly window: WindowChoice;
  readonly detrend: Detrend;
  readonly average: Averaging;
  /** How many segments were averaged. */
  readonly segments: number;
  /** How many independent segments they are worth. */
  readonly effectiveAverages: number;
  /** Equivalent noise bandwidth, Hz. */
  readonly enbw: number;
  readonly notes: readonly string[];
}

/** An averaged one-sided power spectral density. */
export interface PowerDensity extends SpectrumSettings {
  /** Hz, 0 to half the sample rate, sampleRate/segment apart. */
  readonly frequency: Float64Array;
  /** In `unit`; Σ density·Δf is the mean square. */
  readonly density: Float64Array;
  /** For example '(N·m)²/Hz'. */
  readonly unit: string;
  /** The unit of the channel. */
  readonly of: Unit;
  readonly confidence: Confidence;
}

/** The checked options, the segments and how they are averaged, of any averaged spectrum. */
export function settingsOf(channel: Channel, cut: Cut, average: Averaging): SpectrumSettings {
  let sum = 0, squares = 0;
  for (const w of cut.window) {
    sum += w;
    squares += w * w;
  }
  return {
    name: channel.name, sampleRate: channel.sampleRate, segment: cut.length, overlap: cut.overlap, window: cut.choice, detrend: cut.detrend, average,
    segments: cut.starts.length, effectiveAverages: effectiveAverages(cut.window, cut.hop, cut.perRun, average), enbw: (channel.sampleRate * squares) / (sum * sum),
    notes: Object.freeze([...cut.notes, ...(average === 'median' ? ['median over the segments: the interval uses its asymptotic efficiency (ln 2)² = 0.48'] : [])]),
  };
}

/** Mean or median over the segments of |X[k]|², one-sided: doubled but at 0 Hz and at half the rate. */
export function averagePower(channel: Channel, cut: Cut, average: Averaging): Float64Array {
  const bins = (cut.length >> 1) + 1;
  const power = average === 'mean' ? sumOfPowers(channel.values, cut).map((p) => p / cut.starts.length) : medianPowers(segmentPowers(channel.values, cut), bins);
  const last = cut.length % 2 === 0 ? bins - 1 : bins;
  for (let k = 1; k < last; k++) power[k]! *= 2;
  return power;
}

/** The bins' frequencies. */
export function binFrequencies(sampleRate: number, length: number): Float64Array {
  return Float64Array.from({ length: (length >> 1) + 1 }, (_, k) => (k * sampleRate) / length);
}

/** The unit's square per hertz, or its square alone. */
export function squared(unit: string, perHertz: boolean): string {
  const body = unit === '1' ? '1' : `${/[·/]/.test(unit) ? `(${unit})` : unit}²`;
  return perHertz ? `${body}/Hz` : body;
}

/**
 * Estimates the one-sided power spectral density by averaging windowed segments (Welch).
 *
 * Definition: density[k] = 2·avg|Σ w[n]·(x[n] − trend)·e^{−2πikn/N}|² / (fs·Σ w²), not doubled at 0 Hz and at half the rate; equal to scipy.signal.welch.
 *
 * Kept: only whole segments of valid samples are read, each valid run cut on its own; nothing is padded, and `notes` say what was left out.
 * Cost: one complex transform per two segments.
 *
 * @param channel any unit
 * @param options segment (samples) or segmentSeconds, no default; overlap (default 0.5), window (default 'hann'), detrend (default 'mean'), average (default 'mean'), level (default 0.95)
 * @returns frequency (Hz), density, unit, segments, effectiveAverages, enbw (Hz), confidence (factors), notes
 * @throws InputError where neither or both of segment and segmentSeconds are given, or no valid run holds a whole segment
 * @see lineSpectrum, bandRms, findLines, gapSpectrum
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 10 * Math.sin(2 * Math.PI * 0.05 * i)) });
 * const p = powerDensity(T, { segment: 1000 });
 * p.unit // => "(N·m)²/Hz"
 * p.segments // => 7
 * p.enbw // => 1.5
 * bandRms(p, { from: 40, to: 60 }) // => 7.0711
 * @references P. D. Welch, The use of fast Fourier transform for the estimation of power spectra, IEEE Trans. Audio Electroacoustics 15 (1967) 70.
 */
export function powerDensity(channel: Channel, options: PowerDensityOptions): PowerDensity {
  const where = 'powerDensity';
  checkChannel(where, channel);
  checkOptions(where, options, { optional: [...segmentKeys, 'average', 'level'] });
  const average = checkChoice<Averaging>(where, 'average', options?.average ?? 'mean', ['mean', 'median']);
  const level = checkNumber(where, 'level', options?.level ?? 0.95, { above: 0, below: 1 });
  const cut = cutSegments(where, channel, options ?? {});
  const settings = settingsOf(channel, cut, average);
  let squares = 0;
  for (const w of cut.window) squares += w * w;
  const density = averagePower(channel, cut, average).map((p) => p / (channel.sampleRate * squares));
  return makeResult<PowerDensity>('PowerDensity', {
    frequency: binFrequencies(channel.sampleRate, cut.length), density, unit: squared(channel.unit, true), of: channel.unit, ...settings, confidence: confidenceOf(settings.effectiveAverages, level),
  }, (p) => `PowerDensity of ${p.name} [${p.unit}]: 0 to ${p.sampleRate / 2} Hz in steps of ${Number((p.sampleRate / p.segment).toPrecision(4))} Hz, ${p.segments} segments of ${p.segment} samples (${windowText(p.window)}), worth ${p.effectiveAverages.toPrecision(3)} averages`);
}

/** A band of frequencies, Hz. */
export interface Band {
  readonly from: number;
  readonly to: number;
}

/**
 * Gives the rms of what lies in a band: √(Σ density·Δf), each bin reaching half a step to both sides.
 *
 * @param spectrum from powerDensity
 * @param band from and to in Hz, 0 to half the sample rate
 * @returns rms in the unit of the channel
 * @throws InputError for a band outside the spectrum
 * @see powerDensity
 * @example
 * const p = powerDensity(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 8, values: [1, -1, 1, -1, 1, -1, 1, -1] }), { segment: 8, window: 'rectangular' });
 * bandRms(p, { from: 0, to: 4 }) // => 1.000
 */
export function bandRms(spectrum: PowerDensity, band: Band): number {
  const where = 'bandRms';
  if (kindOf(spectrum) !== 'PowerDensity') throw new InputError({ where, argument: 'spectrum', expected: 'a PowerDensity', given: typeof spectrum, remedy: 'Make one with powerDensity.' });
  const top = spectrum.sampleRate / 2;
  const { from, to } = checkOptions(where, band, { required: ['from', 'to'] });
  checkNumber(where, 'from', from, { min: 0, max: top, unit: 'Hz' });
  checkNumber(where, 'to', to, { above: from, max: top, unit: 'Hz' });
  const step = spectrum.sampleRate / spectrum.segment;
  let sum = 0;
  spectrum.frequency.forEach((f, k) => {
    const low = Math.max(0, f - step / 2), high = Math.min(top, f + step / 2);
    const covered = Math.max(0, Math.min(to, high) - Math.max(from, low)) / (high - low);
    sum += spectrum.density[k]! * step * covered;
  });
  return Math.sqrt(sum);
}
