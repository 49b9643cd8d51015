import { validRuns, type Channel } from '../record/Channel.js';
import type { Run } from '../record/span.js';
import { cubicAcross } from '../numeric/cubicAcross.js';

/** Valid runs joined across short gaps, for a filter to read. */
export interface BridgedGaps {
  /** The channel's values, with the cubic in the gaps that were bridged. */
  readonly values: Float64Array;
  readonly runs: readonly Run[];
  readonly gaps: number;
  readonly samples: number;
}

/** Reads across every gap of at most `longest` samples that has two valid samples on either side, by the cubic through these four. */
export function bridgeGaps(channel: Channel, longest: number): BridgedGaps {
  const values = channel.values.slice();
  const runs: Run[] = [];
  let gaps = 0, samples = 0, before = 0;
  for (const run of validRuns(channel)) {
    const last = runs.at(-1);
    const gap = last ? run.from - last.to : 0;
    if (last && gap <= longest && before >= 2 && run.to - run.from >= 2) {
      values.set(cubicAcross(channel.values, last.to, gap), last.to);
      runs[runs.length - 1] = { from: last.from, to: run.to };
      gaps++;
      samples += gap;
    } else runs.push({ from: run.from, to: run.to });
    before = run.to - run.from;
  }
  return { values, runs, gaps, samples };
}
