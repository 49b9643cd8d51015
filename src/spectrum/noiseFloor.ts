import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { chiSquareQuantile } from '../numeric/distributions.js';
import { mainLobe } from '../numeric/window.js';
import { runningMedian } from '../numeric/runningMedian.js';
import type { PowerDensity } from './powerDensity.js';
import { perRms, type LineSpectrum } from './lineSpectrum.js';

/** What a spectrum would be without its lines. */
export interface NoiseFloor {
  /** Hz. */
  readonly frequency: Float64Array;
  /** Power density, (unit of the channel)²/Hz. */
  readonly density: Float64Array;
  /** Bins that each median was taken over. */
  readonly bins: number;
}

/** The power density of either kind of spectrum, (unit)²/Hz. */
export function densityOf(where: string, spectrum: PowerDensity | LineSpectrum): Float64Array {
  const kind = kindOf(spectrum);
  if (kind === 'PowerDensity') return (spectrum as PowerDensity).density;
  if (kind === 'LineSpectrum') {
    const s = spectrum as LineSpectrum;
    return s.amplitude.map((a, k) => (a / (k === 0 ? 1 : perRms(s.kind))) ** 2 / s.enbw);
  }
  throw new InputError({ where, argument: 'spectrum', expected: 'a PowerDensity or a LineSpectrum', given: show(spectrum), remedy: 'Make one with powerDensity or lineSpectrum.' });
}

/**
 * Estimates the noise under the lines of a spectrum.
 *
 * Definition: running median of the density over an odd number of bins, divided by median/mean of a chi-square variable with 2·effectiveAverages degrees of freedom.
 * Towards both ends the outermost whole window holds. Right where lines cover less than half of the bins and the noise changes little over them.
 *
 * @param spectrum from powerDensity or lineSpectrum
 * @param options bins (odd, from 3; default: an eighth of the bins, at least 31, or all where there are fewer)
 * @returns frequency (Hz) and density
 * @throws InputError for something that is no spectrum or one of a few bins, or a number of bins that is even or more than there are
 * @see findLines
 * @example
 * const rng = createRandom(3);
 * const noise = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 40000 }, () => rng.normal()) });
 * noiseFloor(powerDensity(noise, { segment: 500 })).density[100] // => 0.002
 */
export function noiseFloor(spectrum: PowerDensity | LineSpectrum, options: { readonly bins?: number } = {}): NoiseFloor {
  const where = 'noiseFloor';
  const density = densityOf(where, spectrum);
  checkOptions(where, options, { optional: ['bins'] });
  // Not the main lobe at 0 Hz, which the detrending empties, and not the last bin, which is not doubled. Towards the ends the outermost whole window holds.
  const first = Math.min(Math.ceil(mainLobe(spectrum.window)), density.length - 1);
  const last = Math.max(density.length - 2, first);
  const most = last - first + 1;
  if (most < 3) throw new InputError({ where, argument: 'spectrum', expected: 'of at least three bins between the main lobe at 0 Hz and half the sample rate', given: `${density.length} bins in all`, remedy: 'Use a longer segment.' });
  const bins = options.bins ?? Math.min(Math.max(31, 2 * Math.floor(density.length / 16) + 1), most - ((most + 1) % 2));
  checkNumber(where, 'bins', bins, { integer: true, min: 3, max: most });
  if (bins % 2 === 0) throw new InputError({ where, argument: 'bins', expected: 'odd', given: String(bins) });
  const freedom = 2 * spectrum.effectiveAverages;
  const ratio = chiSquareQuantile(0.5, freedom) / freedom;
  const floor = new Float64Array(density.length);
  runningMedian(density, floor, first, last + 1, bins);
  const reach = Math.min((bins - 1) / 2, (last - first) >> 1);
  floor.fill(floor[first + reach]!, 0, first + reach);
  floor.fill(floor[last - reach]!, last - reach + 1);
  return makeResult<NoiseFloor>('NoiseFloor', { frequency: spectrum.frequency, density: floor.map((d) => d / ratio), bins }, (f) => `NoiseFloor over ${f.bins} bins`);
}
