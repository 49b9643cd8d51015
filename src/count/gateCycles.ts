import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Unit } from '../record/units.js';
import { assembleCount } from './assemble.js';
import { isCycleCount, type CycleCount } from './CycleCount.js';

/** Values and their indices. */
export interface GatedPoints {
  readonly values: Float64Array;
  readonly at: Float64Array;
}

/**
 * Leaves out cycles of small range, at view time. A closed cycle stays where its range is at least the gate; the residue
 * goes through the hysteresis filter (see hysteresisFilter), so that none of its ranges is below the gate.
 *
 * The result is the count of the signal that was sent through the hysteresis filter before counting, bit for bit:
 * gate before = gate after. Nothing is lost by counting without a gate and choosing one later.
 *
 * Cost: one pass over the closed cycles.
 *
 * @param count a count that keeps its cycles exactly
 * @param gate the smallest range that stays, in the unit of the count, at least 0
 * @returns the gated count, which carries its gate (the larger of two); it merges with no further pieces: gate the merged count instead
 * @throws InputError for a gate below 0, or a count that holds a histogram
 * @see countCycles closeResidue
 * @example
 * const count = countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2));
 * gateCycles(count, 5).closed.at.length // => 0
 * gateCycles(count, 5).residue.values // => [-3,5,-4,4,-2]
 * closeResidue(gateCycles(count, 5), 'half').gate // => 5
 */
export function gateCycles<U extends Unit>(count: CycleCount<U>, gate: number): CycleCount<U> {
  const where = 'gateCycles';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  checkNumber(where, 'gate', gate, { min: 0, unit: count.unit });
  if (count.histogram) {
    throw new InputError({ where, argument: 'count', expected: 'one that keeps its cycles exactly', given: 'one that holds a histogram', remedy: "Count with keep: 'cycles', or gate the result of closeResidue by its class ranges." });
  }
  const { from, to, fromAt, at } = count.closed;
  const keep: number[] = [];
  for (let k = 0; k < at.length; k++) if (Math.abs(from[k]! - to[k]!) >= gate) keep.push(k);
  const pick = (values: Float64Array): Float64Array => Float64Array.from(keep, (k) => values[k]!);
  return assembleCount({
    ...count, lostSamples: count.samples - count.validSamples, closed: { from: pick(from), to: pick(to), fromAt: pick(fromAt), at: pick(at) }, closedCycles: keep.length, gate: Math.max(gate, count.gate),
    residue: hysteresisFilter(count.residue.values, gate, count.residue.at), largest: count.largest.filter((c) => c.range >= gate),
  });
}

/**
 * Keeps only reversals of at least `gate`: a turning point stands once the signal has moved away from it by the gate or more.
 * All ranges between the points that come out are at least the gate; a signal that moves less in all has none.
 * Of equal extremes the higher by time stands, as in the count.
 *
 * @param at indices to carry along; the places in `values` where left out
 * @example hysteresisFilter(Float64Array.of(0, 3, 2, 5, -5, -4), 2).values // => [0,5,-5]
 */
export function hysteresisFilter(values: Float64Array, gate: number, at?: Float64Array): GatedPoints {
  const kept: number[] = [];
  let low = 0, high = 0;
  let direction = 0;
  for (let i = 1; i < values.length; i++) {
    const v = values[i]!;
    if (direction >= 0 && v >= values[high]!) high = i;
    if (direction <= 0 && (v < values[low]! || (v === values[low] && low === i - 1))) low = i;
    if (direction === 0 && values[high]! - values[low]! >= gate && high !== low) {
      kept.push(Math.min(low, high));
      direction = high > low ? 1 : -1;
    } else if (direction > 0 && values[high]! - v >= gate && v < values[high]!) {
      kept.push(high);
      low = i;
      direction = -1;
    } else if (direction < 0 && v - values[low]! >= gate && v > values[low]!) {
      kept.push(low);
      high = i;
      direction = 1;
    }
  }
  if (direction !== 0) kept.push(direction > 0 ? high : low);
  return { values: Float64Array.from(kept, (i) => values[i]!), at: Float64Array.from(kept, (i) => (at ? at[i]! : i)) };
}
