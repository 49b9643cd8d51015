import { extname } from 'node:path';
import { checkChoice, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { kindOf } from '../record/result.js';
import { writeWhole } from './atomic.js';
import { writeCsv } from './csvStore.js';
import { writeHdf5 } from './hdf5.js';
import { writeParquet } from './parquet.js';
import { writeUff58, type UniversalEncoding } from './writeUff58.js';

/** How to write. */
export interface WriteOptions {
  /** Replace a file that is there already (default: refuse). */
  readonly overwrite?: boolean;
  /** `.uff` only: numbers as text of 13 digits, or binary to the last bit (the default). */
  readonly encoding?: 'ascii' | 'binary';
}

type Writer = (recording: Recording, temporary: string, encoding: UniversalEncoding) => Promise<void>;

const writers: Readonly<Record<string, Writer>> = {
  '.parquet': writeParquet,
  '.h5': writeHdf5,
  '.uff': writeUff58,
  '.csv': (recording, temporary) => writeCsv(recording, temporary, false),
  '.csv.gz': (recording, temporary) => writeCsv(recording, temporary, true),
};

/**
 * Writes a recording to a file, as a whole or not at all; the ending of the name says the format.
 *
 * `.parquet`: one column of doubles a channel; `.h5`: one dataset of doubles a channel (HDF5); `.csv` and `.csv.gz`: numbers with the fewest digits that give the same
 * double again, a time column for each clock. What numbers cannot say (name, units, rates, starts, masked spans with
 * their reasons, trails) goes along as one line of JSON: in Parquet's key-value metadata and in an HDF5 dataset under
 * `quillshaft`, in CSV as the first line, a comment. `.uff`: universal file 58 for other programs, binary (58b) or as
 * text; it has no place for masks and trails, so that masked samples become NaN and only names, units, rates and starts go
 * along. As text (4E20.12, as the format lays down for double precision) a value keeps 13 digits: a double may come back
 * up to 5 × 10⁻¹³ of itself away.
 *
 * Kept: everything (save for .uff); readRecording gives the same values to the last bit, and the trail as `earlier` in its step's `found`.
 * Cost: one pass; Parquet needs the recording once more in memory.
 *
 * @param file a path that ends in .parquet, .h5, .csv, .csv.gz or .uff
 * @param options overwrite: true replaces a file that is there; encoding: 'ascii' or 'binary', for .uff
 * @throws InputError for another ending, an encoding for another format than .uff, a file that is there already, or a folder that is not
 * @see readRecording
 * @example
 * (not run: writes a file)
 * await writeRecording(run, 'run.parquet');
 */
export async function writeRecording(recording: Recording, file: string, options?: WriteOptions): Promise<void> {
  const where = 'writeRecording';
  if (kindOf(recording) !== 'Recording') throw new InputError({ where, argument: 'recording', expected: 'a Recording', given: show(recording), remedy: 'Make one with makeRecording.' });
  if (typeof file !== 'string' || file === '') throw new InputError({ where, argument: 'file', expected: 'the path of a file', given: show(file) });
  const { overwrite = false, encoding } = checkOptions<WriteOptions>(where, options, { optional: ['overwrite', 'encoding'] });
  if (typeof overwrite !== 'boolean') throw new InputError({ where, argument: 'overwrite', expected: 'true or false', given: show(overwrite) });
  const lower = file.toLowerCase();
  const ending = lower.endsWith('.csv.gz') ? '.csv.gz' : extname(lower);
  const writer = writers[ending];
  if (!writer) throw new InputError({ where, argument: 'file', expected: `a name that ends in ${Object.keys(writers).join(', ')}`, given: show(file) });
  if (encoding !== undefined) {
    checkChoice(where, 'encoding', encoding, ['ascii', 'binary'] as const);
    if (ending !== '.uff') throw new InputError({ where, argument: 'encoding', expected: 'left out for a format other than .uff', given: show(encoding) });
  }
  await writeWhole(where, file, overwrite, (temporary) => writer(recording, temporary, encoding ?? 'binary'));
}
