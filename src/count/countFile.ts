import { readFile, writeFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { checkOptions, show } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { writeWhole } from '../import/atomic.js';
import { checkFile, readHead } from '../import/bytes.js';
import { readColumns, readKeyValue, writeColumns } from '../import/parquetColumns.js';
import { parseCount, readCount, restoreCount, writeCount } from './countFormat.js';
import { isCycleCount, makeCycleCount, type CycleCount } from './CycleCount.js';

const key = 'quillshaft cycle count';
const columnNames = ['from', 'to', 'fromAt', 'at'] as const;
const none = { from: new Float64Array(0), to: new Float64Array(0), fromAt: new Float64Array(0), at: new Float64Array(0) };

/**
 * Writes a count to a file, exactly: as JSON (see writeCount for its members) or as Parquet, by the name's end.
 *
 * The Parquet form, version 3 (as the JSON form in it): one row for each closed cycle with the columns `from`, `to`, `fromAt`, `at` (doubles), and in the file's key-value metadata
 * under 'quillshaft cycle count' the JSON form of everything else (its `closed` is empty). Any Parquet reader shows the cycles as a table.
 *
 * Kept: everything that writeCount keeps. Cost: one pass.
 *
 * @param count a count
 * @param file a name that ends in .json or .parquet
 * @param options overwrite a file that is there; false unless told
 * @throws InputError for something that is no count, another ending, or a file that is there already
 * @see readCountFile, writeCount
 */
export async function writeCountFile(count: CycleCount, file: string, options: { readonly overwrite?: boolean } = {}): Promise<void> {
  const where = 'writeCountFile';
  if (!isCycleCount(count)) throw new InputError({ where, argument: 'count', expected: 'a CycleCount', given: show(count), remedy: 'Make one with countCycles.' });
  if (typeof file !== 'string' || !/\.(json|parquet)$/.test(file)) throw new InputError({ where, argument: 'file', expected: 'a name that ends in .json or .parquet', given: show(file) });
  checkOptions(where, options, { optional: ['overwrite'] });
  await writeWhole(where, file, options.overwrite === true, async (temporary) => {
    if (file.endsWith('.json')) return writeFile(temporary, writeCount(count));
    const text = writeCount(makeCycleCount({ ...count, closed: none }));
    return writeColumns(columnNames.map((name) => ({ name, values: count.closed[name] })), { key, text }, temporary);
  });
}

/**
 * Reads a count that writeCountFile wrote, in either form, and checks it as readCount does. The form is known by the content, not by the name.
 *
 * @param file path of the file
 * @returns the count; counts of one shaft that were written, read and merged equal counts that were merged at once
 * @throws InputError where the file cannot be read, FormatError that says what is wrong in it
 * @see writeCountFile, mergeCounts
 */
export async function readCountFile(file: string): Promise<CycleCount> {
  await checkFile('readCountFile', file);
  const name = basename(file);
  const { bytes } = await readHead(file, 4);
  if (Buffer.from(bytes).toString('latin1') !== 'PAR1') return readCount(await readFile(file, 'utf8'), name);
  const broken = (error: unknown): never => {
    throw new FormatError({ file: name, found: `a Parquet file that cannot be read (${(error as Error).message.split('\n')[0]!.slice(0, 120).replaceAll(file, name)})`, expected: 'a complete Parquet file', remedy: 'Copy the file again from where it was written.' });
  };
  const text = await readKeyValue(file, key).catch(broken);
  if (text === null) throw new FormatError({ file: name, found: 'a Parquet file without a count', expected: `metadata under '${key}'`, remedy: 'Write it with writeCountFile; a recording is read with readRecording.' });
  const columns = await readColumns(file, columnNames).catch(broken);
  return restoreCount({ ...parseCount(text, name), closed: Object.fromEntries(columnNames.map((c, j) => [c, columns[j]])) }, name);
}
