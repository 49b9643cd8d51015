import { InputError } from './errors.js';

/** Bounds for a number; `above` and `below` are strict, `min` and `max` include the end. */
export interface Bounds {
  readonly above?: number;
  readonly below?: number;
  readonly min?: number;
  readonly max?: number;
  readonly integer?: boolean;
  /** The unit, for the sentence only. */
  readonly unit?: string;
}

/** A value as it should stand in an error message. */
export function show(value: unknown): string {
  if (typeof value === 'string') return JSON.stringify(value.length > 60 ? `${value.slice(0, 57)}...` : value);
  if (typeof value === 'number' || value === null || value === undefined || typeof value === 'boolean') return String(value);
  if (ArrayBuffer.isView(value) || Array.isArray(value)) return `an array of ${(value as ArrayLike<unknown>).length}`;
  if (typeof value === 'function') return 'a function';
  if (typeof value === 'symbol' || typeof value === 'bigint') return String(value);
  const keys = Object.keys(value as object);
  return keys.length === 0 ? 'an empty object' : `an object with ${keys.slice(0, 5).join(', ')}${keys.length > 5 ? ', ...' : ''}`;
}

/**
 * The number itself, if it is finite and within bounds.
 *
 * @throws InputError that names the verb, the argument and the bound.
 */
export function checkNumber(where: string, argument: string, value: unknown, bounds: Bounds = {}): number {
  const ok = typeof value === 'number' && Number.isFinite(value)
    && (bounds.above === undefined || value > bounds.above) && (bounds.below === undefined || value < bounds.below)
    && (bounds.min === undefined || value >= bounds.min) && (bounds.max === undefined || value <= bounds.max)
    && (!bounds.integer || Number.isInteger(value));
  if (ok) return value;
  const unit = bounds.unit ? ` ${bounds.unit}` : '';
  const parts: string[] = [];
  if (bounds.above !== undefined) parts.push(`above ${bounds.above}${unit}`);
  if (bounds.min !== undefined) parts.push(`at least ${bounds.min}${unit}`);
  if (bounds.below !== undefined) parts.push(`below ${bounds.below}${unit}`);
  if (bounds.max !== undefined) parts.push(`at most ${bounds.max}${unit}`);
  const kind = bounds.integer ? 'a whole number' : 'a finite number';
  throw new InputError({
    where, argument, given: typeof value === 'number' ? `${value}${unit}` : show(value),
    expected: parts.length === 0 ? `${kind}${unit ? ` in${unit}` : ''}` : `${kind} ${parts.join(' and ')}`,
  });
}

/** The first number within a value that is none (or infinite under no key of `infinite`), as the path to it; null where there is none. */
function noNumberIn(value: unknown, path: string, infinite: readonly string[]): string | null {
  if (typeof value === 'number') return Number.isFinite(value) || (!Number.isNaN(value) && infinite.includes(path.split('.').at(-1)!)) ? null : path;
  if (typeof value !== 'object' || value === null) return null;
  for (const [key, inner] of Object.entries(value)) {
    const found = noNumberIn(inner, path === '' ? key : `${path}.${key}`, infinite);
    if (found !== null) return found;
  }
  return null;
}

/**
 * The result itself, if double precision could hold every number in it.
 *
 * @param argument what the numbers came from, for the sentence
 * @param infinite keys under which a number may be infinite
 * @throws InputError that names the number that could not be told
 */
export function checkResult<T extends object>(where: string, argument: string, result: T, infinite: readonly string[] = []): T {
  const lost = noNumberIn(result, '', infinite);
  if (lost === null) return result;
  throw new InputError({ where, argument, expected: 'within what double precision can reckon with', given: `numbers from which ${lost} cannot be told`, remedy: 'Look for a wrong unit or a slipped power of ten.' });
}

/** The list itself (an array or a typed array), if there is anything in it. @throws InputError that says what it should hold. */
export function checkList<T extends ArrayLike<unknown>>(where: string, argument: string, list: T, expected: string, remedy?: string): T {
  if ((Array.isArray(list) || (ArrayBuffer.isView(list) && !(list instanceof DataView))) && list.length > 0) return list;
  throw new InputError({ where, argument, expected, given: show(list), ...(remedy ? { remedy } : {}) });
}

/** The text itself, if there is something in it. @throws InputError else. */
export function checkText(where: string, argument: string, value: unknown, expected = 'a text that a reader can look up'): string {
  if (typeof value === 'string' && value.trim() !== '') return value;
  throw new InputError({ where, argument, expected, given: show(value) });
}

/** The value itself, if it is one of the choices. @throws InputError that lists the choices. */
export function checkChoice<T extends string>(where: string, argument: string, value: unknown, choices: readonly T[]): T {
  if (choices.includes(value as T)) return value as T;
  throw new InputError({ where, argument, expected: `one of ${choices.map((c) => `'${c}'`).join(', ')}`, given: show(value) });
}

/**
 * The options themselves, if they are an object with no unknown key and every required key.
 *
 * @throws InputError for a missing object, an unknown key (with the nearest known one) or a missing required key.
 */
export function checkOptions<T extends object>(where: string, options: T | undefined, keys: { readonly required?: readonly string[]; readonly optional?: readonly string[] }): T {
  const required = keys.required ?? [];
  const optional = keys.optional ?? [];
  const known = [...required, ...optional];
  if (options === undefined && required.length === 0) return {} as T;
  if (typeof options !== 'object' || options === null || Array.isArray(options)) {
    throw new InputError({ where, argument: 'options', expected: `an object with ${known.join(', ')}`, given: show(options) });
  }
  for (const key of Object.keys(options)) {
    if (!known.includes(key)) {
      const near = nearest(key, known);
      throw new InputError({ where, argument: 'options', expected: `made of ${known.join(', ')}`, given: `the unknown key '${key}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
    }
  }
  for (const key of required) {
    if ((options as Record<string, unknown>)[key] === undefined) {
      throw new InputError({ where, argument: key, expected: 'given: it has no default because it is a physical choice', given: 'nothing' });
    }
  }
  return options;
}

/** The known word within two edits of what was typed, if there is one. */
export function nearest(word: string, known: readonly string[]): string | null {
  let best: string | null = null;
  let least = 3;
  for (const candidate of known) {
    const distance = editDistance(word.toLowerCase(), candidate.toLowerCase());
    if (distance < least) [best, least] = [candidate, distance];
  }
  return best;
}

function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      next[j] = Math.min(row[j]! + 1, next[j - 1]! + 1, row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1));
    }
    row = next;
  }
  return row[b.length]!;
}
