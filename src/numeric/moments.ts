/** Count, mean, sum of squared deviations and extremes of numbers; two of them merge exactly as defined. */
export interface Moments {
  readonly count: number;
  readonly mean: number;
  /** Σ (x − mean)². */
  readonly squares: number;
  readonly min: number;
  readonly max: number;
}

/** Largest minus smallest of the values within runs; −∞ without any. */
export function spanOf(values: ArrayLike<number>, runs: readonly { readonly from: number; readonly to: number }[]): number {
  let min = Infinity, max = -Infinity;
  for (const { from, to } of runs) {
    for (let i = from; i < to; i++) {
      const v = values[i]!;
      if (v < min) min = v;
      if (v > max) max = v;
    }
  }
  return max - min;
}

/** Moments of values[from … to), in two passes. */
export function momentsOf(values: ArrayLike<number>, from = 0, to: number = values.length): Moments {
  let sum = 0, min = Infinity, max = -Infinity;
  for (let i = from; i < to; i++) {
    const v = values[i]!;
    sum += v;
    if (v < min) min = v;
    if (v > max) max = v;
  }
  const count = to - from;
  const mean = sum / count;
  let squares = 0, rest = 0;
  for (let i = from; i < to; i++) {
    const d = values[i]! - mean;
    squares += d * d;
    rest += d;
  }
  return { count, mean: mean + rest / count, squares: squares - (rest * rest) / count, min, max };
}

/**
 * Moments of two sets together.
 *
 * @references T. F. Chan, G. H. Golub and R. J. LeVeque, Algorithms for computing the sample variance, The American Statistician 37 (1983) 242, eq. 2.1.
 */
export function mergeMoments(a: Moments, b: Moments): Moments {
  if (a.count === 0) return b;
  if (b.count === 0) return a;
  const count = a.count + b.count;
  const delta = b.mean - a.mean;
  return {
    count, mean: a.mean + (delta * b.count) / count, squares: a.squares + b.squares + (delta * delta * a.count * b.count) / count,
    min: Math.min(a.min, b.min), max: Math.max(a.max, b.max),
  };
}

/** Sample standard deviation (n − 1). */
export function standardDeviation(m: Moments): number {
  return Math.sqrt(m.squares / (m.count - 1));
}
