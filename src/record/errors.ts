/** What was wrong with an argument: where, which one, what was expected and what was given. */
export interface InputFault {
  /** The verb or command that refuses. */
  readonly where: string;
  /** The argument, option or job-file path. */
  readonly argument: string;
  /** What would have been accepted. */
  readonly expected: string;
  /** What came instead, already readable. */
  readonly given: string;
  /** The way out, one sentence; left out where `expected` says it all. */
  readonly remedy?: string;
}

/**
 * An argument that cannot be honoured. The message is one sentence, then the way out.
 *
 * @example
 * new InputError({ where: 'lowpass', argument: 'cutoff', expected: 'below half the sample rate (500 Hz)', given: '600 Hz' }).message
 * // => "lowpass: cutoff must be below half the sample rate (500 Hz), got 600 Hz."
 */
export class InputError extends RangeError {
  override readonly name = 'InputError';
  readonly where: string;
  readonly argument: string;
  readonly expected: string;
  readonly given: string;
  readonly remedy: string | undefined;

  constructor(fault: InputFault) {
    super(`${fault.where}: ${fault.argument} must be ${fault.expected}, got ${fault.given}.${fault.remedy ? ` ${fault.remedy}` : ''}`);
    this.where = fault.where;
    this.argument = fault.argument;
    this.expected = fault.expected;
    this.given = fault.given;
    this.remedy = fault.remedy;
  }
}

/** What was wrong in a file: which file, where in it, what stands there and what was expected. */
export interface FormatFault {
  readonly file: string;
  /** One-based line (text) or null. */
  readonly line?: number | null;
  /** One-based column or field (text) or null. */
  readonly column?: number | null;
  /** What stands in the file. */
  readonly found: string;
  /** What was expected instead. */
  readonly expected: string;
  /** The way out, one sentence. */
  readonly remedy?: string;
}

/**
 * A file that cannot be read as asked. Names the file and, where there is one, the line and column.
 *
 * @example
 * new FormatError({ file: 'run.csv', line: 7, column: 2, found: 'the text "n/a?"', expected: 'a number' }).message
 * // => "run.csv, line 7, column 2: expected a number, found the text \"n/a?\"."
 */
export class FormatError extends Error {
  override readonly name = 'FormatError';
  readonly file: string;
  readonly line: number | null;
  readonly column: number | null;
  readonly found: string;

  constructor(fault: FormatFault) {
    const line = fault.line ?? null;
    const column = fault.column ?? null;
    const place = fault.file + (line === null ? '' : `, line ${line}`) + (column === null ? '' : `, column ${column}`);
    super(`${place}: expected ${fault.expected}, found ${fault.found}.${fault.remedy ? ` ${fault.remedy}` : ''}`);
    this.file = fault.file;
    this.line = line;
    this.column = column;
    this.found = fault.found;
  }
}
