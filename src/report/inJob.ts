import { InputError } from '../record/errors.js';

/** Runs a step of the assessment; what it refuses is said by the key of the job that asked for it. */
export function inJob<T>(key: string | ((argument: string) => string), step: () => T): T {
  try {
    return step();
  } catch (error) {
    throw error instanceof InputError && error.where !== 'job' ? byKey(error, typeof key === 'string' ? key : key(error.argument)) : error;
  }
}

/** The same refusal under a key of the job. */
export function byKey({ argument, expected, given, remedy }: InputError, key: string): InputError {
  // Where the key is not the argument of that name, the argument is said too.
  const said = key.toLowerCase().endsWith(argument.toLowerCase()) || ['name', 'file', 'columns', 'exponent'].includes(argument) ? expected : `such that ${argument} is ${expected}`;
  return new InputError({ where: 'job', argument: key, expected: said, given, ...(remedy === undefined ? {} : { remedy }) });
}

/** The same refusal under the name of the job's file. */
export function inFile({ argument, expected, given, remedy }: InputError, file: string): InputError {
  return new InputError({ where: file, argument, expected, given, ...(remedy === undefined ? {} : { remedy }) });
}
