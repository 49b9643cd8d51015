import { oddMirror } from './oddMirror.js';
import { windowSamples, type WindowChoice } from './window.js';

/**
 * Coefficients of a linear-phase low-pass by the window method, scaled to gain 1 at 0 Hz.
 *
 * Definition: h_n ∝ sinc(2·f·(n − (N − 1)/2))·w_n, with the symmetric window w.
 *
 * @param taps N, odd
 * @param edge f, the edge as a part of the sample rate, 0 to 0.5; the gain is 0.5 there where the coefficients are many enough for the transition to end before 0 and half the sample rate
 */
export function firLowpassTaps(taps: number, edge: number, window: WindowChoice): Float64Array {
  const w = windowSamples(window, taps, 'symmetric');
  const half = (taps - 1) / 2;
  const h = w.map((v, n) => (n === half ? 2 * edge : Math.sin(2 * Math.PI * edge * (n - half)) / (Math.PI * (n - half))) * v);
  const sum = h.reduce((s, v) => s + v, 0);
  return h.map((v) => v / sum);
}

/** Gain of symmetric coefficients of odd number at f, a part of the sample rate. */
export function firGain(h: Float64Array, f: number): number {
  const half = (h.length - 1) / 2;
  return h.reduce((s, v, n) => s + v * Math.cos(2 * Math.PI * f * (n - half)), 0);
}

/** Runs symmetric coefficients of odd number centred over input[from … to), so that nothing is shifted in time; each end is continued by its odd mirror image. */
export function firRun(h: Float64Array, input: Float64Array, output: Float64Array, from: number, to: number): void {
  const half = (h.length - 1) / 2;
  const x = oddMirror(input, from, to, half);
  for (let i = 0; i < to - from; i++) {
    let sum = h[half]! * x[i + half]!;
    for (let k = 0; k < half; k++) sum += h[k]! * (x[i + k]! + x[i + 2 * half - k]!);
    output[from + i] = sum;
  }
}
