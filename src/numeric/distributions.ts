// Probability functions of @stdlib, under the names that this library uses. Nothing is computed here.
import gammaFunction from '@stdlib/math-base-special-gamma';
import gammainc from '@stdlib/math-base-special-gammainc';
import gammaln from '@stdlib/math-base-special-gammaln';
import chiSquare from '@stdlib/stats-base-dists-chisquare-quantile';
import gammaDist from '@stdlib/stats-base-dists-gamma-quantile';
import cdf from '@stdlib/stats-base-dists-normal-cdf';
import quantile from '@stdlib/stats-base-dists-normal-quantile';
import student from '@stdlib/stats-base-dists-t-quantile';

/** P(Z ≤ z) of the standard normal. @example normalCdf(1.959963985) // => 0.975 */
export function normalCdf(z: number): number {
  return cdf(z, 0, 1);
}

/** z with P(Z ≤ z) = p of the standard normal, 0 < p < 1. @example normalQuantile(0.975) // => 1.959963985 */
export function normalQuantile(p: number): number {
  return quantile(p, 0, 1);
}

/** t with P(T ≤ t) = p of Student's distribution. @example studentQuantile(0.995, 16) // => 2.92078 */
export function studentQuantile(p: number, degreesOfFreedom: number): number {
  return student(p, degreesOfFreedom);
}

/** x with P(X ≤ x) = p of the chi-square distribution. @example chiSquareQuantile(0.95, 10) // => 18.307 */
export function chiSquareQuantile(p: number, degreesOfFreedom: number): number {
  return chiSquare(p, degreesOfFreedom);
}

/** x with P(X ≤ x) = p of the gamma distribution of that shape and rate 1. @example gammaQuantile(0.5, 1) // => 0.693147 */
export function gammaQuantile(p: number, shape: number): number {
  return gammaDist(p, shape, 1);
}

/** Γ(x). @example gamma(5) // => 24 */
export function gamma(x: number): number {
  return gammaFunction(x);
}

/** ln Γ(x). @example logGamma(5) // => 3.178053830 */
export function logGamma(x: number): number {
  return gammaln(x);
}

/** Regularised lower incomplete gamma function P(s, x). @example lowerGamma(1, 1) // => 0.632120559 */
export function lowerGamma(s: number, x: number): number {
  return gammainc(x, s);
}
