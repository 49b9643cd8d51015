import { linearRegression, medianSorted, quantileSorted } from 'simple-statistics';
import { checkChoice, checkList, checkNumber } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { studentQuantile } from '../numeric/distributions.js';
import type { TorqueEvent } from './torqueEvents.js';

/** How a measure of events is spread, and whether it drifts from event to event. */
export interface EventTrend {
  readonly count: number;
  readonly least: number;
  readonly median: number;
  readonly quantile90: number;
  readonly largest: number;
  /** Change from one event to the next, and its 90 % interval; null with fewer than three events. */
  readonly slope: { readonly value: number; readonly low: number; readonly high: number } | null;
}

/**
 * Describes events of one kind over the time in which they came: their spread, and the slope from event to event.
 *
 * @param events from torqueEvents, of one or several records in time order
 * @param of the size of the peak, the amplification, or the rise time
 * @returns quantiles, and the slope with a 90 % interval
 * @throws InputError where no event has that measure, or events are of several kinds
 * @see torqueEvents
 * @example
 * const event = (peak) => ({ state: 'start', peak, amplification: null, riseTime: null });
 * eventTrend([100, 110, 120, 130].map(event), 'peak').slope.value // => 10
 */
export function eventTrend(events: readonly TorqueEvent[], of: 'peak' | 'amplification' | 'riseTime'): EventTrend {
  const where = 'eventTrend';
  checkChoice(where, 'of', of, ['peak', 'amplification', 'riseTime']);
  checkList(where, 'events', events, 'a list of at least one event', 'Make one with torqueEvents.');
  const values = events.flatMap((e, k) => (e?.[of] === null ? [] : [Math.abs(checkNumber(where, `${of} of events[${k}]`, e?.[of]))]));
  const kinds = [...new Set(events.map((e) => e.state))];
  if (kinds.length > 1) throw new InputError({ where, argument: 'events', expected: 'of one kind', given: kinds.join(', '), remedy: `Take those of one: events.filter((e) => e.state === '${kinds[0]}').` });
  if (values.length === 0) throw new InputError({ where, argument: 'events', expected: `at least one event with ${of}`, given: 'none' });
  const sorted = [...values].sort((a, b) => a - b);
  return makeResult('EventTrend', {
    count: values.length, least: sorted[0]!, median: medianSorted(sorted), quantile90: quantileSorted(sorted, 0.9), largest: sorted.at(-1)!, slope: values.length < 3 ? null : slopeOf(values),
  }, (t) => `${t.count} events: median ${t.median.toPrecision(4)}, largest ${t.largest.toPrecision(4)}${t.slope ? `, ${t.slope.value.toPrecision(2)} from one to the next` : ''}`);
}

function slopeOf(values: readonly number[]): EventTrend['slope'] {
  const n = values.length;
  const { m, b } = linearRegression(values.map((v, k) => [k, v]));
  const rest = values.reduce((s, v, k) => s + (v - b - m * k) ** 2, 0);
  const error = Math.sqrt(rest / (n - 2) / ((n * (n * n - 1)) / 12));
  const reach = studentQuantile(0.95, n - 2) * error;
  return Object.freeze({ value: m, low: m - reach, high: m + reach });
}
