import FFT from 'fft.js';

/**
 * A discrete Fourier transform of one size, X[k] = Σ x[n]·e^{−2πi·kn/N}. Arrays are interleaved (re, im, re, im, …), 2·size long;
 * input and output must be different arrays.
 */
export interface FftPlan {
  readonly size: number;
  /** X from x. */
  forward(output: Float64Array, input: Float64Array): void;
  /** x from X, divided by the size: forward, then inverse gives the input back. */
  inverse(output: Float64Array, input: Float64Array): void;
}

const plans = new Map<number, FftPlan>();
const kept = 16;

/**
 * The plan for a size: fft.js where it is a power of two, otherwise Bluestein's chirp transform on top of it, so that any
 * size works. The last 16 sizes are kept.
 *
 * Cost: making a plan, one cosine and sine a point; a transform, about 5·N·log₂N operations (Bluestein: six times that).
 *
 * @param size a whole number from 1
 * @references L. I. Bluestein, A linear filtering approach to the computation of discrete Fourier transform, IEEE Trans. Audio Electroacoustics 18 (1970) 451.
 */
export function fftPlan(size: number): FftPlan {
  const known = plans.get(size);
  if (known) return known;
  const plan = size === 1 ? copyPlan() : (size & (size - 1)) === 0 ? radixPlan(size) : bluesteinPlan(size);
  if (plans.size >= kept) plans.delete(plans.keys().next().value!);
  plans.set(size, plan);
  return plan;
}

function copyPlan(): FftPlan {
  const copy = (output: Float64Array, input: Float64Array): void => output.set(input);
  return { size: 1, forward: copy, inverse: copy };
}

function radixPlan(size: number): FftPlan {
  const fft = new FFT(size);
  return { size, forward: (output, input) => fft.transform(output as never, input as never), inverse: (output, input) => fft.inverseTransform(output as never, input as never) };
}

/** e^{∓iπn²/N}: n² modulo 2N, so that the angle stays exact. */
function chirp(size: number, n: number): number {
  return (Math.PI * Number((BigInt(n) * BigInt(n)) % BigInt(2 * size))) / size;
}

function bluesteinPlan(size: number): FftPlan {
  let long = 1;
  while (long < 2 * size - 1) long *= 2;
  const inner = fftPlan(long);
  const turn = new Float64Array(2 * size);
  const a = new Float64Array(2 * long), b = new Float64Array(2 * long), kernel = new Float64Array(2 * long);
  for (let n = 0; n < size; n++) {
    const angle = chirp(size, n);
    turn[2 * n] = Math.cos(angle);
    turn[2 * n + 1] = Math.sin(angle);
    for (const at of n === 0 ? [0] : [n, long - n]) {
      a[2 * at] = turn[2 * n]!;
      a[2 * at + 1] = turn[2 * n + 1]!;
    }
  }
  inner.forward(kernel, a);
  const run = (output: Float64Array, input: Float64Array, sign: 1 | -1, factor: number): void => {
    a.fill(0);
    for (let n = 0; n < 2 * size; n += 2) {
      const re = input[n]!, im = sign * input[n + 1]!, c = turn[n]!, s = turn[n + 1]!;
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
    for (let n = 0; n < 2 * size; n += 2) {
      const re = a[n]!, im = a[n + 1]!, c = turn[n]!, s = turn[n + 1]!;
      output[n] = factor * (re * c + im * s);
      output[n + 1] = sign * factor * (im * c - re * s);
    }
  };
  return { size, forward: (output, input) => run(output, input, 1, 1), inverse: (output, input) => run(output, input, -1, 1 / size) };
}
