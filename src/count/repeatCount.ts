import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Unit } from '../record/units.js';
import { closeResidue, residueCycles, withRanges, type WeighedCycle } from './closeResidue.js';
import { isCycleCount, type CycleCount, type Cycles } from './CycleCount.js';

/**
 * Extrapolates a count to a record that is repeated a number of times: the cycles are those of the repeated record,
 * not those of one record multiplied. The closed cycles come `times` times, the cycles that close between one repetition
 * and the next `times − 1` times, and the residue, as halves, once.
 *
 * Nothing larger than the record's own largest range can come of it; for that see extrapolateTail.
 *
 * Cost: one copy.
 *
 * @param count the count of a record that stands for the duty
 * @param times how often it is repeated, a whole number from 1
 * @returns cycles over `times` the valid time; places and times of cycles are those of the first repetition, and verbs that go by time (damageByTime, cyclesByState, damageConvergence) refuse them
 * @throws InputError for something that is no count, or times below 1
 * @see closeResidue mergeCounts extrapolateTail
 * @example
 * const count = countCycles(Float64Array.of(0, 10, 2, 8, 0));
 * repeatCount(count, 1000).total // => 2000
 * repeatCount(count, 1000).validTime // => 5000
 */
export function repeatCount<U extends Unit>(count: CycleCount<U>, times: number): Cycles<U> {
  const where = 'repeatCount';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  checkNumber(where, 'times', times, { integer: true, min: 1 });
  const dropped = closeResidue(count, 'drop');
  const ties = residueCycles(count.residue, 'drop').length;
  const plain = dropped.count.length - ties;
  const between = residueCycles(count.residue, 'repeat').map((c): WeighedCycle => ({ ...c, count: c.count * (times - 1) }));
  const extra = [...(times > 1 ? between : []), ...residueCycles(count.residue, 'half')];
  const column = (key: 'from' | 'to' | 'fromAt' | 'at'): Float64Array => {
    const out = new Float64Array(plain + extra.length);
    out.set(dropped[key].subarray(0, plain));
    extra.forEach((c, k) => (out[plain + k] = c[key]));
    return out;
  };
  const weights = new Float64Array(plain + extra.length);
  for (let k = 0; k < plain; k++) weights[k] = dropped.count[k]! * times;
  extra.forEach((c, k) => (weights[plain + k] = c.count));
  return withRanges({
    unit: count.unit, from: column('from'), to: column('to'), fromAt: column('fromAt'), at: column('at'), count: weights, residue: 'half', gate: count.gate,
    sampleRate: count.sampleRate, validTime: count.validTime * times, lostTime: count.lostTime * times, sources: count.sources,
    notes: Object.freeze([...count.notes, `The record of ${count.validTime} s was taken ${times} times, one behind the other.`]),
  });
}
