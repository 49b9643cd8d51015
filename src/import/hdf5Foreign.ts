import type { Attribute, Dataset, File as H5File, Group } from 'h5wasm/node';
import { FormatError } from '../record/errors.js';
import { instantToNanoseconds } from '../record/time.js';
import type { OpenFile } from './formats.js';
import { chooseNamedTime, type NamedArray } from './namedArrays.js';
import type { ReadOptions } from './options.js';
import { roundedNote } from './roundedNote.js';
import type { RawTable } from './table.js';
import type { RawFile } from './tablesFormat.js';

const mostObjects = 5000;

/** A dataset, and nothing else that a file holds? */
export function isDataset(entity: unknown): entity is Dataset {
  return (entity as { type?: string } | null)?.type === 'Dataset';
}

/** The numbers of a dataset, after its declared size was held against what the file can hold. */
export function numbersIn(open: OpenFile, path: string, dataset: Dataset): Float64Array {
  const { total_size: count, size, chunks, shape } = dataset.metadata;
  const packed = chunks !== null && dataset.filters.length > 0;
  const most = packed ? 1032 * open.size : open.size;
  // Each chunk has an entry of eight bytes or more in an index; one that was never written would be read as zeros.
  const pieces = chunks === null ? 0 : chunks.reduce((n, c, i) => n * Math.ceil(shape![i]! / c), 1);
  if (!(count * size <= most && 8 * pieces <= open.size)) throw new FormatError({ file: open.file, found: `${count} numbers of ${size} bytes in ${path}, in a file of ${open.size} bytes`, expected: 'as many as the file can hold' });
  if (dataset.filters.some((f) => ![1, 2, 3].includes(f.id))) throw new FormatError({ file: open.file, found: `the dataset ${path} packed with the filter ${dataset.filters.map((f) => f.name || f.id).join(', ')}`, expected: 'deflate, shuffle or none', remedy: 'Pack it again with gzip.' });
  const value = dataset.value;
  if (!ArrayBuffer.isView(value)) throw new FormatError({ file: open.file, found: `no numbers in ${path}`, expected: 'numbers' });
  return value instanceof Float64Array ? value : Float64Array.from(value as unknown as ArrayLike<number | bigint>, Number);
}

interface Found extends NamedArray {
  readonly sampleRate: number | null;
  readonly start: string | null;
}

/** Reads a file that is not ours: every dataset of numbers as a named array, with what its attributes and those of its groups say. */
export function readForeign(open: OpenFile, file: H5File, options: ReadOptions, where: string, whole: boolean): RawFile {
  const found: Found[] = [];
  const notes: string[] = [];
  let objects = 0;
  const walk = (group: Group, path: string, inherited: Facts, depth: number): void => {
    const facts = factsOf(group.attrs, inherited);
    for (const key of group.keys()) {
      if (++objects > mostObjects || depth > 16) throw new FormatError({ file: open.file, found: `more than ${mostObjects} objects, or groups within groups beyond 16`, expected: 'a recording' });
      const name = path === '' ? key : `${path}/${key}`;
      const entity = group.get(key);
      if (isDataset(entity)) readDataset(open, name, entity, facts, found, notes);
      else if ((entity as { type?: string } | null)?.type === 'Group') walk(entity as Group, name, facts, depth + 1);
      else notes.push(`${name} left out: no dataset`);
    }
  };
  walk(file, '', { unit: null, sampleRate: null, start: null }, 0);
  return { tables: tablesOf(open, found, options, where, whole, notes), notes };
}

interface Facts { readonly unit: string | null; readonly sampleRate: number | null; readonly start: string | null }

/** What attributes say: unit(s), sampleRate, sample_rate, sampling_rate, fs (Hz), dt (s), start (ISO 8601 UTC). */
function factsOf(attributes: Record<string, Attribute>, before: Facts): Facts {
  const named = (names: readonly string[]): unknown => {
    const key = Object.keys(attributes).find((k) => names.includes(k.toLowerCase()));
    const value = key === undefined ? undefined : attributes[key]!.value;
    return ArrayBuffer.isView(value) ? (value as unknown as ArrayLike<number>)[0] : Array.isArray(value) ? value[0] : value;
  };
  const unit = named(['unit', 'units']);
  const rate = Number(named(['samplerate', 'sample_rate', 'sampling_rate', 'fs']) ?? NaN);
  const step = Number(named(['dt', 'sample_interval']) ?? NaN);
  const start = named(['start', 'start_time']);
  const sampleRate = rate > 0 ? rate : step > 0 ? 1 / step : before.sampleRate;
  return {
    unit: typeof unit === 'string' ? unit : null, sampleRate: sampleRate !== null && Number.isFinite(sampleRate) ? sampleRate : null,
    start: typeof start === 'string' && /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?Z$/.test(start) ? start : before.start,
  };
}

function readDataset(open: OpenFile, name: string, dataset: Dataset, inherited: Facts, found: Found[], notes: string[]): void {
  const { shape } = dataset.metadata;
  const why = leftOut(dataset.metadata);
  if (why !== null || shape === null) {
    notes.push(`${name} left out: ${why}`);
    return;
  }
  const facts = factsOf(dataset.attrs, inherited);
  let all: Float64Array | null = null;
  const values = (): Float64Array => {
    if (all === null) {
      all = numbersIn(open, name, dataset);
      const note = isWide(dataset.metadata) ? roundedNote(name, all) : null;
      if (note !== null) notes.push(note);
    }
    return all;
  };
  const parts = { unitText: facts.unit, sampleRate: facts.sampleRate, start: facts.start };
  const [rows, columns] = shape.length === 1 ? [shape[0]!, 1] : (shape as [number, number]);
  if (columns === 1 || rows === 1) {
    found.push({ name, length: rows * columns, read: values, ...parts });
    return;
  }
  // The longer side is time.
  const tall = rows >= columns;
  const length = tall ? rows : columns;
  const count = tall ? columns : rows;
  if (count > 4096) throw new FormatError({ file: open.file, found: `${rows} × ${columns} numbers in ${name}`, expected: 'at most 4096 channels in one dataset' });
  for (let c = 0; c < count; c++) {
    const read = (): Float64Array => (tall ? strided(values(), c, columns, length) : strided(values(), c * columns, 1, length));
    found.push({ name: `${name} ${c + 1}`, length, read, ...parts });
  }
}

function strided(all: Float64Array, from: number, step: number, length: number): Float64Array {
  const own = new Float64Array(length);
  for (let i = 0; i < length; i++) own[i] = all[from + i * step]!;
  return own;
}

/** Whole numbers of 64 bits? */
function isWide({ type, size }: Dataset['metadata']): boolean {
  return type === 0 && size === 8;
}

const classNames: Readonly<Record<number, string>> = { 2: 'a time type', 3: 'text', 4: 'bit fields', 5: 'opaque bytes', 6: 'compound values', 7: 'references', 8: 'an enumeration', 9: 'values of variable length', 10: 'arrays' };

/** Why a dataset is no channel, or null. */
function leftOut({ type, size, shape, virtual_sources: elsewhere }: Dataset['metadata']): string | null {
  if (elsewhere !== undefined) return 'its numbers lie in other files (virtual dataset)';
  if (type !== 0 && type !== 1) return classNames[type] ?? `values of class ${type}`;
  if (type === 1 && size !== 4 && size !== 8) return `floating-point numbers of ${8 * size} bits`;
  if (shape === null || shape.length === 0) return 'a single value';
  if (shape.length > 2) return `${shape.length} dimensions`;
  return shape.includes(0) ? 'empty' : null;
}

/** Arrays that state one rate and start belong together; the rest are grouped by length and looked through for time. */
function tablesOf(open: OpenFile, found: readonly Found[], options: ReadOptions, where: string, whole: boolean, left: readonly string[]): RawTable[] {
  const tables: RawTable[] = [];
  const rest = found.filter((f) => f.sampleRate === null);
  const clocks = new Map<string, Found[]>();
  for (const f of found) {
    if (f.sampleRate === null) continue;
    const key = `${f.sampleRate} ${f.start} ${f.length}`;
    clocks.set(key, [...(clocks.get(key) ?? []), f]);
  }
  for (const group of clocks.values()) {
    const [table] = chooseNamedTime(where, open.file, group, { ...options, sampleRate: group[0]!.sampleRate! }, { format: 'HDF5' }, whole, left);
    if (table) tables.push({ ...table, time: null, sampleRate: group[0]!.sampleRate!, origin: group[0]!.start === null ? null : instantToNanoseconds(group[0]!.start) });
  }
  if (rest.some((f) => f.length > 1) || tables.length === 0) tables.push(...chooseNamedTime(where, open.file, rest, options, { format: 'HDF5' }, whole, left));
  return tables;
}
