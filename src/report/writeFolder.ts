import { mkdir, mkdtemp, readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { InputError } from '../record/errors.js';

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
    throw unwritable(folder, cause);
  });
  const ours = new Set([...files.keys()].map((path) => path.split('/')[0]!));
  const strange = (present ?? []).filter((name) => !ours.has(name) && !litter.has(name));
  if (present && (strange.length > 0 || (present.length > 0 && !present.includes(marker)))) {
    throw new InputError({ where: 'writeReport', argument: 'folder', expected: `new, empty, or an earlier report (with ${marker})`, given: `${folder}, which holds ${(strange.length > 0 ? strange : present).slice(0, 3).join(', ')}`, remedy: 'Move that away, or choose another folder with --out.' });
  }
  let fresh: string | null = null;
  try {
    await makeFolder(dirname(target));
    fresh = await mkdtemp(join(dirname(target), `.${basename(target)}-`));
    for (const [path, content] of files) {
      await makeFolder(dirname(join(fresh, path)));
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
    throw unwritable(folder, cause as NodeJS.ErrnoException);
  }
}

/** Makes a folder and those above it that are missing. (Node's own recursive mkdir never returns where a file system that lets nobody write answers "not there".) */
async function makeFolder(folder: string): Promise<void> {
  if ((await stat(folder).catch(() => null))?.isDirectory()) return;
  if (dirname(folder) !== folder) await makeFolder(dirname(folder));
  await mkdir(folder).catch((cause: NodeJS.ErrnoException) => {
    if (cause.code !== 'EEXIST') throw cause;
  });
}

function unwritable(folder: string, cause: NodeJS.ErrnoException): Error {
  if (cause instanceof InputError) return cause;
  return new InputError({ where: 'writeReport', argument: 'folder', expected: 'a place that can be written', given: `${folder} (${cause.code ?? cause.message})`, remedy: 'Choose another folder with --out.' });
}
