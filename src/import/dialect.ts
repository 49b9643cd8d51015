import { FormatError } from '../record/errors.js';
import { parseUnit, type Unit } from '../record/units.js';
import { fieldType, grouped, localDate, numbers, splitFields, type ColumnType } from './fields.js';
import { findHeader, isTimeUnit, splitHeader, type Head } from './findHeader.js';
import type { Delimiter, ReadOptions } from './options.js';
import { tryPair, type Trial } from './tryPair.js';

/** One column of a text file as found. */
export interface TextColumn {
  readonly name: string;
  /** The header as it stands in the file. */
  readonly header: string;
  /** The unit as the file spells it, or null. */
  readonly unitText: string | null;
  readonly unit: Unit;
  readonly type: ColumnType;
  /** A date or time of day in it that is not ISO 8601, as it stands in the file. */
  readonly localDate?: string;
}

/** How a text file is laid out. Lines count from 1. */
export interface Dialect {
  readonly delimiter: Delimiter;
  readonly decimal: '.' | ',';
  readonly thousands: ',' | '.' | null;
  readonly preamble: readonly string[];
  readonly headerLine: number | null;
  readonly unitsLine: number | null;
  readonly firstDataLine: number;
  /** Every row ends in a delimiter. */
  readonly trailing: boolean;
  readonly columns: readonly TextColumn[];
  readonly notes: readonly string[];
}

/** More columns than this are no recording. */
const mostColumns = 4096;
const pairs: readonly (readonly [Delimiter, '.' | ','])[] = [
  [',', '.'], [';', '.'], ['\t', '.'], ['|', '.'], ['spaces', '.'], [';', ','], ['\t', ','], ['|', ','], [',', ','], ['spaces', ','], ['none', '.'], ['none', ','],
];

/**
 * Finds how a text file is laid out: the delimiter and decimal mark under which most fields of most rows are numbers,
 * then the header and units row above the first row of data.
 *
 * @param lines the first lines of the file, without line ends
 * @throws FormatError where there is no row of numbers, or where two readings are equally good
 */
export function findDialect(file: string, lines: readonly string[], options: ReadOptions = {}): Dialect {
  const trials = pairs
    .filter(([d, m]) => (options.delimiter === undefined || d === options.delimiter) && (options.decimal === undefined || m === options.decimal))
    .map(([d, m]) => tryPair(lines, d, m, options.decimal !== undefined))
    .filter((t) => t !== null);
  let best: Trial | null = null;
  for (const t of trials) if (!best || t.score > best.score + 1e-9 || (Math.abs(t.score - best.score) <= 1e-9 && t.width > best.width)) best = t;
  if (!best || best.score < 1 / 3) throw noTable(file, lines);
  if (best.width > mostColumns) throw new FormatError({ file, line: best.first + 1, found: `${best.width} columns`, expected: `at most ${mostColumns}`, remedy: 'Turn the table so that each row is one instant.' });
  const head = findHeader(file, lines, best, options);
  return describe(file, lines, best, head, options);
}

function noTable(file: string, lines: readonly string[]): FormatError {
  const filled = lines.filter((l) => l.trim() !== '');
  if (filled.length === 0) return new FormatError({ file, found: 'only empty lines', expected: 'rows of numbers' });
  const found = filled.length === 1 ? `one line only (${JSON.stringify(filled[0]!.slice(0, 40))})` : 'no row of numbers';
  return new FormatError({ file, found, expected: 'a table of numbers below at most one header', remedy: 'State delimiter and decimal if it is one of an unusual layout.' });
}

function describe(file: string, lines: readonly string[], trial: Trial, head: Head, options: ReadOptions): Dialect {
  const rows = lines.slice(trial.first, trial.first + 500).filter((l) => l.trim() !== '').map((l) => splitFields(l, trial.delimiter));
  const thousands = findGrouping(file, rows, trial, options);
  const notes: string[] = head.note === undefined ? [] : [head.note];
  const parts = Array.from({ length: trial.width }, (_, j) => {
    const header = head.names?.[j] ?? '';
    return { header, ...(head.unitTexts ? { name: header, unitText: head.unitTexts[j] || null } : splitHeader(header)) };
  });
  const used = new Set<string>();
  const columns = parts.map((part, j): TextColumn => {
    const alone = parts.filter((p) => p.name === part.name).length === 1;
    if (part.header !== '' && parts.findIndex((p) => p.header === part.header) === j && parts.filter((p) => p.header === part.header).length > 1) notes.push(`the header ${JSON.stringify(part.header)} occurs more than once: the later columns are numbered`);
    let name = (alone ? part.name : part.header) || `column ${j + 1}`;
    for (let n = 2; used.has(name); n++) name = `${part.header || `column ${j + 1}`} ${n}`;
    used.add(name);
    const unit = part.unitText === null ? '?' : (parseUnit(part.unitText) ?? '?');
    if (part.unitText !== null && unit === '?' && !isTimeUnit(part.unitText)) notes.push(`${name}: the unit ${JSON.stringify(part.unitText)} is not one that is known; state it with units`);
    const local = rows.find((r) => localDate.test((r[j] ?? '').trim()));
    return { name, header: part.header, unitText: part.unitText, unit, type: typeOf(rows, j, trial.decimal, thousands !== null), ...(local ? { localDate: local[j]!.trim() } : {}) };
  });
  if (!head.names) notes.push('no header: columns are named by their number');
  const top = head.header ?? trial.first;
  return {
    delimiter: trial.delimiter, decimal: trial.decimal, thousands, preamble: lines.slice(0, top), headerLine: head.header === null ? null : head.header + 1,
    unitsLine: head.units === null ? null : head.units + 1, firstDataLine: trial.first + 1, trailing: trial.trailing, columns, notes,
  };
}

/** Are there commas that part thousands? Only where the options say that the other mark is the decimal. */
function findGrouping(file: string, rows: readonly (readonly string[])[], trial: Trial, options: ReadOptions): ',' | '.' | null {
  const other = trial.decimal === '.' ? ',' : '.';
  if (options.decimal !== undefined) return rows.some((r) => r.some((f) => grouped[trial.decimal].test(f.trim()))) ? other : null;
  // Between semicolons a point may part thousands too; between other marks it does not.
  if (trial.decimal === '.' && trial.delimiter !== ';') return null;
  const { decimal } = trial;
  const marked = rows.flat().map((f) => f.trim()).filter((f) => f.includes(decimal) && numbers[decimal].test(f));
  if (marked.length > 0 && marked.every((f) => /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/.test(f))) {
    throw new FormatError({
      file, line: trial.first + 1, found: `numbers such as ${JSON.stringify(marked[0])} that may be read in two ways`, expected: 'a decimal mark that is clear',
      remedy: decimal === ',' ? "State decimal: ',' if the comma marks decimals, or decimal: '.' if it parts thousands." : "State decimal: '.' if the point marks decimals, or decimal: ',' if it parts thousands.",
    });
  }
  return null;
}

function typeOf(rows: readonly (readonly string[])[], column: number, decimal: '.' | ',', grouping: boolean): ColumnType {
  const counts = { number: 0, 'date-time': 0, text: 0, missing: 0 };
  for (const row of rows) if (column < row.length) counts[fieldType(row[column]!, decimal, grouping)]++;
  if (counts['date-time'] > counts.number && counts['date-time'] >= counts.text) return 'date-time';
  return counts.text > counts.number ? 'text' : 'number';
}
