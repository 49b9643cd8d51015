import { existsSync, mkdirSync, mkdtempSync, rmdirSync, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { InputError } from '../record/errors.js';

/** Makes a folder and those above it that are missing. (Node's own recursive mkdir never returns where a file system that lets nobody write answers "not there".) */
export function makeFolder(folder: string): void {
  if (isFolder(folder)) return;
  if (dirname(folder) !== folder) makeFolder(dirname(folder));
  try {
    mkdirSync(folder);
  } catch (cause) {
    if (!isFolder(folder)) throw cause;
  }
}

/**
 * Refuses a folder that could not be made or written, before anything is computed for it. Nothing is left behind: only the
 * nearest folder above it that is there is tried.
 *
 * @throws InputError where that folder takes no files
 */
export function checkPlace(where: string, folder: string): void {
  let there = resolve(folder);
  while (!existsSync(there) && dirname(there) !== there) there = dirname(there);
  try {
    rmdirSync(mkdtempSync(join(there, '.quillshaft-')));
  } catch (cause) {
    throw unwritable(where, folder, cause as NodeJS.ErrnoException);
  }
}

/** The error for a folder that could not be written. */
export function unwritable(where: string, folder: string, cause: NodeJS.ErrnoException): Error {
  if (cause instanceof InputError) return cause;
  return new InputError({ where, argument: 'folder', expected: 'a place that can be written', given: `${folder} (${cause.code ?? cause.message})`, remedy: 'Choose another folder with --out.' });
}

function isFolder(path: string): boolean {
  return statSync(path, { throwIfNoEntry: false })?.isDirectory() ?? false;
}
