import { mkdtemp, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { InputError } from '../record/errors.js';
import { makeFolder, unwritable } from './makeFolder.js';

const where = 'writeReport';

/** What file browsers leave behind. */
const litter: ReadonlySet<string> = new Set(['.DS_Store', 'Thumbs.db', 'desktop.ini']);

/**
 * Writes a folder whole or not at all: the files go into a new folder beside it, which then takes its name. A folder
 * that is there already is replaced only where it is empty, or holds `marker` and nothing but names of `files`, so that
 * nobody's files are lost.
 *
 * @param files path inside the folder → content
 * @throws InputError where the folder holds something else, or its place cannot be written
 */
export async function writeFolder(folder: string, files: ReadonlyMap<string, string | Uint8Array>, marker: string): Promise<void> {
  const target = resolve(folder);
  const present = await readdir(target).catch((cause: NodeJS.ErrnoException) => {
    if (cause.code === 'ENOENT') return null;
    throw unwritable(where, folder, cause);
  });
  const ours = new Set([...files.keys()].map((path) => path.split('/')[0]!));
  const strange = (present ?? []).filter((name) => !ours.has(name) && !litter.has(name));
  if (present && (strange.length > 0 || (present.length > 0 && !present.includes(marker)))) {
    throw new InputError({ where, argument: 'folder', expected: `new, empty, or an earlier report (with ${marker})`, given: `${folder}, which holds ${(strange.length > 0 ? strange : present).slice(0, 3).join(', ')}`, remedy: 'Move that away, or choose another folder with --out.' });
  }
  let fresh: string | null = null;
  try {
    makeFolder(dirname(target));
    fresh = await mkdtemp(join(dirname(target), `.${basename(target)}-`));
    for (const [path, content] of files) {
      makeFolder(dirname(join(fresh, path)));
      await writeFile(join(fresh, path), content);
    }
    if (present) {
      const old = `${fresh}-old`;
      await rename(target, old);
      await rename(fresh, target).catch(async (cause: unknown) => {
        await rename(old, target);
        throw cause;
      });
      await rm(old, { recursive: true, force: true });
    } else {
      await rename(fresh, target);
    }
  } catch (cause) {
    if (fresh) await rm(fresh, { recursive: true, force: true });
    throw unwritable(where, folder, cause as NodeJS.ErrnoException);
  }
}
