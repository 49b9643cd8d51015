import type { File as H5File } from 'h5wasm/node';
import { FormatError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { hashFile } from './bytes.js';
import { describeStored } from './csvStoreFormat.js';
import { startsWith, type Format, type OpenFile } from './formats.js';
import { isDataset, numbersIn, readForeign } from './hdf5Foreign.js';
import { checkStoredOptions, parseStored, pickStored, restoreRecording, storedText, type Stored } from './stored.js';
import { tablesFormat } from './tablesFormat.js';
import { withFile, withLibrary } from './withLibrary.js';

const storeName = 'quillshaft';

/**
 * HDF5 (also MAT 7.3 files, which are HDF5), through h5wasm: our own with their description, and others as named arrays.
 * A chunk that was never written reads as the dataset's fill value (0 where it states none): the library gives those
 * numbers like any others, and does not say that they were never measured.
 */
export const hdf5Format: Format = {
  name: 'HDF5',
  matches: (open) => [0, 512, 1024, 2048].some((at) => startsWith(open.head, '\x89HDF\r\n\x1a\n', at)),
  read: async (open, options, where, one) => {
    const hash = hashFile(open.path, open.size);
    hash.catch(() => {});
    const own = await withFile(open, (file) => {
      const stored = storedIn(open, file);
      if (stored === null) return null;
      checkStoredOptions(where, options);
      const picks = pickStored(where, stored, options);
      const names = datasetNames(stored.channels.map((c) => c.name));
      return { stored, picks, columns: picks.map((p) => ownValues(open, file, names[p]!, stored.channels[p]!.samples)) };
    });
    if (own !== null) return [restoreRecording(open, own.stored, own.picks, own.columns, options, where, { format: 'HDF5', sha256: await hash })];
    return foreignFormat.read(open, options, where, one);
  },
  describe: async (open, options, where) => {
    const stored = await withFile(open, (file) => storedIn(open, file));
    if (stored === null) return foreignFormat.describe(open, options, where);
    checkStoredOptions(where, options);
    return describeStored(open, 'HDF5', stored);
  },
};

const foreignFormat = tablesFormat('HDF5', () => true, async (open, options, where, whole) => withFile(open, (file) => readForeign(open, file, options, where, whole)));

function storedIn(open: OpenFile, file: H5File): Stored | null {
  const entity = file.keys().includes(storeName) ? file.get(storeName) : null;
  if (!isDataset(entity)) return null;
  const bytes = entity.metadata.size === 1 && entity.metadata.total_size <= open.size ? entity.value : null;
  if (!(bytes instanceof Uint8Array)) return null;
  return parseStored(open.file, new TextDecoder().decode(bytes));
}

function ownValues(open: OpenFile, file: H5File, name: string, samples: number): Float64Array {
  const entity = file.get(name);
  if (!isDataset(entity)) throw new FormatError({ file: open.file, found: `no dataset ${name}`, expected: 'the one that its description names' });
  const values = numbersIn(open, name, entity);
  if (values.length !== samples) throw new FormatError({ file: open.file, found: `${values.length} numbers in ${name}`, expected: `${samples}, as its description says` });
  return values;
}

/** Names of datasets: those of the channels, with what HDF5 does not allow replaced, and kept apart. */
function datasetNames(names: readonly string[]): string[] {
  const used = new Set<string>([storeName]);
  return names.map((name) => {
    const plain = name.replaceAll('/', '∕').replace(/^\.+$/, 'channel').replaceAll('\0', ' ');
    let own = plain;
    for (let n = 2; used.has(own); n++) own = `${plain} ${n}`;
    used.add(own);
    return own;
  });
}

/** Writes each channel as a dataset of doubles with the attributes unit, sampleRate (Hz) and start, and the description beside them. */
export async function writeHdf5(recording: Recording, temporary: string): Promise<void> {
  await withLibrary(temporary, 'w', () => {}, (file) => {
    const names = datasetNames(recording.channels.map((c) => c.name));
    recording.channels.forEach((channel, i) => {
      const dataset = file.create_dataset({ name: names[i]!, data: channel.values });
      dataset.create_attribute('unit', channel.unit);
      dataset.create_attribute('sampleRate', channel.sampleRate);
      if (channel.start !== null) dataset.create_attribute('start', channel.start);
    });
    file.create_dataset({ name: storeName, data: new TextEncoder().encode(storedText(recording)) });
  });
}
