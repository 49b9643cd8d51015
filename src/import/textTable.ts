import { basename } from 'node:path';
import { nearest } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { readHead } from './bytes.js';
import { findDialect, splitFields, type Dialect, type TextColumn } from './dialect.js';
import { chunksOf, copyColumn, firstWhole } from './duck.js';
import { secondsIn, type ReadOptions, type TimeUnit } from './options.js';
import type { RawTable } from './table.js';
import { findTextFault, lineOfRow, scanQuery, type TextFile } from './textScan.js';

const headLength = 1 << 18;

/** A text file with what was decided about it. */
export interface OpenText extends TextFile {
  /** Which column is time, or null. */
  readonly time: number | null;
  /** Columns that become channels. */
  readonly picks: readonly number[];
  /** Time columns that are not used because the options state the rate. */
  readonly unused: readonly number[];
  /** The date-times of the time column state their zone. */
  readonly zoned: boolean;
  readonly notes: readonly string[];
  /** Bytes per row in the head and bytes in the file, for a first guess of the length. */
  readonly rowBytes: number;
}

/** Reads the beginning of a text file and decides what its columns are. */
export async function openText(path: string, options: ReadOptions, where: string): Promise<OpenText> {
  const file = basename(path);
  const { bytes, gzip, whole } = await readHead(path, headLength);
  const decoded = decodeHead(file, bytes);
  const lines = decoded.text.split(/\r\n|\n|\r/);
  if (lines.at(-1) === '' || !whole) lines.pop();
  const dialect = findDialect(file, lines, options);
  const time = chooseTime(where, file, dialect, options);
  const unused = options.sampleRate === undefined || options.timeColumn !== undefined ? [] : dialect.columns.flatMap((c, i) => (isTimeLike(c) ? [i] : []));
  const picks = choosePicks(where, file, dialect, [...unused, ...(time === null ? [] : [time])], options);
  const rows = Math.max(1, lines.length - dialect.firstDataLine + 1);
  const firstStamp = time === null ? '' : (splitFields(lines[dialect.firstDataLine - 1] ?? '', dialect.delimiter)[time] ?? '').trim();
  return { path, gzip, dialect, time, picks, unused, zoned: /(Z|[+-]\d{2}(:?\d{2})?)$/.test(firstStamp.slice(10)), notes: [...decoded.notes, ...dialect.notes], rowBytes: bytes.length / rows };
}

function decodeHead(file: string, bytes: Uint8Array): { readonly text: string; readonly notes: readonly string[] } {
  const pair = (bytes[0] ?? 0) * 256 + (bytes[1] ?? 0);
  if (pair === 0xfffe || pair === 0xfeff) {
    throw new FormatError({ file, found: 'UTF-16 text', expected: 'UTF-8 text', remedy: 'Save it again as UTF-8.' });
  }
  let control = 0;
  for (const b of bytes) if (b === 0 || (b < 32 && b !== 9 && b !== 10 && b !== 13 && b !== 12 && b !== 27)) control++;
  if (control > 0) {
    throw new FormatError({ file, found: 'binary data of a kind that is not known', expected: 'CSV or another text table, Parquet, HDF5, WAV, universal file, MAT or MDF', remedy: 'Export it from the program that wrote it.' });
  }
  const cut = new TextDecoder('utf-8', { fatal: true });
  try {
    return { text: cut.decode(bytes, { stream: true }), notes: [] };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), notes: ['the text is not UTF-8; its headers were read as Windows-1252'] };
  }
}

const timeName = /^(time|zeit|temps|t|time[ _-]?stamps?|date|datum|date[ _-]?time|uhrzeit|clock|elapsed([ _-]?time)?|(rel|relative|abs|absolute|utc)[ _-]?time|seconds|secs?|milliseconds|millis)$/i;

function isTimeLike(column: TextColumn): boolean {
  return column.type === 'date-time' || (column.type === 'number' && timeName.test(column.name));
}

function chooseTime(where: string, file: string, dialect: Dialect, options: ReadOptions): number | null {
  const { columns } = dialect;
  if (options.timeColumn !== undefined) return columnIndex(where, columns, options.timeColumn, 'timeColumn');
  if (options.sampleRate !== undefined) return null;
  const sure = columns.flatMap((c, i) => (isTimeLike(c) ? [i] : []));
  if (sure.length > 1) {
    throw new FormatError({ file, line: dialect.headerLine, found: `${sure.length} columns that may hold time (${sure.map((i) => columns[i]!.name).join(', ')})`, expected: 'one', remedy: `State timeColumn: '${columns[sure[0]!]!.name}', for one.` });
  }
  if (sure.length === 1) return sure[0]!;
  const byUnit = columns.findIndex((c) => c.unitText !== null && timeUnitOf(c.unitText) !== null);
  if (byUnit >= 0) return byUnit;
  throw new FormatError({ file, line: dialect.headerLine, found: `no column of time among ${columns.slice(0, 12).map((c) => c.name).join(', ')}${columns.length > 12 ? ', …' : ''}`, expected: 'a column of time', remedy: 'Give sampleRate (Hz) if the rows are evenly spaced, or timeColumn by name.' });
}

function choosePicks(where: string, file: string, dialect: Dialect, taken: readonly number[], options: ReadOptions): number[] {
  const { columns } = dialect;
  if (options.columns !== undefined) {
    const picks = options.columns.map((name) => columnIndex(where, columns, name, 'columns'));
    for (const i of picks) {
      if (i === taken.at(-1) && options.sampleRate === undefined) throw new InputError({ where, argument: 'columns', expected: 'made of measured quantities', given: `the time column '${columns[i]!.name}'` });
      if (columns[i]!.type !== 'number') throw new FormatError({ file, line: dialect.firstDataLine, column: i + 1, found: `${columns[i]!.type === 'text' ? 'text' : 'date-times'} in column ${columns[i]!.name}`, expected: 'numbers', remedy: 'Leave it out of columns.' });
    }
    return withSplit(where, columns, picks, options);
  }
  const rest = columns.flatMap((_, i) => (taken.includes(i) ? [] : [i]));
  const wrong = rest.filter((i) => columns[i]!.type !== 'number');
  const good = rest.filter((i) => columns[i]!.type === 'number').map((i) => columns[i]!.name);
  if (wrong.length > 0) {
    throw new FormatError({
      file, line: dialect.firstDataLine, column: wrong[0]! + 1, found: `text in the column${wrong.length > 1 ? 's' : ''} ${wrong.map((i) => columns[i]!.name).join(', ')}`, expected: 'numbers',
      ...(good.length > 0 ? { remedy: `Read the others with columns: ${JSON.stringify(good)}.` } : {}),
    });
  }
  if (rest.length === 0) throw new FormatError({ file, line: dialect.headerLine, found: 'time only', expected: 'at least one measured quantity' });
  return rest;
}

function withSplit(where: string, columns: readonly TextColumn[], picks: number[], options: ReadOptions): number[] {
  if (typeof options.splitWhere !== 'object' || !('columnChanges' in options.splitWhere)) return picks;
  const split = columnIndex(where, columns, options.splitWhere.columnChanges, 'splitWhere.columnChanges');
  return picks.includes(split) ? picks : [...picks, split];
}

function columnIndex(where: string, columns: readonly TextColumn[], name: string, argument: string): number {
  let index = columns.findIndex((c) => c.name === name);
  if (index < 0) index = columns.findIndex((c) => c.header === name);
  if (index >= 0) return index;
  const names = columns.map((c) => c.name);
  const near = nearest(name, names);
  throw new InputError({ where, argument, expected: `one of ${names.map((n) => `'${n}'`).join(', ')}`, given: `'${name}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
}

const timeWords: readonly (readonly [RegExp, TimeUnit])[] = [
  [/^(s|secs?|seconds?)$/, 's'], [/^(ms|msecs?|milliseconds?|millis)$/, 'ms'], [/^(us|µs|μs|usecs?|microseconds?)$/, 'µs'], [/^(ns|nanoseconds?)$/, 'ns'], [/^(min|minutes?)$/, 'min'], [/^(h|hours?)$/, 'h'],
];

/** The time unit that a text spells, or null. */
export function timeUnitOf(text: string): TimeUnit | null {
  return timeWords.find(([pattern]) => pattern.test(text.trim().toLowerCase()))?.[1] ?? null;
}

/** Columns of a text file as arrays, time in seconds from `origin` (or as written). */
export async function readTextTable(open: OpenText, options: ReadOptions, where: string, size: number, picks: readonly number[] = open.picks): Promise<RawTable> {
  const { dialect } = open;
  const file = basename(open.path);
  const all = open.time === null ? picks : [...picks, open.time];
  const dated = open.time !== null && dialect.columns[open.time]!.type === 'date-time';
  const { columns, rows, epoch } = await readColumns(open, all, dated ? all.length - 1 : -1, Math.ceil((size * (open.gzip ? 6 : 1)) / open.rowBytes));
  if (rows === 0) throw new FormatError({ file, found: 'no row of numbers', expected: 'at least one row' });
  const stamps = open.time === null ? null : columns.pop()!;
  const base = stamps === null ? { about: {}, origin: null, time: null } : timeBase(file, open, stamps, epoch, options, where);
  return {
    file, time: base.time, origin: base.origin,
    columns: picks.map((i, j) => ({
      name: dialect.columns[i]!.name, unit: dialect.columns[i]!.unit, values: columns[j]!,
      about: { column: i + 1, header: dialect.columns[i]!.header, unitInFile: dialect.columns[i]!.unitText },
    })),
    about: {
      format: 'text', delimiter: dialect.delimiter, decimal: dialect.decimal, headerLine: dialect.headerLine, firstDataLine: dialect.firstDataLine,
      ...base.about, ...(open.unused.length > 0 ? { timeNotUsed: open.unused.map((i) => dialect.columns[i]!.name) } : {}), notes: open.notes,
    },
    lineOf: (row) => lineOfRow(open, row),
  };
}

async function readColumns(open: OpenText, all: readonly number[], dated: number, guess: number): Promise<{ readonly columns: Float64Array[]; readonly rows: number; readonly epoch: bigint | null }> {
  let capacity = Math.max(1024, Math.ceil(guess * 1.05));
  const columns = all.map(() => new Float64Array(capacity));
  let rows = 0;
  let epoch: bigint | null = null;
  try {
    for await (const chunk of chunksOf(scanQuery(open, all))) {
      if (rows + chunk.rowCount > capacity) {
        capacity = Math.ceil((rows + chunk.rowCount) * 1.5);
        columns.forEach((old, j) => {
          columns[j] = new Float64Array(capacity);
          columns[j].set(old.subarray(0, rows));
        });
      }
      if (dated >= 0) epoch ??= firstWhole(chunk, dated);
      for (let j = 0; j < all.length; j++) copyColumn(chunk, j, columns[j]!, rows, epoch);
      rows += chunk.rowCount;
    }
  } catch (error) {
    throw await findTextFault(open, all, (error as Error).message);
  }
  return { columns: columns.map((c) => (c.length === rows ? c : c.slice(0, rows))), rows, epoch };
}

interface TimeBase { readonly time: Float64Array; readonly origin: bigint | null; readonly about: Readonly<Record<string, unknown>> }

/** Turns stamps into seconds and finds the instant of their zero. */
export function timeBase(file: string, open: OpenText, stamps: Float64Array, epoch: bigint | null, options: ReadOptions, where: string): TimeBase {
  const column = open.dialect.columns[open.time!]!;
  if (column.type === 'date-time') {
    if (options.timeUnit !== undefined) throw new InputError({ where, argument: 'timeUnit', expected: `left out: the column ${column.name} holds date-times`, given: `'${options.timeUnit}'` });
    return { time: stamps, ...datedOrigin(open, epoch, options) };
  }
  const { unit, how } = unitOfStamps(file, column, stamps, options);
  const factor = secondsIn[unit];
  if (factor !== 1) for (let i = 0; i < stamps.length; i++) stamps[i] = factor < 1 ? stamps[i]! / Math.round(1 / factor) : stamps[i]! * factor;
  const first = stamps[0]!;
  // Stamps of more than thirty years are seconds since 1970.
  if (first < 1e9 || first > 4e9) return { time: stamps, origin: null, about: { timeColumn: column.name, timeUnit: unit, timeUnitFrom: how } };
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
  if (step <= 0.1) return { unit: 's', how: `assumed: the header states none, and steps of ${Number(step.toPrecision(4))} would be above 10 kHz in ms` };
  throw new FormatError({
    file, found: `the time column ${column.name} without a unit, in steps of ${Number(step.toPrecision(4))}`, expected: 'a unit that is stated or plain to see',
    remedy: "State timeUnit: 's' or timeUnit: 'ms'.",
  });
}

function datedOrigin(open: OpenText, epoch: bigint | null, options: ReadOptions): { readonly origin: bigint | null; readonly about: Readonly<Record<string, unknown>> } {
  const name = open.dialect.columns[open.time!]!.name;
  const about = { timeColumn: name, timeUnit: 'date-time' };
  if (epoch === null) return { origin: null, about };
  if (open.zoned) return { origin: epoch, about };
  if (options.timeZone === undefined) return { origin: null, about: { ...about, note: "the date-times state no zone, so the start is not known in UTC: state timeZone ('UTC' or an offset such as '+01:00')" } };
  const offset = options.timeZone === 'UTC' ? 0n : BigInt(Number(`${options.timeZone[0]}1`) * (Number(options.timeZone.slice(1, 3)) * 60 + Number(options.timeZone.slice(4)))) * 60_000_000_000n;
  return { origin: epoch - offset, about: { ...about, timeZone: options.timeZone } };
}
