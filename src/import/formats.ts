import { basename } from 'node:path';
import { FormatError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { checkFile, readHead } from './bytes.js';
import { checkReadOptions, type ReadOptions } from './options.js';
import { refuseKnown } from './refuseKnown.js';
import type { FileDescription } from './describeFile.js';

/** A file that was opened for reading: where it lies, how large it is and how it begins. */
export interface OpenFile {
  readonly path: string;
  readonly file: string;
  readonly size: number;
  readonly head: Uint8Array;
  readonly gzip: boolean;
}

/** One format of files: how to know it, read it and describe it. */
export interface Format {
  readonly name: string;
  /** Files packed with gzip are read as they are. */
  readonly unpacks?: boolean;
  readonly matches: (open: OpenFile) => boolean;
  /** All recordings in the file, or the one that options.block names; with `one`, several are refused. */
  readonly read: (open: OpenFile, options: ReadOptions, where: string, one: boolean) => Promise<readonly Recording[]>;
  readonly describe: (open: OpenFile, options: ReadOptions, where: string) => Promise<FileDescription>;
}

/** Opens a file and finds its format by its first bytes. */
export async function openFile(path: string, options: ReadOptions | undefined, where: string, formats: readonly Format[], more: readonly string[] = []): Promise<{ readonly open: OpenFile; readonly format: Format; readonly options: ReadOptions }> {
  const checked = checkReadOptions(where, options, more);
  const size = await checkFile(where, path);
  const { bytes, gzip } = await readHead(path, 4096);
  const open = { path, file: basename(path), size, head: bytes, gzip };
  refuseKnown(open);
  const format = formats.find((f) => f.matches(open));
  if (!format) throw new FormatError({ file: open.file, found: 'a format that is not known', expected: 'a recording' });
  if (gzip && !format.unpacks) throw new FormatError({ file: open.file, found: `${format.name} packed with gzip`, expected: `${format.name} as it is`, remedy: 'Unpack it first, with gunzip.' });
  return { open, format, options: checked };
}

/** Does the head begin with this text (at an offset)? */
export function startsWith(head: Uint8Array, text: string, at = 0): boolean {
  return head.length >= at + text.length && Array.from(text).every((c, i) => head[at + i] === c.charCodeAt(0));
}
