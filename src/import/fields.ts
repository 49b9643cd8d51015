import type { Delimiter } from './options.js';

/** What a column of a text file holds. */
export type ColumnType = 'number' | 'date-time' | 'text';

/** Words that stand for a missing number. */
const missing: ReadonlySet<string> = new Set([
  '', 'NaN', 'nan', 'NAN', 'NA', 'N/A', 'n/a', '#N/A', '#NV', 'NULL', 'null', 'None', '-', '--', '---', '1.#QNAN', '-1.#IND', '1.#IND', 'invalid',
]);
const infinite = /^[+-]?(inf|infinity)$/i;
/** A number by its decimal mark. */
export const numbers: Readonly<Record<'.' | ',', RegExp>> = { '.': /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/, ',': /^[+-]?(\d+,?\d*|,\d+)([eE][+-]?\d+)?$/ };
/** A number whose thousands are parted by the other mark. */
export const grouped: Readonly<Record<'.' | ',', RegExp>> = { '.': /^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$/, ',': /^[+-]?\d{1,3}(\.\d{3})+(,\d+)?$/ };
const dateTime = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d{1,9})?)?\s*(Z|[+-]\d{2}(:?\d{2})?)?$/;

/** Dates whose order of day and month is not stated, and times of day without a date. */
export const localDate: RegExp = /^(\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}[./]\d{1,2}[./]\d{1,2})([ T,]+\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?( ?[AaPp][Mm])?)?$|^\d{1,2}:\d{2}:\d{2}([.,]\d+)?( ?[AaPp][Mm])?$/;

/** What one field is, for the decimal mark given. */
export function fieldType(field: string, decimal: '.' | ',', thousands: boolean): ColumnType | 'missing' {
  const text = field.trim();
  if (missing.has(text)) return 'missing';
  if (numbers[decimal].test(text) || infinite.test(text) || (thousands && grouped[decimal].test(text))) return 'number';
  return dateTime.test(text) ? 'date-time' : 'text';
}

/** The fields of one line; quotes are taken off. */
export function splitFields(line: string, delimiter: Delimiter): string[] {
  if (delimiter === 'spaces') return line.trim().split(/[ \t]+/);
  if (delimiter === 'none') return [unquote(line)];
  if (!line.includes('"')) return line.split(delimiter);
  const fields: string[] = [];
  let from = 0;
  let quoted = false;
  for (let i = 0; i <= line.length; i++) {
    if (i < line.length && line[i] === '"') quoted = !quoted;
    if (i === line.length || (line[i] === delimiter && !quoted)) {
      fields.push(unquote(line.slice(from, i)));
      from = i + 1;
    }
  }
  return fields;
}

function unquote(field: string): string {
  const text = field.trim();
  return text.length > 1 && text.startsWith('"') && text.endsWith('"') ? text.slice(1, -1).replaceAll('""', '"') : field;
}
