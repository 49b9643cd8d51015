import { normalQuantile } from '../numeric/distributions.js';
import { checkNumber } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { percent } from './figures.js';
import { checkCurve, lifeCurve, type LifeCurve } from './LifeCurve.js';

/**
 * Moves a curve to another probability of survival: log₁₀ N shifts by (z_from − z_to)·s, s the scatter of log₁₀ N that the
 * curve states. Slopes, and the stress at the knee, stay. A curve from fitLifeCurve, which lies below its median by more than z·s, is moved from where it lies:
 * at 0.5 its line is the fitted median. How well the tests settle that line is in no survival; lifeBand draws it.
 *
 * Cost: none.
 *
 * @param curve a curve that states its survival and its deviation
 * @param survival between 0 and 1; 0.5 gives the median curve
 * @returns the moved curve; its name and source say so
 * @throws InputError where the curve states no survival or no deviation
 * @see fitLifeCurve
 * @example
 * const median = shiftSurvival(curveLibrary.bs7608('F', 2), 0.5);
 * cyclesToFailure(median, directRange(MPa(100))) / 1e6 // => 1.726
 * @references The shift of a lognormal life; BS 7608:1993 states its classes so (mean minus d standard deviations).
 */
export function shiftSurvival<C extends LifeCurve>(curve: C, survival: number): LifeCurve<C['measure'], C['kind']> {
  const where = 'shiftSurvival';
  checkCurve(where, curve);
  checkNumber(where, 'survival', survival, { above: 0, below: 1 });
  if (curve.survival === null || curve.deviation === null) {
    throw new InputError({ where, argument: 'curve', expected: 'one that states its survival and the deviation of log10 N', given: `${curve.name}, without ${curve.survival === null ? 'a survival' : 'a deviation'}` });
  }
  const toMedian = curve.fitted?.toMedian ?? normalQuantile(curve.survival) * curve.deviation;
  const left = normalQuantile(survival) * curve.deviation;
  const shift = 10 ** (toMedian - left);
  const { kneeStress: _, ...data } = curve;
  return lifeCurve<C['measure'], C['kind']>({
    ...data, survival, fitted: curve.fitted && { ...curve.fitted, toMedian: left }, name: `${curve.name}, ${percent(survival)} survival`, through: { stress: curve.through.stress, cycles: curve.through.cycles * shift },
    bend: curve.bend ? { ...curve.bend, cycles: curve.bend.cycles * shift } : null, knee: curve.knee === null ? null : curve.knee * shift,
    source: `${curve.source}; moved from ${percent(curve.survival)} to ${percent(survival)} survival`,
  });
}
