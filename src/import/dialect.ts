import { FormatError } from '../record/errors.js';
import { parseUnit, type Unit } from '../record/units.js';
import type { Delimiter, ReadOptions } from './options.js';

/** What a column of a text file holds. */
export type ColumnType = 'number' | 'date-time' | 'text';

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

/** Words that stand for a missing number. */
const missing: ReadonlySet<string> = new Set([
  '', 'NaN', 'nan', 'NAN', 'NA', 'N/A', 'n/a', '#N/A', '#NV', 'NULL', 'null', 'None', '-', '--', '---', '1.#QNAN', '-1.#IND', '1.#IND', 'invalid',
]);
/** Names of a column of time. */
export const timeName: RegExp = /^(time|zeit|temps|t|time[ _-]?stamps?|date|datum|date[ _-]?time|uhrzeit|clock|elapsed([ _-]?time)?|(rel|relative|abs|absolute|utc)[ _-]?time|seconds|secs?|milliseconds|millis)$/i;
/** More columns than this are no recording. */
const mostColumns = 4096;
const infinite = /^[+-]?(inf|infinity)$/i;
const numbers = { '.': /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/, ',': /^[+-]?(\d+,?\d*|,\d+)([eE][+-]?\d+)?$/ };
const grouped = { '.': /^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$/, ',': /^[+-]?\d{1,3}(\.\d{3})+(,\d+)?$/ };
const dateTime = /^\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}(:\d{2}([.,]\d{1,9})?)?\s*(Z|[+-]\d{2}(:?\d{2})?)?$/;

/** Dates whose order of day and month is not stated, and times of day without a date. */
const localDate = /^(\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}[./]\d{1,2}[./]\d{1,2})([ T,]+\d{1,2}:\d{2}(:\d{2}([.,]\d+)?)?( ?[AaPp][Mm])?)?$|^\d{1,2}:\d{2}:\d{2}([.,]\d+)?( ?[AaPp][Mm])?$/;

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

interface Trial {
  readonly delimiter: Delimiter;
  readonly decimal: '.' | ',';
  /** Index of the first line of data. */
  readonly first: number;
  readonly width: number;
  readonly trailing: boolean;
  readonly score: number;
}

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

/** How well the lines read as rows under one delimiter and decimal mark; null where they do not. */
function tryPair(lines: readonly string[], delimiter: Delimiter, decimal: '.' | ',', grouping: boolean): Trial | null {
  let best: Trial | null = null;
  const cache = new Map<number, Row | null>();
  const rowAt = (i: number): Row | null => {
    if (!cache.has(i)) cache.set(i, rowOf(lines[i]!, delimiter, decimal, grouping));
    return cache.get(i)!;
  };
  // Lines such as `Rate;100` above the header look like rows with a text in them; the table begins below the header.
  const labelled = (i: number): boolean => rowAt(i)!.good < rowAt(i)!.width;
  const isHeading = (below: number, width: number): boolean => below > 0 && below < 100 && lines[below - 1]!.trim() !== '' && rowAt(below - 1) === null && splitFields(lines[below - 1]!, delimiter).length === width;
  for (let first = 0; first < Math.min(lines.length, 400); first++) {
    const row = rowAt(first);
    if (!row) continue;
    let rows = 0, same = 0, run = 0, fields = 0, good = 0, trailing = true;
    for (let i = first; i < lines.length && rows < 60; i++) {
      if (lines[i]!.trim() === '') continue;
      rows++;
      const r = rowAt(i);
      if (!r || r.width !== row.width) continue;
      same++;
      if (same === rows) run = same;
      trailing &&= r.trailing;
      fields += r.width - (r.trailing ? 1 : 0);
      good += r.good;
    }
    // Two rows alike make a table; a later beginning must be much better than an earlier one.
    if (run < 2 && best !== null) continue;
    const score = (same / rows) * (good / Math.max(1, fields));
    const cut = trailing && row.width > 1;
    if (best === null || score > best.score + 0.3 || (score > 0.999 && labelled(best.first) && isHeading(first, row.width))) best = { delimiter, decimal, first, width: row.width - (cut ? 1 : 0), trailing: cut, score };
    if (score > 0.999) break;
  }
  return best;
}

interface Row { readonly width: number; readonly good: number; readonly trailing: boolean }

function rowOf(line: string, delimiter: Delimiter, decimal: '.' | ',', grouping: boolean): Row | null {
  if (line.trim() === '' || /^\s*[#%]/.test(line)) return null;
  const fields = splitFields(line, delimiter);
  let numeric = 0, absent = 0;
  for (const field of fields) {
    const type = fieldType(field, decimal, grouping);
    if (type === 'number' || type === 'date-time' || localDate.test(field.trim())) numeric++;
    else if (type === 'missing') absent++;
  }
  const trailing = fields.length > 1 && fields.at(-1)!.trim() === '' && delimiter !== 'spaces';
  return numeric === 0 ? null : { width: fields.length, good: numeric + absent - (trailing ? 1 : 0), trailing };
}

interface Head { readonly header: number | null; readonly units: number | null; readonly names: readonly string[] | null; readonly unitTexts: readonly string[] | null; readonly note?: string }

function findHeader(file: string, lines: readonly string[], trial: Trial, options: ReadOptions): Head {
  const above = (from: number): number => {
    let i = from - 1;
    while (i >= 0 && lines[i]!.trim() === '') i--;
    return i;
  };
  const fieldsAt = (i: number): string[] => {
    const fields = splitFields(lines[i]!.replace(/^\s*[#%]\s*/, ''), trial.delimiter);
    if (fields.length === trial.width + 1 && fields.at(-1)!.trim() === '') fields.pop();
    return fields.map((f) => f.trim());
  };
  const near = above(trial.first);
  if (near < 0) {
    if (trial.delimiter === ',' && trial.width % 2 === 0 && options.delimiter === undefined && allWhole(lines, trial)) throw ambiguousComma(file, trial.first + 1, 'no header and whole numbers only');
    return { header: null, units: null, names: null, unitTexts: null };
  }
  const fields = fieldsAt(near);
  if (fields.length !== trial.width) {
    if (trial.delimiter === ',' && trial.width === 2 * fields.length) throw ambiguousComma(file, trial.first + 1, `${trial.width} fields under ${fields.length} header${fields.length === 1 ? '' : 's'}`);
    const top = above(near);
    if (rowOf(lines[near]!, trial.delimiter, trial.decimal, false) && top >= 0 && fieldsAt(top).length === trial.width) {
      throw new FormatError({ file, line: near + 1, found: `${fields.length} fields (${JSON.stringify(lines[near]!.slice(0, 60))})`, expected: `${trial.width} fields as in line ${top + 1}`, remedy: 'Cut the line out or complete it.' });
    }
    const doubt = fields.length > 1 && !/^\s*[#%]/.test(lines[near]!);
    if (doubt) {
      throw new FormatError({ file, line: trial.first + 1, found: `${trial.width} fields under a header of ${fields.length}`, expected: 'as many fields as headers', remedy: 'Name what is missing in the header, or state delimiter and decimal.' });
    }
    return { header: null, units: null, names: null, unitTexts: null };
  }
  const next = above(near);
  const names = next < 0 ? [] : fieldsAt(next);
  const kind = names.length === trial.width && !isUnitsRow(names) ? twoLines(names, fields, trial) : 'header';
  if (kind === 'units') return { header: next, units: near, names, unitTexts: fields.map(bare) };
  if (kind === 'doubt') {
    throw new FormatError({ file, line: near + 1, found: `two lines that may be the header (${JSON.stringify(lines[next]!.slice(0, 60))} and ${JSON.stringify(lines[near]!.slice(0, 60))})`, expected: 'one, or names above units that are known', remedy: 'Write each unit behind its name in one line, as in Torque (N·m), or cut the other line out.' });
  }
  return { header: near, units: null, names: fields, unitTexts: null, ...(kind === 'note' ? { note: `line ${next + 1} has as many fields as the header in line ${near + 1}: if the header is units, write each behind its name in one line` } : {}) };
}

/**
 * Is the lower of two lines above the numbers a row of units? Surely where all of them but one are known, or where a time unit
 * stands below a name of time; in doubt where some are known; and worth a note where two lines of words stand there.
 */
function twoLines(names: readonly string[], fields: readonly string[], trial: Trial): 'units' | 'doubt' | 'note' | 'header' {
  if (isUnitsRow(fields)) return 'units';
  if (fields.some((f) => timeName.test(f) && !isTimeUnit(f))) return 'header';
  const words = (row: readonly string[]): boolean => row.every((f) => f !== '' && fieldType(f, trial.decimal, false) === 'text');
  if (!words(names) || !words(fields.filter((f) => f !== '' && f !== '-'))) return 'header';
  if (fields.some((f, j) => isTimeUnit(bare(f)) && timeName.test(names[j]!))) return 'units';
  return fields.some((f) => isUnitText(f)) ? 'doubt' : 'note';
}

function bare(text: string): string {
  return text.replace(/^[[({<]\s*|\s*[\])}>]$/g, '');
}

function isUnitsRow(fields: readonly string[]): boolean {
  const filled = fields.filter((f) => f !== '');
  const known = filled.filter((f) => isUnitText(f) || f === '-');
  return filled.length > 0 && known.length >= Math.max(1, filled.length - 1) && known.length * 2 > filled.length;
}

function isUnitText(field: string): boolean {
  return isTimeUnit(bare(field)) || parseUnit(bare(field)) !== null || /^[[(].*[\])]$/.test(field);
}

function isTimeUnit(text: string): boolean {
  return /^(s|sec|secs|seconds?|ms|msec|milliseconds?|us|µs|μs|usec|ns|min|h)$/.test(text);
}

function allWhole(lines: readonly string[], trial: Trial): boolean {
  return lines.slice(trial.first, trial.first + 60).every((l) => l.trim() === '' || splitFields(l, ',').every((f) => /^[+-]?\d+$/.test(f.trim())));
}

function ambiguousComma(file: string, line: number, why: string): FormatError {
  return new FormatError({
    file, line, found: `commas that may part fields or mark decimals (${why})`, expected: 'one reading only',
    remedy: "State delimiter: ',' if they part fields, or delimiter: 'none' with decimal: ',' (or export with semicolons) if they mark decimals, or delimiter: ';' with decimal: '.' if they part thousands between semicolons.",
  });
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

/** The name and the unit in a header such as `Torque (N.m)`, `Torque [kNm]`, `Torque / kNm` or `torque_Nm`. */
export function splitHeader(header: string): { readonly name: string; readonly unitText: string | null } {
  const text = header.trim();
  const bracket = /^(.*\S)\s*[[({]\s*([^[\](){}]+?)\s*[\])}]$/.exec(text);
  if (bracket && (parseUnit(bracket[2]!) !== null || isTimeUnit(bracket[2]!) || text.endsWith(']'))) return { name: bracket[1]!, unitText: bracket[2]! };
  const slash = /^(.*\S)\s+(?:\/|in)\s+(\S+)$/.exec(text);
  if (slash && (parseUnit(slash[2]!) !== null || isTimeUnit(slash[2]!))) return { name: slash[1]!, unitText: slash[2]! };
  const tail = /^(.*[^_\s])_([^_\s]+)$/.exec(text);
  // One letter after an underscore is more often a label than a unit (phase_A), save for seconds and volts.
  if (tail && (isTimeUnit(tail[2]!) || tail[2] === 'V' || (tail[2]!.length > 1 && parseUnit(tail[2]!) !== null))) return { name: tail[1]!, unitText: tail[2]! };
  return { name: text, unitText: null };
}
