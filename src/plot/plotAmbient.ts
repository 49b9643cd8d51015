import type { AmbientFit } from '../spectrum/fitAmbient.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { densityTitle, formatted, logAxis, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { foundMode, foundText } from './foundMode.js';
import { pageWidth } from './page.js';
import { seriesScales } from './series.js';

/** Options of plotAmbient. */
export interface AmbientFigureOptions {
  readonly title?: string;
}

const where = 'plotAmbient';

/**
 * Draws a mode that was read from a running record: the power density in the band and the fitted shape over it, with the interval of the frequency shaded.
 *
 * @param fit from fitAmbient
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no such fit
 * @see fitAmbient, plotSweep, plotRingDown
 * @example
 * (not run: needs a record)
 * plotAmbient(fitAmbient(slice(torque, { from: 60, to: 600 }), { band: { from: 6, to: 11 } }))
 */
export function plotAmbient(fit: AmbientFit, options?: AmbientFigureOptions): Figure {
  const { title = 'A mode read from the running record' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(fit) !== 'AmbientFit') throw new InputError({ where, argument: 'fit', expected: 'an AmbientFit', given: show(fit), remedy: 'Make it with fitAmbient.' });
  const { frequency, density, fitted } = fit.bins;
  const shown = shownIn(fit.of, 0);
  const factor = shown.factor ** 2;
  const names = ['power density found', 'fitted mode'];
  const rows = [density, fitted].flatMap((values, k) => Array.from(values, (v, i) => ({ f: frequency[i]!, v: v * factor, series: names[k]! })).filter((r) => r.v > 0));
  const [low, high] = [frequency[0]!, frequency.at(-1)!];
  const x = { field: 'f', type: 'quantitative', title: 'Frequency / Hz', scale: { domain: [low, high], nice: false } };
  const values = rows.map((r) => r.v);
  const y = { field: 'v', type: 'quantitative', title: densityTitle(shown.unit), ...logAxis(values.reduce((a, b) => Math.min(a, b)), values.reduce((a, b) => Math.max(a, b)), 250) };
  return makeFigure({
    title, width: pageWidth(), height: 350, notes: fit.notes, subtitle: `${foundText(fit)}; ${formatted(100 * fit.level)} % intervals, the mode ${readable(fit.binsAcross, 2)} bins wide`,
    caption: `Power density from ${readable(low)} to ${readable(high)} Hz and the mode fitted to it: ${foundText(fit)}; dashed the frequency, shaded its interval.`,
    body: {
      layer: [
        ...foundMode(fit.frequency, x),
        { data: { values: rows }, mark: { type: 'line', clip: true, strokeWidth: 1.4 }, encoding: { x, y, ...seriesScales(names) } },
      ],
    },
  });
}
