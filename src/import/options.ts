import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { isUnit, allUnits, type Unit } from '../record/units.js';

/** How fields of a text file are parted; `'spaces'` is any run of blanks, `'none'` is one column. */
export type Delimiter = ',' | ';' | '\t' | '|' | 'spaces' | 'none';
/** The unit of numeric time stamps. */
export type TimeUnit = 'h' | 'min' | 's' | 'ms' | 'µs' | 'ns';
/** Where one file holds several recordings one after another. */
export type SplitRule = 'time falls back' | { readonly columnChanges: string } | { readonly gapLongerThan: number };

/** What may be stated about a file; whatever is left out is found in the file or refused. */
export interface ReadOptions {
  /** Samples per second, Hz: rows are taken as evenly spaced and time stamps are not used for the clock. */
  readonly sampleRate?: number;
  /** The name of the column that holds time. */
  readonly timeColumn?: string;
  /** The unit of numeric time stamps, where the header does not state it. */
  readonly timeUnit?: TimeUnit;
  /** The zone of date-times that state none: `'UTC'` or an offset such as `'+01:00'`. */
  readonly timeZone?: string;
  readonly delimiter?: Delimiter;
  /** The decimal mark. With `'.'`, commas inside numbers part thousands. */
  readonly decimal?: '.' | ',';
  /** Only these columns, in this order, by name. */
  readonly columns?: readonly string[];
  /** Units by column name, where the file states none or a wrong one. */
  readonly units?: Readonly<Record<string, Unit>>;
  /** How far a stamp may lie from its place on the uniform clock, in sample periods (default 0.25, at most 0.5). */
  readonly maxJitter?: number;
  /** What to do with two rows of one stamp; refused without it. */
  readonly onDoubledStamp?: 'nearest free sample' | 'keep first' | 'keep last';
  /** Interpolates linearly in time onto a uniform clock; intervals longer than maxGap seconds (default ten median intervals) are masked. */
  readonly resampleTo?: { readonly sampleRate: number; readonly maxGap?: number };
  /** Where the file holds several recordings one after another. */
  readonly splitWhere?: SplitRule;
  /** Which of them to read, from 1. */
  readonly block?: number;
  /** JSON files: RFC 6901 pointers to arrays of numbers, by channel name. */
  readonly pointers?: Readonly<Record<string, string>>;
  /** The name of the recording (default: the file's name). */
  readonly name?: string;
}

const keys: readonly (keyof ReadOptions)[] = [
  'sampleRate', 'timeColumn', 'timeUnit', 'timeZone', 'delimiter', 'decimal', 'columns', 'units', 'maxJitter', 'onDoubledStamp', 'resampleTo', 'splitWhere', 'block', 'pointers', 'name',
];

/** Seconds in each time unit. */
export const secondsIn: Readonly<Record<TimeUnit, number>> = { h: 3600, min: 60, s: 1, ms: 1e-3, µs: 1e-6, ns: 1e-9 };

/** The options themselves, each checked. @throws InputError for an unknown key or a value outside its bounds. */
export function checkReadOptions(where: string, options: ReadOptions | undefined, more: readonly string[] = []): ReadOptions {
  const o = checkOptions<ReadOptions>(where, options, { optional: [...keys, ...more] });
  const text = (key: 'timeColumn' | 'name'): void => {
    if (o[key] !== undefined && (typeof o[key] !== 'string' || o[key].trim() === '')) throw new InputError({ where, argument: key, expected: 'a name', given: show(o[key]) });
  };
  text('timeColumn');
  text('name');
  if (o.sampleRate !== undefined) checkNumber(where, 'sampleRate', o.sampleRate, { above: 0, unit: 'Hz' });
  if (o.timeUnit !== undefined) checkChoice(where, 'timeUnit', o.timeUnit, Object.keys(secondsIn) as TimeUnit[]);
  if (o.timeZone !== undefined && !/^(UTC|[+-]\d\d:\d\d)$/.test(String(o.timeZone))) {
    throw new InputError({ where, argument: 'timeZone', expected: "'UTC' or an offset such as '+01:00'", given: show(o.timeZone) });
  }
  if (o.delimiter !== undefined) checkChoice(where, 'delimiter', o.delimiter, [',', ';', '\t', '|', 'spaces', 'none'] as const);
  if (o.decimal !== undefined) checkChoice(where, 'decimal', o.decimal, ['.', ','] as const);
  if (o.columns !== undefined && (!Array.isArray(o.columns) || o.columns.length === 0 || o.columns.some((c) => typeof c !== 'string'))) {
    throw new InputError({ where, argument: 'columns', expected: 'an array of column names', given: show(o.columns) });
  }
  for (const [name, unit] of Object.entries(checkRecord(where, 'units', o.units))) {
    if (!isUnit(unit)) throw new InputError({ where, argument: `units.${name}`, expected: `one of ${allUnits.join(', ')}`, given: show(unit) });
  }
  for (const [name, pointer] of Object.entries(checkRecord(where, 'pointers', o.pointers))) {
    if (typeof pointer !== 'string' || !/^(\/|$)/.test(pointer)) throw new InputError({ where, argument: `pointers.${name}`, expected: 'a JSON pointer such as /graph/torque', given: show(pointer) });
  }
  if (o.maxJitter !== undefined) checkNumber(where, 'maxJitter', o.maxJitter, { above: 0, max: 0.5, unit: 'sample periods' });
  if (o.onDoubledStamp !== undefined) checkChoice(where, 'onDoubledStamp', o.onDoubledStamp, ['nearest free sample', 'keep first', 'keep last'] as const);
  if (o.resampleTo !== undefined) {
    const r = checkOptions(where, o.resampleTo, { required: ['sampleRate'], optional: ['maxGap'] });
    checkNumber(where, 'resampleTo.sampleRate', r.sampleRate, { above: 0, unit: 'Hz' });
    if (r.maxGap !== undefined) checkNumber(where, 'resampleTo.maxGap', r.maxGap, { above: 0, unit: 's' });
  }
  if (o.resampleTo !== undefined && o.sampleRate !== undefined) {
    throw new InputError({ where, argument: 'resampleTo', expected: 'left out where sampleRate is given (evenly spaced rows need no interpolation)', given: 'both' });
  }
  checkSplit(where, o);
  return o;
}

function checkSplit(where: string, o: ReadOptions): void {
  if (o.splitWhere !== undefined && o.splitWhere !== 'time falls back') {
    const rule = o.splitWhere as unknown;
    const is = (key: string, type: string): boolean => typeof rule === 'object' && rule !== null && Object.keys(rule).length === 1 && typeof (rule as Record<string, unknown>)[key] === type;
    if (!is('columnChanges', 'string') && !is('gapLongerThan', 'number')) {
      throw new InputError({ where, argument: 'splitWhere', expected: "'time falls back', { columnChanges: name } or { gapLongerThan: seconds }", given: show(rule) });
    }
    if (is('gapLongerThan', 'number')) checkNumber(where, 'splitWhere.gapLongerThan', (rule as { gapLongerThan: number }).gapLongerThan, { above: 0, unit: 's' });
  }
  if (o.block !== undefined) {
    checkNumber(where, 'block', o.block, { integer: true, min: 1 });
    if (o.splitWhere === undefined) throw new InputError({ where, argument: 'block', expected: 'given together with splitWhere', given: String(o.block), remedy: "For example splitWhere: 'time falls back'." });
  }
}

function checkRecord(where: string, argument: string, value: unknown): Record<string, unknown> {
  if (value === undefined) return {};
  if (typeof value !== 'object' || value === null || Array.isArray(value)) throw new InputError({ where, argument, expected: 'an object by channel name', given: show(value) });
  return value as Record<string, unknown>;
}
