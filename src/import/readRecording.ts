import type { Recording } from '../record/Recording.js';
import type { FileDescription } from './describeFile.js';
import { openFile, type Format } from './formats.js';
import type { ReadOptions } from './options.js';
import { csvStoreFormat } from './csvStoreFormat.js';
import { hdf5Format } from './hdf5.js';
import { jsonFormat } from './jsonFormat.js';
import { mat5Format } from './mat5.js';
import { mdf4Format } from './mdf4.js';
import { parquetFormat } from './parquet.js';
import { uff58Format } from './uff58.js';
import { wavFormat } from './wav.js';
import { textFormat } from './textFormat.js';

/** The formats in the order in which they are tried; text comes last. */
export const formats: readonly Format[] = [parquetFormat, hdf5Format, wavFormat, mat5Format, mdf4Format, uff58Format, csvStoreFormat, jsonFormat, textFormat];

/**
 * Reads a recording from a file, whatever its format; the first bytes decide, not the name.
 *
 * Time stamps are laid on a uniform clock: each stamp t goes to the whole number nearest (t − a)/T, where a + T·k is
 * the least-squares line through the stamps before it. Stamps within `maxJitter` of their place are snapped to it,
 * samples without a row are masked as 'clock gap', and anything else is refused with what to do.
 *
 * Kept: numbers as written (to the last bit), units, missing values as masked NaN. Each channel begins with the step
 * `readRecording`: options = what was asked, found = how the file was read, the file's SHA-256, rows, jitter, gaps.
 * Cost: one pass over the file, 8 bytes a value.
 *
 * @param file the path of a text table (CSV, TSV, …, also packed with gzip), Parquet, HDF5, WAV, universal file 58, MAT 5, ASAM MDF 4 or JSON
 * @param options what the file does not state itself; see {@link ReadOptions}
 * @returns the recording, one channel a column
 * @throws InputError for a file that is not there, or an unknown option
 * @throws FormatError for a file that cannot be read as asked; the message names line and column, and the way out
 * @see describeFile tells what would be read, before reading
 * @example
 * (not run: needs a file)
 * const run = await readRecording('run.csv', { units: { torque: 'kN·m' } });
 * pick(run, 'torque', 'kN·m').sampleRate // => 2000
 */
export async function readRecording(file: string, options?: ReadOptions): Promise<Recording> {
  const where = 'readRecording';
  const opened = await openFile(file, options, where, formats);
  const checked = opened.options;
  const recordings = await opened.format.read(opened.open, checked, where, true);
  return recordings[0]!;
}

/**
 * Reads all recordings that one file holds, parted by `splitWhere`.
 *
 * Kept and cost as for readRecording.
 *
 * @param options as for readRecording
 * @returns the recordings in the order of the file
 * @throws InputError and FormatError as readRecording does
 * @see readRecording
 * @example
 * (not run: needs a file)
 * (await readRecordings('shifts.csv', { splitWhere: 'time falls back' })).length // => 3
 */
export async function readRecordings(file: string, options?: ReadOptions): Promise<readonly Recording[]> {
  const where = 'readRecordings';
  const opened = await openFile(file, options, where, formats);
  return opened.format.read(opened.open, opened.options, 'readRecording', false);
}

/**
 * Tells what readRecording would read from a file, and why: format, layout, columns, units, clock, duration, rate of each
 * channel, and what it would refuse as it is asked now.
 *
 * Kept: nothing is changed. Cost: one pass over the column of time.
 *
 * @param options as for readRecording
 * @returns the description; refusals of the clock stand in `refusals`, each with its way out
 * @throws InputError for a file that is not there, FormatError for a file that is no table at all
 * @see readRecording
 * @example
 * (not run: needs a file)
 * (await describeFile('run.csv')).sampleRate // => 2000
 */
export async function describeFile(file: string, options?: ReadOptions): Promise<FileDescription> {
  const where = 'describeFile';
  const opened = await openFile(file, options, where, formats);
  return opened.format.describe(opened.open, opened.options, where);
}
