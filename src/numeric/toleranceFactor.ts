import { logGamma, normalCdf, normalQuantile } from './distributions.js';

/**
 * One-sided normal tolerance factor k: with the given confidence, the estimate − k·s lies below the point that the given
 * share of the population passes. `leverage` is the variance h of the estimate over σ² (1/n for a mean); s² has the given
 * degrees of freedom ν. Solves ∫ Φ((k·s − z_p)/√h) f(s) ds = confidence (the noncentral t), f the density of s/σ, by
 * Simpson's rule on 400 intervals of ln s and Newton's method kept between bounds.
 *
 * @param survival share of the population, 0 < p < 1
 * @param confidence 0 < γ < 1
 * @example toleranceFactor(0.95, 0.95, 1 / 10, 9) // => 2.911
 * @references G. J. Lieberman, Tables for one-sided statistical tolerance limits, Industrial Quality Control 14 (1958) 7 (the factor 2.911); from memory.
 */
export function toleranceFactor(survival: number, confidence: number, leverage: number, degreesOfFreedom: number): number {
  const intervals = 400;
  const nu = degreesOfFreedom;
  const z = normalQuantile(survival);
  const root = Math.sqrt(leverage);
  // In ln s, for with few degrees of freedom a high confidence hangs on s near 0. P(s < x) is at most (x·√e)^ν: 10⁻¹² below the lower end (0.2172 = log₁₀ √e).
  const from = Math.log(Math.max(10 ** (-12 / nu - 0.2172), 1 - 9 / Math.sqrt(nu)));
  const step = (Math.log(1 + 9 / Math.sqrt(nu)) - from) / intervals;
  const constant = Math.LN2 + (nu / 2) * Math.log(nu / 2) - logGamma(nu / 2);
  const spread = Float64Array.from({ length: intervals + 1 }, (_, i) => Math.exp(from + i * step));
  const weight = spread.map((s, i) => (i === 0 || i === intervals ? 1 : i % 2 === 1 ? 4 : 2) * (step / 3) * Math.exp(constant + nu * Math.log(s) - (nu * s * s) / 2));
  let low = -50, high = 500, k = z;
  for (let pass = 0; pass < 200; pass++) {
    let covered = -confidence, rise = 0;
    for (let i = 0; i <= intervals; i++) {
      const t = (k * spread[i]! - z) / root;
      covered += weight[i]! * normalCdf(t);
      rise += weight[i]! * spread[i]! * Math.exp(-0.5 * t * t);
    }
    if (covered < 0) low = k;
    else high = k;
    const newton = k - (covered * root * Math.sqrt(2 * Math.PI)) / rise;
    const next = newton > low && newton < high ? newton : (low + high) / 2;
    if (Math.abs(next - k) < 1e-9) return next;
    k = next;
  }
  return k;
}
