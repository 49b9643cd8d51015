import { createReadStream, createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip, createGzip } from 'node:zlib';
import { FormatError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { damaged } from './bytes.js';
import type { OpenFile } from './formats.js';
import type { Dialect, TextColumn } from './dialect.js';
import { GrowingColumns } from './GrowingColumns.js';
import { parseStored, storedText, type Stored } from './stored.js';
import { textBlocks, type ScanEnd } from './textBlocks.js';

/** The beginning of the first line of a CSV file that writeRecording wrote; the description follows as JSON. */
export const storeMark = '# quillshaft recording ';
const longestDescription = 1 << 26;

/** One column of the file: a time axis or a channel. */
interface StoreColumn {
  readonly header: string;
  /** Which channel; −1 for time. */
  readonly channel: number;
  /** The rate of a time axis, Hz. */
  readonly rate: number;
  readonly length: number;
}

/** A time column for each clock, before the channels that follow it. */
function columnsOf(channels: Stored['channels']): readonly StoreColumn[] {
  const columns: StoreColumn[] = [];
  let clock = '';
  channels.forEach((c, channel) => {
    const own = `${c.sampleRate} ${c.start} ${c.samples}`;
    if (own !== clock) columns.push({ header: columns.length === 0 ? 'time (s)' : `time of ${c.name} (s)`, channel: -1, rate: c.sampleRate, length: c.samples });
    clock = own;
    columns.push({ header: `${c.name} (${c.unit})`, channel, rate: c.sampleRate, length: c.samples });
  });
  return columns;
}

/**
 * Writes a recording as CSV: the description in one comment line, a header, then a row a sample. Numbers have the
 * fewest digits that give the same double again; channels of another clock have a time column of their own.
 */
export async function writeCsv(recording: Recording, temporary: string, gzip: boolean): Promise<void> {
  const text = storedText(recording);
  const columns = columnsOf(parseStored('', text).channels);
  const rows = Math.max(...columns.map((c) => c.length));
  const cells = columns.map((c) => (c.channel < 0 ? (i: number): string => shortest(i / c.rate) : (i: number): string => shortest(recording.channels[c.channel]!.values[i]!)));
  function* parts(): Generator<string> {
    yield `${storeMark}${text}\n${columns.map((c) => quoted(c.header)).join(',')}\n`;
    for (let from = 0; from < rows; from += 4096) {
      let part = '';
      for (let i = from; i < Math.min(rows, from + 4096); i++) {
        for (let j = 0; j < columns.length; j++) part += (j > 0 ? ',' : '') + (i < columns[j]!.length ? cells[j]!(i) : '');
        part += '\n';
      }
      yield part;
    }
  }
  const source = Readable.from(parts(), { objectMode: true });
  const target = createWriteStream(temporary);
  await (gzip ? pipeline(source, createGzip(), target) : pipeline(source, target));
}

function shortest(value: number): string {
  return Object.is(value, -0) ? '-0' : String(value);
}

function quoted(text: string): string {
  const line = text.replace(/[\r\n]+/g, ' ');
  return /[",]/.test(line) ? `"${line.replaceAll('"', '""')}"` : line;
}

/** Reads the description in the first line. */
export async function readCsvDescription(path: string, file: string, gzip: boolean): Promise<Stored> {
  const raw = createReadStream(path);
  const parts: Buffer[] = [];
  let length = 0;
  try {
    for await (const part of gzip ? raw.pipe(createGunzip()) : raw) {
      const end = (part as Buffer).indexOf(10);
      parts.push(end < 0 ? (part as Buffer) : (part as Buffer).subarray(0, end));
      length += (part as Buffer).length;
      if (end >= 0) break;
      if (length > longestDescription) throw new FormatError({ file, line: 1, found: `a description of more than ${longestDescription} bytes`, expected: 'the description that writeRecording put there' });
    }
  } catch (error) {
    throw gzip && !(error instanceof FormatError) ? damaged(file, error) : error;
  } finally {
    raw.destroy();
  }
  return parseStored(file, Buffer.concat(parts).toString().slice(storeMark.length));
}

/** The values of the channels asked for, block by block; a channel shorter than the file ends in NaN that do not count. */
export function storedBlocks({ path, size, gzip }: OpenFile, stored: Stored, picks: readonly number[], end?: ScanEnd): ReturnType<typeof textBlocks> {
  const columns = columnsOf(stored.channels);
  const asText = columns.map((c): TextColumn => ({ name: c.header, header: c.header, unitText: null, unit: '?', type: 'number' }));
  const dialect: Dialect = { delimiter: ',', decimal: '.', thousands: null, preamble: [], headerLine: 2, unitsLine: null, firstDataLine: 3, trailing: false, columns: asText, notes: [] };
  return textBlocks({ path, size, gzip, dialect }, picks.map((p) => columns.findIndex((c) => c.channel === p)), -1, 0, end);
}

/** The values of the channels asked for. @throws FormatError where the file holds fewer rows than its description says */
export async function readStoredCsv(open: OpenFile, stored: Stored, picks: readonly number[]): Promise<{ readonly columns: readonly Float64Array[]; readonly sha256: string }> {
  const end = { sha256: '' };
  const growing = new GrowingColumns(picks.map((p) => stored.channels[p]!.samples), Math.ceil(open.size / (2 * stored.channels.length)));
  for await (const block of storedBlocks(open, stored, picks, end)) growing.push(block.rows, (j, target, at) => target.set(block.columns[j]!.subarray(0, block.rows), at));
  const { rows } = growing;
  const expected = Math.max(...stored.channels.map((c) => c.samples));
  if (rows !== expected) throw new FormatError({ file: open.file, found: `${rows} rows`, expected: `${expected} rows, as the description in line 1 says`, remedy: 'Copy the file again from where it was written.' });
  return { columns: growing.finish(), sha256: end.sha256 };
}
