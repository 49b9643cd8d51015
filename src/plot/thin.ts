import type { Run } from '../record/span.js';

/** A signal thinned for drawing: sample indices in order, and which unbroken piece each belongs to. */
export interface Thinned {
  readonly index: Int32Array;
  /** Samples of different pieces must not be joined by a line. */
  readonly piece: Int32Array;
}

/**
 * Thins a signal for drawing so that no peak is lost: the samples from ≤ i < to are cut into `buckets` of equal length
 * (one to a pixel), and of every bucket the first of its least and the first of its greatest samples are kept, in time order.
 *
 * Kept exactly: the extremes of every bucket, and so of the whole; the first and last sample of every run. Runs shorter than a
 * bucket that share one with others are kept as one upright stroke over their common extremes, a piece of its own. Never more than eight
 * samples to a bucket; a signal with at most two samples to a bucket comes back whole. Cost: one pass over the valid samples.
 *
 * @param values the samples
 * @param runs valid runs, sorted and disjoint, inside from … to
 * @param from first sample to draw
 * @param to one past the last sample to draw
 * @param buckets how many, at least 1
 * @returns sample indices with the number of the unbroken piece each belongs to
 */
export function thin(values: Float64Array, runs: readonly Run[], from: number, to: number, buckets: number): Thinned {
  const index: number[] = [];
  const piece: number[] = [];
  const width = (to - from) / buckets;
  const bucketOf = (i: number): number => Math.floor((i - from) / width);
  let number = 0;
  if (to - from <= 2 * buckets) {
    runs.forEach((run, k) => {
      for (let i = run.from; i < run.to; i++) {
        index.push(i);
        piece.push(k);
      }
    });
    return { index: Int32Array.from(index), piece: Int32Array.from(piece) };
  }
  let small: Run[] = [];
  const emit = (list: readonly number[]): void => {
    let last = -1;
    for (const i of list) {
      if (i === last) continue;
      index.push(i);
      piece.push(number);
      last = i;
    }
  };
  const flushSmall = (): void => {
    if (small.length > 0) {
      const { low, high } = extremes(values, small);
      emit(low < high ? [low, high] : [high, low]);
      number++;
      small = [];
    }
  };
  for (const run of runs) {
    const first = bucketOf(run.from);
    const last = bucketOf(run.to - 1);
    if (small.length > 0 && bucketOf(small[0]!.from) !== first) flushSmall();
    if (first === last) {
      small.push(run);
      continue;
    }
    flushSmall();
    for (let b = first; b <= last; b++) {
      const a = b === first ? run.from : Math.ceil(from + b * width);
      const z = b === last ? run.to : Math.ceil(from + (b + 1) * width);
      if (z <= a) continue;
      const { low, high } = extremes(values, [{ from: a, to: z }]);
      const kept = [low, high];
      if (a === run.from) kept.push(a);
      if (z === run.to) kept.push(z - 1);
      emit(kept.sort((p, q) => p - q));
    }
    number++;
  }
  flushSmall();
  return { index: Int32Array.from(index), piece: Int32Array.from(piece) };
}

function extremes(values: Float64Array, runs: readonly Run[]): { readonly low: number; readonly high: number } {
  let low = runs[0]!.from;
  let high = low;
  for (const { from, to } of runs) {
    for (let i = from; i < to; i++) {
      if (values[i]! < values[low]!) low = i;
      if (values[i]! > values[high]!) high = i;
    }
  }
  return { low, high };
}
