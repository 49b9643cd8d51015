import type { File as H5File } from 'h5wasm/node';
import { basename, resolve } from 'node:path';
import { show } from '../record/check.js';
import { FormatError } from '../record/errors.js';
import type { OpenFile } from './formats.js';
import { closeStreams, discardHdf5, loadHdf5 } from './loadHdf5.js';

/** After so many errors the library is loaded anew: each leaves a little disorder in it. */
const mostErrors = 100;

/**
 * One synchronous piece of work with the library, which may open `mayOpen` and no other file; `other` is told what it wanted besides.
 * A library that aborts, or cannot close what it opened, is thrown away; if it had met errors before, they may be the cause, and a fresh one is asked again.
 */
export async function withLibrary<T>(mayOpen: string, mode: 'r' | 'w', other: (path: string) => void, work: (file: H5File) => T): Promise<T> {
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
export async function withFile<T>(open: OpenFile, work: (file: H5File) => T): Promise<T> {
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
