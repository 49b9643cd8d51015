import { gamma, lowerGamma } from '../numeric/distributions.js';
import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { branchesOf, checkCurve, continuations, type Continuation, type LifeCurve } from './LifeCurve.js';

/** A long-term distribution of stress that falls off as Weibull's: P(S > s) = exp(−(s/q)^h), q = largest / (ln n₀)^(1/h). */
export interface WeibullSpectrum {
  /** Stress passed once in `cycles`, Pa, as the curve measures it. */
  readonly largest: number;
  /** Number of cycles n₀. */
  readonly cycles: number;
  /** Shape h. */
  readonly shape: number;
}

/**
 * Sums the damage of a Weibull spectrum in closed form: on a branch N·Sᵐ = C between s₁ and s₂ it is
 * n₀·qᵐ/C·(Γ(1 + m/h; (s₁/q)^h) − Γ(1 + m/h; (s₂/q)^h)).
 *
 * For spectra that a rule or a designer states; a measured count goes to damage. Cost: none.
 *
 * @param spectrum largest stress, cycles and shape
 * @param options curve, and the continuation below its knee (the curve's own by default)
 * @returns the Miner sum of all the cycles
 * @throws InputError for a stress, a number or a shape that is not above 0 (cycles above 1)
 * @see damage
 * @example
 * const straight = lifeCurve({ ...curveLibrary.dnvAir('D'), knee: null, slopeBeyond: undefined, kneeStress: undefined });
 * weibullDamage({ largest: MPa(200), cycles: 1e8, shape: 1 }, { curve: straight }) // => 0.526410
 * @references DNV-OS-C201, section 7, A400 (simplified fatigue; edition not known); JCSS Probabilistic Model Code, part 3.12 (its edition not known), annex B: E[Sᵐ] = kᵐ·Γ(m/λ + 1).
 */
export function weibullDamage(spectrum: WeibullSpectrum, options: { readonly curve: LifeCurve; readonly continuation?: Continuation }): number {
  const where = 'weibullDamage';
  checkOptions(where, spectrum, { required: ['largest', 'cycles', 'shape'] });
  checkOptions(where, options, { required: ['curve'], optional: ['continuation'] });
  const curve = checkCurve(where, options.curve);
  const continuation = options.continuation === undefined ? curve.beyond : checkChoice(where, 'continuation', options.continuation, continuations);
  const h = checkNumber(where, 'shape', spectrum.shape, { above: 0 });
  const n = checkNumber(where, 'cycles', spectrum.cycles, { above: 1, unit: 'cycles' });
  const q = checkNumber(where, 'largest', spectrum.largest, { above: 0, unit: 'Pa' }) / Math.log(n) ** (1 / h);
  let above = 1;
  const total = branchesOf(curve, continuation).reduce((sum, branch, k) => {
    const shape = 1 + branch.slope / h;
    // P(shape, ·) up to the upper bound of the branch less up to its lower one; the first branch has no upper bound.
    const upper = k === 0 ? 1 : lowerGamma(shape, (above / q) ** h);
    const lower = branch.least > 0 ? lowerGamma(shape, (branch.least / q) ** h) : 0;
    above = branch.least;
    return sum + ((n * (q / branch.stress) ** branch.slope) / branch.cycles) * gamma(shape) * (upper - lower);
  }, 0);
  return checkNumber(where, 'damage that follows', total);
}

/** Life factors of a gear, as a standard states them. */
export interface GearLifeFactor {
  /** Life factor at `from` cycles. */
  readonly factor: number;
  /** Cycles at which the life factor holds, and at which it has fallen to 1. */
  readonly from: number;
  readonly to: number;
  /** `'pitting'`: contact stress goes with the root of torque, so its exponent counts half; `'tooth root'`: stress goes with torque. */
  readonly failure: 'pitting' | 'tooth root';
}

/**
 * Gives the exponent p of torque, T^p·N = constant, from the knees of a gear's life factor: p = log(N₂/N₁)/log(Y), half of
 * it for pitting. Use it as the slope of equivalentRange or of a load sum over a gear train.
 *
 * Cost: none.
 *
 * @param data life factor and the cycles between which it falls to 1
 * @returns the exponent
 * @throws InputError for a factor that is not above 1, or cycles that do not rise
 * @see equivalentRange
 * @example gearTorqueExponent({ factor: 2.5, from: 1e3, to: 3e6, failure: 'tooth root' }) // => 8.738
 * @references ISO 6336-6:2006/2019, table of the exponent p, from the life factors of ISO 6336-2 and -3; from memory.
 */
export function gearTorqueExponent(data: GearLifeFactor): number {
  const where = 'gearTorqueExponent';
  checkOptions(where, data, { required: ['factor', 'from', 'to', 'failure'] });
  checkNumber(where, 'factor', data.factor, { above: 1 });
  checkNumber(where, 'from', data.from, { above: 0, unit: 'cycles' });
  checkNumber(where, 'to', data.to, { above: data.from, unit: 'cycles' });
  checkChoice(where, 'failure', data.failure, ['pitting', 'tooth root']);
  return checkNumber(where, 'exponent that follows', (Math.log(data.to / data.from) / Math.log(data.factor)) * (data.failure === 'pitting' ? 0.5 : 1));
}
