import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { basename } from 'node:path';
import { createInterface } from 'node:readline';
import { createGunzip } from 'node:zlib';
import { FormatError } from '../record/errors.js';
import { damaged, readSize } from './bytes.js';
import type { Dialect } from './dialect.js';
import { RowParser } from './RowParser.js';

/** A text file whose layout is known. */
export interface TextFile {
  readonly path: string;
  /** Bytes on the disk. */
  readonly size: number;
  readonly gzip: boolean;
  readonly dialect: Dialect;
}

/** Rows of the picked columns; the arrays are used again for the next block. */
export interface RowBlock {
  readonly columns: readonly Float64Array[];
  readonly rows: number;
}

/** What is known once all blocks have been taken. */
export interface ScanEnd {
  sha256: string;
}

const blockRows = 1 << 15;
const blockNumbers = 1 << 16;
const longestLine = 1 << 20;

/**
 * The rows of a text table in blocks, in constant memory.
 *
 * @param picks columns to read, counted from 0
 * @param dated the place among the picks of a column of date-times, or −1
 * @param origin whole seconds since 1970 from which date-times are counted
 * @param end receives the SHA-256 of the file's bytes at the end
 * @throws FormatError with line and column for a row that cannot be read, or for packed data that is damaged
 */
export async function* textBlocks(file: TextFile, picks: readonly number[], dated: number, origin: number, end?: ScanEnd): AsyncGenerator<RowBlock> {
  const parser = new RowParser(basename(file.path), file.dialect, picks, dated, origin, rowsAtOnce(file, picks.length));
  const lines = new LineCutter(basename(file.path), file.dialect.firstDataLine - 1);
  const hash = end ? createHash('sha256') : null;
  const raw = createReadStream(file.path, { highWaterMark: readSize(file.size) });
  if (hash) raw.on('data', (part) => hash.update(part));
  const input = file.gzip ? raw.pipe(createGunzip({ chunkSize: 1 << 16 })) : raw;
  raw.on('error', (error) => input.destroy(error));
  try {
    for await (const part of input) yield* drain(parser, lines.push(part as Buffer));
    yield* drain(parser, lines.finish());
    if (parser.rows > 0) yield { columns: parser.columns, rows: parser.rows };
  } catch (error) {
    throw file.gzip && !(error instanceof FormatError) ? damaged(file.path, error) : error;
  } finally {
    raw.destroy();
  }
  if (end && hash) end.sha256 = hash.digest('hex');
}

/** Rows of a block: as many as are quick, not more numbers than a part of a megabyte, nor more rows than the file has (packed: may well have) room for. */
function rowsAtOnce(file: TextFile, picks: number): number {
  const room = Math.ceil((file.gzip ? 16 : 1) * file.size / (file.dialect.columns.length + 1)) + 1;
  return Math.max(1, Math.min(blockRows, Math.floor(blockNumbers / Math.max(1, picks)), room));
}

function* drain(parser: RowParser, bytes: Uint8Array): Generator<RowBlock> {
  let at = 0;
  while (at < bytes.length) {
    at = parser.read(bytes, at, bytes.length);
    if (parser.rows < parser.capacity) continue;
    yield { columns: parser.columns, rows: parser.rows };
    parser.rows = 0;
  }
}

/** Cuts a stream of bytes into pieces of whole lines; the first lines are skipped. */
class LineCutter {
  private rest: Buffer = Buffer.alloc(0);
  private started = false;

  constructor(private readonly file: string, private skip: number) {}

  push(part: Buffer): Uint8Array {
    let bytes = this.rest.length > 0 ? Buffer.concat([this.rest, part]) : part;
    if (!this.started) {
      if (bytes.length < 3) {
        this.rest = bytes;
        return new Uint8Array(0);
      }
      this.started = true;
      if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) bytes = bytes.subarray(3);
    }
    // A return at the very end may be the first half of a line end.
    const feed = bytes.lastIndexOf(10);
    const cut = feed >= 0 ? feed + 1 : bytes.lastIndexOf(13, bytes.length - 2) + 1;
    this.rest = bytes.subarray(cut);
    if (this.skip === 0 && this.rest.length > longestLine) {
      throw new FormatError({ file: this.file, found: `a line of more than ${longestLine} bytes`, expected: 'lines of a table' });
    }
    const whole = this.skipLines(bytes.subarray(0, cut));
    // The beginning of a line that is skipped need not be kept; its last byte may be half of a line end.
    if (this.skip > 0) this.rest = this.rest.subarray(-1);
    return whole;
  }

  /** The last line, closed where the file does not close it. */
  finish(): Uint8Array {
    const bytes = this.rest.length === 0 ? this.rest : Buffer.concat([this.rest, Buffer.from('\n')]);
    return this.skipLines(bytes);
  }

  private skipLines(bytes: Buffer): Uint8Array {
    let at = 0;
    while (this.skip > 0 && at < bytes.length) {
      while (at < bytes.length && bytes[at] !== 10 && bytes[at] !== 13) at++;
      if (bytes[at] === 13 && bytes[at + 1] === 10) at++;
      at++;
      this.skip--;
    }
    return bytes.subarray(at);
  }
}

/** The line of the file that holds a row of data (rows from 0, lines from 1). */
export async function lineOfRow(file: TextFile, row: number): Promise<number> {
  const raw = createReadStream(file.path);
  const reader = createInterface({ input: file.gzip ? raw.pipe(createGunzip()) : raw, crlfDelay: Infinity });
  let line = 0;
  let at = -1;
  try {
    for await (const text of reader) {
      line++;
      if (line >= file.dialect.firstDataLine && text.trim() !== '' && ++at === row) return line;
    }
  } finally {
    reader.close();
    raw.destroy();
  }
  return file.dialect.firstDataLine + row;
}
