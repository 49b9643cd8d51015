import { basename } from 'node:path';
import { FormatError } from '../record/errors.js';
import { readHead } from './bytes.js';
import { chooseColumns, type ColumnChoice } from './chooseColumns.js';
import { splitDateTime } from './dateTime.js';
import { findDialect } from './dialect.js';
import { splitFields } from './fields.js';
import { GrowingColumns } from './GrowingColumns.js';
import type { ReadOptions } from './options.js';
import type { RawTable } from './table.js';
import { lineOfRow, textBlocks, type ScanEnd, type TextFile } from './textBlocks.js';
import { datedOrigin, timeBase, type TimeBase } from './timeBase.js';

const headLength = 1 << 17;

/** A text file with what was decided about it. */
export interface OpenText extends TextFile, ColumnChoice {
  /** Whole seconds since 1970 of the first date-time; null where time is not in date-times. */
  readonly firstStamp: number | null;
  /** The date-times of the time column state their zone. */
  readonly zoned: boolean;
  readonly notes: readonly string[];
  /** Bytes per row in the head and bytes in the file, for a first guess of the length. */
  readonly rowBytes: number;
}

/** Reads the beginning of a text file and decides what its columns are. */
export async function openText(path: string, size: number, options: ReadOptions, where: string): Promise<OpenText> {
  const file = basename(path);
  const { bytes, gzip, whole } = await readHead(path, headLength);
  const decoded = decodeHead(file, bytes, gzip);
  const lines = decoded.text.split(/\r\n|\n|\r/);
  if (lines.at(-1) === '' || !whole) lines.pop();
  const dialect = findDialect(file, lines, options);
  const { time, picks, unused } = chooseColumns(where, { file, ...dialect }, options);
  const rows = Math.max(1, lines.length - dialect.firstDataLine + 1);
  const dated = time !== null && dialect.columns[time]!.type === 'date-time';
  const firstStamp = time === null ? '' : (splitFields(lines[dialect.firstDataLine - 1] ?? '', dialect.delimiter)[time] ?? '').trim();
  const begin = dated ? splitDateTime(firstStamp).seconds : null;
  if (Number.isNaN(begin)) throw new FormatError({ file, line: dialect.firstDataLine, column: time! + 1, found: firstStamp === '' ? 'no date-time in the first row' : `the text ${JSON.stringify(firstStamp.slice(0, 40))} in the first row`, expected: 'an ISO 8601 date-time', remedy: 'Complete it or cut the line out.' });
  return { path, size, gzip, dialect, time, picks, unused, firstStamp: begin, zoned: /(Z|[+-]\d{2}(:?\d{2})?)$/.test(firstStamp.slice(10)), notes: [...decoded.notes, ...dialect.notes], rowBytes: bytes.length / rows };
}

function decodeHead(file: string, bytes: Uint8Array, gzip: boolean): { readonly text: string; readonly notes: readonly string[] } {
  const pair = (bytes[0] ?? 0) * 256 + (bytes[1] ?? 0);
  if (pair === 0xfffe || pair === 0xfeff) {
    throw new FormatError({ file, found: 'UTF-16 text', expected: 'UTF-8 text', remedy: 'Save it again as UTF-8.' });
  }
  let control = 0;
  for (const b of bytes) if (b === 0 || (b < 32 && b !== 9 && b !== 10 && b !== 13 && b !== 12 && b !== 27)) control++;
  if (control > 0) {
    throw new FormatError({ file, found: `binary data of a kind that is not known${gzip ? ', packed with gzip' : ''}`, expected: 'CSV or another text table, Parquet, HDF5, WAV, universal file, MAT or MDF', remedy: 'Export it from the program that wrote it.' });
  }
  const cut = new TextDecoder('utf-8', { fatal: true });
  try {
    return { text: cut.decode(bytes, { stream: true }), notes: [] };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), notes: ['the text is not UTF-8; its headers were read as Windows-1252'] };
  }
}

/** Columns of a text file as arrays, time in seconds from `origin` (or as written). */
export async function readTextTable(open: OpenText, options: ReadOptions, where: string, picks: readonly number[] = open.picks): Promise<RawTable & ScanEnd> {
  const { dialect } = open;
  const file = basename(open.path);
  const all = open.time === null ? picks : [...picks, open.time];
  const end: ScanEnd = { sha256: '' };
  const { columns, rows } = await readColumns(open, all, end);
  if (rows === 0) throw new FormatError({ file, found: 'no row of numbers', expected: 'at least one row' });
  const stamps = open.time === null ? null : columns.pop()!;
  const base = stamps === null ? { about: {}, origin: null, time: null } : timeOf(open, stamps, options, where);
  return {
    file, rows, time: base.time, origin: base.origin, sha256: end.sha256,
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

interface Columns { readonly columns: Float64Array[]; readonly rows: number }

async function readColumns(open: OpenText, all: readonly number[], end: ScanEnd): Promise<Columns> {
  const growing = new GrowingColumns(all.map(() => Infinity), Math.ceil((open.size / open.rowBytes) * 1.05) + 1);
  for await (const block of textBlocks(open, all, open.firstStamp === null ? -1 : all.length - 1, open.firstStamp ?? 0, end)) {
    growing.push(block.rows, (j, target, at) => target.set(block.columns[j]!.subarray(0, block.rows), at));
  }
  return { columns: growing.finish(), rows: growing.rows };
}

function timeOf(open: OpenText, stamps: Float64Array, options: ReadOptions, where: string): TimeBase {
  const column = open.dialect.columns[open.time!]!;
  if (open.firstStamp === null) return timeBase(basename(open.path), column, stamps, options);
  return { time: stamps, ...datedOrigin(where, column.name, open.firstStamp, open.zoned, options) };
}
