import { makeCycles } from '../count/CycleCount.js';
import { exceedance } from '../count/exceedance.js';
import type { Damage } from '../fatigue/damage.js';
import { checkCurve, continuations, stressAtLife, type Continuation, type LifeCurve } from '../fatigue/LifeCurve.js';
import { continuationName } from '../fatigue/names.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { axisTitle, capital, formatted, logAxis, readable } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { thinStair } from './plotExceedance.js';
import { isNarrow } from './page.js';
import { legendHeight, lineLegend } from './series.js';
import { dashes, inks } from './theme.js';

/** Options of plotLifeCurve. */
export interface LifeCurveOptions {
  /** The damage whose cycles are drawn, as a cumulative stair of the stress with which each entered the curve (mean stress accounted for). */
  readonly damage?: Damage;
  /** The applied cycles are drawn as often as they would occur in so many running hours; in the recorded hours unless given. */
  readonly hours?: number;
  readonly title?: string;
}

const where = 'plotLifeCurve';
const within = 'curve, within the tested lives';
const outside = 'curve, extrapolated';
const untold = 'curve (its source does not state the tested lives)';
const applied = 'applied cycles, cumulative';

/**
 * Draws a stress–life curve on logarithmic axes: a full line within the lives that tests stand behind, dashed outside; below the knee the other two
 * continuations thin and dotted; the applied cycles as a cumulative stair, so that the distance to the curve can be seen.
 *
 * @param curve from lifeCurve or curveLibrary
 * @param options damage: whose cycles to draw; hours: over which running time, h; title
 * @returns the figure
 * @throws InputError for something that is no curve, a damage of another curve, or hours that are not above 0
 * @see plotDamage
 * @example toSvg(plotLifeCurve(curveLibrary.en1993Direct(71))).includes('Direct stress range / MPa') // => true
 */
export function plotLifeCurve(curve: LifeCurve, options?: LifeCurveOptions): Figure {
  checkCurve(where, curve);
  const { damage, hours, title } = checkOptions(where, options, { optional: ['damage', 'hours', 'title'] });
  if (hours !== undefined) checkNumber(where, 'hours', hours, { above: 0, unit: 'h' });
  const stair = damage === undefined ? null : stairOfDamage(curve, damage, hours);
  const over = damage ? `${readable(hours ?? damage.hours)} h` : '';
  const marks = [curve.tested?.from, curve.tested?.to, curve.bend?.cycles, curve.knee, curve.through.cycles].filter((n) => n !== undefined && n !== null);
  const most = stair?.at(-1)?.n ?? 0;
  const low = Math.min(1e4, ...marks.map((n) => n / 3));
  const high = Math.max(1e8, 30 * (curve.knee ?? 0), ...marks.map((n) => n * 3), most * 1.2);
  const x = logAxis(stair ? Math.min(low, stair[0]!.n) : low, high);
  const [, end] = x.scale['domain'] as [number, number];
  const rows = [...curveRows(curve, low, end), ...(stair ?? []).map((row) => ({ ...row, part: applied, piece: applied }))];
  const stresses = rows.filter((r) => r.part !== applied).map((r) => r.s);
  const top = Math.max(...stresses, stair?.[0]?.s ?? 0);
  const floor = Math.min(0.5 * Math.min(...stresses), stair ? 0.5 * stair[0]!.s : Infinity);
  const y = logAxis(floor, top, 260);
  const parts = [...new Set(rows.map((r) => r.part))].sort((a, b) => Number(b === within) - Number(a === within));
  const looks = parts.map((part) => look(part));
  const legend = lineLegend(parts);
  const survival = curve.survival === null ? 'survival not stated' : `survival ${formatted(100 * curve.survival)} %`;
  const name = title ?? capital(curve.name);
  return makeFigure({
    title: name, height: 400 + (isNarrow() ? legendHeight(parts) : 0),
    subtitle: `${curve.source}; ${survival}${curve.ratio === null ? '' : `, R = ${String(curve.ratio).replace('-', '−')}`}, below the knee: ${curve.knee === null ? 'no knee' : continuationName(curve.beyond)}${damage ? `; cycles of ${over}` : ''}`,
    caption: `Stress–life curve ${curve.name} (${curve.source})${damage ? ` with the cycles applied in ${over}` : ''}.`,
    notes: curve.tested === null ? ['the source of the curve does not state the tested lives'] : [],
    body: {
      data: { values: rows },
      mark: { type: 'line', clip: true, strokeWidth: 1.9 },
      encoding: {
        x: { field: 'n', type: 'quantitative', title: 'Cycles', scale: x.scale, axis: x.axis },
        y: { field: 's', type: 'quantitative', title: axisTitle(`${capital(curve.kind)} stress ${curve.measure}`, 'MPa'), scale: y.scale, axis: y.axis },
        detail: { field: 'piece', type: 'nominal' },
        order: { field: 'n', type: 'quantitative' },
        color: { field: 'part', type: 'nominal', scale: { domain: parts, range: looks.map((l) => l.ink) }, legend },
        strokeDash: { field: 'part', type: 'nominal', scale: { domain: parts, range: looks.map((l) => l.dash) }, legend },
        tooltip: [{ field: 'n', type: 'quantitative', title: 'cycles' }, { field: 's', type: 'quantitative', title: 'stress / MPa' }, { field: 'part', type: 'nominal', title: 'line' }],
      },
    },
  });
}

interface Row { readonly n: number; readonly s: number; readonly part: string; readonly piece: string }

function curveRows(curve: LifeCurve, low: number, high: number): Row[] {
  const { tested, knee } = curve;
  const rows: Row[] = [];
  const add = (from: number, to: number, part: string, continuation: Continuation): void => {
    if (!(to > from)) return;
    const corners = [from, ...[curve.bend?.cycles, knee].filter((n) => typeof n === 'number' && n > from && n < to) as number[], to];
    for (const n of corners) rows.push({ n, s: stressAtLife(curve, n, continuation).value / 1e6, part, piece: `${part}${from}${continuation}` });
  };
  if (tested === null) add(low, high, untold, curve.beyond);
  else {
    add(low, tested.from, outside, curve.beyond);
    add(tested.from, tested.to, within, curve.beyond);
    add(tested.to, high, outside, curve.beyond);
  }
  if (knee !== null) for (const other of continuations) if (other !== curve.beyond) add(knee, high, `below the knee: ${continuationName(other)}`, other);
  return rows;
}

/** Treads and risers of the cumulative stair, largest stress first, MPa as the curve measures it. */
function stairOfDamage(curve: LifeCurve, damage: Damage, hours: number | undefined): { readonly n: number; readonly s: number }[] {
  if (kindOf(damage) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(damage), remedy: 'Make it with damage.' });
  if (damage.curve.name !== curve.name) throw new InputError({ where, argument: 'damage', expected: `summed with the curve ${curve.name}`, given: `one of ${damage.curve.name}`, remedy: 'Draw damage.curve, or sum the damage with this curve.' });
  if (hours !== undefined && !(damage.hours > 0)) throw new InputError({ where, argument: 'hours', expected: 'left out, because the cycles state no time', given: `${hours} h` });
  const times = hours === undefined ? 1 : hours / damage.hours;
  const stair = exceedance(makeCycles({ ...damage.cycles, unit: 'Pa', range: damage.stress }));
  if (stair.range.length === 0) throw new InputError({ where, argument: 'damage', expected: 'of at least one cycle', given: 'none' });
  const { range, count } = thinStair(stair, 300);
  const points: { n: number; s: number }[] = [{ n: (count[0]! * times) / 2, s: range[0]! / 1e6 }];
  for (let i = 0; i < range.length; i++) {
    if (i > 0) points.push({ n: count[i - 1]! * times * (1 + 1e-9), s: range[i]! / 1e6 });
    points.push({ n: count[i]! * times, s: range[i]! / 1e6 });
  }
  return points;
}

function look(part: string): { readonly ink: string; readonly dash: readonly number[] } {
  if (part === within || part === untold) return { ink: inks[0]!, dash: dashes[0]! };
  if (part === outside) return { ink: inks[0]!, dash: dashes[1]! };
  if (part === applied) return { ink: inks[1]!, dash: dashes[5]! };
  return { ink: inks[5]!, dash: part.endsWith(continuationName('cut-off')) ? dashes[2]! : part.endsWith(continuationName('same-slope')) ? dashes[3]! : dashes[4]! };
}
