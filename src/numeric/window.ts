/** A window by name, or Kaiser's with its β (β = π·α). */
export type WindowChoice = 'rectangular' | 'hann' | 'hamming' | 'blackman' | 'exact blackman' | 'blackman-harris' | 'flat-top' | 'flat-top 1987' | { readonly kaiser: number };

/**
 * Windows that are sums of cosines: w = a₀ − a₁·cos θ + a₂·cos 2θ − …, θ = 2πn/N.
 *
 * Sources: Harris 1978 (Hann, Hamming 0.54, exact Blackman, Blackman–Harris 4 terms, −92 dB); flat-top: the set of ISO 18431-2:2004
 * to the digits that SciPy carries, scaled to a peak of 1; flat-top 1987: S. Gade and H. Herlufsen, 1987.
 */
const cosineTerms: Readonly<Record<Exclude<WindowChoice, object>, readonly number[]>> = {
  rectangular: [1],
  hann: [0.5, 0.5],
  hamming: [0.54, 0.46],
  blackman: [0.42, 0.5, 0.08],
  'exact blackman': [7938 / 18608, 9240 / 18608, 1430 / 18608],
  'blackman-harris': [0.35875, 0.48829, 0.14128, 0.01168],
  'flat-top': [0.21557895, 0.41663158, 0.277263158, 0.083578947, 0.006947368],
  'flat-top 1987': [1 / 4.6402, 1.93 / 4.6402, 1.29 / 4.6402, 0.388 / 4.6402, 0.0322 / 4.6402],
};

/** Every window that has a name. */
export const windowNames: readonly Exclude<WindowChoice, object>[] = Object.freeze(Object.keys(cosineTerms) as Exclude<WindowChoice, object>[]);

/** I₀(x), the modified Bessel function of order zero: Σ ((x/2)^k / k!)². @example besselI0(2) // => 2.279585302 */
export function besselI0(x: number): number {
  const q = (x * x) / 4;
  let term = 1, sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= q / (k * k);
    sum += term;
  }
  return sum;
}

/**
 * Samples of a window.
 *
 * @param form 'periodic' (the next sample would be the first again; for spectra) or 'symmetric' (for filters)
 * @example
 * windowSamples('hann', 4, 'periodic')[1] // => 0.500000
 * @references F. J. Harris, On the use of windows for harmonic analysis with the discrete Fourier transform, Proc. IEEE 66 (1978) 51.
 */
export function windowSamples(window: WindowChoice, length: number, form: 'periodic' | 'symmetric'): Float64Array {
  const w = new Float64Array(length);
  if (length === 1) return w.fill(1);
  const span = form === 'periodic' ? length : length - 1;
  if (typeof window === 'object') {
    const top = besselI0(window.kaiser);
    for (let n = 0; n < length; n++) w[n] = besselI0(window.kaiser * Math.sqrt(Math.max(0, 1 - ((2 * n) / span - 1) ** 2))) / top;
    return w;
  }
  const terms = cosineTerms[window];
  for (let n = 0; n < length; n++) {
    let value = 0;
    for (let k = terms.length - 1; k >= 0; k--) value += (k % 2 === 0 ? 1 : -1) * terms[k]! * Math.cos((2 * Math.PI * k * n) / span);
    w[n] = value;
  }
  return w;
}

/**
 * |W(x)|/W(0) of a periodic window, x bins off a line: by how much a line reads low x bins away from its place.
 *
 * Definition: sums of cosines exactly, by Dirichlet kernels; Kaiser by its continuous form sinh(√(β² − π²x²))/√(β² − π²x²).
 *
 * @example windowTransform('hann', 1024, 0.5) // => 0.8488
 */
export function windowTransform(window: WindowChoice, length: number, x: number): number {
  if (typeof window === 'object') {
    const form = (u: number): number => (u > 0 ? Math.sinh(Math.sqrt(u)) / Math.sqrt(u) : u < 0 ? Math.sin(Math.sqrt(-u)) / Math.sqrt(-u) : 1);
    return Math.abs(form(window.kaiser ** 2 - (Math.PI * x) ** 2) / form(window.kaiser ** 2));
  }
  const terms = cosineTerms[window];
  const whole = Math.round(x);
  if (Math.abs(x - whole) < 1e-9) return whole === 0 ? 1 : (terms[Math.abs(whole)] ?? 0) / (2 * terms[0]!);
  let re = 0, im = 0;
  terms.forEach((a, k) => {
    const left = 1 / Math.sin((Math.PI * (x - k)) / length), right = 1 / Math.sin((Math.PI * (x + k)) / length);
    const sign = k % 2 === 0 ? a / 2 : -a / 2;
    re += sign * Math.cos((Math.PI * k) / length) * (left + right);
    im += sign * Math.sin((Math.PI * k) / length) * (right - left);
  });
  return (Math.abs(Math.sin(Math.PI * x)) * Math.hypot(re, im)) / (length * terms[0]!);
}

/**
 * Kaiser's β and the number of taps of a filter whose stop band lies `attenuation` dB down and whose transition is `width` rad a sample wide.
 *
 * Definition: β = 0.1102·(A − 8.7) for A > 50, 0.5842·(A − 21)^0.4 + 0.07886·(A − 21) for 21 ≤ A ≤ 50, else 0; taps = (A − 8)/(2.285·width) + 1, rounded up.
 *
 * @example kaiserFor(60, 0.2 * Math.PI).taps // => 38
 * @references J. F. Kaiser, Nonrecursive digital filter design using the I₀-sinh window function, 1974; A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, 1989, section 7.5.3 (from memory).
 */
export function kaiserFor(attenuation: number, width: number): { readonly beta: number; readonly taps: number } {
  const A = attenuation;
  const beta = A > 50 ? 0.1102 * (A - 8.7) : A >= 21 ? 0.5842 * (A - 21) ** 0.4 + 0.07886 * (A - 21) : 0;
  return { beta, taps: Math.ceil((A - 8) / (2.285 * width)) + 1 };
}

/** Bins from the middle of the main lobe to its first zero (Kaiser: √(π² + β²)/π). */
export function mainLobe(window: WindowChoice): number {
  return typeof window === 'object' ? Math.hypot(Math.PI, window.kaiser) / Math.PI : cosineTerms[window].length;
}
