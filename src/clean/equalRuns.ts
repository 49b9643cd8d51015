import type { Run } from '../record/span.js';

/** Maximal runs of equal neighbouring samples, in order; a masked sample ends a run. */
export interface EqualRuns {
  readonly count: number;
  readonly starts: Uint32Array;
  readonly lengths: Uint32Array;
}

/** What noise allows in a stretch of about a thousand runs. */
export interface NoiseBlock {
  /** Index of its first run. */
  readonly firstRun: number;
  /** Index of the first run after the block. */
  readonly endRun: number;
  /** Chance that a sample repeats the one before it. */
  readonly repeat: number;
  /** Median size of the step from one run to the next. */
  readonly step: number;
  /** True where steps seldom change sign: a smooth signal, so that quantisation alone makes long runs at its crests. */
  readonly smooth: boolean;
}

/** Splits valid samples into maximal runs of equal value. */
export function equalRuns(values: Float64Array, valid: readonly Run[]): EqualRuns {
  let total = 0;
  for (const run of valid) total += run.to - run.from;
  const starts = new Uint32Array(total);
  const lengths = new Uint32Array(total);
  let count = 0;
  for (const { from, to } of valid) {
    let start = from;
    for (let i = from + 1; i <= to; i++) {
      if (i < to && values[i] === values[i - 1]) continue;
      starts[count] = start;
      lengths[count++] = i - start;
      start = i;
    }
  }
  return { count, starts: starts.subarray(0, count), lengths: lengths.subarray(0, count) };
}

/** Step in value from run r to run r + 1, or NaN where a mask lies between them. */
export function stepAfter(values: Float64Array, runs: EqualRuns, r: number): number {
  if (r < 0 || r + 1 >= runs.count || runs.starts[r]! + runs.lengths[r]! !== runs.starts[r + 1]!) return Number.NaN;
  return values[runs.starts[r + 1]!]! - values[runs.starts[r]!]!;
}

const runsPerBlock = 1024;

/**
 * Estimates, block by block, how often noise lets a sample repeat its predecessor. Counted by runs, so that one long
 * hold weighs no more than one run: repeat = (runs of two or more + 1) / (runs + 1), or 2^(−1/median length) where half
 * the runs are longer than one sample.
 */
export function noiseBlocks(values: Float64Array, runs: EqualRuns): NoiseBlock[] {
  const blocks: NoiseBlock[] = [];
  const number = Math.max(1, Math.floor(runs.count / runsPerBlock));
  for (let b = 0; b < number; b++) {
    const first = b * runsPerBlock;
    const endRun = b === number - 1 ? runs.count : first + runsPerBlock;
    const lengths = runs.lengths.slice(first, endRun).sort();
    const median = lengths[lengths.length >> 1] ?? 1;
    const repeated = lengths.reduce((n, length) => n + (length >= 2 ? 1 : 0), 0);
    const steps = new Float64Array(endRun - first);
    let known = 0, turns = 0, before = 0;
    for (let r = first; r < endRun; r++) {
      const step = stepAfter(values, runs, r);
      if (step !== step) continue;
      if (step * before < 0) turns++;
      before = step;
      steps[known++] = Math.abs(step);
    }
    blocks.push({
      firstRun: first, endRun, step: steps.subarray(0, known).sort()[known >> 1] ?? 0, smooth: turns < 0.3 * known,
      repeat: median === 1 ? (repeated + 1) / (lengths.length + 1) : 2 ** (-1 / median),
    });
  }
  return blocks;
}

/**
 * Chance that a sample of this value repeats, where the block has at least 30 runs of it, else as in the whole block: a signal whose noise is
 * below the quantum keeps to one level and makes long runs there and short ones beside it.
 */
export function repeatAt(values: Float64Array, runs: EqualRuns, block: NoiseBlock, value: number): number {
  let visits = 0, repeated = 0;
  for (let r = block.firstRun; r < block.endRun; r++) {
    if (values[runs.starts[r]!] !== value) continue;
    visits++;
    if (runs.lengths[r]! >= 2) repeated++;
  }
  return visits < 30 ? block.repeat : Math.max(block.repeat, (repeated + 1) / (visits + 1));
}

/** The smallest number of equal samples that noise would make fewer than 0.01 times in the whole record; Infinity where repeats are the rule. */
export function heldLimit(repeat: number, samples: number): number {
  if (repeat >= 1) return Number.POSITIVE_INFINITY;
  return Math.max(3, Math.ceil(1 + Math.log(0.01 / samples) / Math.log(repeat)));
}

/** The smallest step that is not 0: the quantum of a digitised signal, or 0 for a record of one value. */
export function smallestStep(values: Float64Array, runs: EqualRuns): number {
  let least = Number.POSITIVE_INFINITY;
  for (let r = 0; r + 1 < runs.count; r++) {
    const step = Math.abs(stepAfter(values, runs, r));
    if (step < least) least = step;
  }
  return Number.isFinite(least) ? least : 0;
}
