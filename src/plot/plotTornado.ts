import type { Tornado, TornadoBar } from '../fatigue/tornado.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, cutAxis, logAxis, readable } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { isNarrow, pageWidth } from './page.js';
import { inputNames } from './names.js';
import { bandFills, inks } from './theme.js';

/** Options of plotTornado. */
export interface TornadoOptions {
  readonly title?: string;
}

const where = 'plotTornado';

/**
 * Draws what drives a life: for each input and each choice of the analyst a bar from the shortest to the longest life it leads to, longest bar first, with what leads there
 * at its ends. A life without end is drawn to the edge and marked ∞; a bar that is nothing else is left out.
 *
 * @param tornado from tornado
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no tornado, or one without a bar
 * @see plotLifeBand
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [180, 120].map(MPa), count: [20, 4000], hours: 1 });
 * const local = stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' });
 * const bars = tornado(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs: { gauge: { shape: 'normal', deviation: 0.02 } }, alternatives: [] });
 * toSvg(plotTornado(bars)).includes('Life / h') // => true
 */
export function plotTornado(tornado: Tornado, options?: TornadoOptions): Figure {
  const { title = 'What drives the life' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(tornado) !== 'Tornado') throw new InputError({ where, argument: 'tornado', expected: 'a Tornado', given: show(tornado), remedy: 'Make it with tornado.' });
  const bars = tornado.bars.filter((b) => b.low > 0 && Number.isFinite(b.low));
  const ends = bars.flatMap((b) => [b.low, b.high]).filter((h) => Number.isFinite(h) && h > 0);
  if (bars.length === 0 || ends.length === 0) throw new InputError({ where, argument: 'tornado', expected: 'a tornado with at least one bar', given: 'none' });
  const base = Number.isFinite(tornado.base) && tornado.base > 0 ? [tornado.base] : [];
  const { low, high } = withRoom(bars, Math.min(...ends, ...base), Math.max(...ends, ...base));
  const [left, right] = [low, high];
  const x = cutAxis(logAxis(low, high, isNarrow() ? pageWidth() - 40 : pageWidth() - 200), low, high);
  const rows = bars.map((b) => ({
    name: inputNames[b.name] ?? b.name, of: b.of === 'input' ? 'uncertain input' : 'choice of the analyst', low: Math.max(left, b.low), high: Math.min(right, b.high), before: b.lowLabel, after: Number.isFinite(b.high) ? b.highLabel : `${b.highLabel}: ∞`,
  }));
  const at = { type: 'quantitative', title: axisTitle('Life', 'h'), ...x };
  // On a narrow page the names stand above their bars.
  const narrow = isNarrow();
  const down = narrow ? { yOffset: 8 } : {};
  const y = { field: 'name', type: 'nominal', sort: null, title: null, axis: { labelLimit: 200, ticks: false, domain: false, ...(narrow ? { labels: false, minExtent: 0 } : {}) } };
  const kinds = ['uncertain input', 'choice of the analyst'].filter((kind) => rows.some((r) => r.of === kind));
  const middle = Number.isFinite(tornado.base) ? `${readable(tornado.base, 2)} h` : 'no end';
  return makeFigure({
    title, width: pageWidth(), height: 120 + (narrow ? 40 : 30) * rows.length,
    subtitle: `life with every input at its middle: ${middle}; each bar moves one input or choice alone`,
    caption: `Life as single inputs and choices move, about ${Number.isFinite(tornado.base) ? middle : 'one without end'}; the longest bar is ${rows[0]!.name}.`,
    notes: tornado.notes,
    body: {
      data: { values: rows },
      layer: [
        {
          mark: { type: 'bar', height: 15, ...down, stroke: inks[0], strokeWidth: 0.8 },
          encoding: { x: { field: 'low', ...at }, x2: { field: 'high' }, y, color: { field: 'of', type: 'nominal', scale: { domain: kinds, range: kinds.map((k) => (k === 'uncertain input' ? inks[0] : bandFills.spread)) }, legend: { title: null, symbolType: 'square' } } },
        },
        { mark: { type: 'text', align: 'right', baseline: 'middle', dx: -5, ...down }, encoding: { x: { field: 'low', ...at }, y, text: { field: 'before', type: 'nominal' } } },
        { mark: { type: 'text', align: 'left', baseline: 'middle', dx: 5, ...down }, encoding: { x: { field: 'high', ...at }, y, text: { field: 'after', type: 'nominal' } } },
        ...(narrow ? [{ mark: { type: 'text', align: 'left', baseline: 'middle', yOffset: -10, fontWeight: 'bold' }, encoding: { x: { value: 4 }, y, text: { field: 'name', type: 'nominal' } } }] : []),
        ...(base.length > 0 ? [{ data: { values: [{ base: tornado.base }] }, mark: { type: 'rule', strokeDash: [4, 3], color: inks[1], strokeWidth: 1.4 }, encoding: { x: { field: 'base', ...at } } }] : []),
      ],
    },
  });
}

/** Ends of the axis that leave room for the labels at the ends of the bars: about 7 pixels a letter of a plot 440 pixels wide. */
function withRoom(bars: readonly TornadoBar[], low: number, high: number): { readonly low: number; readonly high: number } {
  const width = isNarrow() ? pageWidth() - 60 : pageWidth() - 240;
  const span = Math.max(Math.log(high / low), Math.log(1.2));
  const room = (label: string): number => 12 + 7 * label.length;
  const place = (h: number): number => Math.log(Math.min(high, h) / low) / span;
  let [a, b] = [0, 0];
  // The labels shrink the scale that they are measured on: a few rounds settle it.
  for (let round = 0; round < 8; round++) {
    const scale = width / (1 + a + b);
    a = Math.max(0, ...bars.map((bar) => room(bar.lowLabel) / scale - place(bar.low)));
    b = Math.max(0, ...bars.map((bar) => room(`${bar.highLabel}: ∞`) / scale - (1 - place(bar.high))));
    if (a + b > 4) break;
  }
  return { low: low * Math.exp(-a * span), high: low * Math.exp((1 + b) * span) };
}
