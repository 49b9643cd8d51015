import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import type { Unit } from '../record/units.js';
import { assembleCount } from './assemble.js';
import { sameEdges } from './classes.js';
import { CycleCounter } from './CycleCounter.js';
import { isCycleCount, type ClosedCycles, type CountSource, type CycleCount, type FromToHistogram } from './CycleCount.js';
import { LargestKeeper } from './largest.js';
import { pauseAfter } from './succession.js';

/** Keeps counts of different units from compiling together: what a count must be besides, nothing where there is one unit, or where the compiler does not know it. */
export type OneUnit<U extends Unit> = [Unit] extends [U] ? unknown : true extends OneOfSeveral<U> ? { readonly unit: 'the same for all counts' } : unknown;
/** Is a type of unit one of several in a union? */
export type OneOfSeveral<U, All = U> = U extends unknown ? ([All] extends [U] ? false : true) : never;

/**
 * Merges counts of successive pieces of one signal, in time order, to the count of the whole, bit for bit.
 *
 * The residues are put one behind the other and counted; what closes there joins the closed cycles of the pieces.
 * What is merged belongs to one shaft: counts that state different shafts are refused, and so are channels of different names
 * where not all state their shaft. Associative, in what is refused too; not commutative. Sample indices of later pieces are shifted by the samples before them. A pause between
 * two records is neither valid nor lost time: the shaft was not recorded.
 *
 * Cost: one copy of the closed cycles; the residues are short.
 *
 * @param counts at least one, of one unit and sample rate, all with cycles or all with the same class edges
 * @returns the count of all; fewer of the largest cycles are kept where a piece kept fewer
 * @throws InputError for different shafts, units, rates or edges, gated counts (ranges that would close across the pieces are gone), or a record that begins before those before it can have ended: those that state no start take their time too
 * @see CycleCounter poolCounts gateCycles
 * @example
 * const x = Float64Array.of(0, 4, -6, 8, -2, 2, -10, 6, -4, 3, 0);
 * const parts = mergeCounts(countCycles(x.slice(0, 5)), countCycles(x.slice(5)));
 * parts.closed.at // => [5]
 * parts.residue.values // => [0,4,-6,8,-10,6,-4,3,0]
 */
export function mergeCounts<U extends Unit>(...counts: readonly (CycleCount<U> & OneUnit<U>)[]): CycleCount<U> {
  checkPieces(counts);
  const first = counts[0]!;
  const shifts = counts.map((_, k) => counts.slice(0, k).reduce((sum, c) => sum + c.samples, 0));
  const joint = countJoint(counts, shifts, first);
  const most = Math.min(...counts.map((c) => c.largestKept));
  const largest = new LargestKeeper(most);
  counts.forEach((c, k) => c.largest.forEach((l) => largest.offer(l.from, l.to, l.fromAt + shifts[k]!, l.at + shifts[k]!)));
  joint.largest.forEach((l) => largest.offer(l.from, l.to, l.fromAt, l.at));
  return assembleCount({
    unit: first.unit, sampleRate: first.sampleRate, start: first.start,
    samples: counts.reduce((sum, c) => sum + c.samples, 0), lostSamples: counts.reduce((sum, c) => sum + c.samples - c.validSamples, 0),
    closed: joinClosed(counts, shifts, joint.closed), closedCycles: counts.reduce((sum, c) => sum + c.closedCycles, joint.closedCycles),
    histogram: first.histogram && addHistograms([...counts.map((c) => c.histogram!), joint.histogram!]),
    residue: joint.residue, largest: largest.list(), largestKept: most, gate: first.gate,
    sources: counts.flatMap((c, k) => c.sources.map((s): CountSource => Object.freeze({ ...s, from: s.from + shifts[k]! }))),
  });
}

function checkPieces(counts: readonly CycleCount[]): void {
  const where = 'mergeCounts';
  if (counts.length === 0) throw new InputError({ where, argument: 'counts', expected: 'at least one count', given: 'none' });
  counts.forEach((c, k) => {
    if (!isCycleCount(c)) throw new InputError({ where, argument: `count ${k + 1}`, expected: 'a CycleCount of one shaft', given: show(c) });
    const a = counts[0]!;
    const differs = (argument: string, expected: string, given: string, remedy?: string): never => {
      throw new InputError({ where, argument: `${argument} of count ${k + 1}`, expected: `${expected}, as the first one's`, given, ...(remedy ? { remedy } : {}) });
    };
    if (c.unit !== a.unit) differs('unit', a.unit, c.unit);
    if (c.sampleRate !== a.sampleRate) differs('sampleRate', `${a.sampleRate} Hz`, `${c.sampleRate} Hz`, 'Resample to one rate before counting.');
    if (!sameEdges(a.histogram, c.histogram)) differs('histogram', a.histogram ? `${a.histogram.classes} classes with the same edges` : 'none', c.histogram ? `${c.histogram.classes} classes` : 'none', 'Count all pieces with the same keep.');
    if (counts.length > 1 && c.gate > 0) throw new InputError({ where, argument: `count ${k + 1}`, expected: 'without a gate', given: `one gated at ${c.gate} ${c.unit}`, remedy: 'Merge the counts as they were counted and gate the whole: gateCycles(mergeCounts(…), gate).' });
  });
  checkOrder(counts);
  const sources = counts.flatMap((c, k) => c.sources.map(({ name, shaft }) => ({ name, shaft, k })));
  checkOne('shaft', sources.filter((s) => s.shaft !== null));
  if (sources.some((s) => s.shaft === null)) checkOne('name', sources);
}

/** One shaft: all that state theirs state the same, and where one does not, all channels are of one name. */
function checkOne(key: 'shaft' | 'name', sources: readonly { readonly name: string; readonly shaft: string | null; readonly k: number }[]): void {
  const other = sources.find((s) => s[key] !== sources[0]![key]);
  if (!other) return;
  const { k } = sources[0]!;
  throw new InputError({
    where: 'mergeCounts', argument: `${key === 'shaft' ? 'shaft' : 'channel'} of count ${other.k + 1}`, expected: `${show(sources[0]![key])}, as ${k === 0 ? "the first one's" : `that of count ${k + 1}`}`, given: show(other[key]),
    remedy: `${key === 'shaft' ? '' : "If all were measured on one shaft, count each with shaft: '…'. "}For different shafts use poolCounts.`,
  });
}

/** A record must not begin before the last one of known start, and what came after that, has ended, to half a sample. */
function checkOrder(counts: readonly CycleCount[]): void {
  const { sampleRate } = counts[0]!;
  let known: { start: string; samples: number; k: number } | null = null;
  for (const [k, count] of counts.entries()) {
    for (const { start, samples } of count.sources) {
      const pause: number = known && start !== null ? pauseAfter(known, sampleRate, start) : 0;
      if (known && pause < -0.5 / sampleRate) {
        throw new InputError({
          where: 'mergeCounts', argument: `start of count ${k + 1}`, expected: `after the end of ${known.k === k - 1 ? 'the count before it' : `what began with count ${known.k + 1}`}`, given: `${start}, which is ${(-pause).toPrecision(3)} s before that end`,
          remedy: 'Give the counts in time order, each stretch of time once. For different shafts use poolCounts.',
        });
      }
      if (start !== null) known = { start, samples, k };
      else if (known) known.samples += samples;
    }
  }
}

/** Counts the residues one behind the other; indices are those of the whole. */
function countJoint<U extends Unit>(counts: readonly CycleCount<U>[], shifts: readonly number[], first: CycleCount<U>): CycleCount<U> {
  const length = counts.reduce((sum, c) => sum + c.residue.values.length, 0);
  const values = new Float64Array(length);
  const at = new Float64Array(length);
  let n = 0;
  counts.forEach((c, k) => {
    values.set(c.residue.values, n);
    c.residue.at.forEach((a, i) => (at[n + i] = a + shifts[k]!));
    n += c.residue.values.length;
  });
  const joint = new CycleCounter<U>({ unit: first.unit, sampleRate: first.sampleRate, largest: first.largestKept, keep: first.histogram ? { edges: first.histogram.edges } : 'cycles' }).push(values).finish();
  const whole = (indices: Float64Array): Float64Array => indices.map((i) => at[i]!);
  return {
    ...joint,
    closed: { ...joint.closed, fromAt: whole(joint.closed.fromAt), at: whole(joint.closed.at) },
    residue: { values: joint.residue.values, at: whole(joint.residue.at) },
    largest: joint.largest.map((l) => ({ ...l, fromAt: at[l.fromAt]!, at: at[l.at]! })),
  };
}

/** The closed cycles of the pieces, shifted, with those of the joint sorted in by `at`. */
function joinClosed(counts: readonly CycleCount[], shifts: readonly number[], joint: ClosedCycles): ClosedCycles {
  const length = counts.reduce((sum, c) => sum + c.closed.at.length, joint.at.length);
  const out = { from: new Float64Array(length), to: new Float64Array(length), fromAt: new Float64Array(length), at: new Float64Array(length) };
  let n = 0;
  let j = 0;
  const put = (c: ClosedCycles, i: number, shift: number): void => {
    out.from[n] = c.from[i]!;
    out.to[n] = c.to[i]!;
    out.fromAt[n] = c.fromAt[i]! + shift;
    out.at[n] = c.at[i]! + shift;
    n++;
  };
  counts.forEach(({ closed }, k) => {
    const shift = shifts[k]!;
    for (let i = 0; i < closed.at.length; i++) {
      while (j < joint.at.length && joint.at[j]! < closed.at[i]! + shift) put(joint, j++, 0);
      put(closed, i, shift);
    }
  });
  while (j < joint.at.length) put(joint, j++, 0);
  return out;
}

function addHistograms(histograms: readonly FromToHistogram[]): FromToHistogram {
  const counts = new Float64Array(histograms[0]!.counts.length);
  for (const h of histograms) for (let k = 0; k < counts.length; k++) counts[k]! += h.counts[k]!;
  return { edges: histograms[0]!.edges, classes: histograms[0]!.classes, counts };
}
