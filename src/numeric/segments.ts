import { fftPlan } from './fft.js';

/** What is taken out of a segment before the window. */
export type Detrend = 'mean' | 'linear' | 'none';

/** Segments of one length at stated places, a window over each, and what is taken out of each first. */
export interface Segmentation {
  readonly window: Float64Array;
  readonly detrend: Detrend;
  /** First sample of every segment. */
  readonly starts: ArrayLike<number>;
}

/** The places of segments of that length, hop apart, within a run. */
export function segmentStarts(from: number, to: number, length: number, hop: number): number[] {
  const starts: number[] = [];
  for (let at = from; at + length <= to; at += hop) starts.push(at);
  return starts;
}

/** Σ x over values[at … at + length) by four sums, so that the additions overlap. */
function sumOf(values: Float64Array, at: number, length: number): number {
  let a = 0, b = 0, c = 0, d = 0, i = at;
  for (const end = at + length - 3; i < end; i += 4) {
    a += values[i]!;
    b += values[i + 1]!;
    c += values[i + 2]!;
    d += values[i + 3]!;
  }
  for (; i < at + length; i++) a += values[i]!;
  return a + b + (c + d);
}

/** What is taken out of a segment: mean + slope·(i − (N − 1)/2). */
interface Trend {
  readonly mean: number;
  readonly slope: number;
}

function trendOf(values: Float64Array, at: number, n: number, detrend: Detrend): Trend {
  if (detrend === 'none') return { mean: 0, slope: 0 };
  const mean = sumOf(values, at, n) / n;
  if (detrend === 'mean' || n === 1) return { mean, slope: 0 };
  let moment = 0;
  for (let i = 0; i < n; i++) moment += (i - (n - 1) / 2) * (values[at + i]! - mean);
  return { mean, slope: moment / ((n * (n * n - 1)) / 12) };
}

/** Puts a detrended, windowed segment into the real (part 0) or imaginary (part 1) places of an interleaved array. */
export function loadSegment(target: Float64Array, part: 0 | 1, values: Float64Array, at: number, window: Float64Array, detrend: Detrend): void {
  const n = window.length;
  const { mean, slope } = trendOf(values, at, n, detrend);
  if (slope === 0) for (let i = 0, j = part; i < n; i++, j += 2) target[j] = (values[at + i]! - mean) * window[i]!;
  else for (let i = 0, j = part; i < n; i++, j += 2) target[j] = (values[at + i]! - mean - slope * (i - (n - 1) / 2)) * window[i]!;
}

/** Two segments at once, one real, one imaginary; the second may be missing (−1). */
function loadTwo(target: Float64Array, values: Float64Array, first: number, second: number, window: Float64Array, detrend: Detrend): void {
  const n = window.length;
  if (second < 0 || detrend === 'linear') {
    loadSegment(target, 0, values, first, window, detrend);
    if (second >= 0) loadSegment(target, 1, values, second, window, detrend);
    else for (let j = 1; j < 2 * n; j += 2) target[j] = 0;
    return;
  }
  const a = trendOf(values, first, n, detrend).mean, b = trendOf(values, second, n, detrend).mean;
  for (let i = 0, j = 0; i < n; i++, j += 2) {
    const w = window[i]!;
    target[j] = (values[first + i]! - a) * w;
    target[j + 1] = (values[second + i]! - b) * w;
  }
}

/** power[k] += (|Z[k]|² + |Z[N−k]|²)/2, k = 0 … N/2. */
function addFolded(power: Float64Array, Z: Float64Array): void {
  const last = power.length - 1;
  power[0]! += Z[0]! * Z[0]! + Z[1]! * Z[1]!;
  for (let k = 1, j = 2, m = Z.length - 2; k <= last; k++, j += 2, m -= 2) {
    const a = Z[j]!, b = Z[j + 1]!, c = Z[m]!, d = Z[m + 1]!;
    power[k] = power[k]! + (a * a + b * b + (c * c + d * d)) / 2;
  }
}

/**
 * Σ over the segments of |X[k]|², k = 0 … N/2, not scaled.
 *
 * Two segments go through one complex transform, Z = X + i·Y: |Z[k]|² + |Z[N−k]|² = 2·(|X[k]|² + |Y[k]|²), so the two need not be taken apart.
 */
export function sumOfPowers(values: Float64Array, { window, detrend, starts }: Segmentation): Float64Array {
  const n = window.length;
  const plan = fftPlan(n);
  const z = new Float64Array(2 * n), scratch = new Float64Array(2 * n);
  const power = new Float64Array((n >> 1) + 1);
  for (let s = 0; s < starts.length; s += 2) {
    loadTwo(z, values, starts[s]!, s + 1 < starts.length ? starts[s + 1]! : -1, window, detrend);
    addFolded(power, plan.consume(z, scratch));
  }
  return power;
}

/** |X[k]|², k = 0 … N/2, of every segment, segment by segment. */
export function segmentPowers(values: Float64Array, { window, detrend, starts }: Segmentation): Float64Array {
  const n = window.length, bins = (n >> 1) + 1;
  const plan = fftPlan(n);
  const z = new Float64Array(2 * n), out = new Float64Array(2 * n);
  const powers = new Float64Array(bins * starts.length);
  for (let s = 0; s < starts.length; s += 2) {
    loadTwo(z, values, starts[s]!, s + 1 < starts.length ? starts[s + 1]! : -1, window, detrend);
    plan.forward(out, z);
    for (let k = 0; k < bins; k++) {
      const j = 2 * k, m = k === 0 ? 0 : 2 * (n - k);
      const xr = out[j]! + out[m]!, xi = out[j + 1]! - out[m + 1]!, yr = out[j + 1]! + out[m + 1]!, yi = out[m]! - out[j]!;
      powers[s * bins + k] = (xr * xr + xi * xi) / 4;
      if (s + 1 < starts.length) powers[(s + 1) * bins + k] = (yr * yr + yi * yi) / 4;
    }
  }
  return powers;
}

/** X[k], k = 0 … N/2, of one segment, interleaved. */
export function segmentTransform(values: Float64Array, at: number, window: Float64Array, detrend: Detrend): Float64Array {
  const n = window.length;
  const z = new Float64Array(2 * n), out = new Float64Array(2 * n);
  loadSegment(z, 0, values, at, window, detrend);
  fftPlan(n).forward(out, z);
  return out.slice(0, 2 * ((n >> 1) + 1));
}

/** Sums over the segments of |X|², |Y|² and conj(X)·Y of two records. */
export interface CrossSums {
  readonly xx: Float64Array;
  readonly yy: Float64Array;
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** The power of two that brings the imaginary parts to the size of the real ones, so that neither drowns in the other's rounding. */
function balance(z: Float64Array): number {
  let re = 0, im = 0;
  for (let j = 0; j < z.length; j += 2) {
    re += z[j]! * z[j]!;
    im += z[j + 1]! * z[j + 1]!;
  }
  if (!(re > 0) || !(im > 0)) return 1;
  const factor = 2 ** Math.round(Math.log2(re / im) / 2);
  for (let j = 1; j < z.length; j += 2) z[j]! *= factor;
  return factor;
}

/** Sums of powers and of conj(X[k])·Y[k], k = 0 … N/2; x and y go through one complex transform. */
export function sumOfCrossPowers(x: Float64Array, y: Float64Array, { window, detrend, starts }: Segmentation): CrossSums {
  const n = window.length, bins = (n >> 1) + 1;
  const plan = fftPlan(n);
  const z = new Float64Array(2 * n), out = new Float64Array(2 * n);
  const sums = { xx: new Float64Array(bins), yy: new Float64Array(bins), re: new Float64Array(bins), im: new Float64Array(bins) };
  for (let s = 0; s < starts.length; s++) {
    loadSegment(z, 0, x, starts[s]!, window, detrend);
    loadSegment(z, 1, y, starts[s]!, window, detrend);
    const f = 2 * balance(z);
    plan.forward(out, z);
    for (let k = 0; k < bins; k++) {
      const j = 2 * k, m = k === 0 ? 0 : 2 * (n - k);
      const xr = (out[j]! + out[m]!) / 2, xi = (out[j + 1]! - out[m + 1]!) / 2, yr = (out[j + 1]! + out[m + 1]!) / f, yi = (out[m]! - out[j]!) / f;
      sums.xx[k]! += xr * xr + xi * xi;
      sums.yy[k]! += yr * yr + yi * yi;
      sums.re[k]! += xr * yr + xi * yi;
      sums.im[k]! += xr * yi - xi * yr;
    }
  }
  return sums;
}
