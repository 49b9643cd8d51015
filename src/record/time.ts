import { InputError } from './errors.js';
import { show } from './check.js';

const pattern = /^(\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2})(?:\.(\d{1,9}))?Z$/;

/** Is this an ISO 8601 UTC instant, of a day that is in the calendar? */
export function isInstant(value: unknown): value is string {
  const match = typeof value === 'string' ? pattern.exec(value) : null;
  const milliseconds = match ? Date.parse(`${match[1]}Z`) : NaN;
  return !Number.isNaN(milliseconds) && new Date(milliseconds).toISOString().slice(0, 19) === match![1];
}

/**
 * An ISO 8601 UTC instant, or null where it is not known.
 *
 * @throws InputError for anything else.
 */
export function checkStart(where: string, start: string | null): string | null {
  if (start === null) return null;
  if (!isInstant(start)) {
    throw new InputError({ where, argument: 'start', expected: 'an ISO 8601 UTC instant such as 2026-03-01T08:00:00.000Z, or null', given: show(start) });
  }
  return start;
}

/** Nanoseconds since 1970 of an ISO 8601 UTC instant. */
export function instantToNanoseconds(start: string): bigint {
  const match = pattern.exec(start);
  if (!match) throw new InputError({ where: 'instantToNanoseconds', argument: 'start', expected: 'an ISO 8601 UTC instant', given: show(start) });
  return BigInt(Date.parse(`${match[1]}Z`)) * 1_000_000n + BigInt((match[2] ?? '').padEnd(9, '0'));
}

/** ISO 8601 UTC of nanoseconds since 1970, with as many decimals as it needs (at least three). */
export function nanosecondsToInstant(nanoseconds: bigint): string {
  const part = ((nanoseconds % 1_000_000_000n) + 1_000_000_000n) % 1_000_000_000n;
  const whole = new Date(Number((nanoseconds - part) / 1_000_000n)).toISOString().slice(0, 19);
  return `${whole}.${part.toString().padStart(9, '0').replace(/0{1,6}$/, '')}Z`;
}

/**
 * An instant some seconds later, to the nanosecond.
 *
 * @example shiftInstant('2026-03-01T08:00:00.000Z', 0.0005) // => "2026-03-01T08:00:00.0005Z"
 */
export function shiftInstant(start: string | null, seconds: number): string | null {
  if (start === null) return null;
  const whole = Math.trunc(seconds);
  return nanosecondsToInstant(instantToNanoseconds(start) + BigInt(whole) * 1_000_000_000n + BigInt(Math.round((seconds - whole) * 1e9)));
}
