import { makeChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeRecording, type Recording } from '../record/Recording.js';
import { faults, type Fault, type Span } from '../record/span.js';
import { parseUnit, unitConversion, type Unit } from '../record/units.js';
import { parseHeader, type Cell } from './columns.js';
import { faultSuffix } from './recordParts.js';

/** What fromTable reads: an Arquero table, or anything with the same two methods. */
export interface TableLike {
  columnNames(): string[];
  array(name: string): ArrayLike<unknown>;
}

/** Options of fromTable and fromDataFrame. */
export interface FromTableOptions {
  /** Name of the recording, `'table'` unless given. */
  readonly name?: string;
  /** Hz; taken from the column `time` unless given. */
  readonly sampleRate?: number;
  /** ISO 8601 UTC of the first row; not known unless given. */
  readonly start?: string;
}

/**
 * Makes a recording of a table: every column of numbers becomes a channel, its unit taken from the square brackets after its name. A column
 * `time` gives the clock, a column `… fault` the masks of the channel of that name, as toTable writes them.
 *
 * Kept: every value; cells without a number are masked as 'not a number', never filled. Cost: one copy.
 *
 * @param table an Arquero table
 * @param options name, sampleRate in Hz, start
 * @returns the recording
 * @throws InputError for a clock that is not uniform to a thousandth of a step, a text where a number should be, an unknown unit or reason, or no channel
 * @see toTable, fromDataFrame
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 900, NaN, 800] });
 * fromTable(toTable(torque)).channels[0].invalid // => [{"from":2,"to":3,"why":"not a number"}]
 */
export function fromTable(table: TableLike, options?: FromTableOptions): Recording {
  const where = 'fromTable';
  if (typeof table?.columnNames !== 'function' || typeof table.array !== 'function') {
    throw new InputError({ where, argument: 'table', expected: 'an Arquero table', given: show(table), remedy: 'For a data frame take fromDataFrame.' });
  }
  return recordingOf(where, table.columnNames(), (name) => table.array(name), options);
}

/** A recording from named columns. */
export function recordingOf(where: string, names: readonly string[], read: (name: string) => ArrayLike<unknown>, options?: FromTableOptions): Recording {
  const { name = 'table', sampleRate, start } = checkOptions(where, options, { optional: ['name', 'sampleRate', 'start'] });
  const headers = names.map((header) => ({ header, ...parseHeader(header) }));
  const time = headers.find((h) => h.name === 'time');
  const rate = sampleRate ?? (time ? rateOf(where, read(time.header), time.unit) : undefined);
  checkNumber(where, 'sampleRate', rate, { above: 0, unit: 'Hz' });
  const masks = headers.filter((h) => h.unit === null && h.name.endsWith(` ${faultSuffix}`) && headers.some((c) => `${c.name} ${faultSuffix}` === h.name));
  const channels = headers.filter((h) => h !== time && !masks.includes(h)).map((h): Channel => {
    const unit = unitOf(where, h.header, h.unit);
    const mask = masks.find((m) => m.name === `${h.name} ${faultSuffix}`);
    const values = numbersOf(where, h.header, read(h.header));
    const found = { rows: values.length, column: h.header };
    return makeChannel({ name: h.name, unit, sampleRate: rate!, values, start: start ?? null, invalid: mask ? spansOf(where, mask.header, read(mask.header)) : [], step: { op: where, options: { name: h.name, unit, sampleRate: rate!, start: start ?? null }, found } });
  });
  if (channels.length === 0) throw new InputError({ where, argument: 'table', expected: 'a column besides the time', given: names.join(', ') || 'no column' });
  return makeRecording(name, channels);
}

function unitOf(where: string, header: string, text: string | null): Unit {
  if (text === null) return '?';
  const unit = parseUnit(text);
  if (unit) return unit;
  throw new InputError({ where, argument: `unit of ${header}`, expected: 'one that is known', given: show(text), remedy: 'Rename the column; the unit stands in square brackets after the name.' });
}

function numbersOf(where: string, header: string, cells: ArrayLike<unknown>): Float64Array {
  const values = new Float64Array(cells.length);
  for (let i = 0; i < cells.length; i++) {
    const cell = cells[i];
    if (typeof cell === 'number') values[i] = cell;
    else if (cell === null || cell === undefined) values[i] = NaN;
    else throw new InputError({ where, argument: `row ${i} of ${header}`, expected: 'a number or empty', given: show(cell), remedy: 'Leave columns of text out of the table first.' });
  }
  return values;
}

/** Hz of a time column whose steps are equal to a thousandth. */
function rateOf(where: string, cells: ArrayLike<unknown>, unit: string | null): number {
  const time = numbersOf(where, 'time', cells);
  const factor = unit === null ? 1 : unitConversion(unitOf(where, 'time', unit), 's', where).factor;
  const n = time.length;
  if (n < 2) throw new InputError({ where, argument: 'time', expected: 'of two rows or more', given: String(n), remedy: 'State sampleRate.' });
  const step = (time[n - 1]! - time[0]!) / (n - 1);
  for (let i = 0; i < n; i++) {
    if (!(Math.abs(time[i]! - time[0]! - i * step) <= 1e-3 * step)) {
      throw new InputError({ where, argument: 'time', expected: 'a uniform rising clock', given: `row ${i} off it by ${((time[i]! - time[0]! - i * step) * factor).toPrecision(3)} s`, remedy: 'Write the table to a file and read it with readRecording, which repairs clocks, or state sampleRate.' });
    }
  }
  // 1/step of a decimal time column is a hair off the rate it was written with: take the nearest rate of twelve digits.
  return Number((1 / (step * factor)).toPrecision(12));
}

function spansOf(where: string, header: string, cells: ArrayLike<unknown>): Span[] {
  const spans: Span[] = [];
  for (let i = 0; i < cells.length; i++) {
    const why = (cells[i] ?? null) as Cell;
    if (why === null || why === '') continue;
    if (!faults.includes(why as Fault)) throw new InputError({ where, argument: `row ${i} of ${header}`, expected: `empty or one of ${faults.map((f) => `'${f}'`).join(', ')}`, given: show(why) });
    const last = spans.at(-1);
    if (last && last.to === i && last.why === why) spans[spans.length - 1] = { ...last, to: i + 1 };
    else spans.push({ from: i, to: i + 1, why: why as Fault });
  }
  return spans;
}
