import { checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import type { CycleCount, Cycles, ResiduePolicy } from '../count/CycleCount.js';
import { checkCount, closedBy, type StressCycles } from './StressCycles.js';

/** Equivalent ranges for a list of slopes. */
export interface EquivalentRange {
  readonly unit: Unit;
  readonly slopes: Float64Array;
  /** Peak to peak, one for each slope. */
  readonly ranges: Float64Array;
  /** The number of cycles that they stand for. */
  readonly cycles: number;
  readonly residue: ResiduePolicy;
  readonly notes: readonly string[];
}

/**
 * Gives the constant range that does, in a stated number of cycles, the damage of a count under a straight line of slope m:
 * S_eq = (Σ nᵢ·Sᵢᵐ / N_eq)^(1/m).
 *
 * Kept: nothing of the single cycles. Cost: one power for each row and slope.
 *
 * @param cycles a CycleCount, Cycles or stress cycles
 * @param options slopes (each above 0), cycles N_eq, and the residue policy
 * @returns one range for each slope, in the unit of the count (Pa for stress cycles)
 * @throws InputError for no slope, a slope or a number that is not above 0
 * @see damage
 * @example
 * const table = cyclesFromTable({ unit: 'N·m', range: [10, 20, 40, 60], count: [1e6, 2e5, 1e4, 500], hours: 1 });
 * equivalentRange(table, { slopes: [5], cycles: 1e6, residue: 'half' }).ranges[0] // => 18.475693
 * @references IEC TS 61400-13:2001, definition of the equivalent load, as written above; edition from memory, clause not known.
 */
export function equivalentRange(cycles: StressCycles | CycleCount | Cycles, options: { readonly slopes: readonly number[]; readonly cycles: number; readonly residue: ResiduePolicy }): EquivalentRange {
  const where = 'equivalentRange';
  checkOptions(where, options, { required: ['slopes', 'cycles', 'residue'] });
  if (!Array.isArray(options.slopes) || options.slopes.length === 0) throw new InputError({ where, argument: 'slopes', expected: 'at least one slope', given: show(options.slopes) });
  options.slopes.forEach((slope, i) => checkNumber(where, `slopes[${i}]`, slope, { above: 0 }));
  checkNumber(where, 'cycles', options.cycles, { above: 0, unit: 'cycles' });
  const stress = kindOf(cycles) === 'StressCycles' ? (cycles as StressCycles) : null;
  const rows = closedBy(where, checkCount(where, stress ? stress.cycles : cycles, null), options.residue);
  const factor = stress ? stress.factor : 1;
  const ranges = Float64Array.from(options.slopes, (m) => factor * powerMean(rows, m, options.cycles));
  checkResult(where, 'slopes and cycles', { ranges });
  return makeResult<EquivalentRange>('EquivalentRange', {
    unit: stress ? 'Pa' : rows.unit, slopes: Float64Array.from(options.slopes), ranges, cycles: options.cycles, residue: options.residue, notes: rows.notes,
  }, (e) => `Equivalent range of ${e.cycles} cycles: ${Array.from(e.slopes, (m, i) => `m ${m}: ${e.ranges[i]!.toPrecision(4)} ${e.unit}`).join(', ')}`);
}

/** (Σ n·Sᵐ / N)^(1/m), scaled by the largest range so that high slopes do not overflow. */
function powerMean(rows: Cycles, slope: number, cycles: number): number {
  let top = 0;
  for (let i = 0; i < rows.range.length; i++) if (rows.range[i]! > top) top = rows.range[i]!;
  if (top === 0) return 0;
  let sum = 0;
  for (let i = 0; i < rows.range.length; i++) sum += rows.count[i]! * (rows.range[i]! / top) ** slope;
  return top * (sum / cycles) ** (1 / slope);
}
