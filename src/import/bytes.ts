import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { open, readFile, stat } from 'node:fs/promises';
import { basename } from 'node:path';
import { createGunzip } from 'node:zlib';
import { FormatError, InputError } from '../record/errors.js';
import { show } from '../record/check.js';

/** The size of a regular file in bytes. @throws InputError for something that is no path, no file or not readable, FormatError for an empty file */
export async function checkFile(where: string, file: unknown): Promise<number> {
  if (typeof file !== 'string' || file === '') throw new InputError({ where, argument: 'file', expected: 'the path of a file', given: show(file) });
  let size: number;
  try {
    const found = await stat(file);
    if (found.isDirectory()) throw new InputError({ where, argument: 'file', expected: 'a file', given: `the directory ${show(basename(file))}`, remedy: 'Name one file in it.' });
    if (!found.isFile()) throw new InputError({ where, argument: 'file', expected: 'a regular file', given: show(basename(file)) });
    size = found.size;
    await (await open(file, 'r')).close();
  } catch (error) {
    if (error instanceof InputError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    const given = code === 'ENOENT' ? `${show(file)}, which is not there` : code === 'EACCES' ? `${show(file)}, which this user may not read` : `${show(file)} (${code ?? String(error)})`;
    throw new InputError({ where, argument: 'file', expected: 'a file that can be read', given });
  }
  if (size === 0) throw new FormatError({ file: basename(file), found: 'an empty file', expected: 'a recording' });
  return size;
}

/** Does this file hold gzip data? By its first two bytes, not its name. */
export function isGzip(head: Uint8Array): boolean {
  return head.length > 2 && head[0] === 0x1f && head[1] === 0x8b;
}

/** The first bytes of a file, unpacked where they are packed with gzip; `whole` where that is all there is. */
export async function readHead(file: string, length: number): Promise<{ readonly bytes: Uint8Array; readonly gzip: boolean; readonly whole: boolean }> {
  const handle = await open(file, 'r');
  const { size } = await handle.stat();
  const raw = Buffer.alloc(Math.min(length, size));
  let whole = size <= length;
  try {
    await handle.read(raw, 0, raw.length, 0);
  } finally {
    await handle.close();
  }
  const gzip = isGzip(raw);
  if (!gzip) return { bytes: raw, gzip, whole };
  const parts: Buffer[] = [];
  let total = 0;
  whole = true;
  const stream = createReadStream(file).pipe(createGunzip());
  try {
    for await (const part of stream) {
      parts.push(part as Buffer);
      total += (part as Buffer).length;
      if (total > length) {
        whole = false;
        break;
      }
    }
  } catch (error) {
    throw damaged(file, error);
  }
  return { bytes: Buffer.concat(parts).subarray(0, length), gzip, whole };
}

/** How many bytes of a file to read at a time: what is worth a call, and no more than there are. */
export function readSize(size: number): number {
  return Math.min(1 << 18, size + 1);
}

/** SHA-256 of the file's bytes as they lie on the disk. */
export async function hashFile(file: string, size: number): Promise<string> {
  const hash = createHash('sha256');
  for await (const part of createReadStream(file, { highWaterMark: readSize(size) })) hash.update(part as Buffer);
  return hash.digest('hex');
}

/** The error for packed data that ends early or does not agree with its checksum. */
export function damaged(file: string, error: unknown): FormatError {
  return new FormatError({ file: basename(file), found: `damaged gzip data (${(error as Error).message})`, expected: 'a complete gzip file', remedy: 'Copy the file again from where it was recorded.' });
}

/** All bytes of a file that is read as a whole. @throws FormatError beyond 2 GiB, which one array cannot hold */
export async function readWhole(path: string, size: number): Promise<Buffer> {
  if (size > 2 ** 31 - 1) throw new FormatError({ file: basename(path), found: `${size} bytes`, expected: 'at most 2 GiB of a format that is read whole', remedy: 'Split it, or export it as Parquet, HDF5, CSV or WAV.' });
  return readFile(path);
}
