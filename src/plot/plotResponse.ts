import type { FrequencyResponse } from '../filter/responseOf.js';
import type { CrossSpectrum } from '../spectrum/crossSpectrum.js';
import type { ForcedResponse } from '../spectrum/forcedResponse.js';
import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, cutAxis, formatted, grouped, logAxis, readable } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { seriesScales } from './series.js';
import { bandFills, dashes, inks } from './theme.js';
import { thinnedSpectrum } from './thinnedSpectrum.js';

/** Options of plotResponse. */
export interface ResponseFigureOptions {
  /** Of a cross spectrum: `'h1'` (noise in the output) or `'h2'` (noise in the input); `'h1'` unless given. */
  readonly of?: 'h1' | 'h2';
  /** Hz; all of it unless given. */
  readonly from?: number;
  readonly to?: number;
  /** Scale of the frequency axis, `'linear'` unless given. */
  readonly frequencyScale?: 'linear' | 'log';
  readonly title?: string;
}

const where = 'plotResponse';

/** What the three kinds of response have in common. */
interface Response {
  readonly title: string;
  readonly frequency: Float64Array;
  readonly unit: string;
  readonly curves: readonly { readonly name: string; readonly gain: Float64Array; readonly phase: Float64Array }[];
  /** Standard deviation of the gain over the gain. */
  readonly error?: Float64Array;
  readonly coherence?: { readonly values: Float64Array; readonly limit: number; readonly said: string };
  readonly notes: readonly string[];
}

/**
 * Draws a response over frequency: gain on a logarithmic axis and phase in degrees; of two measured channels also their coherence, with the level that unrelated channels stay below, and one
 * standard deviation of the gain shaded; no phase is drawn where the coherence is below that level. Of each pixel the least and the greatest value are kept.
 *
 * @param response from crossSpectrum, responseOf (a filter) or forcedResponse (at most six shafts)
 * @param options of: h1 or h2 of a cross spectrum; from, to: part to draw, Hz; frequencyScale; title
 * @returns the figure
 * @throws InputError for something else, a part without values, or more than six shafts
 * @see plotSpectrum
 * @example
 * const design = designLowpass({ cutoff: 50, sampleRate: 1000 });
 * toSvg(plotResponse(responseOf(design))).includes('Phase / °') // => true
 */
export function plotResponse(response: CrossSpectrum | FrequencyResponse | ForcedResponse, options?: ResponseFigureOptions): Figure {
  const { of = 'h1', from, to, frequencyScale = 'linear', title } = checkOptions(where, options, { optional: ['of', 'from', 'to', 'frequencyScale', 'title'] });
  checkChoice(where, 'of', of, ['h1', 'h2']);
  checkChoice(where, 'frequencyScale', frequencyScale, ['linear', 'log']);
  const drawn = responseOfKind(response, of);
  const { frequency } = drawn;
  const log = frequencyScale === 'log';
  const low = checkNumber(where, 'from', from ?? (log ? frequency.find((f) => f > 0) : frequency[0]), { ...(log ? { above: 0 } : { min: 0 }), unit: 'Hz' });
  const high = checkNumber(where, 'to', to ?? frequency.at(-1), { above: low, unit: 'Hz' });
  const kept = (values: Float64Array): number[] => thinnedSpectrum(frequency, values, low, high, log);
  const gains = drawn.curves.flatMap(({ name, gain }) => kept(gain).map((i) => ({ f: frequency[i]!, g: gain[i]!, e: drawn.error?.[i] ?? 0, series: name }))).filter((r) => r.g > 0);
  if (gains.length === 0) throw new InputError({ where, argument: 'response', expected: `with a gain above 0 between ${low} and ${high} Hz`, given: 'none' });
  const top = gains.reduce((m, r) => Math.max(m, r.g), 0);
  const floor = Math.max(gains.reduce((m, r) => Math.min(m, r.g), top), 1e-6 * top);
  const scale = log ? cutAxis(logAxis(low, high), low, high) : { scale: { domain: [low, high], nice: false }, axis: {} };
  const x = (last: boolean): Spec => ({ field: 'f', type: 'quantitative', title: last ? 'Frequency / Hz' : null, scale: scale.scale, axis: { ...scale.axis, ...(last ? {} : { labels: false }) } });
  const names = drawn.curves.map((c) => c.name);
  const looks = names.length > 1 ? seriesScales(names) : {};
  const y = { type: 'quantitative', title: axisTitle('Gain', drawn.unit), ...logAxis(floor, Math.max(top, 1.5 * floor), 160) };
  const band = drawn.error ? [{ data: { values: gains.map((r) => ({ f: r.f, low: Math.max(r.g * (1 - r.e), floor), high: r.g * (1 + Math.min(r.e, 9)) })) }, mark: { type: 'area', color: bandFills.spread, opacity: 0.6, clip: true }, encoding: { x: x(false), y: { field: 'low', ...y }, y2: { field: 'high' } } }] : [];
  const { coherence } = drawn;
  const known = (i: number): boolean => !coherence || coherence.values[i]! > coherence.limit;
  const phases = drawn.curves.flatMap(({ name, phase }) => unbroken(kept(phase).map((i) => ({ f: frequency[i]!, p: known(i) ? (phase[i]! * 180) / Math.PI : null, series: name }))));
  const panels: Spec[] = [
    { width: panelPixels(), height: 160, layer: [...band, { data: { values: gains.filter((r) => r.g >= floor) }, mark: { type: 'line', clip: true }, encoding: { x: x(false), y: { field: 'g', ...y }, ...looks } }] },
    { width: panelPixels(), height: 100, data: { values: phases }, mark: { type: 'line', clip: true }, encoding: { x: x(!coherence), y: { field: 'p', type: 'quantitative', title: axisTitle('Phase', '°'), ...quarterTurns(phases.map((r) => r.p)) }, detail: { field: 'piece', type: 'nominal' }, ...looks } },
  ];
  if (coherence) panels.push(coherencePanel(coherence, kept(coherence.values).map((i) => ({ f: frequency[i]!, c: coherence.values[i]! })), x(true)));
  const said = coherence ? `, with their coherence; ${coherence.said}` : '';
  return makeFigure({
    title: title ?? drawn.title, width: pageWidth(), height: coherence ? 480 : 370, notes: drawn.notes, ...(coherence ? { subtitle: coherence.said } : {}),
    caption: `${title ?? drawn.title}: gain and phase from ${formatted(low)} to ${formatted(high)} Hz${said}.`,
    body: { vconcat: panels, spacing: 12, resolve: { scale: { x: 'shared' } } },
  });
}

function responseOfKind(response: CrossSpectrum | FrequencyResponse | ForcedResponse, of: 'h1' | 'h2'): Response {
  const kind = kindOf(response);
  if (kind === 'CrossSpectrum') {
    const found = response as CrossSpectrum;
    const said = `${grouped(found.segments)} segments; unrelated channels stay below a coherence of ${readable(found.coherenceLimit, 2)} (dashed) in ${formatted(100 * found.level)} % of the lines: no phase is drawn there`;
    return { title: `Response of one channel to the other, ${of.toUpperCase()}`, frequency: found.frequency, unit: found.responseUnit, curves: [{ name: of, ...found[of] }], error: found.gainError, coherence: { values: found.coherence, limit: found.coherenceLimit, said }, notes: found.notes };
  }
  if (kind === 'FrequencyResponse') {
    const found = response as FrequencyResponse;
    return { title: `Response of the filter, ${found.passes === 2 ? 'forwards and backwards' : 'one pass'}`, frequency: found.frequency, unit: '1', curves: [{ name: 'filter', gain: found.gain, phase: found.phase }], notes: [] };
  }
  if (kind === 'ForcedResponse') {
    const found = response as ForcedResponse;
    if (found.shafts.length > 6) throw new InputError({ where, argument: 'response', expected: 'of at most six shafts, or the lines cannot be told apart', given: String(found.shafts.length) });
    return { title: 'Torque in the shafts for each N·m of excitation', frequency: found.frequency, unit: '1', curves: found.shafts.map((name, s) => ({ name, gain: found.magnitude[s]!, phase: found.phase[s]! })), notes: [] };
  }
  throw new InputError({ where, argument: 'response', expected: 'a CrossSpectrum, FrequencyResponse or ForcedResponse', given: show(response), remedy: 'Make one with crossSpectrum, responseOf or forcedResponse.' });
}

/** Pieces of the phase: a new one after a stretch where it is not known, and where it jumps by more than half a turn, for it has only passed from 180° to −180°. */
function unbroken<R extends { readonly p: number | null; readonly series: string }>(rows: readonly R[]): (R & { readonly p: number; readonly piece: string })[] {
  let piece = 0;
  return rows.flatMap((row, i) => {
    const before = i > 0 ? rows[i - 1]!.p : null;
    if (row.p === null) return [];
    if (before === null || Math.abs(row.p - before) > 180) piece++;
    return [{ ...row, p: row.p, piece: `${row.series} ${piece}` }];
  });
}

/** An axis in quarter turns, or half or whole ones where it is long. */
function quarterTurns(degrees: readonly number[]): Spec {
  const low = Math.floor(degrees.reduce((m, p) => Math.min(m, p), 0) / 90 - 1e-9);
  const high = Math.max(low + 1, Math.ceil(degrees.reduce((m, p) => Math.max(m, p), 0) / 90 + 1e-9));
  const step = [1, 2, 4].find((s) => (high - low) / s <= 6) ?? Math.ceil((high - low) / 6);
  return { scale: { domain: [low * 90, high * 90], nice: false }, axis: { values: Array.from({ length: high - low + 1 }, (_, k) => low + k).filter((k) => k % step === 0).map((k) => k * 90) } };
}

function coherencePanel({ limit }: { readonly limit: number }, values: readonly object[], x: Spec): Spec {
  const y = { field: 'c', type: 'quantitative', title: 'Coherence', scale: { domain: [0, 1], nice: false } };
  return {
    width: panelPixels(), height: 80,
    layer: [
      { data: { values }, mark: { type: 'line', clip: true }, encoding: { x, y } },
      { data: { values: [{ c: limit }] }, mark: { type: 'rule', color: inks[1], strokeDash: dashes[1], strokeWidth: 1.4 }, encoding: { y } },
    ],
  };
}
