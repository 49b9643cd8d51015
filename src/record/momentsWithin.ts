import { mergeMoments, momentsOf, type Moments } from '../numeric/moments.js';
import { validRuns, type Channel } from './Channel.js';

/** Moments of the valid samples in from ≤ i < to (count 0 where there are none), and the mean of their indices. */
export function momentsWithin(channel: Channel, from: number, to: number): { readonly moments: Moments; readonly meanIndex: number } {
  let moments: Moments = { count: 0, mean: 0, squares: 0, min: Infinity, max: -Infinity };
  let indexSum = 0;
  for (const run of validRuns(channel)) {
    const a = Math.max(from, run.from);
    const b = Math.min(to, run.to);
    if (b <= a) continue;
    moments = mergeMoments(moments, momentsOf(channel.values, a, b));
    indexSum += ((a + b - 1) / 2) * (b - a);
  }
  return { moments, meanIndex: indexSum / moments.count };
}
