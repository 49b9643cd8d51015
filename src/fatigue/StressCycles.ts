import { checkChoice, checkList, checkNumber, checkOptions, checkText, show, type Bounds } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { closeResidue } from '../count/closeResidue.js';
import { isCycleCount, isCycles, makeCycles, type CycleCount, type Cycles, type ResiduePolicy } from '../count/CycleCount.js';
import { checkNotch, type NotchFactor } from './notchFactor.js';
import type { StressBasis, StressKind } from './stress.js';

/** One factor on the way from what was counted to the stress, with where it comes from. */
export interface StressStep {
  readonly step: 'nominal shear' | 'notch' | 'stated';
  readonly factor: number;
  readonly source: string;
}

/**
 * Counted cycles together with what they are as stress: basis, kind and the factor that turns the counted quantity into
 * pascals. The count itself is kept as it was counted; the factor acts when it is read.
 */
export interface StressCycles<B extends StressBasis = StressBasis, K extends StressKind = StressKind> {
  readonly basis: B;
  readonly kind: K;
  /** The count with its residue open, or cycles whose residue is closed. */
  readonly cycles: CycleCount | Cycles;
  /** Pa for one unit of the count. */
  readonly factor: number;
  /** The factors in order; their product is `factor`. */
  readonly chain: readonly StressStep[];
  /** The notch that the local stress holds; null for nominal stress, and for local stress that was stated. */
  readonly notch: NotchFactor | null;
}

/** Makes stress cycles from their parts. */
export function makeStressCycles<B extends StressBasis, K extends StressKind>(basis: B, kind: K, cycles: CycleCount | Cycles, chain: readonly StressStep[], notch: NotchFactor | null = null): StressCycles<B, K> {
  return makeResult<StressCycles<B, K>>('StressCycles', {
    basis, kind, cycles, factor: chain.reduce((product, step) => product * step.factor, 1), chain: Object.freeze(chain.map((step) => Object.freeze({ ...step }))), notch,
  }, (s) => `Cycles of ${s.basis} ${s.kind} stress: ${s.chain.map((step) => `${step.step} × ${step.factor.toPrecision(4)} (${step.source})`).join(', ')}`);
}

/**
 * States what a count in pascals is: its basis and its kind.
 *
 * Kept: the count as it is. Cost: none.
 *
 * @param cycles a CycleCount or Cycles in Pa, for instance of shearStress(channel) or of an equivalent stress
 * @param options basis, kind, and in words where that is known from
 * @returns the count as stress cycles
 * @throws InputError for a count in another unit (use shearStress for torque)
 * @see shearStress, localStress
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [MPa(90), MPa(70)], count: [2e4, 1e5], hours: 24 });
 * stressCycles(table, { basis: 'local', kind: 'shear', source: 'load table of the drawing' }).kind // => "shear"
 */
export function stressCycles<const B extends StressBasis, const K extends StressKind>(cycles: CycleCount<'Pa'> | Cycles<'Pa'>, options: { readonly basis: B; readonly kind: K; readonly source: string }): StressCycles<B, K> {
  const where = 'stressCycles';
  checkCount(where, cycles, 'Pa', 'Use shearStress for a count of torque.');
  checkOptions(where, options, { required: ['basis', 'kind', 'source'] });
  checkChoice(where, 'basis', options.basis, ['nominal', 'local']);
  checkChoice(where, 'kind', options.kind, ['shear', 'direct']);
  checkText(where, 'source', options.source);
  return makeStressCycles(options.basis, options.kind, cycles, [{ step: 'stated', factor: 1, source: options.source }]);
}

/**
 * Takes nominal stress cycles to the notch: local = Kf · nominal, amplitude and mean alike. The mean is
 * not relieved by local yielding, which is on the safe side.
 *
 * Kept: the count as it is. Cost: none.
 *
 * @param cycles nominal stress cycles, from shearStress or stressCycles
 * @param notch the factor, of the same kind of stress; a smooth shaft and a curve that holds its notch state the value 1
 * @returns local stress cycles, ready for damage
 * @throws InputError for cycles that are local already, or a notch of another kind of stress
 * @see notchFactor, damage
 * @example
 * const nominal = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(90)], count: [1], hours: 1 }), { basis: 'nominal', kind: 'shear', source: 'by hand' });
 * localStress(nominal, notchFactor({ kind: 'shear', value: 1.5, basis: 'fatigue', source: 'drawing' })).factor // => 1.5
 */
export function localStress<C extends StressCycles<'nominal'>>(cycles: C, notch: NotchFactor<C['kind']>): StressCycles<'local', C['kind']> {
  const where = 'localStress';
  checkStressCycles(where, cycles, 'nominal');
  checkNotch(where, notch, cycles.kind);
  return makeStressCycles('local', cycles.kind, cycles.cycles, [...cycles.chain, { step: 'notch', factor: notch.value, source: notch.source }], notch);
}

/** What cyclesFromTable takes. */
export interface CycleTable<U extends 'Pa' | 'N·m'> {
  readonly unit: U;
  /** Peak to peak, above 0. */
  readonly range: ArrayLike<number>;
  /** Signed means; 0 where left out. */
  readonly mean?: ArrayLike<number>;
  /** Cycles of each row, not negative. */
  readonly count: ArrayLike<number>;
  /** Hours in which they occur, above 0. */
  readonly hours: number;
}

/**
 * Makes cycles from a table of ranges, means and counts, for a load spectrum that was given and not measured.
 *
 * Kept: the rows in order. Cost: one pass.
 *
 * @returns the cycles, with no residue left open and no time stamps
 * @throws InputError for columns of different length, a range that is not above 0, or a negative count
 * @example cyclesFromTable({ unit: 'N·m', range: [10, 20], count: [1e6, 2e5], hours: 10 }).total // => 1200000
 */
export function cyclesFromTable<const U extends 'Pa' | 'N·m'>(table: CycleTable<U>): Cycles<U> {
  const where = 'cyclesFromTable';
  checkOptions(where, table, { required: ['unit', 'range', 'count', 'hours'], optional: ['mean'] });
  checkChoice(where, 'unit', table.unit, ['Pa', 'N·m']);
  checkNumber(where, 'hours', table.hours, { above: 0, unit: 'h' });
  checkNumber(where, 'hours, in seconds,', table.hours * 3600, { unit: 's' });
  const column = (name: 'range' | 'mean' | 'count', bounds: Bounds): Float64Array => Float64Array.from(
    Array.from(checkList(where, name, table[name]!, 'a list of numbers with at least one row'), (value, i) => checkNumber(where, `${name}[${i}]`, value, bounds)));
  const range = column('range', { above: 0, unit: table.unit });
  const count = column('count', { min: 0, unit: 'cycles' });
  const mean = table.mean === undefined ? new Float64Array(range.length) : column('mean', { unit: table.unit });
  if (count.length !== range.length || mean.length !== range.length) {
    throw new InputError({ where, argument: 'range, mean and count', expected: 'columns of one length, with at least one row', given: `${range.length}, ${mean.length} and ${count.length} rows` });
  }
  const total = checkNumber(where, 'sum of the counts', count.reduce((sum, n) => sum + n, 0), { unit: 'cycles' });
  return makeCycles<U>({
    unit: table.unit, range, mean, from: range.map((r, i) => mean[i]! - r / 2), to: range.map((r, i) => mean[i]! + r / 2), count, fromAt: new Float64Array(range.length).fill(-1), at: new Float64Array(range.length).fill(-1), total,
    sampleRate: null, validTime: table.hours * 3600, lostTime: 0, residue: 'drop', gate: 0, sources: [], notes: Object.freeze(['made from a table of cycles']),
  });
}

/** The stress cycles themselves. @throws InputError where they are something else, or of another basis. */
export function checkStressCycles(where: string, cycles: unknown, basis: StressBasis): StressCycles {
  if (kindOf(cycles) !== 'StressCycles') {
    throw new InputError({ where, argument: 'cycles', expected: `cycles of ${basis} stress`, given: show(cycles), remedy: 'Make them with shearStress(count, section) or stressCycles, and localStress.' });
  }
  const given = cycles as StressCycles;
  if (given.basis !== basis) {
    throw new InputError({
      where, argument: 'cycles', expected: `cycles of ${basis} stress`, given: `cycles of ${given.basis} stress`,
      remedy: basis === 'local' ? 'State the notch with localStress(cycles, notchFactor(…)); a smooth shaft has the factor 1.' : 'Give the cycles as they were before localStress.',
    });
  }
  return given;
}

/** A count or cycles of the unit needed. @throws InputError else. */
export function checkCount(where: string, cycles: unknown, unit: string | null, remedy?: string): CycleCount | Cycles {
  if (!isCycleCount(cycles) && !isCycles(cycles)) throw new InputError({ where, argument: 'cycles', expected: 'a CycleCount or Cycles', given: show(cycles), remedy: 'Make one with countCycles or cyclesFromTable.' });
  if (unit !== null && cycles.unit !== unit) throw new InputError({ where, argument: 'unit of the cycles', expected: unit, given: cycles.unit, ...(remedy ? { remedy } : {}) });
  return cycles;
}

/** Cycles ready to read: a count is closed by the policy; cycles that are closed already must have been closed by the same one. A table of cycles, the only one without a source, has no residue. */
export function closedBy(where: string, cycles: CycleCount | Cycles, residue: ResiduePolicy): Cycles {
  checkChoice(where, 'residue', residue, ['half', 'repeat', 'drop']);
  if (isCycleCount(cycles)) return closeResidue(cycles, residue);
  if (cycles.sources.length > 0 && cycles.residue !== residue) {
    throw new InputError({ where, argument: 'residue', expected: `'${cycles.residue}', by which these cycles were closed`, given: `'${residue}'`, remedy: 'Give the CycleCount itself to choose the policy here.' });
  }
  return cycles;
}
