import { formatSeconds, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import { coveredSamples, faults, normaliseSpans, type Fault, type Span } from '../record/span.js';
import type { Json } from '../record/json.js';

/** How much was lost for one reason. */
export interface FaultCount {
  readonly why: Fault;
  readonly spans: number;
  readonly samples: number;
  readonly seconds: number;
  /** The longest span, s. */
  readonly longest: number;
}

/** One line of the edit list: which samples, when, why and on what grounds. */
export interface FaultEdit extends Span {
  /** s from the first sample. */
  readonly at: number;
  readonly seconds: number;
  /** The value in the first sample of the span, as recorded. */
  readonly value: number;
}

/** What findFaults found. Nothing is changed by it: markInvalid masks what it lists. */
export interface FaultReport {
  /** Name of the channel. */
  readonly channel: string;
  readonly sampleRate: number;
  readonly samples: number;
  /** Sorted and disjoint; of samples that were valid before. */
  readonly spans: readonly Span[];
  readonly edits: readonly FaultEdit[];
  /** One entry per reason that occurs. */
  readonly counts: readonly FaultCount[];
  /** Part of the samples that the spans cover, 0 to 1. */
  readonly lost: number;
  /** The rules as they were applied, with the limits that the record's own noise gave. */
  readonly rules: Json;
  readonly notes: readonly string[];
}

/** Puts a fault report together from spans in any order. */
export function makeFaultReport(channel: Channel, given: readonly Span[], rules: Json, notes: readonly string[]): FaultReport {
  const spans = normaliseSpans(given, channel.values.length, 'findFaults');
  const rate = channel.sampleRate;
  const counts = faults.flatMap((why): FaultCount[] => {
    const own = spans.filter((s) => s.why === why);
    if (own.length === 0) return [];
    const samples = coveredSamples(own);
    return [Object.freeze({ why, spans: own.length, samples, seconds: samples / rate, longest: own.reduce((m, s) => Math.max(m, s.to - s.from), 0) / rate })];
  });
  const edits = spans.map((s) => Object.freeze({ ...s, at: s.from / rate, seconds: (s.to - s.from) / rate, value: channel.values[s.from]! }));
  return makeResult('FaultReport', {
    channel: channel.name, sampleRate: rate, samples: channel.values.length, spans, edits: Object.freeze(edits), counts: Object.freeze(counts),
    lost: coveredSamples(spans) / channel.values.length, rules, notes: Object.freeze([...notes]),
  }, describe);
}

function describe(report: FaultReport): string {
  if (report.spans.length === 0) return `Faults of ${report.channel}: none found`;
  const parts = report.counts.map((c) => `${c.why} ${c.spans} × (${formatSeconds(c.seconds)})`);
  return `Faults of ${report.channel}: ${(100 * report.lost).toPrecision(2)} % of the samples; ${parts.join(', ')}`;
}
