import { InputError } from '../record/errors.js';
import { checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { damage, type Damage, type DamageOptions } from './damage.js';
import type { MeanStress } from './meanStress.js';
import { meanStressName } from './names.js';
import { checkStressCycles, type StressCycles } from './StressCycles.js';

/** Damage without and with mean stress, and which of the two is suggested. */
export interface MeanStressBounds {
  /** Mean stress left out. */
  readonly without: Damage;
  /** Mean stress by the rule: the upper bound, but where the cycles lie so far in compression that the rule relieves them. */
  readonly with: Damage;
  readonly suggested: 'without' | 'with';
  readonly reason: string;
  /** Damage with the rule over damage without; 1 where neither does damage, Infinity where only the rule leads to any. */
  readonly ratio: number;
}

/**
 * Shows both bounds of the mean-stress effect and which one the state of the notch speaks for: a smooth ductile shaft in
 * torsion shows no effect of mean shear below yield; a notched one does, and direct stress always does. In torsion |τm|
 * counts. Where a mean stress acts the larger damage is suggested: for direct stress in compression, which Smith, Watson and
 * Topper's rule and Walker's relieve down to no damage at all, that is the one without it. Where no cycle does damage either way, nothing is to be chosen: the one without stands.
 *
 * Kept: both results. Cost: twice damage.
 *
 * @param cycles local stress cycles that know their notch (from localStress)
 * @param options as damage takes them; `meanStress` is the rule that stands against none
 * @returns both damages, the suggestion and its reason
 * @throws InputError for `meanStress: 'none'`, cycles whose notch nobody stated, or as damage does
 * @see damage, meanStressFactor
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [MPa(200)], mean: [MPa(150)], count: [100], hours: 1 });
 * const nominal = stressCycles(table, { basis: 'nominal', kind: 'shear', source: 'by hand' });
 * const smooth = localStress(nominal, notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 'polished, no shoulder' }));
 * const curve = curveLibrary.synthetic({ kind: 'shear', ultimate: MPa(700), enduranceLimit: MPa(90) });
 * meanStressBounds(smooth, { curve, meanStress: { rule: 'goodman', ultimate: MPa(700), shear: 'von Mises' }, residue: 'half' }).suggested // => "without"
 * @references J. O. Smith, The effect of range of stress on the fatigue strength of metals, University of Illinois Bulletin 334, 1942; G. Sines, NACA TN 3495, 1955 (no effect of static torsion on smooth ductile specimens below yield); from memory.
 */
export function meanStressBounds<C extends StressCycles<'local'>>(cycles: C, options: DamageOptions<C['kind']> & { readonly meanStress: Exclude<MeanStress, 'none'> }): MeanStressBounds {
  const where = 'meanStressBounds';
  checkStressCycles(where, cycles, 'local');
  checkOptions(where, options, { required: ['curve', 'meanStress', 'residue'], optional: ['continuation', 'classes', 'largest'] });
  if ((options.meanStress as MeanStress) === 'none') throw new InputError({ where, argument: 'meanStress', expected: 'a rule, for the upper bound', given: "'none'" });
  if (!cycles.notch) throw new InputError({ where, argument: 'cycles', expected: 'cycles that know their notch', given: 'local stress that was stated without one', remedy: 'Make nominal cycles and state the notch with localStress.' });
  const without = damage(cycles, { ...options, meanStress: 'none' });
  const upper = damage(cycles, options);
  const smooth = cycles.kind === 'shear' && cycles.notch.state === 'smooth';
  const relieved = upper.total < without.total;
  const idle = upper.total === 0 && without.total === 0;
  const reason = idle ? 'no cycle does damage, with the rule or without it' : relieved ? 'in compression the rule relieves the cycles, for which no credit is taken' : cycles.kind === 'direct' ? 'direct stress: mean stress acts' : smooth ? 'smooth shaft in torsion: no effect of mean shear below yield' : 'notched shaft in torsion: mean shear acts as |mean|';
  return makeResult<MeanStressBounds>('MeanStressBounds', { without, with: upper, suggested: smooth || relieved || idle ? 'without' : 'with', reason, ratio: idle ? 1 : without.total > 0 ? upper.total / without.total : Number.POSITIVE_INFINITY },
    (b) => `Mean stress: damage × ${b.ratio.toPrecision(3)} with ${meanStressName(b.with.meanStress)}; ${b.suggested} it is suggested (${b.reason})`);
}
