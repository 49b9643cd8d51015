import { constants, inflateSync } from 'node:zlib';
import { FormatError } from '../record/errors.js';
import { parseUnit } from '../record/units.js';
import { readWhole } from './bytes.js';
import { ByteReader, bytesOf, readNumbers, type NumberKind } from './ByteReader.js';
import { chooseNamedTime, type NamedArray } from './namedArrays.js';
import { startsWith } from './formats.js';
import { roundedNote } from './roundedNote.js';
import { tablesFormat } from './tablesFormat.js';

const kinds: Readonly<Record<number, NumberKind>> = { 1: 'int8', 2: 'uint8', 3: 'int16', 4: 'uint16', 5: 'int32', 6: 'uint32', 7: 'float32', 9: 'float64', 12: 'int64', 13: 'uint64' };
const mostColumns = 4096;
const classNames: Readonly<Record<number, string>> = { 1: 'cell', 2: 'struct', 3: 'object', 4: 'text', 5: 'sparse', 16: 'function', 17: 'opaque' };

/**
 * MAT files of level 5: real matrices and structs of vectors. A column of a matrix is a channel; text beside a vector
 * in a struct (a field named unit or units) is its unit.
 *
 * @references MAT-File Format, The MathWorks, Inc. (public description of level 5).
 */
export const mat5Format: ReturnType<typeof tablesFormat> = tablesFormat('MAT 5', (open) => startsWith(open.head, 'MATLAB 5.0 MAT-file'), async (open, options, where, whole) => {
  const reader = new ByteReader(open.file, await readWhole(open.path, open.size));
  reader.need(0, 128, 'the header');
  const order = reader.text(126, 2, 'the byte order');
  if (order !== 'IM' && order !== 'MI') throw new FormatError({ file: open.file, found: `the byte order ${JSON.stringify(order)}`, expected: 'IM or MI' });
  reader.littleEndian = order === 'IM';
  const found: NamedArray[] = [];
  const notes: string[] = [];
  for (let at = 128; at < reader.bytes.length;) {
    const { type, length, from, next } = tagAt(reader, at);
    if (type === 15) readCompressed(reader, from, length, found, notes);
    else if (type === 14) readMatrix(reader, from, length, '', found, notes, 0);
    else throw new FormatError({ file: open.file, found: `an element of type ${type} at byte ${at}`, expected: 'a matrix or a compressed matrix' });
    at = next;
  }
  return { tables: chooseNamedTime(where, open.file, found, options, { format: 'MAT 5' }, whole, notes), notes };
});

interface Tag { readonly type: number; readonly length: number; readonly from: number; readonly next: number }

function tagAt(reader: ByteReader, at: number): Tag {
  const word = reader.u32(at, 'an element');
  if (word >>> 16 !== 0) {
    const length = word >>> 16;
    if (length > 4) throw new FormatError({ file: reader.file, found: `a small element of ${length} bytes at byte ${at}`, expected: 'at most 4 bytes' });
    reader.need(at, 8, 'a small element');
    return { type: word & 0xffff, length, from: at + 4, next: at + 8 };
  }
  const length = reader.u32(at + 4, 'the length of an element');
  reader.need(at + 8, length, `an element of type ${word}`);
  const next = at + 8 + length;
  return { type: word, length, from: at + 8, next: word === 15 ? next : next + ((8 - (length % 8)) % 8) };
}

/** Deflate packs at most 1032 to one (RFC 1951), so that the element's own length is checked before it is unpacked. */
function readCompressed(reader: ByteReader, from: number, length: number, found: NamedArray[], notes: string[]): void {
  const packed = reader.part(from, length, 'a compressed element');
  const unpack = (part: Uint8Array, most: number, finishFlush: number): ByteReader => {
    try {
      const inner = new ByteReader(reader.file, inflateSync(part, { maxOutputLength: most, finishFlush }));
      inner.littleEndian = reader.littleEndian;
      return inner;
    } catch (error) {
      throw new FormatError({ file: reader.file, found: `compressed data that is damaged at byte ${from} (${(error as Error).message})`, expected: 'a complete file', remedy: 'Copy the file again from where it was written.' });
    }
  };
  // The first bytes say what is inside and how long it is; more than that is not unpacked.
  const beginning = unpack(packed.subarray(0, 512), 1032 * 512, constants.Z_SYNC_FLUSH);
  const type = beginning.u32(0, 'a compressed element');
  const inside = beginning.u32(4, 'the length of a compressed element');
  if (type !== 14) throw new FormatError({ file: reader.file, found: `a compressed element of type ${type}`, expected: 'a matrix' });
  if (inside > 1032 * length) throw new FormatError({ file: reader.file, found: `${length} bytes at byte ${from} said to unpack to ${inside}`, expected: 'at most 1032 to one, as deflate can' });
  const what = headOf(beginning, 8);
  if (!isRead(what)) {
    notes.push(`${what.name}: ${leftOut(what)} left out`);
    return;
  }
  const inner = unpack(packed, inside + 8, constants.Z_FINISH);
  const tag = tagAt(inner, 0);
  readMatrix(inner, tag.from, tag.length, '', found, notes, 0);
}

interface Head { readonly kind: number; readonly complex: boolean; readonly dims: readonly number[]; readonly count: number; readonly name: string; readonly next: number }

function headOf(reader: ByteReader, from: number): Head {
  const flags = tagAt(reader, from);
  const word = reader.u32(flags.from, 'array flags');
  const shape = tagAt(reader, flags.next);
  if (shape.type !== 5 || shape.length < 8 || shape.length > 256) throw new FormatError({ file: reader.file, found: `dimensions of type ${shape.type} in ${shape.length} bytes`, expected: '2 or more whole numbers' });
  const dims = Array.from({ length: shape.length >> 2 }, (_, i) => reader.i32(shape.from + 4 * i, 'a dimension'));
  const count = dims.reduce((n, d) => n * d, 1);
  if (dims.some((d) => d < 0) || !Number.isSafeInteger(count)) throw new FormatError({ file: reader.file, found: `dimensions ${dims.join(' × ')}`, expected: 'sizes of a matrix' });
  const label = tagAt(reader, shape.next);
  return { kind: word & 0xff, complex: (word & 0x800) !== 0, dims, count, name: reader.text(label.from, label.length, 'a name'), next: label.next };
}

/** Structs and real numbers are read. */
function isRead(head: Head): boolean {
  return head.kind === 2 || (head.kind >= 6 && head.kind <= 15 && !head.complex);
}

function leftOut(head: Head): string {
  return head.complex ? 'complex values' : (classNames[head.kind] ?? `class ${head.kind}`);
}

function readMatrix(reader: ByteReader, from: number, length: number, path: string, found: NamedArray[], notes: string[], depth: number): void {
  if (length === 0) return;
  const head = headOf(reader, from);
  const name = path === '' ? head.name : path;
  if (!isRead(head) || depth >= 8) notes.push(`${name}: ${leftOut(head)} left out`);
  else if (head.kind === 2) readStruct(reader, head, name, found, notes, depth);
  else readNumeric(reader, head, name, found, notes);
}

function readNumeric(reader: ByteReader, head: Head, name: string, found: NamedArray[], notes: string[]): void {
  const data = tagAt(reader, head.next);
  const kind = kinds[data.type];
  if (kind === undefined) throw new FormatError({ file: reader.file, found: `numbers of type ${data.type} in ${name}`, expected: 'a type of the format' });
  if (head.count * bytesOf[kind] > data.length) throw new FormatError({ file: reader.file, found: `${head.dims.join(' × ')} numbers in ${data.length} bytes in ${name}`, expected: `${head.count * bytesOf[kind]} bytes` });
  if (head.count === 0 || head.dims.length !== 2) {
    notes.push(`${name}: ${head.dims.join(' × ')} left out`);
    return;
  }
  const [rows, columns] = head.dims as [number, number];
  const flat = rows === 1 || columns === 1;
  const tall = flat ? head.count : rows;
  const wide = flat ? 1 : columns;
  if (wide > mostColumns) {
    notes.push(`${name}: ${rows} × ${columns} left out (more than ${mostColumns} columns)`);
    return;
  }
  const { littleEndian } = reader;
  for (let c = 0; c < wide; c++) {
    const own = wide === 1 ? name : `${name} ${c + 1}`;
    const read = (): Float64Array => {
      const values = readNumbers(reader.bytes, kind, littleEndian, data.from + c * tall * bytesOf[kind], tall);
      const note = kind === 'int64' || kind === 'uint64' ? roundedNote(own, values) : null;
      if (note !== null) notes.push(note);
      return values;
    };
    found.push({ name: own, unitText: null, length: tall, read });
  }
}

function readStruct(reader: ByteReader, head: Head, path: string, found: NamedArray[], notes: string[], depth: number): void {
  const width = tagAt(reader, head.next);
  const size = reader.i32(width.from, 'the length of field names');
  const names = tagAt(reader, width.next);
  if (size < 1 || names.length % size !== 0) throw new FormatError({ file: reader.file, found: `field names of ${size} bytes in ${names.length}`, expected: 'whole names' });
  if (head.count !== 1) {
    notes.push(`${path}: an array of ${head.count} structs left out`);
    return;
  }
  const texts = new Map<string, string>();
  const own: NamedArray[] = [];
  let at = names.next;
  for (let i = 0; i < names.length / size; i++) {
    const field = reader.text(names.from + i * size, size, 'a field name');
    const tag = tagAt(reader, at);
    if (tag.type !== 14) throw new FormatError({ file: reader.file, found: `a field of type ${tag.type} in ${path}.${field}`, expected: 'a matrix' });
    const text = tag.length === 0 ? null : textOf(reader, tag);
    if (text !== null) texts.set(field, text);
    else readMatrix(reader, tag.from, tag.length, `${path}.${field}`, own, notes, depth + 1);
    at = tag.next;
  }
  const unit = texts.get('unit') ?? texts.get('units') ?? null;
  // The unit beside several vectors can only be that of the ones that are not time.
  for (const array of own) found.push(unit !== null && array.unitText === null && !/\.(t|time)$/i.test(array.name) && own.length <= 2 && parseUnit(unit) !== null ? { ...array, unitText: unit } : array);
}

function textOf(reader: ByteReader, tag: Tag): string | null {
  const head = headOf(reader, tag.from);
  if (head.kind !== 4) return null;
  const data = tagAt(reader, head.next);
  const wide = data.type === 4 || data.type === 17;
  const part = reader.part(data.from, data.length, 'text');
  return wide ? new TextDecoder(reader.littleEndian ? 'utf-16le' : 'utf-16be').decode(part) : new TextDecoder().decode(part);
}
