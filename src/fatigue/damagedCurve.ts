import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { branchesOf, checkCurve, cyclesToFailure, lifeCurve, type LifeCurve } from './LifeCurve.js';
import { makeStress } from './stress.js';

/** What was run on a curve, and how its strength is taken to fall. */
export interface DamagedCurveOptions {
  /** Stress that was run, Pa, as the curve measures it. */
  readonly stress: number;
  readonly cycles: number;
  /** Miner keeps the slope and moves the line; Manson turns the line about its point at 10³ cycles. */
  readonly rule: 'Miner' | 'Manson';
}

/**
 * Gives the curve of a part that has already run some cycles above its knee: the new line passes through the stress that
 * was run at the cycles that are left there, N₁ − n₁.
 *
 * Miner: same slope, so every life shrinks by 1 − n₁/N₁. Manson: the strength at 10³ cycles stays, so the line turns about
 * that point and the strength at the knee falls. A second run is put on the result in the same way.
 *
 * Cost: none.
 *
 * @param curve a curve with one slope and a knee
 * @param run the stress, its cycles and the rule
 * @returns the curve of what is left, its knee at the same cycles
 * @throws InputError for a curve with a bend or without a knee, a stress below the knee, or no life left
 * @see damage for the sum over a whole count
 * @example
 * const fresh = curveLibrary.synthetic({ kind: 'direct', ultimate: psi(80e3), enduranceLimit: psi(40e3), fraction: 0.9 });
 * damagedCurve(fresh, { stress: psi(60e3), cycles: 3000, rule: 'Manson' }).kneeStress / psi(1000) // => 34.45
 * damagedCurve(fresh, { stress: psi(60e3), cycles: 3000, rule: 'Miner' }).kneeStress / psi(1000) // => 38.55
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, section 6-15, pp. 324 to 326 (Miner and Manson).
 */
export function damagedCurve<C extends LifeCurve>(curve: C, run: DamagedCurveOptions): LifeCurve<C['measure'], C['kind']> {
  const where = 'damagedCurve';
  checkCurve(where, curve);
  checkOptions(where, run, { required: ['stress', 'cycles', 'rule'] });
  checkChoice(where, 'rule', run.rule, ['Miner', 'Manson']);
  checkNumber(where, 'cycles', run.cycles, { min: 0, unit: 'cycles' });
  if (curve.bend || curve.knee === null) throw new InputError({ where, argument: 'curve', expected: 'one with a single slope and a knee', given: curve.bend ? `${curve.name}, with a bend` : `${curve.name}, without a knee` });
  checkNumber(where, 'stress', run.stress, { min: curve.kneeStress, unit: 'Pa' });
  const life = cyclesToFailure(curve, makeStress(where, curve.measure, curve.kind, run.stress) as never);
  const left = life - run.cycles;
  if (!(left > 0)) throw new InputError({ where, argument: 'cycles', expected: `below the ${life.toPrecision(4)} cycles that the curve lasts there`, given: String(run.cycles), remedy: 'Nothing is left.' });
  const first = branchesOf(curve)[0]!;
  const strengthAt1000 = first.stress * (first.cycles / 1000) ** (1 / first.slope);
  const slope = run.rule === 'Miner' ? curve.slope : Math.log(left / 1000) / Math.log(strengthAt1000 / run.stress);
  if (!(slope > 0)) throw new InputError({ where, argument: 'cycles', expected: 'such that more than 1000 cycles are left, the point about which Manson turns the line', given: `${left.toPrecision(4)} left` });
  const { kneeStress: _, slopeBeyond: __, ...data } = curve;
  return lifeCurve<C['measure'], C['kind']>({
    ...data, name: `${curve.name}, after ${run.cycles} cycles at ${(run.stress / 1e6).toPrecision(4)} MPa (${run.rule})`, through: { stress: run.stress, cycles: left }, slope,
    source: `${curve.source}; lowered after ${run.rule} (Shigley, 9th ed., section 6-15)`,
  });
}
