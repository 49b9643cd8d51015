import { FormatError } from '../record/errors.js';
import { numberAt, readNumbers, type ByteReader, type NumberKind } from './ByteReader.js';
import { blockAt, linkOf, textAt } from './mdfBlocks.js';

/** A linear conversion: physical = offset + factor · raw. */
export interface MdfConversion {
  readonly offset: number;
  readonly factor: number;
  readonly unit: string | null;
}

/** One channel of a channel group. */
export interface MdfChannel {
  readonly at: number;
  readonly name: string;
  readonly unit: string | null;
  /** 0 value, 2 master, 3 virtual master. */
  readonly type: number;
  /** 1 time. */
  readonly sync: number;
  readonly dataType: number;
  readonly bitOffset: number;
  readonly byteOffset: number;
  readonly bits: number;
  readonly markBit: number | null;
  readonly allInvalid: boolean;
  readonly conversion: MdfConversion;
}

/** The linear conversion at a link (none is 1 to 1); null for one of another kind. */
export function conversionOf(reader: ByteReader, at: number): MdfConversion | null {
  if (at === 0) return { offset: 0, factor: 1, unit: null };
  const block = blockAt(reader, at, '##CC', 4);
  const unit = textAt(reader, linkOf(reader, block, 1)) || null;
  const kind = reader.u8(block.data, 'the kind of a conversion');
  if (kind === 0) return { offset: 0, factor: 1, unit };
  if (kind !== 1) return null;
  const count = reader.u16(block.data + 6, 'the number of parameters');
  if (count < 2) throw new FormatError({ file: reader.file, found: `a linear conversion of ${count} parameters (##CC at byte ${at})`, expected: '2' });
  const offset = reader.f64(block.data + 24, 'an offset');
  const factor = reader.f64(block.data + 32, 'a factor');
  if (!Number.isFinite(offset) || !Number.isFinite(factor)) throw new FormatError({ file: reader.file, found: `a linear conversion by ${factor} and ${offset} (##CC at byte ${at})`, expected: 'finite numbers' });
  return { offset, factor, unit };
}

/** The physical numbers of a channel, record by record. The caller has checked that every record is there. */
export function numbersOf(channel: MdfChannel, data: Uint8Array, size: number, count: number): Float64Array {
  const { dataType, bits, bitOffset, byteOffset, conversion } = channel;
  const kind = wholeKind(dataType, bits);
  const little = dataType % 2 === 0;
  const values = kind !== null && bitOffset === 0 ? readNumbers(data, kind, little, byteOffset, count, size) : packedNumbers(channel, data, size, count);
  const { offset, factor } = conversion;
  if (offset !== 0 || factor !== 1) for (let i = 0; i < count; i++) values[i] = offset + factor * values[i]!;
  return values;
}

function wholeKind(dataType: number, bits: number): NumberKind | null {
  const kinds: Readonly<Record<number, readonly [NumberKind, NumberKind, NumberKind | null]>> = { 8: ['uint8', 'int8', null], 16: ['uint16', 'int16', null], 32: ['uint32', 'int32', 'float32'], 64: ['uint64', 'int64', 'float64'] };
  return kinds[bits]?.[dataType >> 1] ?? null;
}

/** Whole numbers of any number of bits at any bit. */
function packedNumbers(channel: MdfChannel, data: Uint8Array, size: number, count: number): Float64Array {
  const { dataType, bits, bitOffset, byteOffset } = channel;
  const signed = dataType === 2 || dataType === 3;
  const little = dataType % 2 === 0;
  const bytes = Math.ceil((bitOffset + bits) / 8);
  const get = numberAt(new DataView(data.buffer, data.byteOffset, data.byteLength), 'uint8', true);
  const values = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    let raw = 0n;
    for (let b = 0; b < bytes; b++) raw = (raw << 8n) | BigInt(get(i * size + byteOffset + (little ? bytes - 1 - b : b)));
    raw = BigInt.asUintN(bits, raw >> BigInt(bitOffset));
    values[i] = Number(signed ? BigInt.asIntN(bits, raw) : raw);
  }
  return values;
}

/** Is an invalidation bit set? `at` is the first invalidation byte of the record. */
export function isMarked(data: Uint8Array, at: number, bit: number): boolean {
  return (data[at + (bit >> 3)]! & (1 << (bit & 7))) !== 0;
}
