import { checkChoice, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Unit } from '../record/units.js';
import { classCentres } from './classes.js';
import { isCycleCount, makeCycles, type CycleCount, type Cycles, type FromToHistogram, type Residue, type ResiduePolicy } from './CycleCount.js';
import { closeTies, type Points } from './fourPoint.js';
import { turnsOf } from './turningPoints.js';

/** Every way to count a residue. */
export const residuePolicies: readonly ResiduePolicy[] = Object.freeze(['half', 'repeat', 'drop']);

/** A cycle with its weight. */
export interface WeighedCycle {
  readonly from: number;
  readonly to: number;
  readonly fromAt: number;
  readonly at: number;
  readonly count: number;
}

/**
 * Makes cycles for damage of a count, with the residue counted as told:
 *
 * - `'half'`: each range of the residue is half a cycle. The result is the rainflow count of E1049 for a record that does not repeat.
 * - `'repeat'`: as if the record were repeated for ever; the largest range is one whole cycle.
 * - `'drop'`: the residue is left out. The largest range of a record is always in the residue, so this is never on the safe side.
 *
 * Ties that the count left open (ranges equal to their neighbour) are closed first, so that the result does not depend
 * on the sign of the signal.
 *
 * Cost: one copy of the closed cycles.
 *
 * @param count the count of a record, or of merged records
 * @param residue the policy; it has no default because it can change a life
 * @returns rows of range, mean, from, to, count and sample index; first the closed cycles in time order, then the residue
 * @throws InputError for something that is no count, or another policy
 * @see countCycles gateCycles exceedance
 * @example
 * const count = countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2));
 * closeResidue(count, 'half').range // => [4,3,4,8,9,8,6]
 * closeResidue(count, 'half').total // => 4
 * closeResidue(count, 'repeat').range // => [4,3,7,9]
 * closeResidue(count, 'drop').range // => [4]
 * @references ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, 5.4.4 (half) and 5.4.5 (repeat), from memory.
 */
export function closeResidue<U extends Unit>(count: CycleCount<U>, residue: ResiduePolicy): Cycles<U> {
  const where = 'closeResidue';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  checkChoice(where, 'residue', residue, residuePolicies);
  const classes = count.histogram ? histogramRows(count.histogram) : [];
  const open = residueCycles(count.residue, residue);
  return buildCycles(count, residue, [...classes, ...open]);
}

/** The cycles of a residue under a policy, ties closed first. */
export function residueCycles(residue: Residue, policy: ResiduePolicy): readonly WeighedCycle[] {
  const { closed, values, at } = closeTies(residue);
  const ties = closed.map((c): WeighedCycle => ({ ...c, count: 1 }));
  if (policy === 'drop') return ties;
  if (policy === 'repeat') return [...ties, ...repeatedCycles({ values, at })];
  return [...ties, ...values.slice(1).map((to, k): WeighedCycle => ({ from: values[k]!, to, fromAt: at[k]!, at: at[k + 1]!, count: 0.5 }))];
}

/** Turned so that it begins and ends at its highest point, a residue closes altogether (E1049, 5.4.5). */
function repeatedCycles({ values, at }: Points): readonly WeighedCycle[] {
  const n = values.length;
  if (n < 2) return [];
  let top = 0;
  for (let k = 1; k < n; k++) if (values[k]! > values[top]!) top = k;
  const turned = Array.from({ length: n + 1 }, (_, k) => (top + k) % n);
  const turns = turnsOf(Float64Array.from(turned, (k) => values[k]!));
  const loop = closeTies({ values: turns.values, at: Array.from(turns.at, (k) => at[turned[k]!]!) });
  const inner = loop.closed.map((c): WeighedCycle => ({ ...c, count: 1 }));
  return loop.values.length < 2 ? inner : [...inner, { from: loop.values[0]!, to: loop.values[1]!, fromAt: loop.at[0]!, at: loop.at[1]!, count: 1 }];
}

function histogramRows({ edges, classes, counts }: FromToHistogram): readonly WeighedCycle[] {
  const centres = classCentres(edges);
  const rows: WeighedCycle[] = [];
  counts.forEach((count, k) => {
    if (count > 0) rows.push({ from: centres[Math.floor(k / classes)]!, to: centres[k % classes]!, fromAt: -1, at: -1, count });
  });
  return rows;
}

function buildCycles<U extends Unit>(source: CycleCount<U>, residue: ResiduePolicy, more: readonly WeighedCycle[]): Cycles<U> {
  const { closed } = source;
  const m = closed.at.length;
  const n = m + more.length;
  const from = new Float64Array(n), to = new Float64Array(n), fromAt = new Float64Array(n), at = new Float64Array(n);
  const count = new Float64Array(n).fill(1, 0, m);
  from.set(closed.from);
  to.set(closed.to);
  fromAt.set(closed.fromAt);
  at.set(closed.at);
  more.forEach((c, k) => {
    from[m + k] = c.from;
    to[m + k] = c.to;
    fromAt[m + k] = c.fromAt;
    at[m + k] = c.at;
    count[m + k] = c.count;
  });
  return withRanges({
    unit: source.unit, from, to, fromAt, at, count, residue, gate: source.gate, sampleRate: source.sampleRate, validTime: source.validTime, lostTime: source.lostTime, sources: source.sources, notes: source.notes,
  });
}

/** Cycles from their ends; range, mean and total follow. */
export function withRanges<U extends Unit>(rows: Omit<Cycles<U>, 'range' | 'mean' | 'total'>): Cycles<U> {
  const { from, to, count } = rows;
  const range = new Float64Array(from.length);
  const mean = new Float64Array(from.length);
  let total = 0;
  for (let k = 0; k < from.length; k++) {
    range[k] = Math.abs(from[k]! - to[k]!);
    mean[k] = (from[k]! + to[k]!) / 2;
    total += count[k]!;
  }
  return makeCycles({
    unit: rows.unit, range, mean, from, to, count, fromAt: rows.fromAt, at: rows.at, total, sampleRate: rows.sampleRate, validTime: rows.validTime, lostTime: rows.lostTime,
    residue: rows.residue, gate: rows.gate, sources: rows.sources, notes: rows.notes,
  });
}
