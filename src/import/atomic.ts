import { randomBytes } from 'node:crypto';
import { access, open, rename, unlink } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';

/**
 * Writes a file as a whole or not at all: under a temporary name in the same folder, then flushed, then renamed.
 *
 * @param write puts the content into the file of the name it is given
 * @throws InputError where the file is there already (and overwrite is not true) or the folder is not there, or the disk does not take it
 */
export async function writeWhole(where: string, file: string, overwrite: boolean, write: (temporary: string) => Promise<void>): Promise<void> {
  if (!(await exists(dirname(file)))) throw new InputError({ where, argument: 'file', expected: 'in a folder that is there', given: show(file), remedy: 'Make the folder first.' });
  if (!overwrite && (await exists(file))) throw new InputError({ where, argument: 'file', expected: 'a name that is free', given: `${show(basename(file))}, which is there already`, remedy: 'Choose another name, or state overwrite: true.' });
  const temporary = `${file}.${randomBytes(6).toString('hex')}.partial`;
  try {
    await write(temporary);
    const handle = await open(temporary, 'r+');
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(temporary, file);
  } catch (error) {
    await unlink(temporary).catch(() => {});
    throw fromDisk(error) ? new InputError({ where, argument: 'file', expected: 'in a place that takes it whole', given: `${show(basename(file))}, which could not be written (${String((error as Error).message).split('\n')[0]!.replaceAll(temporary, basename(file)).slice(0, 120)})`, remedy: 'Nothing was left behind: make room, or choose another place.' }) : error;
  }
}

/** Did the disk refuse, through whichever library? */
function fromDisk(error: unknown): boolean {
  const { code, message } = error as NodeJS.ErrnoException;
  return /^E[A-Z]{2,}$/.test(code ?? '') || /^(IO Error|HDF5-DIAG)/.test(message);
}

async function exists(path: string): Promise<boolean> {
  try {
    await access(path);
    return true;
  } catch {
    return false;
  }
}
