import { studentQuantile } from '../numeric/distributions.js';
import { fitBatches, fitRobust, merged, rowOf, wrongStates, type Terms } from './zeroFit.js';
import type { Batch, ReadState } from './zeroStates.js';

/** How often a rest may be called wrong in a record without a wrong one. */
const chance = 0.01;

/** A rest that the others speak against. */
export interface WrongRest {
  readonly state: ReadState;
  /** How far its mean lies from the line of the others, in the channel's unit. */
  readonly off: number;
}

/**
 * Finds rests that lie farther from the line of the others than chance would put one in a hundred records.
 *
 * The rests are put in order by how far they lie from the line by medians. Of the farthest b, b − 1, … 1 (b as many as medians withstand), the first set counts in which each member departs
 * from the least-squares line of the rests outside the set by more than Student's t for 1 % shared out among the rests tried, times the standard deviation of that departure.
 *
 * @references B. Rosner, Technometrics 25 (1983) 165: several outliers at once, so that one does not hide another (from memory; the order by medians is ours).
 */
export function wrongRests(terms: Terms, reference: number | null, states: readonly ReadState[]): readonly WrongRest[] {
  const whole = states.map((s) => merged(s.batches));
  const most = wrongStates(terms.length, states.length);
  const line = most === 0 ? null : fitRobust(terms, reference, whole);
  if (line === null) return [];
  const order = states.map((_, i) => i).sort((a, b) => Math.abs(line.residuals[b]!) - Math.abs(line.residuals[a]!));
  for (let k = most; k > 0; k--) {
    const off = departures(terms, reference, order.slice(0, k).map((i) => whole[i]!), order.slice(k).map((i) => whole[i]!));
    if (off !== null) return order.slice(0, k).map((i, j) => ({ state: states[i]!, off: off[j]! })).sort((a, b) => a.state.from - b.state.from);
  }
  return [];
}

/** How far each of some rests lies from the line of the others, or null where it may be chance for one of them. */
function departures(terms: Terms, reference: number | null, some: readonly Batch[], others: readonly Batch[]): number[] | null {
  const fit = fitBatches(terms, reference, others);
  if (fit === null || fit.degreesOfFreedom < 1) return null;
  const limit = studentQuantile(1 - chance / 2 / (others.length + 1), fit.degreesOfFreedom);
  const typical = others.reduce((s, b) => s + b.samples, 0) / others.length;
  // Below this a departure is rounding.
  const least = 1e-9 * others.reduce((m, b) => Math.max(m, Math.abs(b.mean)), 0);
  const off = some.map((b) => b.mean - rowOf(terms, reference, b).reduce((s, x, j) => s + x * fit.coefficients[j]!, 0));
  const sound = some.some((b, i) => {
    const row = rowOf(terms, reference, b);
    const ofLine = row.reduce((s, x, j) => s + x * row.reduce((t, y, k) => t + y * fit.covariance[j]![k]!, 0), 0);
    return Math.abs(off[i]!) <= Math.max(least, limit * Math.sqrt((fit.deviation ** 2 * typical) / b.samples + ofLine));
  });
  return sound ? null : off;
}
