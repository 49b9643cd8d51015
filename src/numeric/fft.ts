import FFT from 'fft.js';
import { chirpPlan } from './chirpZ.js';

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

/** n² modulo 2N by whole numbers, so that the angle stays exact. */
function bluesteinPlan(size: number): FftPlan {
  const { run } = chirpPlan(size, size, (n) => (Math.PI * Number((BigInt(n) * BigInt(n)) % BigInt(2 * size))) / size);
  const turned = new Float64Array(2 * size);
  // The inverse by conjugates: x = conj(F(conj X))/N.
  const inverse = (output: Float64Array, input: Float64Array): void => {
    for (let n = 0; n < 2 * size; n += 2) {
      turned[n] = input[n]!;
      turned[n + 1] = -input[n + 1]!;
    }
    run(output, turned);
    for (let n = 0; n < 2 * size; n += 2) {
      output[n]! /= size;
      output[n + 1]! /= -size;
    }
  };
  return { size, forward: run, inverse };
}
