import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { readable } from './axes.js';
import { makeFigure, pageWidth, type Figure } from './Figure.js';
import { shareBars } from './plotLifeBand.js';

/** Options of plotBudget. */
export interface BudgetFigureOptions {
  readonly title?: string;
}

const where = 'plotBudget';

/**
 * Draws an uncertainty budget: the part of the combined variance that each input brings, largest first, with the result and its coverage interval above.
 *
 * @param budget from torqueBudget or uncertaintyBudget
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no budget
 * @see plotTornado
 * @example
 * const budget = uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 }, b: { value: 3, standard: 0.1 } }, model: ({ a, b }) => a * b, unit: 'N·m', draws: 0 });
 * toSvg(plotBudget(budget)).includes('Share of the variance / %') // => true
 */
export function plotBudget(budget: UncertaintyBudget, options?: BudgetFigureOptions): Figure {
  const { title } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(budget) !== 'UncertaintyBudget') throw new InputError({ where, argument: 'budget', expected: 'an UncertaintyBudget', given: show(budget), remedy: 'Make it with uncertaintyBudget or torqueBudget.' });
  const unit = budget.unit === '1' ? '' : ` ${budget.unit}`;
  const result = `${readable(budget.value, 4)}${unit} ± ${readable(budget.expandedUncertainty, 2)}${unit} (coverage ${readable(100 * budget.coverage)} %, k = ${readable(budget.coverageFactor)})`;
  const rows = budget.lines.map((line) => ({ input: line.input, share: 100 * line.share }));
  const spec = shareBars(rows, 'Share of the variance / %');
  return makeFigure({
    title: title ?? `Uncertainty of ${budget.name}`, subtitle: result, width: pageWidth, height: 110 + 22 * rows.length, notes: budget.notes,
    caption: `Uncertainty budget of ${budget.name}: ${result}; the largest part comes from ${rows[0]?.input ?? 'no input'}.`,
    body: { ...spec, width: pageWidth, height: 110 + 22 * rows.length },
  });
}
