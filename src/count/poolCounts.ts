import { checkChoice, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { gateNote } from './assemble.js';
import { closeResidue, residuePolicies, withRanges } from './closeResidue.js';
import { isCycleCount, type CycleCount, type Cycles, type ResiduePolicy } from './CycleCount.js';

/** One shaft of a pool. */
export interface PooledShaft {
  readonly shaft: string;
  /** Seconds that were read on it. */
  readonly validTime: number;
  /** Its cycles, the residue counted. */
  readonly cycles: number;
  readonly largestRange: number;
}

/**
 * Cycles of several shafts side by side. Not a CycleCount: there is no common time, so it cannot be merged, and its
 * residues are closed for good.
 */
export interface PooledCount<U extends Unit = Unit> {
  readonly unit: U;
  readonly shafts: readonly PooledShaft[];
  /** All cycles; validTime is shaft-seconds. */
  readonly pooled: Cycles<U>;
  readonly residue: ResiduePolicy;
}

/**
 * Pools counts of different shafts, each with its residue closed by itself. For records of one shaft use mergeCounts.
 *
 * Cost: one copy.
 *
 * @param shafts the name of each shaft and its (merged) count; names differ
 * @param residue how each residue is counted
 * @returns the pool, whose gate is the largest of the shafts'; damage of `pooled` over its valid time is the mean rate of one shaft
 * @throws InputError for fewer than two shafts, two of one name, a count that states another shaft, or different units
 * @see mergeCounts
 * @example
 * const a = countCycles(Float64Array.of(0, 4, 0)), b = countCycles(Float64Array.of(0, 6, 0));
 * poolCounts([{ shaft: 'pump 1', count: a }, { shaft: 'pump 2', count: b }], 'half').pooled.total // => 2
 */
export function poolCounts<U extends Unit>(shafts: readonly { readonly shaft: string; readonly count: CycleCount<U> }[], residue: ResiduePolicy): PooledCount<U> {
  const where = 'poolCounts';
  checkChoice(where, 'residue', residue, residuePolicies);
  if (!(shafts?.length >= 2)) throw new InputError({ where, argument: 'shafts', expected: 'at least two shafts', given: shafts ? `${shafts.length}` : show(shafts), remedy: 'For records of one shaft use mergeCounts.' });
  shafts.forEach((one, k) => {
    checkOptions(`${where} (shafts)`, one, { required: ['shaft', 'count'] });
    const { shaft, count } = one;
    if (!isCycleCount(count)) throw new InputError({ where, argument: `count of shaft ${k + 1}`, expected: 'a CycleCount', given: show(count) });
    if (shafts.findIndex((s) => s.shaft === shaft) !== k) throw new InputError({ where, argument: 'shafts', expected: 'of different names', given: `two called ${show(shaft)}`, remedy: 'Records of one shaft are joined with mergeCounts, so that cycles across files close.' });
    const other = count.sources.find((s) => s.shaft !== null && s.shaft !== shaft);
    if (other) throw new InputError({ where, argument: `count of ${shaft}`, expected: `counted on ${shaft}`, given: `one counted on ${other.shaft}` });
    if (count.unit !== shafts[0]!.count.unit) throw new InputError({ where, argument: `unit of ${shaft}`, expected: `${shafts[0]!.count.unit}, as the first one's`, given: count.unit });
  });
  const parts = shafts.map(({ count }) => closeResidue(count, residue));
  const column = (key: 'from' | 'to' | 'count'): Float64Array => Float64Array.from(parts.flatMap((p) => Array.from(p[key])));
  const from = column('from');
  const gate = Math.max(...parts.map((p) => p.gate));
  const pooled = withRanges<U>({
    unit: parts[0]!.unit, from, to: column('to'), count: column('count'), fromAt: new Float64Array(from.length).fill(-1), at: new Float64Array(from.length).fill(-1), residue, gate,
    sampleRate: null, validTime: parts.reduce((sum, p) => sum + p.validTime, 0), lostTime: parts.reduce((sum, p) => sum + p.lostTime, 0),
    sources: Object.freeze(parts.flatMap((p) => [...p.sources])),
    notes: Object.freeze([`Cycles of ${shafts.length} shafts side by side: no cycle runs from one to another, and times are shaft-seconds.`, ...(gate > 0 ? [parts.every((p) => p.gate === gate) ? gateNote(gate, parts[0]!.unit) : `Ranges were left out below gates that differ: ${shafts.map((s, k) => `${s.shaft} ${parts[k]!.gate}`).join(', ')} ${parts[0]!.unit}.`] : [])]),
  });
  return makeResult<PooledCount<U>>('PooledCount', {
    unit: pooled.unit, residue, pooled,
    shafts: Object.freeze(parts.map((p, k) => Object.freeze({ shaft: shafts[k]!.shaft, validTime: p.validTime, cycles: p.total, largestRange: p.range.reduce((a, b) => Math.max(a, b), 0) }))),
  }, (p) => `PooledCount [${p.unit}]: ${p.shafts.map((s) => s.shaft).join(', ')}; ${p.pooled.total} cycles`);
}
