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

/** ρⱼ = (Σ w[n]·w[n + j·hop])² / (Σ w²)²: how much two periodograms share that are j hops apart. */
function sharedPower(window: Float64Array, shift: number): number {
  let cross = 0, power = 0;
  for (let n = 0; n < window.length; n++) {
    power += window[n]! * window[n]!;
    if (n + shift < window.length) cross += window[n]! * window[n + shift]!;
  }
  return (cross / power) ** 2;
}

/**
 * How many independent segments the overlapping ones are worth: K²/Σ over runs [K_r + 2·Σⱼ (K_r − j)·ρⱼ] for white noise; for the median × (ln 2)², its
 * asymptotic efficiency for exponential periodograms.
 *
 * @references P. D. Welch, The use of fast Fourier transform for the estimation of power spectra, IEEE Trans. Audio Electroacoustics 15 (1967) 70, eq. for var{P̂}.
 */
export function effectiveAverages(window: Float64Array, hop: number, perRun: readonly number[], average: Averaging): number {
  const shared: number[] = [];
  for (let j = 1; j * hop < window.length; j++) shared.push(sharedPower(window, j * hop));
  const total = perRun.reduce((a, b) => a + b, 0);
  const variance = perRun.reduce((sum, k) => sum + k + 2 * shared.reduce((s, rho, i) => s + Math.max(0, k - i - 1) * rho, 0), 0) / (total * total);
  return (average === 'median' && total > 2 ? Math.LN2 ** 2 : 1) / variance;
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
