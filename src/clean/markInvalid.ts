import type { Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { kindOf } from '../record/result.js';
import { coveredSamples, faults, normaliseSpans, runsBetween, type Fault, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import type { FaultReport } from './FaultReport.js';

const operation = defineOperation<{ spans: readonly Span[] }>('markInvalid', (channel, options) => {
  checkOptions('markInvalid', options, { required: ['spans'] });
  const n = channel.values.length;
  const before = coveredSamples(channel.invalid);
  const own = normaliseSpans(options.spans, n, 'markInvalid');
  const invalid = normaliseSpans([...channel.invalid, ...own], n, 'markInvalid');
  const samples = coveredSamples(invalid) - before;
  const byReason = Object.fromEntries(faults.map((why) => [why, coveredSamples(own.filter((s) => s.why === why))] as const).filter(([, count]) => count > 0));
  return { invalid, found: { spans: own.length, samples, seconds: samples / channel.sampleRate, masked: coveredSamples(invalid) / n, byReason } };
});

/**
 * Masks samples: no computation reads them from here on. Their values are kept as recorded, nothing is filled in.
 *
 * @param channel any channel
 * @param what spans with reasons, or what findFaults found in this very record
 * @returns the channel with the longer mask
 * @throws InputError for spans outside the record, or a report of a record of another length or rate
 * @see findFaults, markValid
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [5, 6, 0, 5] });
 * markInvalid(T, [{ from: 2, to: 3, why: 'by hand' }]).invalid // => [{"from":2,"to":3,"why":"by hand"}]
 */
export function markInvalid<U extends Unit>(channel: Channel<U>, what: readonly Span[] | FaultReport): Channel<U> {
  return operation(channel, { spans: spansOf('markInvalid', channel, what) }) as Channel<U>;
}

const undo = defineOperation<{ spans: readonly Span[] }>('markValid', (channel, options) => {
  checkOptions('markValid', options, { required: ['spans'] });
  const n = channel.values.length;
  const freed = normaliseSpans(options.spans, n, 'markValid');
  const invalid: Span[] = [];
  for (const span of channel.invalid) {
    const within = freed.filter((f) => f.to > span.from && f.from < span.to)
      .map((f) => ({ ...f, from: Math.max(f.from, span.from) - span.from, to: Math.min(f.to, span.to) - span.from }));
    const mine = within.filter((f) => f.why === span.why);
    if (mine.length === 0) invalid.push(span);
    else for (const rest of runsBetween(mine, span.to - span.from)) invalid.push({ from: span.from + rest.from, to: span.from + rest.to, why: span.why });
  }
  const samples = coveredSamples(channel.invalid) - coveredSamples(invalid);
  if (samples === 0) throw new InputError({ where: 'markValid', argument: 'spans', expected: 'samples that are masked for the reasons given', given: 'none that are' });
  return { invalid, found: { samples, seconds: samples / channel.sampleRate } };
});

/**
 * Takes masks back: the samples of the spans that are masked for the same reason become valid again, with the values
 * as recorded. This undoes one, some or all lines of an edit list.
 *
 * @param channel a channel with masks
 * @param what spans with reasons, or a whole report
 * @throws InputError where none of the samples is masked for the reason given, or where samples to be freed hold no number
 * @see markInvalid
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [5.1, 5.3, 4.9, 0, 0, 0, 5.4, 5.0] });
 * const report = findFaults(T);
 * markValid(markInvalid(T, report), report.edits.slice(0, 1)).invalid // => []
 */
export function markValid<U extends Unit>(channel: Channel<U>, what: readonly Span[] | FaultReport): Channel<U> {
  return undo(channel, { spans: spansOf('markValid', channel, what) }) as Channel<U>;
}

function spansOf(where: string, channel: Channel, what: readonly Span[] | FaultReport): readonly Span[] {
  const list: unknown = kindOf(what) === 'FaultReport' ? (what as FaultReport).spans : what;
  if (!Array.isArray(list)) throw new InputError({ where, argument: 'what', expected: 'spans, or what findFaults found', given: show(what) });
  if (kindOf(what) === 'FaultReport') {
    const report = what as FaultReport;
    if (report.samples !== channel.values.length || report.sampleRate !== channel.sampleRate) {
      throw new InputError({ where, argument: 'what', expected: `a report of a record of ${channel.values.length} samples at ${channel.sampleRate} Hz`, given: `one of ${report.samples} samples at ${report.sampleRate} Hz` });
    }
  }
  return (list as readonly Span[]).map((span): Span => (typeof span === 'object' && span !== null ? { from: span.from, to: span.to, why: span.why as Fault } : span));
}
