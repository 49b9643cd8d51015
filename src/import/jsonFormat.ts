import { gunzip } from 'node:zlib';
import { promisify } from 'node:util';
import { createHash } from 'node:crypto';
import { FormatError, InputError } from '../record/errors.js';
import { parseUnit } from '../record/units.js';
import { damaged, readWhole } from './bytes.js';
import { chooseColumns } from './chooseColumns.js';
import { describeTable } from './describeFile.js';
import type { TextColumn } from './dialect.js';
import { splitHeader } from './findHeader.js';
import type { Format, OpenFile } from './formats.js';
import type { ReadOptions } from './options.js';
import type { RawTable } from './table.js';
import { tableToRecordings } from './textFormat.js';
import { timeBase } from './timeBase.js';

/** The longest document, and packed no more than 64 to one: JSON becomes objects of many times its size. */
const mostText = 1 << 26;

/** Arrays of numbers in a JSON document, each named by a pointer. */
export const jsonFormat: Format = {
  name: 'JSON',
  unpacks: true,
  matches: (open) => /^\ufeff?\s*[{[]/.test(Buffer.from(open.head.subarray(0, 256)).toString()),
  read: async (open, options, where, one) => {
    const { table, sha256 } = await readJson(open, options, where);
    return tableToRecordings(open, table, options, where, sha256, one);
  },
  describe: async (open, options, where) => {
    const { table, columns, time, picks } = await readJson(open, options, where);
    return describeTable(open, 'JSON', table, options, where, {
      layout: null, notes: [],
      columns: columns.map((c, i) => ({ name: c.name, unit: options.units?.[c.name] ?? c.unit, unitInFile: c.unitText, type: 'number', use: i === time ? 'time' : picks.includes(i) ? 'channel' : 'left out' })),
    });
  },
};

interface FoundArrays { readonly table: RawTable; readonly columns: readonly TextColumn[]; readonly time: number | null; readonly picks: readonly number[]; readonly sha256: string }

async function readJson(open: OpenFile, options: ReadOptions, where: string): Promise<FoundArrays> {
  if (open.size > mostText) throw new FormatError({ file: open.file, found: `a JSON document of ${open.size} bytes`, expected: `at most ${mostText}, since it is held as a whole`, remedy: 'Export it as CSV, Parquet or HDF5.' });
  const bytes = await readWhole(open.path, open.size);
  const text = open.gzip ? await promisify(gunzip)(bytes, { maxOutputLength: Math.min(mostText, 64 * open.size + 65536) }).catch((error) => Promise.reject(damaged(open.path, error))) : bytes;
  let document: unknown;
  try {
    document = JSON.parse(text.toString().replace(/^\ufeff/, ''));
  } catch (error) {
    throw new FormatError({ file: open.file, found: `JSON that is not complete (${(error as Error).message.slice(0, 80)})`, expected: 'a JSON document' });
  }
  if (options.pointers === undefined) throw noPointers(open.file, document);
  const names = Object.keys(options.pointers);
  if (names.length === 0) throw new InputError({ where, argument: 'pointers', expected: 'at least one pointer', given: 'none' });
  const arrays = names.map((name) => numbersAt(open.file, document, options.pointers![name]!));
  const columns = names.map((header): TextColumn => {
    const { name, unitText } = splitHeader(header);
    return { name, header, unitText, unit: unitText === null ? '?' : (parseUnit(unitText) ?? '?'), type: 'number' };
  });
  const length = arrays[0]!.length;
  arrays.forEach((a, i) => {
    if (a.length !== length) throw new FormatError({ file: open.file, found: `${a.length} numbers for ${names[i]}`, expected: `${length} as for ${names[0]}` });
  });
  const { time, picks } = chooseColumns(where, { file: open.file, columns, headerLine: null, firstDataLine: null }, options);
  const base = time === null ? { time: null, origin: null, about: {} } : timeBase(open.file, columns[time]!, arrays[time]!, options);
  return {
    columns, time, picks, sha256: createHash('sha256').update(bytes).digest('hex'),
    table: {
      file: open.file, rows: length, time: base.time, origin: base.origin, about: { format: 'JSON', ...base.about },
      columns: picks.map((i) => ({ name: columns[i]!.name, unit: columns[i]!.unit, values: arrays[i]!, about: { pointer: options.pointers![names[i]!], unitInFile: columns[i]!.unitText } })),
      lineOf: async () => null,
    },
  };
}

/** The array of numbers that an RFC 6901 pointer names; null in it is a missing value. */
function numbersAt(file: string, document: unknown, pointer: string): Float64Array {
  let value = document;
  for (const key of pointer.split('/').slice(1).map((k) => k.replaceAll('~1', '/').replaceAll('~0', '~'))) {
    value = typeof value === 'object' && value !== null && Object.hasOwn(value, key) ? (value as Record<string, unknown>)[key] : undefined;
  }
  if (!isNumbers(value)) throw new FormatError({ file, found: value === undefined ? `nothing at ${pointer}` : `no array of numbers at ${pointer}`, expected: 'an array of numbers', remedy: choices(document) });
  return Float64Array.from(value, (v) => v ?? NaN);
}

function isNumbers(value: unknown): value is (number | null)[] {
  return Array.isArray(value) && value.length > 1 && value.every((v) => typeof v === 'number' || v === null) && value.some((v) => v !== null);
}

function noPointers(file: string, document: unknown): FormatError {
  return new FormatError({ file, found: 'a JSON document', expected: 'to be told which arrays hold the recording', remedy: choices(document) });
}

function choices(document: unknown): string {
  const found: string[] = [];
  const walk = (value: unknown, path: string, depth: number): void => {
    if (found.length >= 8 || depth > 12 || typeof value !== 'object' || value === null) return;
    if (isNumbers(value)) {
      found.push(`${path} (${value.length} numbers)`);
      return;
    }
    for (const [key, member] of Object.entries(value)) walk(member, `${path}/${key.replaceAll('~', '~0').replaceAll('/', '~1')}`, depth + 1);
  };
  walk(document, '', 0);
  return found.length === 0 ? 'It holds no array of numbers.' : `Name them, for example pointers: { 'time (s)': '…', 'torque (N·m)': '…' }; it holds ${found.join(', ')}.`;
}
