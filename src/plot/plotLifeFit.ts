import type { FatigueTest, LifeFit } from '../fatigue/fitLifeCurve.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, capital, counted, formatted, logAxis, readable } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { lineLegend } from './series.js';
import { bandFills, dashes, inks } from './theme.js';

/** Options of plotLifeFit. */
export interface LifeFitFigureOptions {
  readonly title?: string;
}

const where = 'plotLifeFit';

/**
 * Draws a stress–life line through the tests it was fitted to: failures as points, runouts as open arrows towards longer lives, the median line with its confidence band shaded, the
 * lower tolerance limit at each stress, and the design curve.
 *
 * @param fit from fitLifeCurve
 * @param tests the tests that it was given
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no fit, or other tests than its own
 * @see plotLifeCurve
 * @example
 * const tests = [948, 834, 703, 631, 579, 524].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130, 43860, 132150][i] }));
 * const fit = fitLifeCurve(tests, { name: '4340', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'table E9.1', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 });
 * toSvg(plotLifeFit(fit, tests)).includes('Direct stress amplitude / MPa') // => true
 */
export function plotLifeFit(fit: LifeFit, tests: readonly FatigueTest[], options?: LifeFitFigureOptions): Figure {
  const { title } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(fit) !== 'LifeFit') throw new InputError({ where, argument: 'fit', expected: 'a LifeFit', given: show(fit), remedy: 'Make it with fitLifeCurve.' });
  const runouts = Array.isArray(tests) ? tests.filter((t) => t.runout === true).length : 0;
  if (!Array.isArray(tests) || runouts !== fit.runouts || tests.length - runouts !== fit.failures) {
    throw new InputError({ where, argument: 'tests', expected: `the ${fit.failures} failures and ${counted(fit.runouts, 'runout')} of the fit`, given: show(tests) });
  }
  const { stress, median, low, high, tolerance } = fit.band;
  const shift = 10 ** (-fit.factor * fit.deviation);
  const survival = `${formatted(100 * fit.curve.survival!)} % survival`;
  const lines: readonly (readonly [string, Float64Array])[] = [['median', median], [`lower tolerance limit, ${survival}`, tolerance], [`design curve, ${survival}`, median.map((n) => n * shift)]];
  const names = lines.map(([name]) => name);
  const points = tests.map((t) => ({ n: t.cycles, s: t.stress / 1e6, kind: t.runout === true ? 'runout' : 'failure' }));
  const kinds = ['failure', 'runout'].filter((kind) => points.some((p) => p.kind === kind));
  const all = [...low, ...high, ...tolerance, ...tests.map((t) => t.cycles)];
  const x = { type: 'quantitative', title: 'Cycles', ...logAxis(Math.min(...all) / 1.2, Math.max(...all) * 1.2) };
  const y = { type: 'quantitative', title: axisTitle(`${capital(fit.curve.kind)} stress ${fit.curve.measure}`, 'MPa'), ...logAxis(stress[0]! / 1.05e6, stress.at(-1)! * 1.05e-6, 260) };
  const legend = lineLegend(names);
  return makeFigure({
    title: title ?? `Tests and fitted line of ${fit.median.name.replace(/, median$/, '')}`, height: 420, notes: fit.notes,
    subtitle: `${counted(fit.failures, 'failure')}, ${counted(fit.runouts, 'runout')}; slope ${readable(fit.slope)} ± ${readable(fit.slopeError, 2)}, standard deviation of log life ${readable(fit.deviation, 2)}`,
    caption: `Stress–life line through ${counted(tests.length, 'test')} (${fit.curve.source}): median with the confidence band of the whole line, lower tolerance limit, and the design curve ${readable(fit.factor)} deviations below the median.`,
    body: {
      layer: [
        { data: { values: Array.from(stress, (s, k) => ({ s: s / 1e6, low: low[k]!, high: high[k]! })) }, mark: { type: 'area', orient: 'horizontal', color: bandFills.spread, opacity: 0.5 }, encoding: { y: { field: 's', ...y }, x: { field: 'low', ...x }, x2: { field: 'high' } } },
        {
          data: { values: lines.flatMap(([line, lives]) => Array.from(lives, (n, k) => ({ n, s: stress[k]! / 1e6, line }))) }, mark: { type: 'line', strokeWidth: 1.7 },
          encoding: {
            x: { field: 'n', ...x }, y: { field: 's', ...y }, order: { field: 's', type: 'quantitative' },
            color: { field: 'line', type: 'nominal', scale: { domain: names, range: [inks[0], inks[1], inks[5]] }, legend }, strokeDash: { field: 'line', type: 'nominal', scale: { domain: names, range: [dashes[0], dashes[1], dashes[0]] }, legend },
          },
        },
        {
          data: { values: points }, mark: { type: 'point', size: 64, opacity: 1, stroke: inks[0], strokeWidth: 1.4 },
          encoding: {
            x: { field: 'n', ...x }, y: { field: 's', ...y },
            shape: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: kinds.map((k) => (k === 'failure' ? 'circle' : 'triangle-right')) }, legend: { title: null } },
            fill: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: kinds.map((k) => (k === 'failure' ? inks[0] : '#ffffff')) }, legend: { title: null } },
            tooltip: [{ field: 'n', type: 'quantitative', title: 'cycles' }, { field: 's', type: 'quantitative', title: 'stress / MPa' }, { field: 'kind', type: 'nominal', title: 'test' }],
          },
        },
      ],
    },
  });
}
