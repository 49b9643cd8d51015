import { inflateSync } from 'node:zlib';
import { FormatError } from '../record/errors.js';
import type { ByteReader } from './ByteReader.js';
import { blockAt, linkOf, once, type MdfBlock } from './mdfBlocks.js';

/** The records of a data group, whole: `length` bytes from a DT or DZ block or a list of them. */
export function readData(reader: ByteReader, at: number, length: number, seen: Set<number>): Uint8Array {
  const parts: Uint8Array[] = [];
  let total = 0;
  for (const part of partsAt(reader, at, seen)) {
    parts.push(part);
    total += part.length;
    if (total >= length) break;
  }
  if (total < length) throw new FormatError({ file: reader.file, found: `${total} bytes of records`, expected: `${length} bytes, as its channel group says`, remedy: 'Copy the file again from where it was recorded.' });
  return parts.length === 1 ? parts[0]! : Buffer.concat(parts);
}

function* partsAt(reader: ByteReader, at: number, seen: Set<number>): Generator<Uint8Array> {
  if (at === 0) return;
  const block = blockAt(reader, at, null, 0);
  if (block.id === '##DT' || block.id === '##DZ') once(reader, seen, at);
  if (block.id === '##DT') yield reader.part(block.data, block.end - block.data, 'records');
  else if (block.id === '##DZ') yield unpack(reader, block);
  else if (block.id === '##HL') yield* listAt(reader, linkOf(reader, block, 0), seen);
  else if (block.id === '##DL') yield* listAt(reader, at, seen);
  else throw new FormatError({ file: reader.file, found: `records in the block ${JSON.stringify(block.id)} at byte ${at}`, expected: '##DT, ##DZ, ##DL or ##HL' });
}

function* listAt(reader: ByteReader, first: number, seen: Set<number>): Generator<Uint8Array> {
  for (let at = first; at !== 0;) {
    once(reader, seen, at);
    const list = blockAt(reader, at, '##DL', 1);
    for (let i = 1; i < list.links; i++) {
      const part = linkOf(reader, list, i);
      if (part === 0) continue;
      const block = blockAt(reader, part, null, 0);
      if (block.id !== '##DT' && block.id !== '##DZ') throw new FormatError({ file: reader.file, found: `the block ${JSON.stringify(block.id)} in a list of data at byte ${at}`, expected: '##DT or ##DZ' });
      yield* partsAt(reader, part, seen);
    }
    at = linkOf(reader, list, 0);
  }
}

/** Unpacks a DZ block: deflate, or deflate of the records' bytes laid out column by column. */
function unpack(reader: ByteReader, block: MdfBlock): Uint8Array {
  const kind = reader.u8(block.data + 2, 'the kind of packing');
  const columns = reader.u32(block.data + 4, 'the parameter of packing');
  const plainLength = reader.u64(block.data + 8, 'the unpacked length');
  const packedLength = reader.u64(block.data + 16, 'the packed length');
  if (kind > 1) throw new FormatError({ file: reader.file, found: `packing of kind ${kind} (##DZ at byte ${block.at})`, expected: 'deflate, plain or transposed' });
  const packed = reader.part(block.data + 24, packedLength, 'packed records');
  if (plainLength > 1032 * packedLength + 64) throw new FormatError({ file: reader.file, found: `${packedLength} bytes said to unpack to ${plainLength} (##DZ at byte ${block.at})`, expected: 'at most 1032 to one, as deflate can' });
  let plain: Uint8Array;
  try {
    plain = inflateSync(packed, { maxOutputLength: Math.max(1, plainLength) });
  } catch (error) {
    throw new FormatError({ file: reader.file, found: `packed records that are damaged (##DZ at byte ${block.at}: ${(error as Error).message})`, expected: 'a complete file', remedy: 'Copy the file again from where it was recorded.' });
  }
  if (plain.length !== plainLength) throw new FormatError({ file: reader.file, found: `${plain.length} unpacked bytes (##DZ at byte ${block.at})`, expected: `${plainLength}` });
  return kind === 0 || columns < 2 ? plain : transpose(plain, columns);
}

/** The bytes lie column by column in whole rows of `width`; what is left over follows as it is. */
function transpose(bytes: Uint8Array, width: number): Uint8Array {
  const rows = Math.floor(bytes.length / width);
  const out = new Uint8Array(bytes.length);
  for (let r = 0; r < rows; r++) for (let c = 0; c < width; c++) out[r * width + c] = bytes[c * rows + r]!;
  out.set(bytes.subarray(rows * width), rows * width);
  return out;
}
