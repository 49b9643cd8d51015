import { checkNumber, checkOptions } from '../record/check.js';
import { chiSquareQuantile, normalQuantile } from '../numeric/distributions.js';
import { mainLobe, windowSamples, windowTransform } from '../numeric/window.js';
import type { Unit } from '../record/units.js';
import { averagesBesideLine } from './averages.js';
import { perRms, type AmplitudeKind, type LineSpectrum } from './lineSpectrum.js';
import { densityOf, noiseFloor } from './noiseFloor.js';
import type { PowerDensity } from './powerDensity.js';

/** A line of a spectrum, read between the bins. */
export interface SpectralLine {
  /** Hz, with the ends of its interval. */
  readonly frequency: number;
  readonly frequencyLow: number;
  readonly frequencyHigh: number;
  /** In `unit`, counted as `kind` says, with the ends of its interval. */
  readonly amplitude: number;
  readonly amplitudeLow: number;
  readonly amplitudeHigh: number;
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  /** How far the bin stands above the noise floor, dB. */
  readonly aboveFloor: number;
  /** Is it as narrow as a steady sine? If not (a changing speed, a resonance, two lines in one), the bounds do not hold. */
  readonly steady: boolean;
}

/** What findLines takes. */
export interface FindLinesOptions {
  /** Least height above the noise floor, dB, default 6. */
  readonly above?: number;
  /** Chance that noise alone gives one line or more, default 0.01; raises the least height where few segments were averaged. */
  readonly falseAlarm?: number;
  /** At most so many, the strongest, default 50. */
  readonly most?: number;
  /** Band to search, Hz; default all but the main lobe at 0 Hz. */
  readonly from?: number;
  readonly to?: number;
  /** Level of the intervals, default 0.95. */
  readonly level?: number;
}

/** What the reading of lines needs; power and floor are mean squares a bin. */
interface Bench {
  readonly power: Float64Array;
  readonly floor: Float64Array;
  /** Effective averages of noise alone, and of noise beside a line. */
  readonly alone: number;
  readonly beside: number;
  /** ln |W(x)| of the window, x in bins. */
  readonly logShape: (x: number) => number;
  readonly flatEnough: boolean;
}

/** ln of the ratio that tells the offset d (−½ … ½ bins): the upper over the lower neighbour, or, for a window that is zero there, the neighbour on d's side over the bin. */
function logRatio({ logShape, flatEnough }: Bench, d: number): number {
  return flatEnough ? logShape(1 - d) - logShape(1 + d) : logShape(1 - Math.abs(d)) - logShape(d);
}

/** Standard deviation of the power of a line of power P in noise of power F: √(2·P·F/beside + F²/alone). */
function powerDeviation({ alone, beside }: Bench, P: number, F: number): number {
  return Math.sqrt((2 * P * F) / beside + (F * F) / alone);
}

/** Offset of a line from bin k, and the standard deviation of the offset. */
function offsetOf(bench: Bench, k: number): { readonly offset: number; readonly deviation: number } {
  const { power, floor, flatEnough } = bench;
  const clean = (i: number): number => Math.max(power[i]! - floor[i]!, 1e-3 * floor[i]!, 1e-32 * power[k]!);
  const relative = (i: number): number => powerDeviation(bench, clean(i), floor[i]!) / clean(i);
  const side = power[k + 1]! >= power[k - 1]! ? 1 : -1;
  const a = flatEnough ? k + 1 : k + side, b = flatEnough ? k - 1 : k;
  const target = Math.log(clean(a) / clean(b)) / 2;
  let low = flatEnough ? -0.6 : 0, high = 0.6;
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    if (logRatio(bench, mid) < target) low = mid;
    else high = mid;
  }
  const offset = (low + high) / 2;
  const slope = (logRatio(bench, offset + 1e-4) - logRatio(bench, offset - 1e-4)) / 2e-4;
  return { offset: flatEnough ? offset : side * offset, deviation: Math.hypot(relative(a), relative(b)) / 2 / Math.max(Math.abs(slope), 1e-3) };
}

/**
 * Finds the lines of a spectrum and reads their frequency and amplitude between the bins.
 *
 * Definition: a line is a bin higher than its neighbours, above the noise floor by `above` and by the chi-square limit of `falseAlarm`, and above twice what the
 * stronger lines leak to it. Its offset d from the bin is where the window's |W(1 − d)|/|W(1 + d)| equals the ratio of the neighbours (noise floor taken off); its amplitude is the
 * bin's over |W(d)|. Bounds: from var P = 2·P·F/K₁ + F²/K₂, F the floor, K₁ and K₂ the effective averages beside a line and of noise alone.
 *
 * @param spectrum from powerDensity or lineSpectrum
 * @param options above (dB), falseAlarm, most, from, to (Hz), level
 * @returns the lines, strongest first; amplitudes are peak values for a power density, and of the spectrum's kind for a line spectrum
 * @throws InputError for something that is no spectrum, or a band outside it
 * @see noiseFloor, lineSpectrum
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 8000 }, (_, i) => 10 * Math.sin(2 * Math.PI * 0.0234 * i) + Math.sin(i * i)) });
 * const line = findLines(powerDensity(T, { segment: 1000 }))[0];
 * line.frequency // => 23.4
 * line.amplitude // => 10.0
 * @references J. C. Burgess, On digital spectrum analysis of periodic signals, J. Acoust. Soc. Am. 58 (1975) 556 (interpolation by the ratio of neighbours; from memory). Bounds: own derivation.
 */
export function findLines(spectrum: PowerDensity | LineSpectrum, options: FindLinesOptions = {}): readonly SpectralLine[] {
  const where = 'findLines';
  const density = densityOf(where, spectrum);
  checkOptions(where, options, { optional: ['above', 'falseAlarm', 'most', 'from', 'to', 'level'] });
  const above = checkNumber(where, 'above', options.above ?? 6, { min: 0, unit: 'dB' });
  const falseAlarm = checkNumber(where, 'falseAlarm', options.falseAlarm ?? 0.01, { above: 0, below: 1 });
  const most = checkNumber(where, 'most', options.most ?? 50, { integer: true, min: 1 });
  const z = normalQuantile((1 + checkNumber(where, 'level', options.level ?? 0.95, { above: 0, below: 1 })) / 2);
  const top = spectrum.sampleRate / 2;
  const from = checkNumber(where, 'from', options.from ?? Math.min((mainLobe(spectrum.window) * spectrum.sampleRate) / spectrum.segment, top), { min: 0, max: top, unit: 'Hz' });
  const to = checkNumber(where, 'to', options.to ?? top, { min: from, max: top, unit: 'Hz' });
  const freedom = 2 * spectrum.effectiveAverages;
  const limit = Math.max(10 ** (above / 10), chiSquareQuantile(1 - falseAlarm / density.length, freedom) / freedom);
  const bench: Bench = {
    power: density.map((d) => d * spectrum.enbw), floor: noiseFloor(spectrum).density.map((d) => d * spectrum.enbw), alone: spectrum.effectiveAverages,
    beside: besideLines(spectrum),
    logShape: (x) => Math.log(Math.max(windowTransform(spectrum.window, spectrum.segment, x), 1e-300)), flatEnough: spectrum.window !== 'rectangular',
  };
  const inBand = (k: number): boolean => spectrum.frequency[k]! >= from && spectrum.frequency[k]! <= to;
  const found: Reading[] = [];
  for (const k of peaksOf(bench, limit, inBand)) {
    if (found.length >= most) break;
    const leaked = found.reduce((sum, f) => sum + (f.rms * leakage(bench, k - f.place)) ** 2, 0);
    if (bench.power[k]! > 4 * leaked) found.push(readLine(bench, k));
  }
  return Object.freeze(found.map((reading) => lineOf(reading, spectrum, z)));
}

/** A line as read in bins and as rms, with standard deviations of its place and, relative, of its size. */
interface Reading {
  readonly bin: number;
  readonly place: number;
  readonly deviation: number;
  readonly rms: number;
  readonly spread: number;
  readonly aboveFloor: number;
  readonly steady: boolean;
}

/** Bins above both neighbours and above limit × floor, strongest first. */
function peaksOf({ power, floor }: Bench, limit: number, inBand: (k: number) => boolean): readonly number[] {
  const peaks: number[] = [];
  for (let k = 1; k + 1 < power.length; k++) {
    if (inBand(k) && power[k]! > power[k - 1]! && power[k]! >= power[k + 1]! && power[k]! > limit * floor[k]!) peaks.push(k);
  }
  return peaks.sort((a, b) => power[b]! - power[a]!);
}

function readLine(bench: Bench, k: number): Reading {
  const { power, floor, logShape } = bench;
  const { offset, deviation } = offsetOf(bench, k);
  const clean = Math.max(power[k]! - floor[k]!, 0);
  const rms = Math.sqrt(clean) / Math.exp(logShape(offset));
  const slope = (logShape(offset + 1e-4) - logShape(offset - 1e-4)) / 2e-4;
  const spread = Math.hypot(powerDeviation(bench, clean, floor[k]!) / clean / 2, slope * deviation);
  return { bin: k, place: k + offset, deviation, rms, spread, aboveFloor: 10 * Math.log10(power[k]! / floor[k]!), steady: isSteady(bench, k, offset, rms) };
}

/** A reading in Hz and in the unit of the channel, with bounds z standard deviations wide. */
function lineOf(r: Reading, spectrum: PowerDensity | LineSpectrum, z: number): SpectralLine {
  const kind = 'kind' in spectrum ? spectrum.kind : 'peak';
  const step = spectrum.sampleRate / spectrum.segment;
  const frequency = r.place * step, amplitude = r.rms * perRms(kind);
  return Object.freeze({
    frequency, frequencyLow: frequency - z * r.deviation * step, frequencyHigh: frequency + z * r.deviation * step,
    amplitude, amplitudeLow: amplitude * Math.max(0, 1 - z * r.spread), amplitudeHigh: amplitude * (1 + z * r.spread), kind, unit: spectrum.of, aboveFloor: r.aboveFloor, steady: r.steady,
  });
}

/** Averages beside a line, for all the segments as one run. */
function besideLines(s: PowerDensity | LineSpectrum): number {
  return averagesBesideLine(windowSamples(s.window, s.segment, 'periodic'), s.segment - Math.floor(s.overlap * s.segment), [s.segments]) * (s.average === 'median' && s.segments > 2 ? Math.LN2 ** 2 : 1);
}

/** The most that a line leaks within half a bin of x bins away. */
function leakage({ logShape }: Bench, x: number): number {
  return Math.exp(Math.max(logShape(x - 0.5), logShape(x), logShape(x + 0.5)));
}

/** Are the neighbours no higher than a sine's would be, by more than a fifth and four standard deviations? */
function isSteady(bench: Bench, k: number, offset: number, rms: number): boolean {
  const { power, floor, logShape } = bench;
  const expected = (i: number): number => (rms * Math.exp(logShape(i - offset))) ** 2 + floor[k + i]!;
  const seen = power[k - 1]! + power[k + 1]!;
  const due = expected(-1) + expected(1);
  const deviation = powerDeviation(bench, due, floor[k]!);
  return seen <= Math.max(1.2 * due, due + 4 * deviation);
}
