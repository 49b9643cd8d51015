import type { Attribute, Dataset, File as H5File, Group } from 'h5wasm/node';
import { basename, resolve } from 'node:path';
import { show } from '../record/check.js';
import { FormatError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { instantToNanoseconds } from '../record/time.js';
import { hashFile } from './bytes.js';
import { describeStored } from './csvStoreFormat.js';
import { startsWith, type Format, type OpenFile } from './formats.js';
import { chooseNamedTime, type NamedArray } from './namedArrays.js';
import { closeStreams, discardHdf5, loadHdf5 } from './loadHdf5.js';
import type { ReadOptions } from './options.js';
import { roundedNote } from './roundedNote.js';
import { checkStoredOptions, parseStored, pickStored, restoreRecording, storedText, type Stored } from './stored.js';
import type { RawTable } from './table.js';
import { tablesFormat, type RawFile } from './tablesFormat.js';

const storeName = 'quillshaft';
const mostObjects = 5000;

/**
 * HDF5 (also MAT 7.3 files, which are HDF5), through h5wasm: our own with their description, and others as named arrays.
 * A chunk that was never written reads as the dataset's fill value (0 where it states none): the library gives those
 * numbers like any others, and does not say that they were never measured.
 */
export const hdf5Format: Format = {
  name: 'HDF5',
  matches: (open) => [0, 512, 1024, 2048].some((at) => startsWith(open.head, '\x89HDF\r\n\x1a\n', at)),
  read: async (open, options, where, one) => {
    const hash = hashFile(open.path, open.size);
    hash.catch(() => {});
    const own = await withFile(open, (file) => {
      const stored = storedIn(open, file);
      if (stored === null) return null;
      checkStoredOptions(where, options);
      const picks = pickStored(where, stored, options);
      const names = datasetNames(stored.channels.map((c) => c.name));
      return { stored, picks, columns: picks.map((p) => ownValues(open, file, names[p]!, stored.channels[p]!.samples)) };
    });
    if (own !== null) return [restoreRecording(open, own.stored, own.picks, own.columns, options, where, { format: 'HDF5', sha256: await hash })];
    return foreignFormat.read(open, options, where, one);
  },
  describe: async (open, options, where) => {
    const stored = await withFile(open, (file) => storedIn(open, file));
    if (stored === null) return foreignFormat.describe(open, options, where);
    checkStoredOptions(where, options);
    return describeStored(open, 'HDF5', stored);
  },
};

const foreignFormat = tablesFormat('HDF5', () => true, async (open, options, where, whole) => withFile(open, (file) => readForeign(open, file, options, where, whole)));

/** After so many errors the library is loaded anew: each leaves a little disorder in it. */
const mostErrors = 100;

/**
 * One synchronous piece of work with the library, which may open `mayOpen` and no other file; `other` is told what it wanted besides.
 * A library that aborts, or cannot close what it opened, is thrown away; if it had met errors before, they may be the cause, and a fresh one is asked again.
 */
async function withLibrary<T>(mayOpen: string, mode: 'r' | 'w', other: (path: string) => void, work: (file: H5File) => T): Promise<T> {
  const library = await loadHdf5();
  const { files } = library;
  const openAny = files.open;
  const opened: unknown[] = [];
  files.open = (path, flags, ...more) => {
    if (path === mayOpen || path === resolve(mayOpen) || isErrorText(path, flags)) {
      const stream = openAny.call(files, path, flags, ...more);
      opened.push(stream);
      return stream;
    }
    if ((flags & directoryFlag) === 0) other(path);
    throw new Error('another file');
  };
  let file: H5File | null = null;
  let failure: unknown;
  let sound = true;
  try {
    file = new library.h5wasm.File(mayOpen, mode);
    if (file.file_id < 0n) throw new Error('it does not open');
    const result = work(file);
    file.close();
    return result;
  } catch (error) {
    failure = error;
    sound = (error as Error).name !== 'RuntimeError' && closes(file);
  } finally {
    files.open = openAny;
  }
  const metBefore = library.errors > 0;
  if (!isOurs(failure)) library.errors++;
  if (sound && library.errors < mostErrors) closeStreams(library, opened);
  else discardHdf5(library, opened);
  if (sound || isOurs(failure) || !metBefore) throw failure;
  return withLibrary(mayOpen, mode, other, work);
}

/** Does the file close, as far as it was opened? */
function closes(file: H5File | null): boolean {
  try {
    return file === null || file.file_id < 0n || file.close() >= 0;
  } catch {
    return false;
  }
}

function isOurs(error: unknown): boolean {
  return error instanceof FormatError || (error as Error).name === 'InputError';
}

const directoryFlag = 0o200000;

/** The new, empty file into which the library writes the text of its error; no file that exists can be opened so. */
function isErrorText(path: string, flags: number): boolean {
  return (flags & 0o300) === 0o300 && basename(path).startsWith('tmpfile_');
}

/**
 * Opens the file for one synchronous piece of work; whatever the library throws becomes one sentence. A dataset may say that
 * its numbers lie in another file; none but the file itself is opened.
 */
async function withFile<T>(open: OpenFile, work: (file: H5File) => T): Promise<T> {
  let other: string | null = null;
  try {
    return await withLibrary(open.path, 'r', (path) => (other ??= path), work);
  } catch (error) {
    if (other !== null) throw new FormatError({ file: open.file, found: `numbers that lie in another file (${show(basename(other))})`, expected: 'a file that holds its own numbers', remedy: 'Copy them into one file.' });
    if (isOurs(error)) throw error;
    throw new FormatError({ file: open.file, found: `an HDF5 file that cannot be read (${causeOf(error)})`, expected: 'a complete HDF5 file', remedy: 'Copy the file again from where it was recorded.' });
  }
}

/** The innermost of the library's own words, "#003: file line 12 in function(): words", or the first line. */
function causeOf(error: unknown): string {
  const text = String((error as Error).message ?? error);
  return (/.*\n *#\d+: [^\n]*\(\): ([^\n]+)/s.exec(text)?.[1] ?? text.split('\n')[0]!).split(/[:,] time = /)[0]!.slice(0, 120);
}

function isDataset(entity: unknown): entity is Dataset {
  return (entity as { type?: string } | null)?.type === 'Dataset';
}

/** The numbers of a dataset, after its declared size was held against what the file can hold. */
function numbersIn(open: OpenFile, path: string, dataset: Dataset): Float64Array {
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

function storedIn(open: OpenFile, file: H5File): Stored | null {
  const entity = file.keys().includes(storeName) ? file.get(storeName) : null;
  if (!isDataset(entity)) return null;
  const bytes = entity.metadata.size === 1 && entity.metadata.total_size <= open.size ? entity.value : null;
  if (!(bytes instanceof Uint8Array)) return null;
  return parseStored(open.file, new TextDecoder().decode(bytes));
}

function ownValues(open: OpenFile, file: H5File, name: string, samples: number): Float64Array {
  const entity = file.get(name);
  if (!isDataset(entity)) throw new FormatError({ file: open.file, found: `no dataset ${name}`, expected: 'the one that its description names' });
  const values = numbersIn(open, name, entity);
  if (values.length !== samples) throw new FormatError({ file: open.file, found: `${values.length} numbers in ${name}`, expected: `${samples}, as its description says` });
  return values;
}

interface Found extends NamedArray {
  readonly sampleRate: number | null;
  readonly start: string | null;
}

function readForeign(open: OpenFile, file: H5File, options: ReadOptions, where: string, whole: boolean): RawFile {
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

/** Names of datasets: those of the channels, with what HDF5 does not allow replaced, and kept apart. */
function datasetNames(names: readonly string[]): string[] {
  const used = new Set<string>([storeName]);
  return names.map((name) => {
    const plain = name.replaceAll('/', '∕').replace(/^\.+$/, 'channel').replaceAll('\0', ' ');
    let own = plain;
    for (let n = 2; used.has(own); n++) own = `${plain} ${n}`;
    used.add(own);
    return own;
  });
}

/** Writes each channel as a dataset of doubles with the attributes unit, sampleRate (Hz) and start, and the description beside them. */
export async function writeHdf5(recording: Recording, temporary: string): Promise<void> {
  await withLibrary(temporary, 'w', () => {}, (file) => {
    const names = datasetNames(recording.channels.map((c) => c.name));
    recording.channels.forEach((channel, i) => {
      const dataset = file.create_dataset({ name: names[i]!, data: channel.values });
      dataset.create_attribute('unit', channel.unit);
      dataset.create_attribute('sampleRate', channel.sampleRate);
      if (channel.start !== null) dataset.create_attribute('start', channel.start);
    });
    file.create_dataset({ name: storeName, data: new TextEncoder().encode(storedText(recording)) });
  });
}
