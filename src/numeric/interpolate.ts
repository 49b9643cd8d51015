import { oddMirror } from './oddMirror.js';
import { besselI0, kaiserFor } from './window.js';

/** The sinc by which all interpolation here is done: 100 dB down, transition a tenth of the sample rate wide: ± 32 samples, β = 10.06. */
export const sincShape: { readonly half: number; readonly beta: number } = { half: Math.floor(kaiserFor(100, 0.2 * Math.PI).taps / 2 / 2) * 2, beta: kaiserFor(100, 0.2 * Math.PI).beta };


/** Weights of a windowed sinc for evenly spaced places between two samples. */
export interface SincTable {
  /** Places between one sample and the next. */
  readonly phases: number;
  /** Samples on each side. */
  readonly half: number;
  /** phases × 2·half, phase by phase; each phase sums to 1. */
  readonly weights: Float64Array;
}

/**
 * Makes the weights of a Kaiser-windowed sinc, w(t) = c·sinc(c·t)·I₀(β·√(1 − (t/half)²))/I₀(β), |t| < half samples.
 *
 * With c = 1 the place of a sample gives the sample itself, exactly.
 *
 * @param cutoff c: pass band as a part of half the sample rate, 0 < c ≤ 1
 * @references J. F. Kaiser, Nonrecursive digital filter design using the I₀-sinh window function, 1974: stop band 2.285·Δω·M + 7.95 dB for M taps (from memory).
 */
export function sincTable(phases: number, half: number, cutoff: number, beta: number): SincTable {
  const weights = new Float64Array(phases * 2 * half);
  const top = besselI0(beta);
  for (let p = 0; p < phases; p++) {
    let sum = 0;
    for (let j = 0; j < 2 * half; j++) {
      const t = j - half + 1 - p / phases;
      const u = cutoff * t;
      const sinc = u === 0 ? 1 : Number.isInteger(u) ? 0 : Math.sin(Math.PI * u) / (Math.PI * u);
      const value = sinc * (besselI0(beta * Math.sqrt(Math.max(0, 1 - (t / half) ** 2))) / top);
      weights[p * 2 * half + j] = value;
      sum += value;
    }
    for (let j = 0; j < 2 * half; j++) weights[p * 2 * half + j]! /= sum;
  }
  return { phases, half, weights };
}

/** Places to read at, in parts (1/phases) of a sample from the first sample of a run: first + m·step, m = 0 … count − 1. */
export interface Places {
  readonly first: number;
  readonly step: number;
  readonly count: number;
}

/**
 * Values of input[from … to) at the places into output[at …]. Each end is continued by its odd mirror image, so the
 * run must be longer than `half`. Cost: 2·half products a value.
 */
export function interpolateRun(table: SincTable, { first, step, count }: Places, input: Float64Array, from: number, to: number, output: Float64Array, at: number): void {
  const { phases, half, weights } = table;
  const line = oddMirror(input, from, to, half);
  for (let m = 0; m < count; m++) {
    const place = first + m * step;
    const phase = place % phases;
    let i = (place - phase) / phases + 1;
    const w = phase * 2 * half;
    // Two sums, so that the additions overlap.
    let even = 0, odd = 0;
    for (let j = w; j < w + 2 * half; j += 2, i += 2) {
      even += weights[j]! * line[i]!;
      odd += weights[j + 1]! * line[i + 1]!;
    }
    output[at + m] = even + odd;
  }
}

/** Places of a kernel table between one sample and the next. */
const fineness = 1024;

/** A Kaiser-windowed sinc, sampled finely for reading at any place: kernel(t), 0 ≤ t ≤ half samples, linear between the samples of the table. */
export interface SincKernel {
  readonly half: number;
  readonly table: Float64Array;
}

/** Makes such a kernel. */
export function sincKernel(half: number, beta: number): SincKernel {
  const top = besselI0(beta);
  const table = Float64Array.from({ length: half * fineness + 2 }, (_, i) => {
    const t = i / fineness;
    if (t > half) return 0;
    return (t === 0 ? 1 : Math.sin(Math.PI * t) / (Math.PI * t)) * (besselI0(beta * Math.sqrt(Math.max(0, 1 - (t / half) ** 2))) / top);
  });
  return { half, table };
}

/**
 * Values of input[from … to) at any places within the run (in samples, counted like the indices of input), each with its own pass band c (a part of half the sample rate, 0 < c ≤ 1): Σ x_k·c·kernel(c·(t − k)),
 * divided by the sum of the weights. Ends are continued by their odd mirror image. Cost: 2·half/c products a value.
 */
export function interpolateAt({ half, table }: SincKernel, input: Float64Array, from: number, to: number, places: Float64Array, cutoff: (index: number) => number, output: Float64Array, at: number): void {
  const last = to - 1;
  for (let m = 0; m < places.length; m++) {
    const c = cutoff(m), t = places[m]!;
    const reach = half / c;
    let sum = 0, weights = 0;
    for (let k = Math.ceil(t - reach), end = Math.floor(t + reach); k <= end; k++) {
      const u = Math.abs(t - k) * c * fineness;
      const cell = Math.trunc(u);
      const w = table[cell]! + (u - cell) * (table[cell + 1]! - table[cell]!);
      const x = k < from ? 2 * input[from]! - input[Math.min(last, 2 * from - k)]! : k > last ? 2 * input[last]! - input[Math.max(from, 2 * last - k)]! : input[k]!;
      sum += w * x;
      weights += w;
    }
    output[at + m] = sum / weights;
  }
}
