import FFT from 'fft.js';
import { chirpPlan } from './chirpZ.js';
import { planPasses, runPass, type Pass } from './radix.js';

/**
 * A discrete Fourier transform of one size, X[k] = Σ x[n]·e^{−2πi·kn/N}. Arrays are interleaved (re, im, re, im, …), 2·size long;
 * input and output must be different arrays.
 */
export interface FftPlan {
  readonly size: number;
  /** X from x. */
  forward(output: Float64Array, input: Float64Array): void;
  /** X from x with no third array: destroys both, and returns the one of the two that holds X. */
  consume(input: Float64Array, scratch: Float64Array): Float64Array;
  /** x from X, divided by the size: forward, then inverse gives the input back. */
  inverse(output: Float64Array, input: Float64Array): void;
}

const plans = new Map<number, FftPlan>();
const kept = 16;
/** Above this the contiguous passes of the mixed radix are kinder to the cache and faster (npm run bench). */
const largestRadixTwo = 16384;

/**
 * The plan for a size: fft.js where it is a power of two up to 16384, mixed radix (Stockham) where all its prime factors are 13 or less, otherwise Bluestein's chirp
 * transform, so that any size works. The last 16 sizes are kept.
 *
 * The mixed radix is own code, for the well-kept transforms on the registry take powers of two only, and segments of whole seconds or revolutions are seldom that.
 * Cost: making a plan, one cosine and sine a point; a transform, about 4·N·log₂N operations (Bluestein: eight times that).
 *
 * @param size a whole number from 1
 * @references C. Van Loan, Computational Frameworks for the Fast Fourier Transform, 1992, section 1.7 (Stockham; from memory); L. I. Bluestein, A linear filtering approach to the computation of
 *   discrete Fourier transform, IEEE Trans. Audio Electroacoustics 18 (1970) 451.
 */
export function fftPlan(size: number): FftPlan {
  const known = plans.get(size);
  if (known) return known;
  const powerOfTwo = size > 1 && size <= largestRadixTwo && (size & (size - 1)) === 0;
  const passes = powerOfTwo ? null : planPasses(size);
  const plan = powerOfTwo ? radixTwo(size) : passes ? mixedRadix(size, passes) : bluestein(size);
  if (plans.size >= kept) plans.delete(plans.keys().next().value!);
  plans.set(size, plan);
  return plan;
}

type Transform = FftPlan['forward'];

function radixTwo(size: number): FftPlan {
  const fft = new FFT(size);
  const forward: Transform = (output, input) => fft.transform(output as never, input as never);
  const consume = (input: Float64Array, scratch: Float64Array): Float64Array => {
    forward(scratch, input);
    return scratch;
  };
  return { size, forward, consume, inverse: (output, input) => fft.inverseTransform(output as never, input as never) };
}

/** The passes in turn between two arrays. Forwards they alternate between the output and a work array, so that the last one writes the output. */
function mixedRadix(size: number, passes: readonly Pass[]): FftPlan {
  let work: Float64Array | null = null;
  const forward: Transform = (output, input) => {
    work ??= new Float64Array(2 * size);
    if (passes.length === 0) output.set(input);
    let source = input;
    for (let i = 0; i < passes.length; i++) {
      const target = (passes.length - 1 - i) % 2 === 0 ? output : work;
      runPass(passes[i]!, source, target);
      source = target;
    }
  };
  const consume = (input: Float64Array, scratch: Float64Array): Float64Array => {
    for (let i = 0; i < passes.length; i++) runPass(passes[i]!, i % 2 === 0 ? input : scratch, i % 2 === 0 ? scratch : input);
    return passes.length % 2 === 0 ? input : scratch;
  };
  return { size, forward, consume, inverse: inverseOf(size, forward) };
}

/** n² modulo 2N by whole numbers, so that the angle stays exact. */
function bluestein(size: number): FftPlan {
  const { run: forward } = chirpPlan(size, size, (n) => (Math.PI * Number((BigInt(n) * BigInt(n)) % BigInt(2 * size))) / size);
  const consume = (input: Float64Array, scratch: Float64Array): Float64Array => {
    forward(scratch, input);
    return scratch;
  };
  return { size, forward, consume, inverse: inverseOf(size, forward) };
}

/** The inverse by conjugates: x = conj(F(conj X))/N. */
function inverseOf(size: number, forward: Transform): Transform {
  let conjugate: Float64Array | null = null;
  return (output, input) => {
    conjugate ??= new Float64Array(2 * size);
    for (let n = 0; n < 2 * size; n += 2) {
      conjugate[n] = input[n]!;
      conjugate[n + 1] = -input[n + 1]!;
    }
    forward(output, conjugate);
    for (let n = 0; n < 2 * size; n += 2) {
      output[n]! /= size;
      output[n + 1]! /= -size;
    }
  };
}
