import { FormatError } from '../record/errors.js';
import { parseUnit } from '../record/units.js';
import { fieldType, splitFields } from './fields.js';
import type { ReadOptions } from './options.js';
import { rowOf, type Trial } from './tryPair.js';

/** Names of a column of time. */
export const timeName: RegExp = /^(time|zeit|temps|t|time[ _-]?stamps?|date|datum|date[ _-]?time|uhrzeit|clock|elapsed([ _-]?time)?|(rel|relative|abs|absolute|utc)[ _-]?time|seconds|secs?|milliseconds|millis)$/i;

/** The header row and the row of units above the data, as line indices, and what stands in them. */
export interface Head { readonly header: number | null; readonly units: number | null; readonly names: readonly string[] | null; readonly unitTexts: readonly string[] | null; readonly note?: string }

/** Finds the header and the row of units above the first row of data. @throws FormatError where two readings are equally good */
export function findHeader(file: string, lines: readonly string[], trial: Trial, options: ReadOptions): Head {
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

/** Is that a unit of time? */
export function isTimeUnit(text: string): boolean {
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
