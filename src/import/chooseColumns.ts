import { nearest } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import type { TextColumn } from './dialect.js';
import { timeName } from './findHeader.js';
import { timeUnitOf } from './timeBase.js';
import type { ReadOptions } from './options.js';

/** The columns of a file, and where its header and data stand if it has lines. */
export interface ColumnSet {
  readonly file: string;
  readonly columns: readonly TextColumn[];
  readonly headerLine: number | null;
  readonly firstDataLine: number | null;
}

/** Which column is time and which become channels; columns count from 0. */
export interface ColumnChoice {
  readonly time: number | null;
  readonly picks: readonly number[];
  /** Time columns that are not used because the options state the rate. */
  readonly unused: readonly number[];
}

/** Decides what each column is. @throws FormatError where that is not plain, with the option that states it */
export function chooseColumns(where: string, set: ColumnSet, options: ReadOptions): ColumnChoice {
  const time = chooseTime(where, set, options);
  const unused = options.sampleRate === undefined || options.timeColumn !== undefined ? [] : set.columns.flatMap((c, i) => (isTimeLike(c) ? [i] : []));
  return { time, unused, picks: choosePicks(where, set, [...unused, ...(time === null ? [] : [time])], options) };
}

function isTimeLike(column: TextColumn): boolean {
  return column.type === 'date-time' || (column.type === 'number' && timeName.test(column.name));
}

function chooseTime(where: string, set: ColumnSet, options: ReadOptions): number | null {
  const { file, columns } = set;
  if (options.timeColumn !== undefined) return columnIndex(where, columns, options.timeColumn, 'timeColumn');
  if (options.sampleRate !== undefined) return null;
  const sure = columns.flatMap((c, i) => (isTimeLike(c) ? [i] : []));
  if (sure.length > 1) {
    throw new FormatError({ file, line: set.headerLine, found: `${sure.length} columns that may hold time (${sure.map((i) => columns[i]!.name).join(', ')})`, expected: 'one', remedy: `State timeColumn: '${columns[sure[0]!]!.name}', for one.` });
  }
  if (sure.length === 1) return sure[0]!;
  const byUnit = columns.findIndex((c) => c.unitText !== null && timeUnitOf(c.unitText) !== null);
  if (byUnit >= 0) return byUnit;
  const dated = columns.findIndex((c) => c.localDate !== undefined);
  if (dated >= 0) throw new FormatError({ file, line: set.firstDataLine, column: dated + 1, found: `dates or times such as ${JSON.stringify(columns[dated]!.localDate)} in column ${columns[dated]!.name}`, expected: 'ISO 8601 date-times, such as 2026-03-01T08:00:00.250Z, in one column', remedy: 'Write them so, or give sampleRate (Hz) if the rows are evenly spaced, with columns for the others.' });
  throw new FormatError({ file, line: set.headerLine, found: `no column of time among ${columns.slice(0, 12).map((c) => c.name).join(', ')}${columns.length > 12 ? ', …' : ''}`, expected: 'a column of time', remedy: 'Give sampleRate (Hz) if the rows are evenly spaced, or timeColumn by name.' });
}

function choosePicks(where: string, set: ColumnSet, taken: readonly number[], options: ReadOptions): number[] {
  const { file, columns } = set;
  if (options.columns !== undefined) {
    const picks = options.columns.map((name) => columnIndex(where, columns, name, 'columns'));
    for (const i of picks) {
      if (i === taken.at(-1) && options.sampleRate === undefined) throw new InputError({ where, argument: 'columns', expected: 'made of measured quantities', given: `the time column '${columns[i]!.name}'` });
      if (columns[i]!.type !== 'number') throw new FormatError({ file, line: set.firstDataLine, column: i + 1, found: `${columns[i]!.type === 'text' ? 'text' : 'date-times'} in column ${columns[i]!.name}`, expected: 'numbers', remedy: 'Leave it out of columns.' });
    }
    return withSplit(where, columns, picks, options);
  }
  const rest = columns.flatMap((_, i) => (taken.includes(i) ? [] : [i]));
  const wrong = rest.filter((i) => columns[i]!.type !== 'number');
  const good = rest.filter((i) => columns[i]!.type === 'number').map((i) => columns[i]!.name);
  if (wrong.length > 0) {
    throw new FormatError({
      file, line: set.firstDataLine, column: wrong[0]! + 1, found: `text in the column${wrong.length > 1 ? 's' : ''} ${wrong.map((i) => columns[i]!.name).join(', ')}`, expected: 'numbers',
      ...(good.length > 0 ? { remedy: `Read the others with columns: ${JSON.stringify(good)}.` } : {}),
    });
  }
  if (rest.length === 0) throw new FormatError({ file, line: set.headerLine, found: 'time only', expected: 'at least one measured quantity' });
  return rest;
}

function withSplit(where: string, columns: readonly TextColumn[], picks: number[], options: ReadOptions): number[] {
  if (typeof options.splitWhere !== 'object' || !('columnChanges' in options.splitWhere)) return picks;
  const split = columnIndex(where, columns, options.splitWhere.columnChanges, 'splitWhere.columnChanges');
  return picks.includes(split) ? picks : [...picks, split];
}

/** The place of a column by its name or header. @throws InputError that lists the names */
export function columnIndex(where: string, columns: readonly TextColumn[], name: string, argument: string): number {
  let index = columns.findIndex((c) => c.name === name);
  if (index < 0) index = columns.findIndex((c) => c.header === name);
  if (index >= 0) return index;
  const names = columns.map((c) => c.name);
  const near = nearest(name, names);
  throw new InputError({ where, argument, expected: `one of ${names.map((n) => `'${n}'`).join(', ')}`, given: `'${name}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
}
