import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { closeResidue, residuePolicies } from './closeResidue.js';
import type { CycleCount, Cycles, ResiduePolicy } from './CycleCount.js';
import { mergeCounts } from './mergeCounts.js';

/** What is lost where files are counted one by one and their damage is summed. */
export interface FileSumLoss {
  /** S-N slope for which the damage is compared. */
  readonly exponent: number;
  readonly residue: ResiduePolicy;
  /** Damage of the files summed, over the damage of the merged count. Below 1: summing makes the shaft look better than it is. */
  readonly ratio: number;
  /** 1 − ratio. */
  readonly loss: number;
  /** The largest range of the merged count, and of any one file. */
  readonly largestMerged: number;
  readonly largestOfFiles: number;
  readonly files: number;
}

/**
 * Shows as a number what file-by-file summing loses: cycles that open in one file and close in another (start to stop,
 * cold to warm) are cut into smaller ones. Compares Σ nᵢ·Sᵢᵐ, which is proportional to damage for one S-N slope m.
 *
 * Cost: one merge.
 *
 * @param counts counts of the files of one shaft, in time order
 * @param options exponent m ≥ 1 and residue; no defaults
 * @returns the ratio of summed to merged damage, and the largest ranges
 * @throws InputError as mergeCounts does, or for a signal without a cycle
 * @see mergeCounts
 * @example
 * fileSumLoss([countCycles(Float64Array.of(0, 5)), countCycles(Float64Array.of(6, 10))], { exponent: 5, residue: 'half' }).ratio // => 0.04149
 */
export function fileSumLoss<U extends Unit>(counts: readonly CycleCount<U>[], options: { readonly exponent: number; readonly residue: ResiduePolicy }): FileSumLoss {
  const where = 'fileSumLoss';
  if (!Array.isArray(counts)) throw new InputError({ where, argument: 'counts', expected: 'a list of counts in time order', given: show(counts) });
  checkOptions(where, options, { required: ['exponent', 'residue'] });
  const exponent = checkNumber(where, 'exponent', options.exponent, { min: 1, max: 100 });
  const residue = checkChoice(where, 'residue', options.residue, residuePolicies);
  const merged = closeResidue(mergeCounts<Unit>(...counts), residue);
  const single = counts.map((count) => closeResidue(count, residue));
  const scale = Math.max(largestOf(merged), ...single.map(largestOf));
  checkNumber(where, 'largest range of the counts', scale, { above: 0 });
  const whole = powerSum(merged, exponent, scale);
  checkNumber(where, 'damage of the merged count', whole, { above: 0 });
  const ratio = single.reduce((sum, cycles) => sum + powerSum(cycles, exponent, scale), 0) / whole;
  return makeResult<FileSumLoss>('FileSumLoss', {
    exponent, residue, ratio, loss: 1 - ratio, largestMerged: largestOf(merged), largestOfFiles: Math.max(...single.map(largestOf)), files: counts.length,
  }, (l) => `FileSumLoss: ${l.files} files summed one by one give ${(100 * l.ratio).toPrecision(3)} % of the damage of the merged count (m = ${l.exponent}, residue '${l.residue}')`);
}

function largestOf(cycles: Cycles): number {
  return cycles.range.reduce((a, b) => Math.max(a, b), 0);
}

/** Σ n·(S / scale)ᵐ. */
export function powerSum(cycles: Cycles, exponent: number, scale: number): number {
  let sum = 0;
  for (let k = 0; k < cycles.range.length; k++) sum += cycles.count[k]! * (cycles.range[k]! / scale) ** exponent;
  return sum;
}
