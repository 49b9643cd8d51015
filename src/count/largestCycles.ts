import { checkChoice, checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Unit } from '../record/units.js';
import { residueCycles, residuePolicies } from './closeResidue.js';
import { isCycleCount, type CycleCount, type ResiduePolicy } from './CycleCount.js';
import { whenOf } from './largest.js';

/** One of the largest cycles, the residue included. */
export interface StampedCycle {
  readonly range: number;
  readonly mean: number;
  readonly from: number;
  readonly to: number;
  /** 1 for a closed cycle, 0.5 for half a cycle of the residue. */
  readonly count: number;
  /** Sample index of `to`. */
  readonly at: number;
  /** The record it happened in. */
  readonly source: string;
  /** Seconds from the first sample of that record. */
  readonly seconds: number;
  /** ISO 8601 UTC; null where the start of that record is not known. */
  readonly time: string | null;
}

/**
 * Lists the largest cycles of a count with their time stamps, the residue counted as told.
 *
 * Cost: a sort of the largest closed cycles that the count keeps, and of the residue.
 *
 * @param count a count
 * @param options residue (no default) and number, 10 unless told, at most as many as the count keeps
 * @returns largest first; of equal ranges the earlier first
 * @throws InputError for something that is no count, another policy, or more cycles than the count keeps
 * @see countCycles closeResidue
 * @example
 * const count = countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2));
 * largestCycles(count, { residue: 'half', number: 2 }).map((c) => c.range) // => [9,8]
 * largestCycles(count, { residue: 'half', number: 2 })[0].seconds // => 6
 */
export function largestCycles<U extends Unit>(count: CycleCount<U>, options: { readonly residue: ResiduePolicy; readonly number?: number }): readonly StampedCycle[] {
  const where = 'largestCycles';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  checkChoice(where, 'residue', options?.residue, residuePolicies);
  const number = checkNumber(where, 'number', options.number ?? 10, { integer: true, min: 1, max: Math.max(1, count.largestKept) });
  const rows = [...count.largest.map((c) => ({ ...c, count: 1 })), ...residueCycles(count.residue, options.residue)];
  return rows.map((c) => {
    const { source, seconds, time } = whenOf(count.sources, count.sampleRate, c.at);
    return Object.freeze({ range: Math.abs(c.from - c.to), mean: (c.from + c.to) / 2, from: c.from, to: c.to, count: c.count, at: c.at, source: source.name, seconds, time });
  }).sort((a, b) => b.range - a.range || a.at - b.at).slice(0, number);
}
