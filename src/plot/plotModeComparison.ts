import type { ModeComparison, ModeReading } from '../spectrum/compareModes.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { counted, readable } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { namedPixels, pageWidth } from './page.js';
import { inks } from './theme.js';

/** Options of plotModeComparison. */
export interface ModeComparisonOptions {
  readonly title?: string;
}

const where = 'plotModeComparison';

/**
 * Draws what several ways found of one mode side by side: natural frequency and damping ratio, each with its interval.
 *
 * @param comparison from compareModes
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no comparison
 * @see plotRingDown
 * @example
 * const e = (value, standardError) => ({ value, standardError, low: value - 2 * standardError, high: value + 2 * standardError });
 * const found = compareModes([{ from: 'ring-down', frequency: e(8.44, 0.01), dampingRatio: e(0.007, 0.0005) }, { from: 'sweep', frequency: e(8.45, 0.01), dampingRatio: e(0.012, 0.0005) }]);
 * toSvg(plotModeComparison(found)).includes('Damping ratio / %') // => true
 */
export function plotModeComparison(comparison: ModeComparison, options?: ModeComparisonOptions): Figure {
  const { title = 'One mode by several ways' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(comparison) !== 'ModeComparison') throw new InputError({ where, argument: 'comparison', expected: 'a ModeComparison', given: show(comparison), remedy: 'Make it with compareModes.' });
  const apart = comparison.pairs.filter((p) => !p.agree);
  const said = apart.length === 0 ? 'all agree within three combined standard errors' : `${counted(apart.length, 'pair')} of ${comparison.pairs.length} apart by more than three combined standard errors: ${apart.map((p) => `${p.a} and ${p.b}`).join('; ')}`;
  return makeFigure({
    title, width: pageWidth(), height: 190 + 2 * 26 * comparison.readings.length, notes: comparison.notes, subtitle: said,
    caption: `${comparison.readings.map((r) => `${r.from}: ${readable(r.frequency.value)} Hz, damping ${readable(100 * r.dampingRatio.value)} %`).join('; ')}; ${said}.`,
    body: { spacing: 24, vconcat: [panel(comparison.readings, (r) => r.frequency, 1, 'Natural frequency / Hz'), panel(comparison.readings, (r) => r.dampingRatio, 100, 'Damping ratio / %')] },
  });
}

function panel(readings: readonly ModeReading[], of: (reading: ModeReading) => ModeReading['frequency'], factor: number, title: string): Spec {
  const values = readings.map((r) => ({ from: r.from, value: of(r).value * factor, low: of(r).low * factor, high: of(r).high * factor }));
  const x = { type: 'quantitative', title, scale: { zero: false, nice: false, padding: 14 } };
  const y = { field: 'from', type: 'nominal', sort: null, title: null, axis: { labelLimit: 190, ticks: false, domain: false } };
  return {
    width: namedPixels(), height: { step: 26 }, data: { values },
    layer: [
      { mark: { type: 'rule', strokeWidth: 2.4, color: inks[0] }, encoding: { x: { field: 'low', ...x }, x2: { field: 'high' }, y } },
      { mark: { type: 'point', size: 70, color: inks[1], stroke: inks[0], opacity: 1 }, encoding: { x: { field: 'value', ...x }, y } },
    ],
  };
}
