import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { orderOfFloats } from '../numeric/order.js';
import { isCycles, type Cycles } from './CycleCount.js';

/** How many cycles reach each range. */
export interface Exceedance<U extends Unit = Unit> {
  readonly unit: U;
  /** Distinct ranges, largest first. */
  readonly range: Float64Array;
  /** Cycles of that range. */
  readonly count: Float64Array;
  /** Cycles of that range or a larger one. */
  readonly exceeded: Float64Array;
  /** Seconds that were read. */
  readonly validTime: number;
}

/**
 * Counts how often each range is reached or exceeded: the cumulative count from the largest range down, without classes.
 *
 * Cost: one sort.
 *
 * @param cycles from closeResidue
 * @returns distinct ranges, largest first, with their cycles and the cycles that reach them
 * @throws InputError for something else than cycles
 * @see closeResidue cycleMatrix
 * @example
 * const cycles = closeResidue(countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)), 'half');
 * exceedance(cycles).range // => [9,8,6,4,3]
 * exceedance(cycles).exceeded // => [0.5,1.5,2,3.5,4]
 */
export function exceedance<U extends Unit>(cycles: Cycles<U>): Exceedance<U> {
  checkCycles('exceedance', cycles);
  const order = orderOfFloats(cycles.range);
  const range: number[] = [], count: number[] = [], exceeded: number[] = [];
  let sum = 0;
  for (let k = order.length - 1; k >= 0; k--) {
    const i = order[k]!;
    sum += cycles.count[i]!;
    if (range.at(-1) === cycles.range[i]) {
      count[count.length - 1]! += cycles.count[i]!;
      exceeded[exceeded.length - 1] = sum;
    } else {
      range.push(cycles.range[i]!);
      count.push(cycles.count[i]!);
      exceeded.push(sum);
    }
  }
  return makeResult('Exceedance', {
    unit: cycles.unit, range: Float64Array.from(range), count: Float64Array.from(count), exceeded: Float64Array.from(exceeded), validTime: cycles.validTime,
  }, (e) => `Exceedance [${e.unit}]: ${sum} cycles in ${e.range.length} ranges up to ${(e.range[0] ?? 0).toPrecision(4)}`);
}

/** The cycles themselves. @throws InputError for anything else */
export function checkCycles(where: string, cycles: unknown): Cycles {
  if (isCycles(cycles)) return cycles;
  throw new InputError({ where, argument: 'cycles', expected: 'Cycles', given: show(cycles), remedy: 'Make them of a count with closeResidue.' });
}
