/** A piecewise cubic through knots with given slopes (Hermite form). */
export interface Spline {
  /** Rising. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly slope: Float64Array;
}

/**
 * The cubic spline through points, twice continuously differentiable, with a third derivative that does not jump at the second and the
 * last but one knot ("not-a-knot"); a parabola through three points, a line through two. As scipy.interpolate.CubicSpline by default.
 *
 * @param x rising, at least two
 * @references C. de Boor, A Practical Guide to Splines, 1978, chapter IV.
 */
export function cubicSpline(x: Float64Array, y: Float64Array): Spline {
  const n = x.length;
  const h = new Float64Array(n - 1), rise = new Float64Array(n - 1);
  for (let i = 0; i + 1 < n; i++) {
    h[i] = x[i + 1]! - x[i]!;
    rise[i] = (y[i + 1]! - y[i]!) / h[i]!;
  }
  if (n === 2) return { x, y, slope: new Float64Array(2).fill(rise[0]!) };
  if (n === 3) {
    const bend = (rise[1]! - rise[0]!) / (x[2]! - x[0]!);
    return { x, y, slope: Float64Array.from([rise[0]! - bend * h[0]!, rise[0]! + bend * h[0]!, rise[1]! + bend * h[1]!]) };
  }
  const below = new Float64Array(n), main = new Float64Array(n), above = new Float64Array(n), slope = new Float64Array(n);
  const d0 = h[0]! + h[1]!, d1 = h[n - 2]! + h[n - 3]!;
  main[0] = h[1]!;
  above[0] = d0;
  slope[0] = ((h[0]! + 2 * d0) * h[1]! * rise[0]! + h[0]! ** 2 * rise[1]!) / d0;
  for (let i = 1; i + 1 < n; i++) {
    below[i] = h[i]!;
    main[i] = 2 * (h[i - 1]! + h[i]!);
    above[i] = h[i - 1]!;
    slope[i] = 3 * (h[i]! * rise[i - 1]! + h[i - 1]! * rise[i]!);
  }
  below[n - 1] = d1;
  main[n - 1] = h[n - 3]!;
  slope[n - 1] = (h[n - 2]! ** 2 * rise[n - 3]! + (2 * d1 + h[n - 2]!) * h[n - 3]! * rise[n - 2]!) / d1;
  for (let i = 1; i < n; i++) {
    const f = below[i]! / main[i - 1]!;
    main[i]! -= f * above[i - 1]!;
    slope[i]! -= f * slope[i - 1]!;
  }
  slope[n - 1]! /= main[n - 1]!;
  for (let i = n - 2; i >= 0; i--) slope[i] = (slope[i]! - above[i]! * slope[i + 1]!) / main[i]!;
  return { x, y, slope };
}

/** Value (0), first (1) or second (2) derivative of a spline on its piece i at x. */
export function splinePiece({ x, y, slope }: Spline, i: number, at: number, derivative: 0 | 1 | 2): number {
  const h = x[i + 1]! - x[i]!, u = at - x[i]!;
  const rise = (y[i + 1]! - y[i]!) / h;
  const c = (3 * rise - 2 * slope[i]! - slope[i + 1]!) / h, d = (slope[i]! + slope[i + 1]! - 2 * rise) / (h * h);
  if (derivative === 0) return y[i]! + u * (slope[i]! + u * (c + u * d));
  return derivative === 1 ? slope[i]! + u * (2 * c + 3 * u * d) : 2 * c + 6 * u * d;
}

/** A spline's value or derivative at rising places; beyond the ends the outermost piece goes on. */
export function evaluateSpline(spline: Spline, at: Float64Array, derivative: 0 | 1 | 2 = 0): Float64Array {
  const out = new Float64Array(at.length);
  let i = 0;
  for (let k = 0; k < at.length; k++) {
    while (i + 2 < spline.x.length && at[k]! >= spline.x[i + 1]!) i++;
    out[k] = splinePiece(spline, i, at[k]!, derivative);
  }
  return out;
}

/** The integral of a spline from its first knot, as a piecewise cubic whose slopes are the spline's values. */
export function integralOfSpline({ x, y, slope }: Spline): Spline {
  const sum = new Float64Array(x.length);
  for (let i = 0; i + 1 < x.length; i++) {
    const h = x[i + 1]! - x[i]!;
    sum[i + 1] = sum[i]! + (h * (y[i]! + y[i + 1]!)) / 2 + (h * h * (slope[i]! - slope[i + 1]!)) / 12;
  }
  return { x, y: sum, slope: y };
}

/** The places at which a rising piecewise cubic takes rising values, by Newton's rule within each piece, kept by bisection. */
export function invertSpline(spline: Spline, values: Float64Array): Float64Array {
  const out = new Float64Array(values.length);
  const { x, y } = spline;
  let i = 0;
  for (let k = 0; k < values.length; k++) {
    while (i + 2 < x.length && values[k]! >= y[i + 1]!) i++;
    let low = x[i]!, high = x[i + 1]!;
    let at = low + ((values[k]! - y[i]!) / (y[i + 1]! - y[i]!)) * (high - low);
    for (let round = 0; round < 60; round++) {
      const excess = splinePiece(spline, i, at, 0) - values[k]!;
      if (excess > 0) high = Math.min(high, at);
      else low = Math.max(low, at);
      let next = at - excess / splinePiece(spline, i, at, 1);
      if (!(next >= low && next <= high)) next = (low + high) / 2;
      const done = Math.abs(next - at) <= 1e-15 * Math.abs(at) + 1e-18;
      at = next;
      if (done) break;
    }
    out[k] = at;
  }
  return out;
}
