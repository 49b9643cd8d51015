import type { DamageConvergence } from '../fatigue/damageConvergence.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { formatted, powerOfTen, readable, timeUnit } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { bandFills, inks } from './theme.js';

/** Options of plotConvergence. */
export interface ConvergenceFigureOptions {
  readonly title?: string;
}

const where = 'plotConvergence';
/** An interval is cut off above this many times the curve, so that the curve can be seen; the frame ends there, so that no end of it is seen. */
const mostOfCurve = 4;

/**
 * Draws how the damage in an hour settles as the record grows, with the interval of its final value shaded, to judge whether the record is long enough.
 *
 * @param convergence from damageConvergence
 * @param options title
 * @returns the figure
 * @throws InputError for something else
 * @see plotDamage
 * @example
 * const table = countCycles(makeChannel({ name: 's', unit: 'Pa', sampleRate: 10, values: Array.from({ length: 4000 }, (_, i) => MPa(90) * Math.sin(i) * (1 + Math.sin(i / 300))) }));
 * const local = stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' });
 * const settled = damageConvergence(damage(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' }), { within: 0.2 });
 * toSvg(plotConvergence(settled)).includes('Record length / s') // => true
 */
export function plotConvergence(convergence: DamageConvergence, options?: ConvergenceFigureOptions): Figure {
  const { title = 'How the damage rate settles' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(convergence) !== 'DamageConvergence') throw new InputError({ where, argument: 'convergence', expected: 'a DamageConvergence', given: show(convergence), remedy: 'Make it with damageConvergence.' });
  const { hours, runningPerHour, interval, perHour } = convergence;
  const top = Math.min(interval.high, mostOfCurve * Math.max(...runningPerHour, perHour));
  const capped = top < interval.high;
  const exponent = Math.floor(Math.log10(Math.max(...runningPerHour, top)));
  const scale = 10 ** exponent;
  const axis = timeUnit(hours.at(-1)! * 3600);
  const toAxis = 3600 / axis.seconds;
  const end = hours.at(-1)! * toAxis;
  const x = { type: 'quantitative', title: `Record length / ${axis.unit}`, scale: { domain: [0, end], nice: false } };
  const y = { type: 'quantitative', title: `Damage in an hour / ${powerOfTen(exponent)}`, scale: capped ? { domain: [0, top / scale], nice: false } : { zero: true } };
  const level = `${formatted(100 * interval.level)} % interval`;
  return makeFigure({
    title, height: 340, notes: convergence.notes, subtitle: `${convergence.verdict}: ${capped ? `anywhere from ${readable(interval.low, 2)} to ${readable(interval.high, 2)} in an hour, beyond the frame` : `± ${readable(100 * convergence.relativeHalfWidth, 2)} %`} (${level}); about ${readable(convergence.hoursNeeded, 2)} h would do`,
    caption: `Damage in an hour against the length of the record; in the end (dashed) ${readable(perHour)} with a ${level} of ${readable(interval.low)} to ${readable(interval.high)}: ${convergence.verdict}.`,
    body: {
      layer: [
        { data: { values: [{ low: interval.low / scale, high: top / scale, from: 0, to: end }] }, mark: { type: 'rect', color: bandFills.spread, opacity: 0.5 }, encoding: { x: { field: 'from', ...x }, x2: { field: 'to' }, y: { field: 'low', ...y }, y2: { field: 'high' } } },
        { data: { values: Array.from(hours, (h, i) => ({ h: h * toAxis, d: runningPerHour[i]! / scale })) }, mark: { type: 'line', strokeWidth: 1.8, point: { size: 22 } }, encoding: { x: { field: 'h', ...x }, y: { field: 'd', ...y } } },
        { data: { values: [{ d: perHour / scale }] }, mark: { type: 'rule', strokeDash: [6, 3], color: inks[1], strokeWidth: 1.4 }, encoding: { y: { field: 'd', ...y } } },
      ],
    },
  });
}
