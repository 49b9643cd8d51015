import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { isUnit, type Unit } from '../record/units.js';
import { assembleCount } from './assemble.js';
import { isCycleCount, type CycleCount } from './CycleCount.js';
import { findHuge } from './turningPoints.js';

/**
 * Multiplies a count by a factor and states the unit of the result: torque to stress, for one. The count of a scaled
 * signal is the scaled count.
 *
 * Kept: places, times, sources. Cost: one copy.
 *
 * @param count a count
 * @param factor above 0, in new unit per old unit
 * @param unit the unit of the result
 * @returns the scaled count
 * @throws InputError for a factor that is not above 0 or leaves a range, a mean, a class edge or a gate that is not finite, or an unknown unit
 * @see countCycles
 * @example
 * const torque = countCycles(Float64Array.of(0, 4, -6, 8, -2, 2, -10), { unit: 'N·m' });
 * scaleCount(torque, 7000, 'Pa').closed.from // => [-14000]
 */
export function scaleCount<U extends Unit, V extends Unit>(count: CycleCount<U>, factor: number, unit: V): CycleCount<V> {
  const where = 'scaleCount';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  if (!isUnit(unit)) throw new InputError({ where, argument: 'unit', expected: 'a unit', given: show(unit) });
  if (!(factor > 0)) {
    throw new InputError({ where, argument: 'factor', expected: 'above 0', given: show(factor), remedy: 'For another sign convention turn the sign of the channel before counting.' });
  }
  checkNumber(where, 'factor', factor);
  const scaled = (values: Float64Array): Float64Array => values.map((v) => v * factor);
  const { closed, histogram, residue } = count;
  if ([residue.values, histogram?.edges ?? [], [count.gate]].some((values) => findHuge(scaled(Float64Array.from(values))) >= 0)) throw new InputError({ where, argument: 'factor', expected: 'a factor that leaves ranges and means finite', given: show(factor) });
  return assembleCount({
    ...count, unit, gate: count.gate * factor, lostSamples: count.samples - count.validSamples,
    closed: { from: scaled(closed.from), to: scaled(closed.to), fromAt: closed.fromAt, at: closed.at },
    histogram: histogram && { ...histogram, edges: scaled(histogram.edges) },
    residue: { values: scaled(residue.values), at: residue.at },
    largest: count.largest.map((c) => ({ from: c.from * factor, to: c.to * factor, fromAt: c.fromAt, at: c.at })),
  });
}
