import { formatSeconds } from '../record/Channel.js';
import type { Unit } from '../record/units.js';
import { makeCycleCount, type ClosedCycles, type CountSource, type CycleCount, type FromToHistogram, type Residue } from './CycleCount.js';
import { stampCycles, type OneCycle } from './largest.js';

/** What a count is made of; the rest follows from it. */
export interface CountParts<U extends Unit> {
  readonly unit: U;
  readonly sampleRate: number;
  readonly start: string | null;
  readonly samples: number;
  readonly lostSamples: number;
  readonly closed: ClosedCycles;
  readonly closedCycles: number;
  readonly histogram: FromToHistogram | null;
  readonly residue: Residue;
  readonly largest: readonly OneCycle[];
  readonly largestKept: number;
  /** 0 where left out. */
  readonly gate?: number;
  readonly sources: readonly CountSource[];
}

/** Makes the count from its parts: times, time stamps and notes follow from them, so equal parts give equal counts. */
export function assembleCount<U extends Unit>(parts: CountParts<U>): CycleCount<U> {
  const { unit, sampleRate, start, samples, lostSamples, closed, closedCycles, histogram, residue, largest, largestKept, gate = 0, sources } = parts;
  const validSamples = samples - lostSamples;
  return makeCycleCount({
    unit, sampleRate, start, samples, validSamples, validTime: validSamples / sampleRate, lostTime: lostSamples / sampleRate,
    closed: Object.freeze(closed), closedCycles, histogram: histogram && Object.freeze(histogram), residue: Object.freeze(residue),
    largest: stampCycles(largest, sources, sampleRate), largestKept, gate, sources: Object.freeze([...sources]), notes: Object.freeze(notesOf(parts)),
  });
}

/** What a gate has done, in the words of a note. */
export function gateNote(gate: number, unit: Unit): string {
  return `Ranges below a gate of ${gate} ${unit} were left out.`;
}

function notesOf(parts: CountParts<Unit>): string[] {
  const notes: string[] = [];
  if (parts.lostSamples > 0) {
    notes.push(`${formatSeconds(parts.lostSamples / parts.sampleRate)} under masks were bridged: the turning points on both sides join, and cycles inside the lost time are not counted.`);
  }
  if (parts.gate) notes.push(gateNote(parts.gate, parts.unit));
  if (parts.histogram) {
    const outside = parts.closed.from.length;
    notes.push(`Closed cycles are kept in ${parts.histogram.classes} × ${parts.histogram.classes} classes; where a range is needed a cycle stands at its class centres.${outside > 0 ? ` ${outside} cycles outside the edges are kept exactly.` : ''}`);
  }
  if (parts.sources.some((s) => s.trail.length === 0)) {
    notes.push('Counted from bare numbers: unit and sample rate are as the caller stated them (\'1\' and 1 Hz where nothing was stated), and no trail leads to them.');
  }
  return notes;
}
