import { FormatError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { hashFile } from './bytes.js';
import { readKeyValue, writeColumns } from './parquetColumns.js';
import { chooseColumns } from './chooseColumns.js';
import { describeStored } from './csvStoreFormat.js';
import { describeTable } from './describeFile.js';
import type { TextColumn } from './dialect.js';
import { splitHeader } from './findHeader.js';
import { chunksOf, connect, copyColumn, fileLiteral, firstWhole, identifier } from './duck.js';
import { GrowingColumns } from './GrowingColumns.js';
import { startsWith, type Format, type OpenFile } from './formats.js';
import type { ReadOptions } from './options.js';
import { roundedNote } from './roundedNote.js';
import { checkStoredOptions, parseStored, pickStored, restoreRecording, storedText, type Stored } from './stored.js';
import { notRead, type RawTable } from './table.js';
import { tableToRecordings } from './textFormat.js';
import { datedOrigin, timeBase } from './timeBase.js';
import { parseUnit } from '../record/units.js';

/** Apache Parquet, through DuckDB: our own with its description in the file's key-value metadata, and others as a table. */
export const parquetFormat: Format = {
  name: 'Parquet',
  matches: (open) => startsWith(open.head, 'PAR1'),
  read: async (open, options, where, one) => {
    const hash = hashFile(open.path, open.size);
    hash.catch(() => {});
    const stored = await readParquetDescription(open);
    if (stored === null) {
      const { table } = await readForeign(open, options, where, true);
      return tableToRecordings(open, table, options, where, await hash, one);
    }
    checkStoredOptions(where, options);
    const picks = pickStored(where, stored, options);
    const columns = await readStoredParquet(open, stored, picks);
    return [restoreRecording(open, stored, picks, columns, options, where, { format: 'Parquet', sha256: await hash })];
  },
  describe: async (open, options, where) => {
    const stored = await readParquetDescription(open);
    if (stored !== null) {
      checkStoredOptions(where, options);
      return describeStored(open, 'Parquet', stored);
    }
    const { table, columns, time, picks } = await readForeign(open, options, where, false);
    return describeTable(open, 'Parquet', table, options, where, {
      layout: null, notes: (table.about['notes'] as readonly string[] | undefined) ?? [],
      columns: columns.map((c, i) => ({ name: c.name, unit: options.units?.[c.name] ?? c.unit, unitInFile: c.unitText, type: c.type, use: i === time ? 'time' : picks.includes(i) ? 'channel' : 'left out' })),
    });
  },
};

/** Runs a query; whatever the engine cannot read becomes one sentence. */
async function guarded<T>(open: OpenFile, run: () => Promise<T>): Promise<T> {
  try {
    return await run();
  } catch (error) {
    if (error instanceof FormatError) throw error;
    throw new FormatError({ file: open.file, found: `a Parquet file that cannot be read (${((error as Error).message.split('\n')[0] ?? '').slice(0, 160).replaceAll(open.path, open.file)})`, expected: 'a complete Parquet file', remedy: 'Copy the file again from where it was written.' });
  }
}

/** The description in our own Parquet files; null in others. */
export async function readParquetDescription(open: OpenFile): Promise<Stored | null> {
  return guarded(open, async () => {
    const text = await readKeyValue(open.path, 'quillshaft');
    return text === null ? null : parseStored(open.file, text);
  });
}

/** Rows in the file. */
async function rowsOf(open: OpenFile): Promise<number> {
  for await (const chunk of chunksOf(`SELECT CAST(count(*) AS DOUBLE) FROM read_parquet(${fileLiteral(open.path)})`)) return Number(chunk.getColumnValues(0)[0]);
  return 0;
}

async function readStoredParquet(open: OpenFile, stored: Stored, picks: readonly number[]): Promise<Float64Array[]> {
  return guarded(open, async () => {
    const rows = await rowsOf(open);
    const expected = Math.max(...stored.channels.map((c) => c.samples));
    if (rows !== expected) throw new FormatError({ file: open.file, found: `${rows} rows`, expected: `${expected} rows, as its description says` });
    return readRows(open, storedQuery(open, stored, picks), picks.map((p) => stored.channels[p]!.samples));
  });
}

/** The values of some channels of our own file, block by block. */
export async function* parquetBlocks(open: OpenFile, stored: Stored, picks: readonly number[]): AsyncGenerator<{ readonly columns: readonly Float64Array[]; readonly rows: number }> {
  for await (const chunk of chunksOf(storedQuery(open, stored, picks))) {
    const columns = picks.map((_, j) => {
      const values = new Float64Array(chunk.rowCount);
      copyColumn(chunk, j, values, 0);
      return values;
    });
    yield { columns, rows: chunk.rowCount };
  }
}

function storedQuery(open: OpenFile, stored: Stored, picks: readonly number[]): string {
  const names = columnNames(stored.channels.map((c) => c.name));
  return `SELECT ${picks.map((p) => identifier(names[p]!)).join(', ')} FROM read_parquet(${fileLiteral(open.path)})`;
}

/** The numbers of a query, each column to at most the length given. */
async function readRows(open: OpenFile, query: string, most: readonly number[], origin: { readonly column: number; first: bigint | null } | null = null): Promise<Float64Array[]> {
  const growing = new GrowingColumns(most, Math.ceil(open.size / (8 * most.length)));
  for await (const chunk of chunksOf(query)) {
    if (origin !== null) origin.first ??= firstWhole(chunk, origin.column);
    growing.push(chunk.rowCount, (j, target, at) => copyColumn(chunk, j, target, at, origin?.first ?? null));
  }
  return growing.finish();
}

interface ParquetColumn extends TextColumn {
  /** Whole numbers of 64 bits or more. */
  readonly wide: boolean;
}

interface Foreign { readonly table: RawTable; readonly columns: readonly TextColumn[]; readonly time: number | null; readonly picks: readonly number[] }

async function readForeign(open: OpenFile, options: ReadOptions, where: string, whole: boolean): Promise<Foreign> {
  return guarded(open, async () => {
    const columns = await columnsOf(open);
    const { time, picks, unused } = chooseColumns(where, { file: open.file, columns, headerLine: null, firstDataLine: null }, options);
    const dated = time !== null && columns[time]!.type === 'date-time';
    const all = time === null ? picks : [...picks, time];
    const rows = await rowsOf(open);
    if (rows === 0) throw new FormatError({ file: open.file, found: 'no row', expected: 'at least one row' });
    const select = all.map((i) => (dated && i === time ? `epoch_ns(${identifier(columns[i]!.header)})` : `CAST(${identifier(columns[i]!.header)} AS DOUBLE)`));
    const needed = whole ? select : select.slice(picks.length);
    const origin = dated ? { column: needed.length - 1, first: null as bigint | null } : null;
    const arrays = needed.length === 0 ? [] : await readRows(open, `SELECT ${needed.join(', ')} FROM read_parquet(${fileLiteral(open.path)})`, needed.map(() => rows), origin);
    if (arrays.some((a) => a.length !== rows)) throw new FormatError({ file: open.file, found: `${arrays[0]!.length} rows`, expected: `${rows} rows, as its metadata say` });
    const read = whole ? all : all.slice(picks.length);
    const rounded = arrays.flatMap((values, j) => (columns[read[j]!]!.wide ? (roundedNote(columns[read[j]!]!.name, values) ?? []) : []));
    const stamps = time === null ? null : arrays.pop()!;
    const base = stamps === null ? { time: null, origin: null, about: {} }
      : dated ? { time: stamps, ...datedOrigin(where, columns[time!]!.name, 0, columns[time!]!.unitText === 'UTC', options) }
        : timeBase(open.file, columns[time!]!, stamps, options);
    return {
      columns, time, picks,
      table: {
        file: open.file, time: base.time, rows, origin: dated && base.origin !== null && origin!.first !== null ? base.origin + origin!.first : base.origin,
        about: { format: 'Parquet', ...base.about, ...(unused.length > 0 ? { timeNotUsed: unused.map((i) => columns[i]!.name) } : {}), ...(rounded.length > 0 ? { notes: rounded } : {}) },
        columns: picks.map((i, j) => ({ name: columns[i]!.name, unit: columns[i]!.unit, values: whole ? arrays[j]! : notRead, about: { column: i + 1, header: columns[i]!.header, unitInFile: columns[i]!.unitText } })),
        lineOf: async () => null,
      },
    };
  });
}

async function columnsOf(open: OpenFile): Promise<readonly ParquetColumn[]> {
  const connection = await connect();
  try {
    const rows = (await connection.runAndReadAll(`DESCRIBE SELECT * FROM read_parquet(${fileLiteral(open.path)})`)).getRows();
    return rows.map(([header, type]): ParquetColumn => {
      const { name, unitText } = splitHeader(String(header));
      const kind = /^TIMESTAMP/.test(String(type)) ? 'date-time' : /^(DOUBLE|FLOAT|DECIMAL|U?(TINY|SMALL|BIG|HUGE)?INT(EGER)?)/.test(String(type)) ? 'number' : 'text';
      return { name, header: String(header), unitText: kind === 'date-time' ? (/TIME ZONE/.test(String(type)) ? 'UTC' : null) : unitText, unit: unitText === null ? '?' : (parseUnit(unitText) ?? '?'), type: kind, wide: /^U?(BIG|HUGE)INT/.test(String(type)) };
    });
  } finally {
    connection.closeSync();
  }
}

/** Column names of the file: those of the channels, kept apart where they differ in case only. */
function columnNames(names: readonly string[]): string[] {
  const used = new Set<string>();
  return names.map((name) => {
    let own = name;
    for (let n = 2; used.has(own.toLowerCase()); n++) own = `${name} ${n}`;
    used.add(own.toLowerCase());
    return own;
  });
}

/** Writes a recording as Parquet: one column of doubles a channel (shorter ones end in missing values), the description as metadata. */
export async function writeParquet(recording: Recording, temporary: string): Promise<void> {
  const names = columnNames(recording.channels.map((c) => c.name));
  await writeColumns(recording.channels.map((c, j) => ({ name: names[j]!, values: c.values })), { key: 'quillshaft', text: storedText(recording) }, temporary);
}
