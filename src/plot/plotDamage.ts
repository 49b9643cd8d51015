import type { Damage } from '../fatigue/damage.js';
import { continuationName } from '../fatigue/names.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, grouped, logAxis, readable } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { inks } from './theme.js';

/** Options of plotDamage. */
export interface DamageFigureOptions {
  readonly title?: string;
}

const where = 'plotDamage';

/**
 * Draws which stress ranges do the damage: the share of every range class above, and below it the cycles of the same class on a logarithmic axis.
 *
 * @param damage from damage; its option `classes` says how many classes there are
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no damage, or one of no cycle
 * @see plotLifeCurve
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [90, 70, 50].map(MPa), count: [2e4, 1e5, 8e5], hours: 1 });
 * const local = stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' });
 * toSvg(plotDamage(damage(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' }))).includes('Local shear stress range / MPa') // => true
 */
export function plotDamage(damage: Damage, options?: DamageFigureOptions): Figure {
  const { title = 'Which ranges do the damage' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(damage) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(damage), remedy: 'Make it with damage.' });
  const { edges, cycles, damage: sums } = damage.byClass;
  const values = Array.from(cycles, (n, k) => ({ from: edges[k]! / 1e6, to: edges[k + 1]! / 1e6, cycles: n, share: damage.total > 0 ? (100 * sums[k]!) / damage.total : 0 })).filter((r) => r.cycles > 0);
  if (values.length === 0) throw new InputError({ where, argument: 'damage', expected: 'of at least one cycle', given: 'none', remedy: 'Lower the gate, or count a longer record.' });
  const least = Math.min(...values.map((r) => r.cycles)) / 2;
  const log = logAxis(least, Math.max(...values.map((r) => r.cycles)), 130);
  const base = (log.scale['domain'] as number[])[0]!;
  const stress = axisTitle(`Local ${damage.kind} stress range`, 'MPa');
  const x = (last: boolean): Spec => ({ field: 'from', type: 'quantitative', title: last ? stress : null, scale: { domain: [0, edges.at(-1)! / 1e6], nice: false }, axis: last ? { grid: false } : { grid: false, labels: false } });
  const tooltip = [{ field: 'from', type: 'quantitative', title: 'from / MPa' }, { field: 'to', type: 'quantitative', title: 'to / MPa' }, { field: 'share', type: 'quantitative', title: 'share of the damage / %' }, { field: 'cycles', type: 'quantitative', title: 'cycles' }];
  const rect = { type: 'rect', stroke: '#ffffff', strokeWidth: 0.6 };
  const most = values.reduce((a, b) => (b.share > a.share ? b : a));
  const rows = values.map((r) => ({ ...r, floor: 0, base }));
  const said = damage.total > 0 ? `most from ${readable(most.from)} to ${readable(most.to)} MPa (${readable(most.share)} %)` : 'no cycle does damage on this curve';
  return makeFigure({
    title, width: pageWidth(), height: 430,
    subtitle: `${damage.curve.name}, below the knee: ${continuationName(damage.continuation)}; damage ${readable(damage.total)} in ${readable(damage.hours)} h, ${said}`,
    caption: `Damage and cycles by class of local ${damage.kind} stress range; ${grouped(Math.round(damage.cycles.total))} cycles, damage sum ${readable(damage.total)}, ${said}.`,
    notes: damage.notes,
    body: {
      spacing: 12, resolve: { scale: { x: 'shared' } },
      vconcat: [
        { width: panelPixels(), height: 150, data: { values: rows }, mark: { ...rect, color: inks[1] }, encoding: { x: x(false), x2: { field: 'to' }, y: { field: 'share', type: 'quantitative', title: axisTitle('Share of damage', '%'), ...(damage.total > 0 ? {} : { scale: { domain: [0, 100] } }) }, y2: { field: 'floor' }, tooltip } },
        { width: panelPixels(), height: 130, data: { values: rows }, mark: { ...rect, color: inks[0] }, encoding: { x: x(true), x2: { field: 'to' }, y: { field: 'cycles', type: 'quantitative', title: 'Cycles in class', scale: log.scale, axis: log.axis }, y2: { field: 'base' }, tooltip } },
      ],
    },
  });
}
