import type { ZeroStability } from '../clean/zeroStability.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { logAxis, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { seriesScales } from './series.js';
import { alertInk } from './theme.js';

/** Options of plotZeroStability. */
export interface ZeroStabilityFigureOptions {
  readonly title?: string;
}

const where = 'plotZeroStability';

/**
 * Draws how far the mean of a resting signal wanders between averages of growing length, on logarithmic axes, with the best averaging time marked: where the curve falls longer
 * averages steady the zero, where it rises the zero drifts.
 *
 * @param stability from zeroStability
 * @param options title
 * @returns the figure
 * @throws InputError for something else, or a signal that does not wander at all
 * @see plotZero
 * @example
 * const y = makeChannel({ name: 'zero', unit: 'N·m', sampleRate: 1, values: [892, 809, 823, 798, 671, 644, 883, 903, 677] });
 * toSvg(plotZeroStability(zeroStability(y, { window: { from: 0, to: 9 } }))).includes('Averaging time / s') // => true
 */
export function plotZeroStability(stability: ZeroStability, options?: ZeroStabilityFigureOptions): Figure {
  const { title = 'How steady the zero is' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(stability) !== 'ZeroStability') throw new InputError({ where, argument: 'stability', expected: 'a ZeroStability', given: show(stability), remedy: 'Make it with zeroStability.' });
  const { time, bestTime, bestDeviation } = stability;
  const curves = { 'neighbouring means': stability.allan, 'overlapping means': stability.overlapping, 'modified': stability.modified };
  const names = Object.keys(curves);
  const shown = shownIn(stability.unit, Object.values(curves).reduce((m, c) => c.reduce((a, b) => Math.max(a, b), m), 0), 'Allan deviation');
  const rows = Object.entries(curves).flatMap(([series, deviation]) => Array.from(time, (t, i) => ({ t, d: deviation[i]! * shown.factor, series }))).filter((r) => r.d > 0);
  if (rows.length === 0) throw new InputError({ where, argument: 'stability', expected: 'with a deviation above 0', given: 'none', remedy: 'A signal that never changes is a held value, not a rest: look at it with plotHistory.' });
  const sizes = rows.map((r) => r.d);
  const x = { type: 'quantitative', title: 'Averaging time / s', ...logAxis(time[0]!, time.length > 1 ? time.at(-1)! : 2 * time[0]!) };
  const y = { type: 'quantitative', title: shown.title, ...logAxis(Math.min(...sizes), Math.max(...sizes, 1.2 * Math.min(...sizes)), 250) };
  const best = `${readable(bestDeviation * shown.factor)} ${shown.unit} over ${readable(bestTime)} s`;
  return makeFigure({
    title, height: 360, notes: stability.notes, subtitle: `least wander between overlapping means: ${best} (diamond)`,
    caption: `Allan deviation of the zero against averaging time; least ${best}.`,
    body: {
      layer: [
        { data: { values: rows }, mark: { type: 'line', strokeWidth: 1.6, point: { size: 22 } }, encoding: { x: { field: 't', ...x }, y: { field: 'd', ...y }, ...seriesScales(names) } },
        ...(bestDeviation > 0 ? [{ data: { values: [{ t: bestTime, d: bestDeviation * shown.factor }] }, mark: { type: 'point', shape: 'diamond', size: 110, color: alertInk, opacity: 1 }, encoding: { x: { field: 't', ...x }, y: { field: 'd', ...y } } }] : []),
      ],
    },
  });
}
