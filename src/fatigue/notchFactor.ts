import { checkChoice, checkNumber, checkOptions, checkText, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { checkKind, type StressKind } from './stress.js';

/**
 * What a notch factor stands for: a fatigue notch factor Kf, a theoretical one Kt (full notch sensitivity), nothing because the curve holds the notch,
 * or a raiser that the curve's detail does not describe (misalignment, a hole beside the weld) and that comes on top of the notch it holds.
 */
export type NotchBasis = 'fatigue' | 'theoretical' | 'in the curve' | 'on top of the curve';

/** A factor from nominal to local stress, with where it comes from. */
export interface NotchFactor<K extends StressKind = StressKind> {
  readonly kind: K;
  /** Local over nominal stress, at least 1. */
  readonly value: number;
  readonly basis: NotchBasis;
  /** Smooth where the value is 1 and no curve holds a notch, notched else; it decides how mean stress in torsion is looked at. */
  readonly state: 'smooth' | 'notched';
  readonly source: string;
}

/**
 * States the factor that takes a nominal stress to the local one: local = Kf · nominal.
 *
 * Kept: what is given. Cost: none.
 *
 * @param data kind of stress, value (at least 1), basis and source text; a smooth shaft has the value 1 and the basis `'fatigue'`; a curve of a detail that holds its notch has the value 1 and the basis `'in the curve'`; a raiser that such a detail does not describe has the basis `'on top of the curve'`
 * @returns the factor as plain frozen data
 * @throws InputError for a value below 1, another value than 1 with `'in the curve'`, or no source
 * @see localStress, fatigueNotchFactor
 * @example
 * notchFactor({ kind: 'shear', value: 1.45, basis: 'fatigue', source: 'keyway, drawing 17' }).state // => "notched"
 * notchFactor({ kind: 'shear', value: 0.9, basis: 'fatigue', source: 'guess' }) // => throws value must be a finite number at least 1, got 0.9
 */
export function notchFactor<const K extends StressKind>(data: { readonly kind: K; readonly value: number; readonly basis: NotchBasis; readonly source: string }): NotchFactor<K> {
  const where = 'notchFactor';
  checkOptions(where, data, { required: ['kind', 'value', 'basis', 'source'] });
  checkChoice(where, 'kind', data.kind, ['shear', 'direct']);
  checkNumber(where, 'value', data.value, { min: 1 });
  checkChoice(where, 'basis', data.basis, ['fatigue', 'theoretical', 'in the curve', 'on top of the curve']);
  if (data.basis === 'in the curve' && data.value !== 1) {
    throw new InputError({ where, argument: 'value', expected: "1 where the basis is 'in the curve'", given: String(data.value), remedy: "A raiser that the curve's detail does not describe has the basis 'on top of the curve'." });
  }
  checkText(where, 'source', data.source);
  return makeResult<NotchFactor<K>>('NotchFactor', { ...data, state: data.basis === 'in the curve' || data.basis === 'on top of the curve' || data.value > 1 ? 'notched' : 'smooth' },
    (n) => `Notch factor ${n.value.toPrecision(4)} in ${n.kind} (${n.basis}; ${n.source})`);
}

/** The factor itself. @throws InputError where it is something else, or of another stress kind. */
export function checkNotch<K extends StressKind>(where: string, notch: unknown, kind: K): NotchFactor<K> {
  if (kindOf(notch) !== 'NotchFactor') throw new InputError({ where, argument: 'notch', expected: 'a NotchFactor', given: show(notch), remedy: 'State one with notchFactor.' });
  checkKind(where, 'notch', (notch as NotchFactor).kind, kind);
  return notch as NotchFactor<K>;
}

/**
 * Refuses a notch that would count twice, or not at all: a fatigue or theoretical factor above 1 on a curve that holds its notch, and a notch that is
 * left to a curve of smooth specimens.
 *
 * @throws InputError with the way out
 */
export function checkNotchOnCurve(where: string, notch: NotchFactor | null, curve: { readonly name: string; readonly notch: 'in the curve' | 'in the stress' }): void {
  if (notch === null) return;
  const leftToCurve = notch.basis === 'in the curve' || notch.basis === 'on top of the curve';
  if (curve.notch === 'in the stress' && leftToCurve) {
    throw new InputError({
      where, argument: 'notch', expected: `stated as a factor, because the curve ${curve.name} does not hold one`, given: `a notch factor with the basis '${notch.basis}'`,
      remedy: "State Kf or Kt with the basis 'fatigue' or 'theoretical' (1 for a smooth shaft), or take a curve of the detail.",
    });
  }
  if (curve.notch === 'in the curve' && !leftToCurve && notch.value > 1) {
    throw new InputError({
      where, argument: 'notch', expected: `1, because the curve ${curve.name} holds its notch already`, given: `${notch.value} (${notch.basis}; ${notch.source})`,
      remedy: "State the value 1 with the basis 'in the curve', or take a curve of smooth specimens. A raiser that the curve's detail does not describe has the basis 'on top of the curve'.",
    });
  }
}
