import { survivalAt, type LifeBand } from '../fatigue/lifeBand.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, grouped, logAxis, readable } from './axes.js';
import { makeFigure, wrapped, type Figure, type Spec } from './Figure.js';
import { isNarrow, namedPixels, pageWidth } from './page.js';
import { inputNames } from './names.js';
import { alertInk, bandFills, inks } from './theme.js';

/** Options of plotLifeBand. */
export interface LifeBandFigureOptions {
  /** An age to mark with its survival, running hours. */
  readonly hours?: number;
  readonly title?: string;
}

const where = 'plotLifeBand';
/** Width of the panels; the names of the inputs stand at their left. */

/**
 * Draws a life with its band: the share of the drawn lives that are longer than a number of running hours, the 90 % band shaded, the part that fewer than 5 % of
 * the lives stand behind dashed; beneath it how much of the variance each input explains alone.
 *
 * @param band from lifeBand
 * @param options hours: an age to mark; title
 * @returns the figure
 * @throws InputError for something that is no band, or one in which fewer than two draws end
 * @see plotTornado
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [180, 120].map(MPa), count: [20, 4000], hours: 1 });
 * const local = stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' });
 * const band = lifeBand(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs: { gauge: { shape: 'normal', deviation: 0.02 } }, draws: 500 });
 * toSvg(plotLifeBand(band)).includes('Survival / %') // => true
 */
export function plotLifeBand(band: LifeBand, options?: LifeBandFigureOptions): Figure {
  const { hours, title = 'Life with its band' } = checkOptions(where, options, { optional: ['hours', 'title'] });
  if (kindOf(band) !== 'LifeBand') throw new InputError({ where, argument: 'band', expected: 'a LifeBand', given: show(band), remedy: 'Make it with lifeBand.' });
  if (hours !== undefined) checkNumber(where, 'hours', hours, { above: 0, unit: 'h' });
  const lives = band.lives.filter((h) => Number.isFinite(h) && h > 0);
  if (lives.length < 2) throw new InputError({ where, argument: 'band', expected: 'a band in which at least two draws end', given: `${lives.length} of ${band.draws}`, remedy: 'There is no damage to speak of: say so in words.' });
  const n = band.lives.length;
  const rows = survivalRows(band.lives, n);
  const x = logAxis(Math.min(lives[0]!, hours ?? Infinity), Math.max(lives.at(-1)!, hours ?? 0), namedPixels());
  const [left, right] = x.scale['domain'] as [number, number];
  const at = (field: string, last: boolean): Spec => ({ field, type: 'quantitative', title: last ? axisTitle('Running time', 'h') : null, scale: x.scale, axis: x.axis });
  const y: Spec = { field: 's', type: 'quantitative', title: axisTitle('Survival', '%'), scale: { domain: [0, 100], nice: false } };
  const shaded = { low: Math.max(left, band.low), high: Math.min(right, band.high) };
  const legend = { title: null, symbolType: 'stroke', symbolSize: 480 };
  const parts = ['survival', earlyName()];
  const mark = hours === undefined ? null : survivalAt(band, hours);
  const words = [{ x: band.low, y: 212, t: `5 %: ${readable(band.low, 2)} h`, left: true }, { x: band.middle, y: 14, t: `middle: ${readable(band.middle, 2)} h` }, { x: band.high, y: 32, t: `95 %: ${readable(band.high, 2)} h` }].filter((w) => w.x > 0 && w.x >= left && w.x <= right);
  const shares = band.variance.map((v) => ({ input: inputNames[v.input] ?? v.input, share: 100 * v.share }));
  return makeFigure({
    title, width: pageWidth(), height: 260 + 24 * shares.length + 110,
    subtitle: `${whereLives(band)}${isNarrow() ? `, middle ${readable(band.middle, 2)} h` : ''}${mark ? `; survival at ${readable(mark.hours)} h: ${readable(100 * mark.survival)} %` : ''}`,
    caption: `Survival against running time from ${grouped(band.draws)} draws through the whole chain (seed ${band.seed}); ${bandOf(band)}, middle ${readable(band.middle, 2)} h, median of the draws ${readable(band.median, 2)} h.`,
    notes: band.notes,
    body: {
      spacing: 26, resolve: { scale: { strokeDash: 'independent' } },
      vconcat: [{
        width: namedPixels(), height: 230,
        layer: [
          { data: { values: shaded.low <= right ? [shaded] : [] }, mark: { type: 'rect', color: bandFills.spread, opacity: 0.45 }, encoding: { x: at('low', true), x2: { field: 'high' } } },
          {
            data: { values: rows }, mark: { type: 'line', strokeWidth: 2, interpolate: 'step-after', clip: true },
            encoding: {
              x: at('h', true), y, color: { value: inks[0] }, order: { field: 'h', type: 'quantitative' },
              strokeDash: { field: 'part', type: 'nominal', scale: { domain: parts, range: [[1, 0], [5, 3]] }, legend },
              tooltip: [{ field: 'h', type: 'quantitative', title: 'running time / h' }, { field: 's', type: 'quantitative', title: 'survival / %' }],
            },
          },
          ...words.flatMap((w): Spec[] => [
            { data: { values: [w] }, mark: { type: 'rule', strokeDash: [3, 3], color: inks[5] }, encoding: { x: at('x', true) } },
            ...(isNarrow() ? [] : [{ data: { values: [w] }, mark: { type: 'text', ...beside(Math.log(w.x / left) / Math.log(right / left), w), baseline: 'middle' }, encoding: { x: at('x', true), y: { value: w.y }, text: { field: 't', type: 'nominal' } } }]),
          ]),
          ...(mark ? [{ data: { values: [{ h: mark.hours, s: 100 * mark.survival }] }, mark: { type: 'point', color: alertInk, shape: 'diamond', size: 90 }, encoding: { x: at('h', true), y } }] : []),
        ],
      }, ...(shares.length === 0 ? [] : [shareBars(shares, 'Share of the variance of log life, alone / %')])],
    },
  });
}

/** Where nine of ten drawn lives lie; one without end lies nowhere. */
function whereLives({ draws, low, high }: LifeBand): string {
  if (low === Infinity) return `more than 95 % of ${grouped(draws)} drawn lives have no end`;
  return `90 % of ${grouped(draws)} drawn lives ${high === Infinity ? `are ${readable(low, 2)} h and more, without an upper end` : `lie between ${readable(low, 2)} h and ${readable(high, 2)} h`}`;
}

function bandOf({ low, high }: LifeBand): string {
  if (low === Infinity) return 'no band, because more than 95 % have no end';
  return `90 % band ${high === Infinity ? `from ${readable(low, 2)} h on without an upper end` : `${readable(low, 2)} to ${readable(high, 2)} h`}`;
}

/** Name of the part of the survival curve that few of the drawn lives tell of. */
function earlyName(): string {
  return isNarrow() ? 'below 5 %: extrapolated' : 'fewer than 5 % of the lives are shorter: extrapolated';
}

/** A text to the right of its place or, where it is wanted there, to its left, but not beyond the edges. */
function beside(place: number, { t, left = false }: { readonly t: string; readonly left?: boolean }): Spec {
  const room = (8 + 7 * t.length) / namedPixels();
  return place > 1 - room || (left && place > room) ? { align: 'right', dx: -4 } : { align: 'left', dx: 4 };
}

/** Horizontal bars of shares in percent, in the order given. */
export function shareBars(rows: readonly { readonly input: string; readonly share: number }[], title: string): Spec {
  const y = { field: 'input', type: 'nominal', sort: null, title: null, axis: { labelLimit: 190, ticks: false, domain: false } };
  // Room for the text at the end of the longest bar.
  const end = namedPixels() / (namedPixels() - 56);
  const x = { field: 'share', type: 'quantitative', title: wrapped(title, namedPixels() / 6.6), scale: { domain: [Math.min(0, ...rows.map((r) => r.share)), Math.max(1, ...rows.map((r) => r.share)) * end], nice: false } };
  return {
    width: namedPixels(), height: { step: 22 }, data: { values: rows.map((r) => ({ ...r, text: `${readable(r.share, 2)} %` })) },
    layer: [
      { mark: { type: 'bar', color: inks[0], height: 13 }, encoding: { x, y } },
      { mark: { type: 'text', align: 'left', dx: 5, baseline: 'middle' }, encoding: { x, y, text: { field: 'text', type: 'nominal' } } },
    ],
  };
}

interface SurvivalRow { readonly h: number; readonly s: number; readonly part: string }

/** Survival after every drawn life, thinned to four hundred of them; the early part, below the 5 % quantile, is named so. */
function survivalRows(sorted: Float64Array, n: number): SurvivalRow[] {
  const rows: SurvivalRow[] = [];
  const early = Math.ceil(0.05 * n);
  const stride = Math.max(1, Math.floor(n / 400));
  for (let i = 0; i < n; i++) {
    const kept = i % stride === 0 || i === early || i === n - 1 || i < 20;
    if (!kept || !(sorted[i]! > 0) || !Number.isFinite(sorted[i]!)) continue;
    const s = 100 * (1 - (i + 1) / n);
    if (i <= early) rows.push({ h: sorted[i]!, s, part: earlyName() });
    if (i >= early) rows.push({ h: sorted[i]!, s, part: 'survival' });
  }
  return rows;
}
