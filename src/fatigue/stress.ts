import { checkNumber } from '../record/check.js';
import { InputError } from '../record/errors.js';

/** How a stress cycle is measured: peak to peak, or half of it. */
export type Measure = 'range' | 'amplitude';
/** What acts on the material: shear (torsion of a shaft), or direct stress (bending, axial, or an equivalent of both). */
export type StressKind = 'shear' | 'direct';
/** Where a stress is taken: nominal (no stress raiser: class and vibration limits) or local (at the notch: life). The two never mix. */
export type StressBasis = 'nominal' | 'local';

/** One number of stress that says what it is, so that a range cannot stand where an amplitude is needed. */
export interface Stress<M extends Measure = Measure, K extends StressKind = StressKind> {
  readonly measure: M;
  readonly kind: K;
  /** Pa, not negative. */
  readonly value: number;
}

/** A shear stress range, peak to peak. @param value Pa @example shearRange(MPa(80)).value // => 80000000 */
export function shearRange(value: number): Stress<'range', 'shear'> {
  return makeStress('shearRange', 'range', 'shear', value);
}

/** A shear stress amplitude, half of the range. @param value Pa @example shearAmplitude(MPa(40)).measure // => "amplitude" */
export function shearAmplitude(value: number): Stress<'amplitude', 'shear'> {
  return makeStress('shearAmplitude', 'amplitude', 'shear', value);
}

/** A direct stress range, peak to peak. @param value Pa @example directRange(MPa(80)).kind // => "direct" */
export function directRange(value: number): Stress<'range', 'direct'> {
  return makeStress('directRange', 'range', 'direct', value);
}

/** A direct stress amplitude, half of the range. @param value Pa @example directAmplitude(MPa(80)).value // => 80000000 */
export function directAmplitude(value: number): Stress<'amplitude', 'direct'> {
  return makeStress('directAmplitude', 'amplitude', 'direct', value);
}

/** A stress of any measure and kind, checked. */
export function makeStress<M extends Measure, K extends StressKind>(where: string, measure: M, kind: K, value: number): Stress<M, K> {
  checkNumber(where, 'value', value, { min: 0, unit: 'Pa' });
  return Object.freeze({ measure, kind, value });
}

/** Refuses a stress, curve or notch of another kind than the one needed. */
export function checkKind(where: string, argument: string, given: StressKind, needed: StressKind): void {
  if (given === needed) return;
  throw new InputError({
    where, argument, expected: `of ${needed} stress`, given: `${given} stress`,
    remedy: given === 'shear' ? 'Take a curve for shear, or turn the load into an equivalent direct stress first.' : 'Take a curve for direct stress, or give the shear stress.',
  });
}
