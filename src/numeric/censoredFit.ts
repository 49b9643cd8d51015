import { inverse, Matrix, solve } from 'ml-matrix';
import { normalCdf } from './distributions.js';

/** A straight line y = a + b·x with normal scatter, fitted to values of which some are only known to be larger. */
export interface CensoredFit {
  readonly intercept: number;
  readonly slope: number;
  /** Maximum-likelihood standard deviation. */
  readonly deviation: number;
  /** Of intercept and slope, from the observed information. */
  readonly covariance: { readonly aa: number; readonly ab: number; readonly bb: number };
  readonly logLikelihood: number;
}

/**
 * Fits y ≈ a + b·x by maximum likelihood; where censored[i] is true, only y > y[i] is known. In the parameters a/σ, b/σ
 * and 1/σ the likelihood is concave, so Newton's method with halved steps finds its one maximum.
 *
 * @returns null where no maximum exists (fewer than three exact values, or exact values at one x only)
 * @references R. J. Olsen, Note on the uniqueness of the maximum likelihood estimator for the Tobit model, Econometrica 46 (1978) 1211.
 */
export function censoredFit(x: Float64Array, y: Float64Array, censored: readonly boolean[]): CensoredFit | null {
  const exact = censored.filter((c) => !c).length;
  if (exact < 3 || new Set(Array.from(x).filter((_, i) => !censored[i])).size < 2) return null;
  const meanX = average(x), meanY = average(y);
  const u = x.map((v) => v - meanX), v = y.map((w) => w - meanY);
  let theta = [0, 0, 1 / Math.max(1e-9, Math.sqrt(average(v.map((w) => w * w))))];
  let current = likelihood(u, v, censored, theta);
  for (let step = 0; step < 200; step++) {
    const move = solve(current.hessian, Matrix.columnVector(current.gradient)).to1DArray();
    let scale = 1, next = theta, tried = current;
    for (; scale > 1e-12; scale /= 2) {
      next = theta.map((t, i) => t - scale * move[i]!);
      if (next[2]! > 0) {
        tried = likelihood(u, v, censored, next);
        if (tried.value >= current.value) break;
      }
    }
    const gain = tried.value - current.value;
    if (!(scale > 1e-12)) break;
    theta = next;
    current = tried;
    if (gain < 1e-13 * (1 + Math.abs(current.value)) && scale === 1) break;
  }
  const [p, q, g] = theta as [number, number, number];
  if (!Number.isFinite(p + q + g) || g > 1e8) return null;
  // Covariance of (a, b) from that of (a/σ, b/σ, 1/σ) by the delta method.
  const C = inverse(Matrix.mul(current.hessian, -1));
  const J = new Matrix([[1 / g, 0, -p / (g * g)], [0, 1 / g, -q / (g * g)]]);
  const V = J.mmul(C).mmul(J.transpose());
  const bb = V.get(1, 1), ab0 = V.get(0, 1), aa0 = V.get(0, 0);
  const slope = q / g;
  return {
    intercept: p / g + meanY - slope * meanX, slope, deviation: 1 / g, logLikelihood: current.value,
    covariance: { bb, ab: ab0 - meanX * bb, aa: aa0 - 2 * meanX * ab0 + meanX * meanX * bb },
  };
}

function likelihood(x: Float64Array, y: Float64Array, censored: readonly boolean[], [p, q, g]: readonly number[]): { readonly value: number; readonly gradient: number[]; readonly hessian: Matrix } {
  let value = 0;
  const gradient = [0, 0, 0];
  const H = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  for (let i = 0; i < x.length; i++) {
    const z = g! * y[i]! - p! - q! * x[i]!;
    const row = [-1, -x[i]!, y[i]!];
    let slope: number, bend: number;
    if (censored[i]) {
      const hazard = normalHazard(z);
      value += logUpper(z);
      slope = -hazard;
      bend = -hazard * (hazard - z);
    } else {
      value += Math.log(g!) - 0.5 * z * z - 0.5 * Math.log(2 * Math.PI);
      slope = -z;
      bend = -1;
      gradient[2]! += 1 / g!;
      H[8]! -= 1 / (g! * g!);
    }
    for (let j = 0; j < 3; j++) {
      gradient[j]! += slope * row[j]!;
      for (let k = 0; k < 3; k++) H[3 * j + k]! += bend * row[j]! * row[k]!;
    }
  }
  return { value, gradient, hessian: new Matrix([H.slice(0, 3), H.slice(3, 6), H.slice(6, 9)]) };
}

/** φ(z) / (1 − Φ(z)). */
function normalHazard(z: number): number {
  return z > 30 ? z + 1 / z : Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI) / normalCdf(-z);
}

/** ln(1 − Φ(z)). */
function logUpper(z: number): number {
  return z > 30 ? -0.5 * z * z - Math.log(z * Math.sqrt(2 * Math.PI)) : Math.log(normalCdf(-z));
}

function average(values: Float64Array): number {
  let sum = 0;
  for (const v of values) sum += v;
  return sum / values.length;
}
