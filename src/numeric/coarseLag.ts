import { fftPlan } from './fft.js';

/**
 * Means over bins of 1/rate seconds from time 0; NaN where fewer than half of a bin's samples are there. A value of bin b
 * stands for the middle of its samples, which lies at the same place of every bin where the two rates divide.
 */
export function binMeans({ values, sampleRate }: { readonly values: Float64Array; readonly sampleRate: number }, rate: number): Float64Array {
  const out = new Float64Array(Math.floor((values.length * rate) / sampleRate));
  for (let b = 0; b < out.length; b++) {
    const from = Math.ceil((b * sampleRate) / rate - 1e-9);
    const to = Math.ceil(((b + 1) * sampleRate) / rate - 1e-9);
    let sum = 0, count = 0;
    for (let i = from; i < to; i++) {
      if (values[i] === values[i]) {
        sum += values[i]!;
        count++;
      }
    }
    out[b] = 2 * count >= to - from ? sum / count : NaN;
  }
  return out;
}

/** The lag of the best match of two sequences, and how it compares with the next best one elsewhere. */
export interface CoarseLag {
  /** In samples: other[i] resembles reference[i + lag]. */
  readonly lag: number;
  /** Normalised correlation at the best lag, −1 … 1. */
  readonly correlation: number;
  /** The next best match outside `apart` samples around it, on the same scale. */
  readonly next: number;
  /** Differences that both sequences have at the best lag. */
  readonly common: number;
}

/** Best lag of first differences by normalised cross-correlation, over all lags with at least `least` samples in common. */
export function coarseLag(reference: Float64Array, other: Float64Array, least: number, apart: number): CoarseLag {
  const a = steps(reference);
  const b = steps(other);
  const size = 2 ** Math.ceil(Math.log2(a.values.length + b.values.length));
  const product = correlate(a.values, b.values, size);
  const energyA = correlate(a.values.map((v) => v * v), b.known, size);
  const energyB = correlate(a.known, b.values.map((v) => v * v), size);
  const common = correlate(a.known, b.known, size);
  const score = new Float64Array(size).fill(-2);
  const [topA, topB] = [energyA, energyB].map((e) => e.reduce((m, v) => Math.max(m, v), 0)) as [number, number];
  let best = -1;
  for (let k = 0; k < size; k++) {
    // A match of quiet parts says nothing: both must hold some of the energy.
    if (common[k]! < least || energyA[k]! < 1e-3 * topA || energyB[k]! < 1e-3 * topB) continue;
    // Of two good matches, the one that covers more of the features counts.
    score[k] = (product[k]! / Math.sqrt(energyA[k]! * energyB[k]!)) * Math.sqrt(Math.min(energyA[k]! / topA, energyB[k]! / topB));
    if (best < 0 || score[k]! > score[best]!) best = k;
  }
  if (best < 0) return { lag: 0, correlation: 0, next: 0, common: 0 };
  const correlation = product[best]! / Math.sqrt(energyA[best]! * energyB[best]!);
  let next = 0;
  for (let k = 0; k < size; k++) {
    const distance = Math.min((k - best + size) % size, (best - k + size) % size);
    if (distance > apart && score[k]! > next) next = score[k]!;
  }
  return { lag: best < a.values.length ? best : best - size, correlation, next: (correlation * next) / score[best]!, common: Math.round(common[best]!) };
}

function steps(x: Float64Array): { readonly values: Float64Array; readonly known: Float64Array } {
  const values = new Float64Array(x.length);
  const known = new Float64Array(x.length);
  for (let i = 1; i < x.length; i++) {
    const d = x[i]! - x[i - 1]!;
    if (d !== d) continue;
    values[i] = d;
    known[i] = 1;
  }
  return { values, known };
}

/** Σ a[i + k]·b[i] for every k (cyclic, k and k − size alike), through one transform. */
function correlate(a: Float64Array, b: Float64Array, size: number): Float64Array {
  const plan = fftPlan(size);
  const transformed = (x: Float64Array): Float64Array => {
    const line = new Float64Array(2 * size);
    for (let i = 0; i < x.length; i++) line[2 * i] = x[i]!;
    const out = new Float64Array(2 * size);
    plan.forward(out, line);
    return out;
  };
  const A = transformed(a);
  const B = transformed(b);
  const C = new Float64Array(2 * size);
  for (let k = 0; k < 2 * size; k += 2) {
    C[k] = A[k]! * B[k]! + A[k + 1]! * B[k + 1]!;
    C[k + 1] = A[k + 1]! * B[k]! - A[k]! * B[k + 1]!;
  }
  const out = new Float64Array(2 * size);
  plan.inverse(out, C);
  return Float64Array.from({ length: size }, (_, k) => out[2 * k]!);
}
