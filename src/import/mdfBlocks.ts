import { FormatError } from '../record/errors.js';
import type { ByteReader } from './ByteReader.js';

/** A block of an MDF 4 file: where it lies, its links and where its data section begins and ends. */
export interface MdfBlock {
  readonly at: number;
  readonly id: string;
  readonly links: number;
  readonly data: number;
  readonly end: number;
}

/** The block at a byte. @throws FormatError where it is another block, or does not lie within the file */
export function blockAt(reader: ByteReader, at: number, id: string | null, links: number): MdfBlock {
  reader.need(at, 24, id === null ? 'a block' : `the block ${id}`);
  const found = reader.text(at, 4, 'the name of a block');
  if (id !== null && found !== id) throw new FormatError({ file: reader.file, found: `the block ${JSON.stringify(found)} at byte ${at}`, expected: `the block ${id}` });
  const length = reader.u64(at + 8, `the length of ${found}`);
  const count = reader.u64(at + 16, `the links of ${found}`);
  if (length < 24 + 8 * count || count < links) throw new FormatError({ file: reader.file, found: `the block ${found} at byte ${at} of ${length} bytes with ${count} links`, expected: `at least ${links} links within its length` });
  reader.need(at, length, `the block ${found}`);
  return { at, id: found, links: count, data: at + 24 + 8 * count, end: at + length };
}

/** Notes a block as used. A chain that came back to one would never end, and data used twice would grow beyond the file. */
export function once(reader: ByteReader, seen: Set<number>, at: number): void {
  if (seen.has(at)) throw new FormatError({ file: reader.file, found: `a second link to the block at byte ${at}`, expected: 'chains of blocks that end, and each block of data in one group' });
  seen.add(at);
}

/** The place that a link of a block names; 0 is none. */
export function linkOf(reader: ByteReader, block: MdfBlock, index: number): number {
  return index < block.links ? reader.u64(block.at + 24 + 8 * index, `link ${index + 1} of ${block.id}`) : 0;
}

/** The text of a TX block, or of the TX element in an MD block; empty for no link. */
export function textAt(reader: ByteReader, at: number): string {
  if (at === 0) return '';
  const block = blockAt(reader, at, null, 0);
  if (block.id !== '##TX' && block.id !== '##MD') throw new FormatError({ file: reader.file, found: `the block ${block.id} at byte ${at}`, expected: 'a text block (##TX or ##MD)' });
  const text = reader.text(block.data, block.end - block.data, 'text');
  if (block.id === '##TX') return text.trim();
  const inner = /<TX[^>]*>([\s\S]*?)<\/TX>/.exec(text)?.[1] ?? '';
  return inner.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&quot;', '"').replaceAll('&apos;', "'").replaceAll('&amp;', '&').trim();
}
