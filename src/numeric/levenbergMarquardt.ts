import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { leastSquares, type LinearFit } from './leastSquares.js';

/** A model for fitting: residuals y − f(θ), and one column ∂f/∂θₖ for each parameter. */
export interface FitModel {
  residuals(parameters: Float64Array): Float64Array;
  jacobian(parameters: Float64Array): readonly Float64Array[];
}

/** Where a fit ended. */
export interface NonlinearFit {
  readonly parameters: Float64Array;
  readonly sumOfSquares: number;
  /** The linear fit at the end: its covariance, deviation and degrees of freedom are those of the parameters. */
  readonly linear: LinearFit;
  readonly iterations: number;
}

/**
 * Fits a nonlinear model by least squares: steps that solve (JᵀJ + λ·diag JᵀJ)·δ = Jᵀr, with λ tenfold less after a good
 * step and tenfold more after a bad one.
 *
 * @param model residuals and their Jacobian
 * @param start parameters to begin with
 * @returns null where it does not settle in `most` steps, or where the parameters cannot be told apart at the end
 * @references D. W. Marquardt, An algorithm for least-squares estimation of nonlinear parameters, J. SIAM 11 (1963) 431.
 */
export function levenbergMarquardt(model: FitModel, start: ArrayLike<number>, most = 100): NonlinearFit | null {
  let parameters = Float64Array.from(start);
  let residuals = model.residuals(parameters);
  let sum = sumSquares(residuals);
  let lambda = 1e-3;
  for (let iterations = 1; iterations <= most; iterations++) {
    const columns = model.jacobian(parameters);
    let settled = false;
    for (;;) {
      const step = normalSolve(columns, residuals, lambda);
      if (!step) return null;
      const next = parameters.map((p, k) => p + step[k]!);
      const nextResiduals = model.residuals(next);
      const nextSum = sumSquares(nextResiduals);
      if (nextSum <= sum) {
        settled = sum - nextSum <= 1e-12 * sum || step.every((s, k) => Math.abs(s) <= 1e-10 * Math.abs(next[k]!));
        [parameters, residuals, sum] = [next, nextResiduals, nextSum];
        lambda = Math.max(lambda / 10, 1e-12);
        break;
      }
      if (lambda > 1e12) {
        settled = true;
        break;
      }
      lambda *= 10;
    }
    if (settled) {
      const linear = leastSquares(model.jacobian(parameters), residuals);
      return linear && { parameters, sumOfSquares: sum, linear: { ...linear, ...spread(linear, sum) }, iterations };
    }
  }
  return null;
}

/** The covariance for the residuals as they stand, and not as one more linear step would leave them. */
function spread(linear: LinearFit, sum: number): Pick<LinearFit, 'covariance' | 'deviation'> {
  const deviation = Math.sqrt(sum / Math.max(1, linear.degreesOfFreedom));
  const scale = linear.deviation > 0 ? (deviation / linear.deviation) ** 2 : 1;
  return { deviation, covariance: linear.covariance.map((row) => row.map((v) => v * scale)) };
}

/**
 * Solves the normal equations (XᵀX + λ·diag XᵀX)·b = Xᵀy by Cholesky (ml-matrix), columns scaled to unit length first.
 *
 * @returns null where the columns cannot be told apart
 */
export function normalSolve(columns: readonly Float64Array[], y: Float64Array, lambda = 0): Float64Array | null {
  const p = columns.length;
  const scale = columns.map((c) => Math.sqrt(sumSquares(c)));
  if (scale.some((s) => !(s > 0) || !Number.isFinite(s))) return null;
  const A = new Matrix(p, p);
  const b = new Matrix(p, 1);
  for (let j = 0; j < p; j++) {
    for (let k = 0; k < j; k++) {
      const product = dot(columns[j]!, columns[k]!) / (scale[j]! * scale[k]!);
      A.set(j, k, product);
      A.set(k, j, product);
    }
    A.set(j, j, 1 + lambda);
    b.set(j, 0, dot(columns[j]!, y) / scale[j]!);
  }
  const cholesky = new CholeskyDecomposition(A);
  if (!cholesky.isPositiveDefinite()) return null;
  const step = cholesky.solve(b);
  return Float64Array.from(scale, (s, j) => step.get(j, 0) / s);
}

function dot(a: Float64Array, b: Float64Array): number {
  let s = 0;
  for (let i = 0; i < a.length; i++) s += a[i]! * b[i]!;
  return s;
}

function sumSquares(a: Float64Array): number {
  return dot(a, a);
}
