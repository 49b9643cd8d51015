import type { Spectrogram } from '../spectrum/spectrogram.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, counted, densityTitle, formatted, shownIn, timeUnit } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { GridMaker, heatLayer } from './heat.js';

/** Options of plotSpectrogram. */
export interface SpectrogramFigureOptions {
  /** Hz; the whole spectrum unless given. */
  readonly from?: number;
  readonly to?: number;
  readonly title?: string;
}

const where = 'plotSpectrogram';

/**
 * Draws spectra over time as a map: the darker the stronger, in classes of equal ratio. Every field shows the greatest value inside it; stretches without a spectrum
 * (masked samples) stay white.
 *
 * @param map from spectrogram
 * @param options from, to: frequencies to draw, Hz; title
 * @returns the figure
 * @throws InputError for something that is no spectrogram, or a band outside it
 * @see plotSpectrum
 * @example
 * const wave = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 3000 }, (_, i) => Math.sin(i * i / 9000)) });
 * toSvg(plotSpectrogram(spectrogram(wave, { segment: 128 }))).includes('Frequency / Hz') // => true
 */
export function plotSpectrogram(map: Spectrogram, options?: SpectrogramFigureOptions): Figure {
  const { from = 0, to, title } = checkOptions(where, options, { optional: ['from', 'to', 'title'] });
  if (kindOf(map) !== 'Spectrogram') throw new InputError({ where, argument: 'map', expected: 'a Spectrogram', given: show(map), remedy: 'Make it with spectrogram.' });
  const last = map.frequency.at(-1)!;
  checkNumber(where, 'from', from, { min: 0, below: last, unit: 'Hz' });
  const high = checkNumber(where, 'to', to ?? last, { above: from, max: last, unit: 'Hz' });
  const hop = (map.segment * (1 - map.overlap)) / map.sampleRate;
  const begin = map.time[0]! - hop / 2;
  const end = map.time.at(-1)! + hop / 2;
  const bins = map.frequency.filter((f) => f >= from && f <= high).length;
  const shown = shownIn(map.of, 0);
  const maker = new GridMaker([begin, end], Math.max(1, Math.min(140, Math.round((end - begin) / hop))), [from, high], Math.max(1, Math.min(80, bins)));
  map.density.forEach((spectrum, k) => {
    const t = map.time[k]!;
    for (let i = 0; i < spectrum.length; i++) if (map.frequency[i]! >= from && map.frequency[i]! <= high) maker.put(t - hop / 2, t + hop / 2, map.frequency[i]!, spectrum[i]! * shown.factor ** 2);
  });
  const axis = timeUnit(end - begin);
  const grid = maker.grid();
  const x = { type: 'quantitative', title: axisTitle('Time', axis.unit), scale: { domain: [begin / axis.seconds, end / axis.seconds], nice: false }, axis: { grid: false } };
  const y = { type: 'quantitative', title: 'Frequency / Hz', scale: { domain: [from, high], nice: false }, axis: { grid: false } };
  return makeFigure({
    title: title ?? `Spectra of ${map.name} over time`, height: 400, notes: map.notes, subtitle: `${counted(map.time.length, 'spectrum', 'spectra')} of ${map.segment} samples; the greatest value of each field`,
    caption: `Power density of ${map.name} over time, from ${formatted(from)} to ${formatted(high)} Hz; darker is stronger, white is not known or below the lowest class.`,
    body: { layer: [heatLayer({ ...grid, x: grid.x.map((t) => t / axis.seconds) }, x, y, densityTitle(shown.unit))] },
  });
}
