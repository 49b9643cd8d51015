import { FormatError } from '../record/errors.js';
import type { Dialect } from './dialect.js';
import { fieldType, splitFields } from './fields.js';
import { secondsSince } from './dateTime.js';

const powers = Float64Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
const LF = 10, CR = 13, SPACE = 32, TAB = 9, QUOTE = 34, MINUS = 45, PLUS = 43, ZERO = 48, NINE = 57;

/**
 * Turns bytes of a text table into numbers, line by line.
 *
 * A decimal of at most 15 digits is whole / 10^k with both exact in double precision, so that one division rounds it
 * correctly; everything else goes through JavaScript's own conversion, which does too.
 *
 * @references W. D. Clinger, How to read floating point numbers accurately, PLDI 1990 (the case in which one operation on exact operands suffices).
 */
export class RowParser {
  /** Numbers of the picked columns, one array each; rows 0 … rows − 1 are filled. */
  readonly columns: readonly Float64Array[];
  rows = 0;
  private line: number;
  private emptyLine = 0;
  private readonly slotOf: Int32Array;
  private readonly fields: number;
  private readonly decimal: number;
  private readonly delimiter: number;
  private readonly blanks: boolean;

  /**
   * Makes room for a block of rows.
   *
   * @param picks columns to read, counted from 0; `columns` holds them in this order
   * @param dated the column that holds date-times (read as seconds from `origin`), or −1
   * @param capacity rows that the arrays hold
   */
  constructor(private readonly file: string, private readonly dialect: Dialect, picks: readonly number[], private readonly dated: number, private readonly origin: number, readonly capacity: number) {
    this.columns = picks.map(() => new Float64Array(capacity));
    this.fields = dialect.columns.length + (dialect.trailing ? 1 : 0);
    this.slotOf = new Int32Array(this.fields).fill(-1);
    picks.forEach((column, slot) => {
      this.slotOf[column] = slot;
    });
    this.decimal = dialect.decimal.charCodeAt(0);
    this.blanks = dialect.delimiter === 'spaces';
    this.delimiter = this.blanks ? SPACE : dialect.delimiter === 'none' ? -1 : dialect.delimiter.charCodeAt(0);
    this.line = dialect.firstDataLine;
  }

  /**
   * Reads whole lines from bytes[from … to) until they end or the arrays are full.
   *
   * @returns where it stopped
   */
  read(bytes: Uint8Array, from: number, to: number): number {
    let at = from;
    while (at < to && this.rows < this.capacity) {
      const start = at;
      at = this.readRow(bytes, at, to);
      if (at < 0 || (this.emptyLine > 0 && this.fields === 1)) at = this.readSlowly(bytes, start, to);
      this.line++;
    }
    return at;
  }

  /** One line of plain numbers; −1 where something in it is not plain. */
  private readRow(bytes: Uint8Array, from: number, to: number): number {
    const { slotOf, fields, decimal, delimiter, blanks, columns, rows } = this;
    let i = from;
    for (let field = 0; field < fields; field++) {
      while (bytes[i] === SPACE || (bytes[i] === TAB && delimiter !== TAB)) i++;
      const slot = slotOf[field]!;
      let code = bytes[i]!;
      if (slot < 0) {
        while (i < to && code !== delimiter && code !== LF && code !== CR && code !== QUOTE && !(blanks && code === TAB)) code = bytes[++i]!;
        if (code === QUOTE) return -1;
      } else {
        if (slot === this.dated) return -1;
        const negative = code === MINUS;
        if (negative || code === PLUS) code = bytes[++i]!;
        let whole = 0;
        const first = i;
        while (code >= ZERO && code <= NINE) {
          whole = whole * 10 + (code - ZERO);
          code = bytes[++i]!;
        }
        let digits = i - first;
        let scale = 0;
        if (code === decimal) {
          code = bytes[++i]!;
          const point = i;
          while (code >= ZERO && code <= NINE) {
            whole = whole * 10 + (code - ZERO);
            code = bytes[++i]!;
          }
          scale = i - point;
          digits += scale;
        }
        if (digits === 0 || digits > 15) return -1;
        const value = whole / powers[scale]!;
        columns[slot]![rows] = negative ? -value : value;
      }
      while (code === SPACE || (code === TAB && delimiter !== TAB)) code = bytes[++i]!;
      const last = field === fields - 1;
      if (last ? code !== LF && code !== CR : !blanks && code !== delimiter) return -1;
      if (!last && blanks && (code === LF || code === CR)) return -1;
      if (!blanks || last) i++;
      if (last && code === CR && bytes[i] === LF && i < to) i++;
    }
    this.rows++;
    return i;
  }

  /** One line in which something is quoted, missing, long, dated or wrong. */
  private readSlowly(bytes: Uint8Array, from: number, to: number): number {
    let end = from;
    while (end < to && bytes[end] !== LF && bytes[end] !== CR) end++;
    const text = Buffer.from(bytes.buffer, bytes.byteOffset + from, end - from).toString();
    const next = bytes[end] === CR && end + 1 < to && bytes[end + 1] === LF ? end + 2 : end + 1;
    if (text.trim() === '' && !(this.delimiter === TAB && text.includes('\t'))) {
      this.emptyLine ||= this.line;
      return next;
    }
    if (this.emptyLine > 0 && this.fields === 1) {
      throw new FormatError({ file: this.file, line: this.emptyLine, found: 'an empty line within a single column', expected: 'a number in every line', remedy: 'Write NaN where a value is missing, or cut the line out.' });
    }
    const fields = splitFields(text, this.dialect.delimiter);
    if (fields.length !== this.fields) {
      throw new FormatError({
        file: this.file, line: this.line, found: `${fields.length} field${fields.length === 1 ? '' : 's'} (${JSON.stringify(text.slice(0, 60))})`,
        expected: `${this.fields} fields as in line ${this.dialect.firstDataLine}`, remedy: 'Cut the line out or complete it.',
      });
    }
    for (let field = 0; field < fields.length; field++) {
      const slot = this.slotOf[field]!;
      if (slot >= 0) this.columns[slot]![this.rows] = this.valueOf(fields[field]!, field, slot === this.dated);
    }
    this.rows++;
    return next;
  }

  private valueOf(field: string, column: number, dated: boolean): number {
    const { decimal, thousands } = this.dialect;
    const text = field.trim();
    const type = fieldType(text, decimal, thousands !== null);
    if (type === 'missing') return NaN;
    const seconds = dated && type === 'date-time' ? secondsSince(text, this.origin) : NaN;
    if (seconds === seconds) return seconds;
    if (!dated && type === 'number') {
      const plain = thousands === null ? text : text.replaceAll(thousands, '');
      const value = Number(decimal === ',' ? plain.replace(',', '.') : plain);
      return Number.isNaN(value) ? (text.startsWith('-') ? -Infinity : Infinity) : value;
    }
    const others = this.dialect.columns.filter((c, j) => j !== column && c.type === 'number').map((c) => c.name);
    throw new FormatError({
      file: this.file, line: this.line, column: column + 1, found: `the text ${JSON.stringify(text.slice(0, 40))} in column ${this.dialect.columns[column]?.name ?? column + 1}`,
      expected: dated ? 'an ISO 8601 date-time' : `a number with the decimal mark ${JSON.stringify(decimal)}`,
      remedy: `Write an empty field where a value is missing${others.length > 0 && !dated ? `, or read only other columns with columns: ${JSON.stringify(others)}` : ''}.`,
    });
  }
}
