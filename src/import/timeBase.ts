import { FormatError, InputError } from '../record/errors.js';
import { nanosecondsToInstant } from '../record/time.js';
import type { TextColumn } from './dialect.js';
import { secondsIn, type ReadOptions, type TimeUnit } from './options.js';

const timeWords: readonly (readonly [RegExp, TimeUnit])[] = [
  [/^(s|secs?|seconds?)$/, 's'], [/^(ms|msecs?|milliseconds?|millis)$/, 'ms'], [/^(us|µs|μs|usecs?|microseconds?)$/, 'µs'], [/^(ns|nanoseconds?)$/, 'ns'], [/^(min|minutes?)$/, 'min'], [/^(h|hours?)$/, 'h'],
];

/** The time unit that a text spells, or null. */
export function timeUnitOf(text: string): TimeUnit | null {
  return timeWords.find(([pattern]) => pattern.test(text.trim().toLowerCase()))?.[1] ?? null;
}

/** Stamps in seconds, and the instant of their zero. */
export interface TimeBase { readonly time: Float64Array; readonly origin: bigint | null; readonly about: Readonly<Record<string, unknown>> }

/** Turns numeric stamps into seconds, in place, and finds the instant of their zero. */
export function timeBase(file: string, column: TextColumn, stamps: Float64Array, options: ReadOptions): TimeBase {
  const { unit, how } = unitOfStamps(file, column, stamps, options);
  const factor = secondsIn[unit];
  if (factor !== 1) for (let i = 0; i < stamps.length; i++) stamps[i] = factor < 1 ? stamps[i]! / Math.round(1 / factor) : stamps[i]! * factor;
  const first = stamps[0]!;
  // Stamps of more than thirty years are seconds since 1970.
  if (!(first >= 1e9 && first <= 4e9)) return { time: stamps, origin: null, about: { timeColumn: column.name, timeUnit: unit, timeUnitFrom: how } };
  const whole = Math.floor(first);
  for (let i = 0; i < stamps.length; i++) stamps[i] = stamps[i]! - whole;
  return { time: stamps, origin: BigInt(whole) * 1_000_000_000n, about: { timeColumn: column.name, timeUnit: unit, timeUnitFrom: how, timeOrigin: 'seconds since 1970 UTC' } };
}

function unitOfStamps(file: string, column: TextColumn, stamps: Float64Array, options: ReadOptions): { readonly unit: TimeUnit; readonly how: string } {
  if (options.timeUnit !== undefined) return { unit: options.timeUnit, how: 'options' };
  const stated = (column.unitText === null ? null : timeUnitOf(column.unitText)) ?? timeUnitOf(column.name);
  if (stated !== null) return { unit: stated, how: 'header' };
  const steps = Array.from(stamps.subarray(1, 256), (t, i) => t - stamps[i]!).filter((d) => d > 0).sort((a, b) => a - b);
  const step = steps[steps.length >> 1] ?? NaN;
  if (step < 2e-4 && stamps[0]! > 36526 && stamps[0]! < 73050) {
    throw new FormatError({
      file, found: `the time column ${column.name} without a unit, from ${stamps[0]} in steps of ${Number(step.toPrecision(4))}`, expected: 'a unit that is stated: these may be days as spreadsheets count them',
      remedy: "State timeUnit: 's' if they are seconds; write days as ISO 8601 date-times or as seconds.",
    });
  }
  if (step <= 0.1) return { unit: 's', how: `assumed: the header states none, and steps of ${Number(step.toPrecision(4))} would be above 10 kHz in ms` };
  throw new FormatError({
    file, found: `the time column ${column.name} without a unit, in steps of ${Number(step.toPrecision(4))}`, expected: 'a unit that is stated or plain to see',
    remedy: "State timeUnit: 's' or timeUnit: 'ms'.",
  });
}

/** The instant from which date-times were counted, where their zone is known; else `localSecond`, the seconds since 1970 of a clock that showed them. */
export function datedOrigin(where: string, name: string, firstSecond: number, zoned: boolean, options: ReadOptions): { readonly origin: bigint | null; readonly about: Readonly<Record<string, unknown>> } {
  if (options.timeUnit !== undefined) throw new InputError({ where, argument: 'timeUnit', expected: `left out: the column ${name} holds date-times`, given: `'${options.timeUnit}'` });
  const about = { timeColumn: name, timeUnit: 'date-time' };
  const epoch = BigInt(firstSecond) * 1_000_000_000n;
  if (zoned) return { origin: epoch, about };
  if (options.timeZone === undefined) return { origin: null, about: { ...about, localSecond: firstSecond, note: "the date-times state no zone, so the start is not known in UTC: state timeZone ('UTC' or an offset such as '+01:00')" } };
  const offset = options.timeZone === 'UTC' ? 0n : BigInt(Number(`${options.timeZone[0]}1`) * (Number(options.timeZone.slice(1, 3)) * 60 + Number(options.timeZone.slice(4)))) * 60_000_000_000n;
  return { origin: epoch - offset, about: { ...about, timeZone: options.timeZone } };
}

/** The instant some seconds after an origin; null where either is not known. */
export function instantAfter(origin: bigint | null, seconds: number): string | null {
  return origin === null || !Number.isFinite(seconds) ? null : nanosecondsToInstant(origin + BigInt(Math.round(seconds * 1e9)));
}
