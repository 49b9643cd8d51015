import { checkChoice, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Cycles } from '../count/CycleCount.js';
import { checkCycles, exceedance, type Exceedance } from '../count/exceedance.js';
import { counted, grouped, logAxis, readable, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { legendHeight, seriesScales } from './series.js';

/** Options of plotExceedance. */
export interface ExceedanceOptions {
  /** Counts as they were recorded, or per hour of valid time; `'record'` unless given. */
  readonly per?: 'record' | 'hour';
  /** One name for each set of cycles, for the legend; the names of their sources unless given. */
  readonly names?: readonly string[];
  readonly title?: string;
}

const where = 'plotExceedance';

/** The steps of a stair that a drawing of that many columns can tell apart on a logarithmic axis; the first and the last always. */
export function thinStair({ range, exceeded: count }: Exceedance, columns: number): { readonly range: Float64Array; readonly count: Float64Array } {
  const n = count.length;
  if (n <= columns) return { range, count };
  const scale = columns / Math.log(count[n - 1]! / count[0]!);
  const kept: number[] = [];
  for (let i = 0; i < n; i++) {
    const column = Math.floor(scale * Math.log(count[i]! / count[0]!));
    const next = i + 1 < n ? Math.floor(scale * Math.log(count[i + 1]! / count[0]!)) : Infinity;
    if (i === 0 || next !== column) kept.push(i);
  }
  return { range: Float64Array.from(kept, (i) => range[i]!), count: Float64Array.from(kept, (i) => count[i]!) };
}

/**
 * Draws the ranges of cycles against the number of cycles that reach them (exceedance): a stair with the largest range at the left, counts on a
 * logarithmic axis. Several sets are drawn over each other, to compare.
 *
 * @param cycles what closeResidue gave, or several of one unit (at most six)
 * @param options per: `'record'` or `'hour'` of valid time; names for the legend; title
 * @returns the figure
 * @throws InputError for no cycle, mixed units, or names that do not match
 * @see plotDamage
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 900, 200, 800, 0, 1000, 0] });
 * toSvg(plotExceedance(closeResidue(countCycles(torque), 'half'))).includes('Torque range / N·m') // => true
 */
export function plotExceedance(cycles: Cycles | readonly Cycles[], options?: ExceedanceOptions): Figure {
  const { per = 'record', names, title = 'Ranges and how often they are reached' } = checkOptions(where, options, { optional: ['per', 'names', 'title'] });
  checkChoice(where, 'per', per, ['record', 'hour']);
  const list = (Array.isArray(cycles) ? cycles : [cycles]) as readonly Cycles[];
  if (list.length === 0 || list.length > 6) throw new InputError({ where, argument: 'cycles', expected: 'one to six sets of cycles', given: String(list.length) });
  for (const c of list) {
    checkCycles(where, c);
    if (c.unit !== list[0]!.unit) throw new InputError({ where, argument: 'cycles', expected: `all in ${list[0]!.unit}`, given: c.unit });
  }
  if (names && names.length !== list.length) throw new InputError({ where, argument: 'names', expected: `${list.length} names, one for each set`, given: String(names.length) });
  const labels = names ?? list.map((c, k) => `${c.sources.map((s) => s.name).join(' + ')}${list.length > 1 ? ` (${k + 1})` : ''}`);
  const stairs = list.map((c) => exceedance(c));
  if (stairs.some((s) => s.range.length === 0)) throw new InputError({ where, argument: 'cycles', expected: 'at least one cycle', given: 'none', remedy: 'Lower the gate, or count a longer record.' });
  const scale = list.map((c) => (per === 'hour' ? 3600 / c.validTime : 1));
  const shown = shownIn(list[0]!.unit, Math.max(...stairs.map((s) => s.range[0]!)));
  const values = stairs.flatMap((stair, k) => {
    const { range, count } = thinStair(stair, 500);
    return Array.from(range, (r, i) => ({ cycles: count[i]! * scale[k]!, range: r * shown.factor, series: labels[k]! }));
  });
  const counts = values.map((v) => v.cycles);
  // The first tread begins where its count would be half as large, so that the largest range is a line and not a point.
  const least = Math.min(...stairs.map((s, k) => s.exceeded[0]! * scale[k]!)) / 2;
  const treads = stairs.map((s, k) => ({ cycles: least, range: s.range[0]! * shown.factor, series: labels[k]! }));
  const x = logAxis(least, Math.max(...counts));
  const quantity = shown.title.replace(' /', ' range /');
  const total = list.map((c) => c.total);
  return makeFigure({
    title, height: 340 + legendHeight(labels), caption: `${quantity.split(' /')[0]} against the number of cycles ${per === 'hour' ? 'per hour ' : ''}that reach it; ${total.map((t) => grouped(Math.round(t))).join(' and ')} cycles, largest range ${readable(Math.max(...stairs.map((s) => s.range[0]!)) * shown.factor)} ${shown.unit}.`,
    subtitle: list.length === 1 ? `${labels[0]}: ${counted(Math.round(total[0]!), 'cycle')}, residue counted as '${list[0]!.residue}'` : '',
    body: {
      data: { values: [...treads, ...values] },
      mark: { type: 'line', interpolate: 'step-before', strokeWidth: 1.8 },
      encoding: {
        x: { field: 'cycles', type: 'quantitative', title: per === 'hour' ? 'Cycles of that range and above, per hour' : 'Cycles of that range and above', scale: x.scale, axis: x.axis },
        y: { field: 'range', type: 'quantitative', title: quantity, scale: { zero: true } },
        order: { field: 'cycles', type: 'quantitative' },
        ...(list.length > 1 ? seriesScales(labels) : {}),
        tooltip: [{ field: 'range', type: 'quantitative', title: quantity }, { field: 'cycles', type: 'quantitative', title: 'cycles reaching it' }],
      },
    },
  });
}
