import { checkList, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { studentQuantile } from '../numeric/distributions.js';
import { leastSquares } from '../numeric/leastSquares.js';

/** Points of speed and power, for example the means of steady states. */
export interface PowerPoints {
  /** rad/s, each above 0. */
  readonly speed: ArrayLike<number>;
  /** W, each above 0. */
  readonly power: ArrayLike<number>;
}

/** P = coefficient · ω^exponent, fitted with the exponent free and with it held at 3. */
export interface PowerLawFit {
  readonly coefficient: number;
  readonly exponent: number;
  /** Standard error and 95 % interval of the exponent. */
  readonly standardError: number;
  readonly low: number;
  readonly high: number;
  /** Coefficient of the cubic law, P = c·ω³, by least squares on the logarithm. */
  readonly cubic: number;
  /** Measured over fitted power less 1, one a point, for the free and the cubic law. */
  readonly residuals: Float64Array;
  readonly cubicResiduals: Float64Array;
  readonly notes: readonly string[];
}

const where = 'fitPowerLaw';

/**
 * Fits power against speed: ln P = ln c + k·ln ω, and the law of propellers and pumps against no static head, k = 3.
 *
 * @param points speed in rad/s and power in W, at least three at different speeds
 * @returns both fits with residuals; a note says whether 3 lies within the interval of the exponent
 * @throws InputError for too few points, or one that is not above 0
 * @see powerBalance, segmentStates
 * @example fitPowerLaw({ speed: [10, 20, 40], power: [1000, 8000, 64000] }).exponent // => 3
 * @references Similarity law of pumps and propellers (textbook).
 */
export function fitPowerLaw(points: PowerPoints): PowerLawFit {
  checkOptions(where, points, { required: ['speed', 'power'] });
  const { speed, power } = points;
  for (const [key, list] of [['speed', speed], ['power', power]] as const) checkList(where, key, list, 'a list of numbers');
  if (speed.length !== power.length || speed.length < 3) throw new InputError({ where, argument: 'points', expected: 'speed and power of one length, at least 3', given: `${speed.length} and ${power.length}` });
  const log = (name: string, list: ArrayLike<number>, unit: string): Float64Array => Float64Array.from(list, (v, k) => Math.log(checkNumber(where, `${name}[${k}]`, v, { above: 0, unit })));
  const x = log('speed', speed, 'rad/s');
  const y = log('power', power, 'W');
  const fit = leastSquares([new Float64Array(x.length).fill(1), x], y);
  if (!fit) throw new InputError({ where, argument: 'speed', expected: 'at least two different speeds', given: 'one speed' });
  const [logC, exponent] = fit.coefficients as unknown as [number, number];
  const standardError = Math.sqrt(fit.covariance[1]![1]!);
  const reach = studentQuantile(0.975, Math.max(1, fit.degreesOfFreedom)) * standardError;
  const logCubic = y.reduce((s, v, k) => s + v - 3 * x[k]!, 0) / x.length;
  const over = (model: (k: number) => number): Float64Array => y.map((v, k) => Math.exp(v - model(k)) - 1);
  // Points that lie on a law to the last digits have an interval narrower than rounding.
  const cubicHolds = Math.abs(exponent - 3) <= Math.max(reach, 1e-9);
  return makeResult('PowerLawFit', {
    coefficient: Math.exp(logC), exponent, standardError, low: exponent - reach, high: exponent + reach, cubic: Math.exp(logCubic),
    residuals: over((k) => logC + exponent * x[k]!), cubicResiduals: over((k) => logCubic + 3 * x[k]!),
    notes: Object.freeze([cubicHolds ? 'The cubic law lies within the 95 % interval of the exponent.' : 'The cubic law lies outside the 95 % interval of the exponent: static head, cavitation, another setting, or an error of the zero.']),
  }, (f) => `P = ${f.coefficient.toPrecision(4)}·ω^${f.exponent.toPrecision(4)} (exponent ${f.low.toPrecision(3)} to ${f.high.toPrecision(3)})`);
}
