import { InputError } from './errors.js';

/** A value that survives a trip through JSON unchanged. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json };

/**
 * A deep, frozen JSON copy: typed arrays become arrays, undefined members are left out, numbers that JSON cannot
 * hold become the words "Infinity", "-Infinity" and "NaN".
 *
 * @throws InputError for a function or another value that has no JSON form.
 */
export function toJson(value: unknown, where = 'toJson'): Json {
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return value;
  if (typeof value === 'number') return Number.isFinite(value) ? value : String(value);
  if (ArrayBuffer.isView(value)) return Object.freeze(Array.from(value as unknown as ArrayLike<number>, (v) => toJson(v, where)));
  if (Array.isArray(value)) return Object.freeze(value.map((v) => toJson(v, where)));
  if (typeof value === 'object') {
    const copy: Record<string, Json> = {};
    for (const [key, member] of Object.entries(value as object)) {
      if (member !== undefined) copy[key] = toJson(member, where);
    }
    return Object.freeze(copy);
  }
  throw new InputError({ where, argument: 'options', expected: 'plain data (numbers, text, arrays, objects)', given: `a ${typeof value}` });
}
