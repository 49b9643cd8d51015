import type { MonteCarlo } from '../gauge/monteCarlo.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { isUnit } from '../record/units.js';
import { axisTitle, capital, readable, shownIn } from './axes.js';
import { makeFigure, pageWidth, type Figure, type Spec } from './Figure.js';
import { shareBars } from './plotLifeBand.js';
import { bandFills, inks } from './theme.js';

/** Options of plotBudget. */
export interface BudgetFigureOptions {
  readonly title?: string;
}

const where = 'plotBudget';

/**
 * Draws an uncertainty budget: the part of the combined variance that each input brings, largest first, with the result and its coverage interval above. Where values were
 * drawn at random too, their distribution stands beneath, with the normal curve and the interval of the first order over it.
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
  const bars = shareBars(rows, 'Share of the variance / %');
  const barsHeight = 110 + 22 * rows.length;
  const drawn = budget.monteCarlo;
  const said = drawn ? `; drawn at random: ${readable(drawn.low, 4)} to ${readable(drawn.high, 4)}${unit}, ${drawn.firstOrderHolds ? 'the first order agrees to two figures' : 'the first order does not agree to two figures'}` : '';
  return makeFigure({
    title: title ?? `Uncertainty of ${budget.name}`, subtitle: `${result}${said}`, width: pageWidth, height: drawn ? barsHeight + 260 : barsHeight, notes: budget.notes,
    caption: `Uncertainty budget of ${budget.name}: ${result}; the largest part comes from ${rows[0]?.input ?? 'no input'}${said}.`,
    body: drawn ? { vconcat: [bars, distributionPanel(budget, drawn)], spacing: 26 } : { ...bars, width: pageWidth, height: barsHeight },
  });
}

/** Drawn values as a histogram of density, the normal curve of the first order, and both coverage intervals as bars above. */
function distributionPanel(budget: UncertaintyBudget, drawn: MonteCarlo): Spec {
  const { edges, counts } = drawn.histogram;
  const shown = isUnit(budget.unit) ? shownIn(budget.unit, Math.max(Math.abs(edges[0]!), Math.abs(edges.at(-1)!)), capital(budget.name)) : { factor: 1, title: axisTitle(capital(budget.name), budget.unit) };
  const f = shown.factor;
  const bars = counts.map((n, k) => ({ from: edges[k]! * f, to: edges[k + 1]! * f, d: n / (drawn.draws * (edges[k + 1]! - edges[k]!) * f), floor: 0 }));
  const [low, high] = [edges[0]! * f, edges.at(-1)! * f];
  const deviation = budget.standardUncertainty * f;
  const curve = Array.from({ length: 161 }, (_, i) => low + ((high - low) * i) / 160).map((v) => ({ v, d: Math.exp(-0.5 * ((v - budget.value * f) / deviation) ** 2) / (deviation * Math.sqrt(2 * Math.PI)) }));
  const top = 1.32 * Math.max(...bars.map((b) => b.d), ...curve.map((c) => c.d));
  const x = { type: 'quantitative', title: shown.title, scale: { domain: [low, high], nice: false } };
  const y = { type: 'quantitative', title: 'Density', scale: { domain: [0, top], nice: false }, axis: { labels: false, ticks: false, grid: false } };
  const kinds = ['drawn at random', 'first order'];
  const spans = [{ from: drawn.low * f, to: drawn.high * f, d: 0.96 * top, kind: kinds[0] }, { from: budget.low * f, to: budget.high * f, d: 0.88 * top, kind: kinds[1] }];
  return {
    width: 520, height: 170,
    layer: [
      { data: { values: bars }, mark: { type: 'rect', color: bandFills.spread }, encoding: { x: { field: 'from', ...x }, x2: { field: 'to' }, y: { field: 'd', ...y }, y2: { field: 'floor' } } },
      { data: { values: curve }, mark: { type: 'line', color: inks[1], strokeWidth: 1.6, strokeDash: [7, 3] }, encoding: { x: { field: 'v', ...x }, y: { field: 'd', ...y } } },
      {
        data: { values: spans }, mark: { type: 'rule', strokeWidth: 4 },
        encoding: { x: { field: 'from', ...x }, x2: { field: 'to' }, y: { field: 'd', ...y }, color: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: [inks[0], inks[1]] }, legend: { title: `${readable(100 * budget.coverage)} % interval:`, symbolType: 'stroke', symbolSize: 480, symbolStrokeWidth: 4 } } },
      },
    ],
  };
}
