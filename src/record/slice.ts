import type { Channel } from './Channel.js';
import { duration } from './Channel.js';
import { checkNumber, checkOptions, show } from './check.js';
import { InputError } from './errors.js';
import { defineOperation } from './operation.js';
import { sliceSpans } from './span.js';
import { shiftInstant } from './time.js';
import type { Unit } from './units.js';

/** Seconds from the first sample. */
export interface TimeWindow {
  readonly from: number;
  readonly to: number;
}

/**
 * The samples whose time t = i / sampleRate lies in from ≤ t < to, as indices. A bound that falls within a
 * millionth of a sample of one is that sample.
 *
 * @throws InputError for a window outside the record or one that holds no sample
 */
export function windowToSamples(where: string, channel: Channel, window: TimeWindow, argument = 'window'): { readonly from: number; readonly to: number } {
  if (typeof window !== 'object' || window === null) throw new InputError({ where, argument, expected: 'a window { from, to } in s', given: show(window) });
  const end = duration(channel);
  checkNumber(where, `${argument}.from`, window.from, { min: 0, max: end, unit: 's' });
  checkNumber(where, `${argument}.to`, window.to, { min: 0, max: end * (1 + 1e-12) + 1e-9, unit: 's' });
  const from = Math.ceil(window.from * channel.sampleRate - 1e-6);
  const to = Math.min(channel.values.length, Math.ceil(window.to * channel.sampleRate - 1e-6));
  if (to <= from) {
    throw new InputError({ where, argument, expected: 'from before to, with a sample between', given: `${window.from} s to ${window.to} s` });
  }
  return { from, to };
}

const sliceOperation = defineOperation<TimeWindow>('slice', (channel, options) => {
  checkOptions('slice', options, { required: ['from', 'to'] });
  const { from, to } = windowToSamples('slice', channel, options);
  return {
    values: channel.values.slice(from, to), invalid: sliceSpans(channel.invalid, from, to),
    start: shiftInstant(channel.start, from / channel.sampleRate), found: { fromSample: from, toSample: to },
  };
});

/**
 * A part of a channel by time, in seconds from its first sample: from ≤ t < to.
 *
 * Kept: rate, masks; the start moves along. Cost: one copy.
 *
 * @throws InputError for a window outside the record or without a sample
 * @example
 * slice(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [0, 1, 2, 3, 4] }), { from: 0.1, to: 0.3 }).values.length // => 2
 */
export function slice<U extends Unit>(channel: Channel<U>, window: TimeWindow): Channel<U> {
  return sliceOperation(channel, window) as Channel<U>;
}
