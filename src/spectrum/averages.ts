import { chiSquareQuantile } from '../numeric/distributions.js';

/** How the segments' periodograms are averaged. */
export type Averaging = 'mean' | 'median';

/** Factors that turn an estimated density into the ends of its confidence interval. */
export interface Confidence {
  /** For example 0.95. */
  readonly level: number;
  /** density × lower … density × upper. */
  readonly lower: number;
  readonly upper: number;
  /** Of the chi-square law that the interval is from: 2 × effective averages. */
  readonly degreesOfFreedom: number;
}

/** cⱼ = Σ w[n]·w[n + j·hop] / Σ w², j = 1, 2 …: the correlation of white noise in two segments that are j hops apart. */
function correlations(window: Float64Array, hop: number): number[] {
  const list: number[] = [];
  for (let shift = 0; shift < window.length; shift += hop) {
    let cross = 0;
    for (let n = shift; n < window.length; n++) cross += window[n]! * window[n - shift]!;
    list.push(cross);
  }
  return list.slice(1).map((c) => c / list[0]!);
}

/** Σ over runs of K_r + 2·Σⱼ (K_r − j)·xⱼ, over the square of all K: what averaging leaves of a variance. */
function leftOver(perRun: readonly number[], x: readonly number[]): number {
  const total = perRun.reduce((a, b) => a + b, 0);
  return perRun.reduce((sum, k) => sum + k + 2 * x.reduce((s, v, i) => s + Math.max(0, k - i - 1) * v, 0), 0) / (total * total);
}

/**
 * How many independent segments the overlapping ones are worth where noise stands beside a steady line: as effectiveAverages, with cⱼ in place of cⱼ², for what
 * moves the line's power is the product of line and noise.
 */
export function averagesBesideLine(window: Float64Array, hop: number, perRun: readonly number[]): number {
  return 1 / leftOver(perRun, correlations(window, hop));
}

/**
 * How many independent segments the overlapping ones are worth: K²/Σ over runs [K_r + 2·Σⱼ (K_r − j)·cⱼ²], cⱼ = Σ w[n]·w[n + j·hop]/Σ w², for white noise; for the
 * median × (ln 2)², its asymptotic efficiency for exponential periodograms.
 *
 * @references P. D. Welch, The use of fast Fourier transform for the estimation of power spectra, IEEE Trans. Audio Electroacoustics 15 (1967) 70, eq. for var{P̂}.
 */
export function effectiveAverages(window: Float64Array, hop: number, perRun: readonly number[], average: Averaging): number {
  const total = perRun.reduce((a, b) => a + b, 0);
  return (average === 'median' && total > 2 ? Math.LN2 ** 2 : 1) / leftOver(perRun, correlations(window, hop).map((c) => c * c));
}

/** The chi-square interval of an estimate with that many effective averages: ν/χ²_{(1+level)/2} … ν/χ²_{(1−level)/2}, ν = 2·averages. */
export function confidenceOf(averages: number, level: number): Confidence {
  const degreesOfFreedom = 2 * averages;
  return {
    level, degreesOfFreedom,
    lower: degreesOfFreedom / chiSquareQuantile((1 + level) / 2, degreesOfFreedom), upper: degreesOfFreedom / chiSquareQuantile((1 - level) / 2, degreesOfFreedom),
  };
}

/** Median over its mean of an exponential sample of n: Σ (−1)^{k+1}/k over odd n terms, as scipy.signal.welch(average='median') corrects it. */
export function medianBias(n: number): number {
  let bias = 1;
  for (let k = 2; k <= 2 * Math.floor((n - 1) / 2); k += 2) bias += 1 / (k + 1) - 1 / k;
  return bias;
}

/** Medians over the segments of powers[segment · bins + bin], divided by the median bias. */
export function medianPowers(powers: Float64Array, bins: number): Float64Array {
  const segments = powers.length / bins;
  const column = new Float64Array(segments);
  const bias = medianBias(segments);
  return Float64Array.from({ length: bins }, (_, k) => {
    for (let s = 0; s < segments; s++) column[s] = powers[s * bins + k]!;
    column.sort();
    const half = segments >> 1;
    return (segments % 2 === 1 ? column[half]! : (column[half - 1]! + column[half]!) / 2) / bias;
  });
}
