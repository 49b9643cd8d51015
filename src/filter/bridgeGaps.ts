import { validRuns, type Channel } from '../record/Channel.js';
import type { Run } from '../record/span.js';
import { cubicAcross } from '../numeric/cubicAcross.js';
import { leastSquares } from '../numeric/leastSquares.js';

/** Valid runs joined across short gaps, for a filter to read. */
export interface BridgedGaps {
  /** The channel's values, with the cubic in the gaps that were bridged. */
  readonly values: Float64Array;
  readonly runs: readonly Run[];
  readonly gaps: number;
  readonly samples: number;
}

/**
 * Reads across every gap of at most `longest` samples that has two valid samples on either side, by the cubic fitted by least squares to up to `flank` samples on each side, so that it does not ride on the noise of a few.
 */
export function bridgeGaps(channel: Channel, longest: number, flank: number): BridgedGaps {
  const values = channel.values.slice();
  const valid = validRuns(channel);
  const runs: Run[] = [];
  let gaps = 0, samples = 0;
  valid.forEach((run, i) => {
    const before = valid[i - 1];
    const last = runs.at(-1);
    const gap = before ? run.from - before.to : 0;
    const left = before ? Math.min(flank, before.to - before.from) : 0;
    const right = Math.min(flank, run.to - run.from);
    if (before && last && gap <= longest && left >= 2 && right >= 2) {
      values.set(fittedAcross(channel.values, before.to, gap, left, right), before.to);
      runs[runs.length - 1] = { from: last.from, to: run.to };
      gaps++;
      samples += gap;
    } else runs.push({ from: run.from, to: run.to });
  });
  return { values, runs, gaps, samples };
}

/** The cubic fitted to `left` samples before `from` and `right` samples behind the k samples that are missing there, at these k. */
function fittedAcross(x: Float64Array, from: number, k: number, left: number, right: number): Float64Array {
  if (left === 2 && right === 2) return cubicAcross(x, from, k);
  const at = [...Array.from({ length: left }, (_, i) => i - left), ...Array.from({ length: right }, (_, i) => k + i)];
  const middle = (k - 1) / 2;
  const half = middle + Math.max(left, right);
  const powers = (i: number): number[] => [0, 1, 2, 3].map((p) => ((i - middle) / half) ** p);
  const rows = at.map(powers);
  const fit = leastSquares([0, 1, 2, 3].map((p) => Float64Array.from(rows, (row) => row[p]!)), Float64Array.from(at, (i) => x[from + i]!));
  if (fit === null) return cubicAcross(x, from, k);
  return Float64Array.from({ length: k }, (_, i) => powers(i).reduce((sum, v, p) => sum + v * fit.coefficients[p]!, 0));
}
