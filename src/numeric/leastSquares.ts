import { inverse, Matrix, QrDecomposition } from 'ml-matrix';

/** A linear least-squares fit: y ≈ X·coefficients. */
export interface LinearFit {
  readonly coefficients: Float64Array;
  /** s²·(XᵀX)⁻¹, row by row; s² = residual sum of squares / degreesOfFreedom. All zero where no freedom is left. */
  readonly covariance: readonly Float64Array[];
  readonly residuals: Float64Array;
  /** Residual standard deviation s. */
  readonly deviation: number;
  readonly degreesOfFreedom: number;
  /** Leverages, the diagonal of the hat matrix X·(XᵀX)⁻¹·Xᵀ. */
  readonly leverages: Float64Array;
}

/**
 * Fits y ≈ X·b by Householder QR (ml-matrix), after each column is scaled to unit length.
 *
 * @param columns the columns of X, each as long as y
 * @returns null where the columns cannot be told apart (rank below their number, to 1e-10)
 */
export function leastSquares(columns: readonly ArrayLike<number>[], y: ArrayLike<number>): LinearFit | null {
  const n = y.length;
  const p = columns.length;
  if (n < p || p === 0) return null;
  const scales = columns.map((c) => {
    let s = 0;
    for (let i = 0; i < n; i++) s += c[i]! * c[i]!;
    return Math.sqrt(s);
  });
  if (scales.some((s) => !(s > 0))) return null;
  const X = new Matrix(n, p);
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) X.set(i, j, columns[j]![i]! / scales[j]!);
  const qr = new QrDecomposition(X);
  const R = qr.upperTriangularMatrix;
  for (let j = 0; j < p; j++) if (!(Math.abs(R.get(j, j)) > 1e-10)) return null;
  const b = qr.solve(Matrix.columnVector(Array.from(y)));
  const coefficients = Float64Array.from({ length: p }, (_, j) => b.get(j, 0) / scales[j]!);
  const Rinv = inverse(R);
  const XtXinv = Rinv.mmul(Rinv.transpose());
  const residuals = new Float64Array(n);
  const leverages = new Float64Array(n);
  let rss = 0;
  for (let i = 0; i < n; i++) {
    let fitted = 0;
    let h = 0;
    for (let j = 0; j < p; j++) {
      fitted += X.get(i, j) * b.get(j, 0);
      for (let k = 0; k < p; k++) h += X.get(i, j) * XtXinv.get(j, k) * X.get(i, k);
    }
    residuals[i] = y[i]! - fitted;
    leverages[i] = h;
    rss += residuals[i]! * residuals[i]!;
  }
  const degreesOfFreedom = n - p;
  const variance = degreesOfFreedom > 0 ? rss / degreesOfFreedom : 0;
  const covariance = Array.from({ length: p }, (_, j) => Float64Array.from({ length: p }, (_, k) => (variance * XtXinv.get(j, k)) / (scales[j]! * scales[k]!)));
  return { coefficients, covariance, residuals, deviation: Math.sqrt(variance), degreesOfFreedom, leverages };
}
