import type { Step } from '../record/Channel.js';
import { formatSeconds } from '../record/Channel.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';

/** Where the samples of a count came from: one entry for each record, in time order. */
export interface CountSource {
  /** The channel's name. */
  readonly name: string;
  /** The shaft it was counted on, as the caller stated it; null = not stated. */
  readonly shaft: string | null;
  /** ISO 8601 UTC of the record's first sample; null = not known. */
  readonly start: string | null;
  /** Index of the record's first sample in the count. */
  readonly from: number;
  readonly samples: number;
  /** The steps that led to the counted channel; empty for bare numbers. */
  readonly trail: readonly Step[];
}

/** Closed cycles, sorted by `at`; four arrays of one length. */
export interface ClosedCycles {
  /** Value of the turning point at which the cycle begins. */
  readonly from: Float64Array;
  /** Value of the turning point at which it turns back. */
  readonly to: Float64Array;
  /** Sample index of `from`. */
  readonly fromAt: Float64Array;
  /** Sample index of `to`: the branch that leaves there closes the cycle. */
  readonly at: Float64Array;
}

/** Closed cycles by class: edges[k] ≤ value < edges[k + 1] (the last class holds its upper edge too; equal classes are told apart to 1e-12 of a class). */
export interface FromToHistogram {
  /** Class edges, rising, in the unit of the count. */
  readonly edges: Float64Array;
  /** Cycles from class i to class j at counts[i · classes + j]. */
  readonly counts: Float64Array;
  readonly classes: number;
}

/** The turning points that closed no cycle, in time order. */
export interface Residue {
  readonly values: Float64Array;
  /** Sample indices. */
  readonly at: Float64Array;
}

/** One of the largest closed cycles. */
export interface LargestCycle {
  readonly range: number;
  readonly mean: number;
  readonly from: number;
  readonly to: number;
  readonly fromAt: number;
  readonly at: number;
  /** Seconds from the first sample of its source to `at`. */
  readonly seconds: number;
  /** ISO 8601 UTC of `at`; null where the start of its source is not known. */
  readonly time: string | null;
}

/**
 * A rainflow count as an exact value: the closed cycles, the residue, the valid and the lost time. Counts of
 * successive pieces of one signal merge to the count of the whole, bit for bit (see mergeCounts).
 */
export interface CycleCount<U extends Unit = Unit> {
  readonly unit: U;
  /** Hz. */
  readonly sampleRate: number;
  /** ISO 8601 UTC of sample 0; null = not known. */
  readonly start: string | null;
  /** Samples in all, masked ones included. */
  readonly samples: number;
  readonly validSamples: number;
  /** Seconds that were read. */
  readonly validTime: number;
  /** Seconds under masks; the count bridges them. */
  readonly lostTime: number;
  /** Every closed cycle; where a histogram is kept, only those that lie outside its edges. */
  readonly closed: ClosedCycles;
  /** Number of closed cycles, those of the histogram included. */
  readonly closedCycles: number;
  /** The closed cycles by class, where that was asked for; null = every cycle is in `closed`. */
  readonly histogram: FromToHistogram | null;
  readonly residue: Residue;
  /** The largest closed cycles, largest first, as many as were asked for. The residue is not among them: see largestCycles. */
  readonly largest: readonly LargestCycle[];
  /** How many of the largest closed cycles are kept at most. */
  readonly largestKept: number;
  /** Ranges below this were left out by gateCycles; 0 = none. */
  readonly gate: number;
  readonly sources: readonly CountSource[];
  readonly notes: readonly string[];
}

/** How the residue is counted: every range as half a cycle, as if the record were repeated for ever, or not at all. */
export type ResiduePolicy = 'half' | 'repeat' | 'drop';

/** Cycles ready for damage, one row each; arrays of one length. */
export interface Cycles<U extends Unit = Unit> {
  readonly unit: U;
  readonly range: Float64Array;
  readonly mean: Float64Array;
  readonly from: Float64Array;
  readonly to: Float64Array;
  /** 1 for a closed cycle, 0.5 for half a cycle, more for the cycles of one class of a histogram. */
  readonly count: Float64Array;
  /** Sample index of `from`; −1 where it is not known (a class of a histogram). */
  readonly fromAt: Float64Array;
  /** Sample index of `to`; −1 where it is not known. */
  readonly at: Float64Array;
  /** Sum of count. */
  readonly total: number;
  /** Hz of the samples that the places count; null = there is no one clock (a table, several shafts). */
  readonly sampleRate: number | null;
  /** Seconds that were read; more or less than those of the sources where cycles were repeated, extrapolated or picked by state. */
  readonly validTime: number;
  /** Seconds under masks. */
  readonly lostTime: number;
  readonly residue: ResiduePolicy;
  /** Ranges below this were left out, by gateCycles before the residue was closed; 0 = none. */
  readonly gate: number;
  /** The records whose samples the places count; none for a table of cycles, whose residue nobody closed. */
  readonly sources: readonly CountSource[];
  readonly notes: readonly string[];
}

/** Freezes a count with its readable line. */
export function makeCycleCount<U extends Unit>(data: CycleCount<U>): CycleCount<U> {
  return makeResult('CycleCount', data, (c) => {
    const how = c.histogram ? ` in ${c.histogram.classes} × ${c.histogram.classes} classes` : '';
    const lost = c.lostTime > 0 ? `, ${formatSeconds(c.lostTime)} lost` : '';
    return `CycleCount ${c.sources.map((s) => s.name).join(' + ')} [${c.unit}]: ${c.closedCycles} closed cycles${how}, residue of ${c.residue.values.length} points${c.gate > 0 ? `, gate ${c.gate} ${c.unit}` : ''}, ${formatSeconds(c.validTime)} valid${lost}`;
  });
}

/** Freezes cycles with their readable line. */
export function makeCycles<U extends Unit>(data: Cycles<U>): Cycles<U> {
  return makeResult('Cycles', data, (c) => `Cycles [${c.unit}]: ${c.total} cycles in ${c.range.length} rows, residue '${c.residue}'${c.gate > 0 ? `, gate ${c.gate} ${c.unit}` : ''}, ${formatSeconds(c.validTime)} valid`);
}

/** Is this a count of ours? */
export function isCycleCount(value: unknown): value is CycleCount {
  return kindOf(value) === 'CycleCount';
}

/** Are these cycles of ours? */
export function isCycles(value: unknown): value is Cycles {
  return kindOf(value) === 'Cycles';
}
