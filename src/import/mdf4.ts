import { FormatError } from '../record/errors.js';
import { parseUnit } from '../record/units.js';
import { readWhole } from './bytes.js';
import { ByteReader } from './ByteReader.js';
import { startsWith } from './formats.js';
import { blockAt, linkOf, once, textAt, type MdfBlock } from './mdfBlocks.js';
import { readData } from './mdfData.js';
import { conversionOf, isMarked, numbersOf, type MdfChannel } from './mdfChannel.js';
import { notRead, type RawColumn, type RawTable } from './table.js';
import { spansWhere } from '../record/span.js';
import { roundedNote } from './roundedNote.js';
import { secondsOfRows } from './mdfTime.js';
import { tablesFormat } from './tablesFormat.js';

/**
 * ASAM MDF 4 (4.00 to 4.20), a declared subset: sorted data groups (one channel group each), records in DT, DZ, DL and HL
 * blocks, fixed-length numbers with no or a linear conversion, a time master or a virtual time master. Invalidation bits
 * become masked spans. Channels of other kinds are left out with a note; other structures are refused by the block's name.
 *
 * @references ASAM MDF 4.1, Measurement Data Format, programmer's guide (public description of the blocks; from memory where the standard itself is not public).
 */
export const mdf4Format: ReturnType<typeof tablesFormat> = tablesFormat('ASAM MDF 4', (open) => startsWith(open.head, 'MDF     ') || startsWith(open.head, 'UnFinMF '), async (open, _options, _where, whole) => {
  const reader = new ByteReader(open.file, await readWhole(open.path, open.size));
  const notes: string[] = [];
  if (reader.text(0, 8, 'the mark') === 'UnFinMF ') throw new FormatError({ file: open.file, found: 'a file that was not finished (UnFinMF)', expected: 'a finished file', remedy: 'Finish it with the program that recorded it.' });
  const number = reader.u16(28, 'the version');
  if (number < 400 || number >= 500) throw new FormatError({ file: open.file, found: `MDF version ${number}`, expected: '4.00 to 4.20' });
  const header = blockAt(reader, 64, '##HD', 6);
  const start = reader.view.getBigUint64(header.data, true);
  const local = (reader.u8(header.data + 12, 'time flags') & 1) !== 0;
  if (local) notes.push('the start is in local time, so that it is not known in UTC');
  const origin = start === 0n || local ? null : start;
  const tables: RawTable[] = [];
  const seen = new Set<number>();
  for (let at = linkOf(reader, header, 0); at !== 0;) {
    once(reader, seen, at);
    const group = blockAt(reader, at, '##DG', 4);
    const table = readGroup(reader, group, origin, notes, seen, whole);
    if (table) tables.push(table);
    at = linkOf(reader, group, 0);
  }
  if (tables.length === 0) throw new FormatError({ file: open.file, found: notes[0] ?? 'no data group with samples', expected: 'at least one channel of numbers' });
  return { tables, notes };
});

function readGroup(reader: ByteReader, group: MdfBlock, origin: bigint | null, notes: string[], seen: Set<number>, whole: boolean): RawTable | null {
  const idSize = reader.u8(group.data, 'the size of a record id');
  const first = linkOf(reader, group, 1);
  if (first === 0) return null;
  const records = blockAt(reader, first, '##CG', 6);
  if (linkOf(reader, records, 0) !== 0 || idSize !== 0) throw new FormatError({ file: reader.file, found: `an unsorted data group (##DG at byte ${group.at})`, expected: 'one channel group in each data group', remedy: 'Sort the file with the program that recorded it.' });
  const cycles = reader.u64(records.data + 8, 'the number of records');
  const flags = reader.u16(records.data + 16, 'the flags of ##CG');
  const dataBytes = reader.u32(records.data + 24, 'the size of a record');
  const markBytes = reader.u32(records.data + 28, 'the size of invalidation bytes');
  if ((flags & 1) !== 0) {
    notes.push(`a group of values of variable length left out (##CG at byte ${records.at})`);
    return null;
  }
  if (cycles === 0) {
    notes.push(`a group without records left out (##CG at byte ${records.at})`);
    return null;
  }
  const size = dataBytes + markBytes;
  if (size === 0) return null;
  const data = readData(reader, linkOf(reader, group, 2), cycles * size, seen);
  const channels = readChannels(reader, linkOf(reader, records, 1), dataBytes, markBytes, notes, seen);
  const bits = channels.reduce((n, c) => n + (c.type === 3 ? 0 : c.bits), 0);
  if (bits > 16 * dataBytes) throw new FormatError({ file: reader.file, found: `channels of ${bits} bits in records of ${dataBytes} bytes (##CG at byte ${records.at})`, expected: 'channels that fit their records' });
  const master = channels.find((c) => c.type === 2 || c.type === 3) ?? null;
  const note = (c: MdfChannel, values: Float64Array): void => {
    const text = c.dataType <= 3 && c.bits > 53 ? roundedNote(c.name, values, c.conversion.factor, c.conversion.offset) : null;
    if (text !== null) notes.push(text);
  };
  const columns = channels.filter((c) => c !== master && c.type === 0).map((c): RawColumn => {
    const values = whole ? numbersOf(c, data, size, cycles) : notRead;
    note(c, values);
    const invalid = !whole ? [] : c.allInvalid ? [{ from: 0, to: cycles, why: 'invalid in file' as const }] : c.markBit === null ? [] : spansWhere(cycles, (i) => isMarked(data, i * size + dataBytes, c.markBit!), 'invalid in file');
    return { name: c.name, unit: c.unit === null ? '?' : (parseUnit(c.unit) ?? '?'), values, invalid, about: { unitInFile: c.unit, block: `##CN at byte ${c.at}`, invalidInFile: invalid.reduce((n, s) => n + s.to - s.from, 0) } };
  });
  if (columns.length === 0) return null;
  const time = master === null ? null : secondsOfRows(reader.file, master, data, size, cycles);
  if (master?.type === 2) note(master, time!);
  return { file: reader.file, columns, rows: cycles, time, origin, about: { format: 'ASAM MDF 4', group: `##DG at byte ${group.at}`, timeColumn: master?.name ?? null, timeUnit: 's' }, lineOf: async () => null };
}

function readChannels(reader: ByteReader, from: number, dataBytes: number, markBytes: number, notes: string[], seen: Set<number>): MdfChannel[] {
  const channels: MdfChannel[] = [];
  for (let at = from; at !== 0;) {
    once(reader, seen, at);
    const block = blockAt(reader, at, '##CN', 8);
    const name = textAt(reader, linkOf(reader, block, 2)) || `channel at byte ${at}`;
    const type = reader.u8(block.data, 'the type of a channel');
    const dataType = reader.u8(block.data + 2, 'the data type of a channel');
    const bitOffset = reader.u8(block.data + 3, 'a bit offset');
    const byteOffset = reader.u32(block.data + 4, 'a byte offset');
    const bits = reader.u32(block.data + 8, 'the bits of a channel');
    const flags = reader.u32(block.data + 12, 'the flags of a channel');
    const markBit = (flags & 2) !== 0 ? reader.u32(block.data + 16, 'the place of an invalidation bit') : null;
    const left = leftOut(type, dataType, bits, linkOf(reader, block, 1) !== 0);
    const conversion = left === null ? conversionOf(reader, linkOf(reader, block, 4)) : null;
    if (left !== null || conversion === null) notes.push(`${name} left out: ${left ?? 'a conversion that is not linear'}`);
    else {
      if (type !== 3 && (byteOffset * 8 + bitOffset + bits > dataBytes * 8)) throw new FormatError({ file: reader.file, found: `channel ${name} at bit ${byteOffset * 8 + bitOffset} of ${bits} bits (##CN at byte ${at})`, expected: `a place within records of ${dataBytes} bytes` });
      if (markBit !== null && markBit >= markBytes * 8) throw new FormatError({ file: reader.file, found: `invalidation bit ${markBit} of channel ${name} (##CN at byte ${at})`, expected: `one of ${markBytes * 8}` });
      channels.push({ at, name, unit: textAt(reader, linkOf(reader, block, 6)) || conversion.unit, type, sync: reader.u8(block.data + 1, 'the sync type'), dataType, bitOffset, byteOffset, bits, markBit, allInvalid: (flags & 1) !== 0, conversion });
    }
    at = linkOf(reader, block, 0);
  }
  return channels;
}

/** Why a channel is left out, or null. */
function leftOut(type: number, dataType: number, bits: number, composed: boolean): string | null {
  if (composed) return 'composed of others';
  if (type !== 0 && type !== 2 && type !== 3) return `channel type ${type}`;
  if (type === 3) return null;
  if (dataType > 5) return `data type ${dataType}`;
  if (dataType >= 4 ? bits !== 32 && bits !== 64 : bits < 1 || bits > 64) return `${bits} bits`;
  return null;
}
