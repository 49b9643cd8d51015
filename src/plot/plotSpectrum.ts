import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { axisTitle, cutAxis, densityTitle, formatted, grouped, logAxis, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { pageWidth } from './page.js';
import { markLayers, markRows, placeMarks } from './marks.js';
import { alertInk } from './theme.js';
import { thinnedSpectrum } from './thinnedSpectrum.js';

/** What plotSpectrum draws: a power density or a line spectrum; both have these members. */
export interface SpectrumShape {
  /** Name and unit of the signal that it is of. */
  readonly name: string;
  readonly of: Unit;
  /** Hz, rising. */
  readonly frequency: Float64Array;
  readonly density?: Float64Array;
  readonly amplitude?: Float64Array;
  /** What an amplitude counts: 'peak', 'rms' or 'peak-to-peak'. */
  readonly kind?: string;
  readonly segments: number;
  /** Equivalent noise bandwidth, Hz. */
  readonly enbw: number;
  readonly notes: readonly string[];
}

/** Options of plotSpectrum. */
export interface SpectrumOptions {
  /** Lines to mark by their frequency, at most twelve, for example from findLines. */
  readonly lines?: readonly { readonly frequency: number; readonly name?: string }[];
  /** Hz; the whole spectrum unless given. */
  readonly from?: number;
  readonly to?: number;
  /** Scale of the frequency axis, `'linear'` unless given. */
  readonly frequencyScale?: 'linear' | 'log';
  readonly title?: string;
}

const where = 'plotSpectrum';
/** What lies further below the highest value than this is cut off, for rounding noise has no place on a figure. */
const deepest = 1e-10;

/**
 * Draws a power density or a line spectrum, its values on a logarithmic axis. Of each pixel's values the least and the greatest are kept, so that no line
 * is lost; lines can be marked with their frequency.
 *
 * @param spectrum from powerDensity or lineSpectrum
 * @param options lines to mark; from, to: part to draw, Hz; frequencyScale; title
 * @returns the figure
 * @throws InputError for something that is no spectrum, a part without values, or more than twelve lines
 * @see plotHistory
 * @example
 * const wave = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 1000 }, (_, i) => Math.sin(i)) });
 * toSvg(plotSpectrum(powerDensity(wave, { segment: 256 }))).includes('Frequency / Hz') // => true
 */
export function plotSpectrum(spectrum: SpectrumShape, options?: SpectrumOptions): Figure {
  const { lines = [], from, to, frequencyScale = 'linear', title } = checkOptions(where, options, { optional: ['lines', 'from', 'to', 'frequencyScale', 'title'] });
  checkChoice(where, 'frequencyScale', frequencyScale, ['linear', 'log']);
  const values = kindOf(spectrum) === null ? undefined : (spectrum.density ?? spectrum.amplitude);
  if (!(values instanceof Float64Array) || !(spectrum.frequency instanceof Float64Array)) {
    throw new InputError({ where, argument: 'spectrum', expected: 'a power density or a line spectrum', given: show(spectrum), remedy: 'Make one with powerDensity or lineSpectrum.' });
  }
  if (lines.length > 12) throw new InputError({ where, argument: 'lines', expected: 'at most twelve lines', given: String(lines.length), remedy: 'Give the strongest ones.' });
  const log = frequencyScale === 'log';
  const all = spectrum.frequency;
  const low = checkNumber(where, 'from', from ?? (log ? all.find((f) => f > 0) : all[0]), { ...(log ? { above: 0 } : { min: 0 }), unit: 'Hz' });
  const high = checkNumber(where, 'to', to ?? all.at(-1), { above: low, unit: 'Hz' });
  const shown = shownIn(spectrum.of, 0);
  const dense = spectrum.density !== undefined;
  const factor = dense ? shown.factor ** 2 : shown.factor;
  const rows = thinnedSpectrum(all, values, low, high, log).map((i) => ({ f: all[i]!, v: values[i]! * factor }));
  const top = rows.reduce((m, r) => Math.max(m, r.v), 0);
  if (!(top > 0)) throw new InputError({ where, argument: 'spectrum', expected: `with a value above 0 between ${low} and ${high} Hz`, given: 'none' });
  const floor = Math.min(0.5 * top, Math.max(top * deepest, lowEnd(rows)));
  const x = { title: 'Frequency / Hz', ...(log ? cutAxis(logAxis(low, high), low, high) : { scale: { domain: [low, high], nice: false }, axis: {} }) };
  const place = (f: number): number => (log ? Math.log(f / low) / Math.log(high / low) : (f - low) / (high - low));
  const marks = placeMarks(lines.map((l) => ({ at: l.frequency, ...(l.name === undefined ? {} : { name: l.name }) })), place).map((m) => ({ ...m, value: peakNear(all, values, m.at) * factor }));
  // Room for the labels above the highest line, in decades of the axis.
  const room = 10 ** (Math.log10(top / floor) * (0.06 * markRows(marks)));
  const y = logAxis(floor, Math.max(top * room, floor * 1.5), 250);
  const what = dense ? densityTitle(shown.unit) : axisTitle(`${shown.title.split(' /')[0]!}, ${spectrum.kind ?? 'amplitude'}`, shown.unit);
  const named = lines.map((l) => l.name ?? `${readable(l.frequency)} Hz`);
  const hidden = rows.filter((r) => r.v < floor).length;
  const said = lines.length === 0 ? '' : `lines marked: ${named.join(', ')}`;
  return makeFigure({
    title: title ?? `${dense ? 'Power density' : 'Line spectrum'} of ${spectrum.name}`,
    subtitle: `${grouped(spectrum.segments)} segment${spectrum.segments === 1 ? '' : 's'} averaged, noise bandwidth ${readable(spectrum.enbw)} Hz`, width: pageWidth(), height: 350,
    caption: `${what} against frequency from ${formatted(low)} to ${formatted(high)} Hz${said === '' ? '' : `; ${said}`}.`,
    notes: [...spectrum.notes, ...(hidden > 0 ? [`${hidden} of ${rows.length} points drawn lie below the lower edge and are not shown`] : [])],
    body: {
      layer: [
        {
          data: { values: rows.filter((r) => r.v >= floor) }, mark: { type: 'line', clip: true, strokeWidth: 1.1 },
          encoding: {
            x: { field: 'f', type: 'quantitative', ...x }, y: { field: 'v', type: 'quantitative', title: what, scale: y.scale, axis: y.axis },
            tooltip: [{ field: 'f', type: 'quantitative', title: 'Frequency / Hz' }, { field: 'v', type: 'quantitative', title: what }],
          },
          params: [{ name: 'zoom', select: { type: 'interval', encodings: ['x'] }, bind: 'scales' }],
        },
        ...(marks.length === 0 ? [] : [
          ...markLayers(marks, x, {}),
          { data: { values: marks }, mark: { type: 'point', color: alertInk, shape: 'triangle-down', size: 36, yOffset: -4 }, encoding: { x: { field: 'at', type: 'quantitative', ...x }, y: { field: 'value', type: 'quantitative' } } },
        ]),
      ],
    },
  });
}

/** The greatest value within a step of a frequency. */
function peakNear(frequency: Float64Array, values: Float64Array, at: number): number {
  const step = 1.001 * (frequency[1]! - frequency[0]!);
  return values.reduce((most, v, i) => (Math.abs(frequency[i]! - at) <= step ? Math.max(most, v) : most), 0);
}

/** A third of the value that all but 5 in 1000 exceed: a bin emptied by the trend removed must not stretch the axis. */
function lowEnd(rows: readonly { readonly v: number }[]): number {
  const sorted = rows.map((r) => r.v).filter((v) => v > 0).sort((a, b) => a - b);
  return sorted[Math.ceil(0.005 * sorted.length)]! / 3;
}
