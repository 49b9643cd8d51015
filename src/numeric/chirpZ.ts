import { fftPlan } from './fft.js';

/** A transform of `count` numbers to `points` frequencies an even step apart; interleaved arrays. */
export interface ChirpPlan {
  readonly count: number;
  readonly points: number;
  /** output[k] = Σ input[n]·e^{−2πi·k·step·n}, k = 0 … points − 1. */
  run(output: Float64Array, input: Float64Array): void;
}

/**
 * Plans a chirp transform: −2·k·n = (k − n)² − k² − n² turns the sum into a convolution, done by fast transforms.
 *
 * @param half the angle π·step·n² of a whole number n, in rad; a caller who knows the step as a fraction can reduce it exactly
 * @references L. R. Rabiner, R. W. Schafer and C. M. Rader, The chirp z-transform algorithm, IEEE Trans. Audio Electroacoustics 17 (1969) 86.
 */
export function chirpPlan(count: number, points: number, half: (n: number) => number): ChirpPlan {
  let long = 1;
  while (long < count + points - 1) long *= 2;
  const inner = fftPlan(long);
  const turn = new Float64Array(2 * Math.max(count, points));
  const a = new Float64Array(2 * long), b = new Float64Array(2 * long), kernel = new Float64Array(2 * long);
  for (let n = 0; 2 * n < turn.length; n++) {
    const angle = half(n);
    const c = Math.cos(angle), s = Math.sin(angle);
    turn[2 * n] = c;
    turn[2 * n + 1] = s;
    if (n < points) { a[2 * n] = c; a[2 * n + 1] = s; }
    if (n > 0 && n < count) { a[2 * (long - n)] = c; a[2 * (long - n) + 1] = s; }
  }
  inner.forward(kernel, a);
  const run = (output: Float64Array, input: Float64Array): void => {
    a.fill(0, 2 * count);
    for (let n = 0; n < 2 * count; n += 2) {
      const re = input[n]!, im = input[n + 1]!, c = turn[n]!, s = turn[n + 1]!;
      a[n] = re * c + im * s;
      a[n + 1] = im * c - re * s;
    }
    inner.forward(b, a);
    for (let n = 0; n < 2 * long; n += 2) {
      const re = b[n]!, im = b[n + 1]!;
      b[n] = re * kernel[n]! - im * kernel[n + 1]!;
      b[n + 1] = re * kernel[n + 1]! + im * kernel[n]!;
    }
    inner.inverse(a, b);
    for (let n = 0; n < 2 * points; n += 2) {
      const re = a[n]!, im = a[n + 1]!, c = turn[n]!, s = turn[n + 1]!;
      output[n] = re * c + im * s;
      output[n + 1] = im * c - re * s;
    }
  };
  return { count, points, run };
}

/**
 * Σ values[n]·e^{−2πi·f·n} over n = 0 … values.length − 1 at the frequencies f = from + k·step (cycles a sample), interleaved.
 *
 * Cost: three fast transforms of values.length + points.
 */
export function chirpZ(values: Float64Array, from: number, step: number, points: number): Float64Array {
  const n = values.length;
  const input = new Float64Array(2 * n), output = new Float64Array(2 * points);
  for (let i = 0; i < n; i++) {
    const angle = -2 * Math.PI * ((from * i) % 1);
    input[2 * i] = values[i]! * Math.cos(angle);
    input[2 * i + 1] = values[i]! * Math.sin(angle);
  }
  chirpPlan(n, points, (k) => Math.PI * ((step * k * k) % 2)).run(output, input);
  return output;
}
