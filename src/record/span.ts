import { InputError } from './errors.js';
import { checkChoice, checkNumber, show } from './check.js';

/** Why a span is masked, in the trade's words. */
export type Fault = 'dropout' | 'held value' | 'rail' | 'clock gap' | 'not a number' | 'spike' | 'stuck bit' | 'saturation' | 'wrap-around'
  | 'invalid in file' | 'filter edge' | 'out of range' | 'by hand';

/** Every reason for which a sample may be masked. */
export const faults: readonly Fault[] = Object.freeze([
  'dropout', 'held value', 'rail', 'clock gap', 'not a number', 'spike', 'stuck bit', 'saturation', 'wrap-around',
  'invalid in file', 'filter edge', 'out of range', 'by hand',
]);

/** The reasons themselves, if each is one. */
export function checkFaults(where: string, why: readonly Fault[]): readonly Fault[] {
  if (!Array.isArray(why)) throw new InputError({ where, argument: 'why', expected: 'a list of reasons', given: show(why) });
  why.forEach((w) => checkChoice(where, 'why', w, faults));
  return why;
}

/** Samples from ≤ i < to that no computation may read, and why. */
export interface Span {
  readonly from: number;
  readonly to: number;
  readonly why: Fault;
}

/** Samples from ≤ i < to, all of them valid. */
export interface Run {
  readonly from: number;
  readonly to: number;
}

/**
 * Sorted, disjoint, frozen spans. Where two overlap, the one that starts first keeps its samples and the later one the
 * rest; touching spans of one reason are joined.
 *
 * @throws InputError for a bound that is not a whole number, an empty span, one outside 0 … length, or an unknown reason.
 */
export function normaliseSpans(spans: readonly Span[], length: number, where = 'normaliseSpans'): readonly Span[] {
  for (const span of spans) {
    if (typeof span !== 'object' || span === null) throw new InputError({ where, argument: 'invalid', expected: 'made of spans { from, to, why }', given: show(span) });
    checkNumber(where, 'invalid.from', span.from, { integer: true, min: 0, max: length });
    checkNumber(where, 'invalid.to', span.to, { integer: true, min: 0, max: length });
    checkChoice(where, 'invalid.why', span.why, faults);
    if (span.to <= span.from) {
      throw new InputError({ where, argument: 'invalid', expected: 'made of spans with from below to', given: `from ${span.from} to ${span.to}` });
    }
  }
  const sorted = [...spans].sort((a, b) => a.from - b.from || b.to - a.to);
  const result: Span[] = [];
  for (const span of sorted) {
    const last = result.at(-1);
    const from = last ? Math.max(span.from, last.to) : span.from;
    if (from >= span.to) continue;
    if (last && last.to === from && last.why === span.why) result[result.length - 1] = Object.freeze({ ...last, to: span.to });
    else result.push(Object.freeze({ from, to: span.to, why: span.why }));
  }
  return Object.freeze(result);
}

/** The runs of valid samples between spans that are sorted and disjoint. */
export function runsBetween(spans: readonly Span[], length: number): readonly Run[] {
  const runs: Run[] = [];
  let at = 0;
  for (const span of spans) {
    if (span.from > at) runs.push(Object.freeze({ from: at, to: span.from }));
    at = span.to;
  }
  if (at < length) runs.push(Object.freeze({ from: at, to: length }));
  return Object.freeze(runs);
}

/** Spans over every maximal run of samples for which `test` holds. */
export function spansWhere(length: number, test: (index: number) => boolean, why: Fault): Span[] {
  const spans: Span[] = [];
  let from = -1;
  for (let i = 0; i <= length; i++) {
    const hit = i < length && test(i);
    if (hit && from < 0) from = i;
    if (!hit && from >= 0) {
      spans.push({ from, to: i, why });
      from = -1;
    }
  }
  return spans;
}

/** The part of spans inside from ≤ i < to, counted from `from`. */
export function sliceSpans(spans: readonly Span[], from: number, to: number): Span[] {
  return spans
    .filter((span) => span.to > from && span.from < to)
    .map((span) => ({ from: Math.max(span.from, from) - from, to: Math.min(span.to, to) - from, why: span.why }));
}

/** How many samples the spans cover. */
export function coveredSamples(spans: readonly Run[]): number {
  return spans.reduce((sum, span) => sum + span.to - span.from, 0);
}
