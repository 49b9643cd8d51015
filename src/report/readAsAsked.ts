import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import type { ReadOptions } from '../import/options.js';
import { readRecording } from '../import/readRecording.js';
import { byKey } from './inJob.js';

/** Reads a file that a job names; what is refused is said by the key of the job that names it. */
export async function readAsAsked(file: string, key: string | ((argument: string) => string), options: ReadOptions): Promise<Recording> {
  try {
    return await readRecording(file, options);
  } catch (error) {
    throw error instanceof InputError ? byKey(error, typeof key === 'string' ? key : key(error.argument)) : error;
  }
}
