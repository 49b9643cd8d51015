import { fftPlan } from './fft.js';

/**
 * |x + i·Hx| of values[from … to): the envelope by the analytic signal, whose spectrum is that of x doubled above 0 and zero below, over the run as one period.
 *
 * @references D. Gabor, Theory of communication, J. IEE 93 III (1946) 429.
 */
export function envelopeOfRun(values: Float64Array, output: Float64Array, from: number, to: number): void {
  const n = to - from;
  const plan = fftPlan(n);
  const z = new Float64Array(2 * n), spectrum = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) z[2 * i] = values[from + i]!;
  plan.forward(spectrum, z);
  for (let k = 1; k < n; k++) {
    const factor = 2 * k < n ? 2 : 2 * k === n ? 1 : 0;
    spectrum[2 * k]! *= factor;
    spectrum[2 * k + 1]! *= factor;
  }
  plan.inverse(z, spectrum);
  for (let i = 0; i < n; i++) output[from + i] = Math.hypot(z[2 * i]!, z[2 * i + 1]!);
}
