import type { MonteCarlo } from '../gauge/monteCarlo.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { isUnit } from '../record/units.js';
import { axisTitle, capital, formatted, readable, shownIn } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { namedPixels, pageWidth } from './page.js';
import { shareBars } from './plotLifeBand.js';
import { bandFills, dashes, inks } from './theme.js';

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
  const { factor: f, unit: shownUnit } = shownQuantity(budget);
  const unit = shownUnit === '1' ? '' : ` ${shownUnit}`;
  const result = `${readable(budget.value * f, 4)}${unit} ± ${readable(budget.expandedUncertainty * f, 2)}${unit} (coverage ${formatted(100 * budget.coverage)} %, k = ${readable(budget.coverageFactor)})`;
  const rows = budget.lines.map((line) => ({ input: inWords(line.input), share: 100 * line.share }));
  const bars = shareBars(rows, 'Share of the variance / %');
  const barsHeight = 110 + 22 * rows.length;
  const drawn = budget.monteCarlo;
  const said = drawn ? `; drawn at random: ${readable(drawn.low * f, 4)} to ${readable(drawn.high * f, 4)}${unit}, ${drawn.firstOrderHolds ? 'the first order agrees to two figures' : 'the first order does not agree to two figures'}` : '';
  return makeFigure({
    title: title ?? `Uncertainty of ${budget.name}`, subtitle: `${result}${said}`, width: pageWidth(), height: drawn ? barsHeight + 260 : barsHeight, notes: budget.notes,
    caption: `Uncertainty budget of ${budget.name}: ${result}; the largest part comes from ${rows[0]?.input ?? 'no input'}${said}.`,
    body: drawn ? { vconcat: [bars, distributionPanel(budget, drawn)], spacing: 26 } : { ...bars, width: pageWidth(), height: barsHeight },
  });
}

/** A name of the code as words: youngsModulus becomes Young's modulus, gaugeFactor gauge factor. */
export function inWords(name: string): string {
  return name.replace(/^(young|poisson)s(?=[A-Z])/, (_, person: string) => `${capital(person)}’s`).replace(/([a-z])([A-Z])/g, (_, before: string, after: string) => `${before} ${after.toLowerCase()}`);
}

/** The unit in which the quantity is shown; a unit that the library does not know stays as it is. */
function shownQuantity({ unit, value, name }: UncertaintyBudget): { readonly factor: number; readonly unit: string; readonly title: string } {
  return isUnit(unit) ? shownIn(unit, value, capital(name)) : { factor: 1, unit, title: axisTitle(capital(name), unit) };
}

/** Drawn values as a histogram of density, the normal curve of the first order, and both coverage intervals as bars above. */
function distributionPanel(budget: UncertaintyBudget, drawn: MonteCarlo): Spec {
  const { edges, counts } = drawn.histogram;
  const { factor: f, title } = shownQuantity(budget);
  const bars = counts.map((n, k) => ({ from: edges[k]! * f, to: edges[k + 1]! * f, d: n / (drawn.draws * (edges[k + 1]! - edges[k]!) * f), floor: 0 }));
  const [low, high] = [edges[0]! * f, edges.at(-1)! * f];
  const deviation = budget.standardUncertainty * f;
  const curve = Array.from({ length: 161 }, (_, i) => low + ((high - low) * i) / 160).map((v) => ({ v, d: Math.exp(-0.5 * ((v - budget.value * f) / deviation) ** 2) / (deviation * Math.sqrt(2 * Math.PI)) }));
  const top = 1.32 * Math.max(...bars.map((b) => b.d), ...curve.map((c) => c.d));
  const x = { type: 'quantitative', title, scale: { domain: [low, high], nice: false } };
  const y = { type: 'quantitative', title: 'Density', scale: { domain: [0, top], nice: false }, axis: { labels: false, ticks: false, grid: false } };
  const kinds = ['drawn at random', 'first order'];
  const legend = { title: `${formatted(100 * budget.coverage)} % interval:`, symbolType: 'stroke', symbolSize: 480, symbolStrokeWidth: 4 };
  const spans = [{ from: drawn.low * f, to: drawn.high * f, d: 0.96 * top, kind: kinds[0] }, { from: budget.low * f, to: budget.high * f, d: 0.88 * top, kind: kinds[1] }];
  return {
    width: namedPixels(), height: 170,
    layer: [
      { data: { values: bars }, mark: { type: 'rect', color: bandFills.spread }, encoding: { x: { field: 'from', ...x }, x2: { field: 'to' }, y: { field: 'd', ...y }, y2: { field: 'floor' } } },
      { data: { values: curve }, mark: { type: 'line', color: inks[1], strokeWidth: 1.6, strokeDash: dashes[1] }, encoding: { x: { field: 'v', ...x }, y: { field: 'd', ...y } } },
      {
        data: { values: spans }, mark: { type: 'rule', strokeWidth: 4 },
        encoding: { x: { field: 'from', ...x }, x2: { field: 'to' }, y: { field: 'd', ...y }, color: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: [inks[0], inks[1]] }, legend }, strokeDash: { field: 'kind', type: 'nominal', scale: { domain: kinds, range: [dashes[0], dashes[1]] }, legend } },
      },
    ],
  };
}
