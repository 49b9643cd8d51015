import type { Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import type { Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { fitClock, type ClockSource } from './fitClock.js';

const operation = defineOperation<ClockSource>('repairClock', (channel, options) => {
  const where = 'repairClock';
  checkOptions(where, options, { optional: ['counter', 'modulus', 'stamps', 'maxJitter'] });
  const fit = fitClock(options);
  const n = channel.values.length;
  if (fit.rows !== n) throw new InputError({ where, argument: options.counter ? 'counter' : 'stamps', expected: `as long as ${channel.name} (${n} rows)`, given: `${fit.rows} rows`, remedy: 'Take both from one recording.' });
  const values = new Float64Array(fit.place[n - 1]! + 1).fill(NaN);
  const gaps: Span[] = [];
  for (let i = 0; i < n; i++) {
    const at = fit.place[i]!;
    values[at] = channel.values[i]!;
    const before = i === 0 ? -1 : fit.place[i - 1]!;
    if (at > before + 1) gaps.push({ from: before + 1, to: at, why: 'clock gap' });
  }
  const moved = channel.invalid.flatMap((span) => movedSpans(span, fit.place));
  const found = {
    rows: n, samples: values.length, lostFrames: fit.lostFrames, lostSeconds: fit.lostFrames / (fit.sampleRate ?? channel.sampleRate), gaps: gaps.length,
    gapLengths: { length: fit.gapLengths.length, count: fit.gapLengths.count }, fittedRate: fit.fittedRate, fittedRateError: fit.fittedRateError, rmsResidual: fit.rmsResidual, notes: fit.notes,
  };
  return { values, invalid: [...moved, ...gaps], sampleRate: fit.sampleRate ?? channel.sampleRate, found };
});

/** A masked span of rows, where its rows lie now. */
function movedSpans(span: Span, place: Float64Array): Span[] {
  const spans: Span[] = [];
  for (let i = span.from; i < span.to; i++) {
    const at = place[i]!;
    const last = spans.at(-1);
    if (last && last.to === at) spans[spans.length - 1] = { ...last, to: at + 1 };
    else spans.push({ from: at, to: at + 1, why: span.why });
  }
  return spans;
}

/**
 * Gives a channel back the time that lost frames took from it: each row goes to its place by the frame counter, the time
 * stamps or both ({@link fitClock}), and the places without a row are masked as 'clock gap' with no number in them.
 *
 * Kept: values, units, masks (moved along), the start. The rate is the one that the stamps show, or the channel's own where
 * there is a counter only. Cost: one pass.
 *
 * @param channel rows as they arrived, one for each value of the counter or stamps
 * @param source counter with modulus, stamps, or both; channels of the same recording
 * @returns the channel on its true clock; the step's `found` holds lost frames, gap lengths, fitted rate and residual
 * @throws InputError where rows and counter differ in number, frames repeat or run back, stamps fall back, or fewer than one frame in 20 arrived
 * @see fitClock, alignChannels
 * @example
 * const counter = makeChannel({ name: 'frame', unit: 'count', sampleRate: 100, values: [6, 7, 2, 3] });
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: [10, 11, 14, 15] });
 * repairClock(torque, { counter, modulus: 8 }).invalid // => [{"from":2,"to":4,"why":"clock gap"}]
 */
export function repairClock<U extends Unit>(channel: Channel<U>, source: ClockSource): Channel<U> {
  return operation(channel, source) as Channel<U>;
}
