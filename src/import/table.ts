import { makeChannel, type Channel } from '../record/Channel.js';
import { nearest } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { sliceSpans, spansWhere, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { ClockFitter } from '../numeric/clockFitter.js';
import { interpolateInTime } from './interpolate.js';
import { judgeClock, placeRows, placeSpans, refuseOrder, type ClockPlan, type LineOf } from './judgeClock.js';
import type { ReadOptions } from './options.js';
import { instantAfter } from './timeBase.js';

/** A column of numbers as it stands in a file, row by row. */
export interface RawColumn {
  readonly name: string;
  readonly unit: Unit;
  readonly values: Float64Array;
  /** Rows that the file itself marks as invalid. */
  readonly invalid?: readonly Span[];
  /** What the trail should say about it. */
  readonly about: Readonly<Record<string, unknown>>;
}

/** In place of values that a description need not read. */
export const notRead: Float64Array = new Float64Array(0);

/** Rows of numbers with or without time stamps, before they are laid on a clock. */
export interface RawTable {
  /** The file's base name, for messages and the trail. */
  readonly file: string;
  readonly columns: readonly RawColumn[];
  readonly rows: number;
  /** Seconds; null where the rows are evenly spaced, by the file's own rate or that of the options. */
  readonly time: Float64Array | null;
  /** The rate that the file states, Hz. */
  readonly sampleRate?: number;
  /** The instant of time zero, nanoseconds since 1970 UTC, or null. */
  readonly origin: bigint | null;
  readonly about: Readonly<Record<string, unknown>>;
  readonly lineOf: LineOf;
}

/** Rows from ≤ row < to of one recording in a file. */
export interface Block {
  readonly from: number;
  readonly to: number;
}

/** Where the recordings in a table begin and end. @throws InputError for a column that is not there */
export function blocksOf(table: RawTable, rule: ReadOptions['splitWhere'], where: string): readonly Block[] {
  const { rows } = table;
  if (rule === undefined) return [{ from: 0, to: rows }];
  const named = typeof rule === 'object' && 'columnChanges' in rule ? findColumn(where, table.columns, rule.columnChanges, 'splitWhere.columnChanges') : null;
  const x = named ? named.values : table.time;
  if (x === null) throw new InputError({ where, argument: 'splitWhere', expected: 'used with time stamps', given: 'a file without any', remedy: 'Split by { columnChanges: name }.' });
  const jump = typeof rule === 'object' && 'gapLongerThan' in rule ? rule.gapLongerThan : Infinity;
  const blocks: Block[] = [];
  let from = 0;
  for (let i = 1; i < rows; i++) {
    const d = x[i]! - x[i - 1]!;
    if (named ? d !== 0 : d < 0 || d > jump) {
      blocks.push({ from, to: i });
      from = i;
    }
  }
  blocks.push({ from, to: rows });
  return blocks;
}

function findColumn(where: string, columns: readonly RawColumn[], name: string, argument: string): RawColumn {
  const column = columns.find((c) => c.name === name);
  if (column) return column;
  const names = columns.map((c) => c.name);
  const near = nearest(name, names);
  throw new InputError({ where, argument, expected: `one of ${names.map((n) => `'${n}'`).join(', ')}`, given: `'${name}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
}

/** Lays one block of a table on a uniform clock: one channel a column, each with its first step. */
export async function tableToChannels(table: RawTable, block: Block, options: ReadOptions, where: string, sha256: string): Promise<Channel[]> {
  const splitName = typeof options.splitWhere === 'object' && 'columnChanges' in options.splitWhere ? options.splitWhere.columnChanges : null;
  const columns = table.columns.filter((c) => c.name !== splitName);
  if (columns.length === 0) throw new FormatError({ file: table.file, found: 'no column of numbers besides time', expected: 'at least one measured quantity' });
  const whole = block.from === 0 && block.to === table.rows;
  const part = (values: Float64Array): Float64Array => (whole ? values : values.slice(block.from, block.to));
  const time = table.time === null ? null : part(table.time);
  const lineOf: LineOf = (row) => table.lineOf(row + block.from);
  const lay = await clockOf(table, time, block.to - block.from, options, lineOf, where);
  const start = instantAfter(table.origin, time?.[0] ?? 0);
  const splitAt = splitName === null ? {} : { splitValue: table.columns.find((c) => c.name === splitName)!.values[block.from] };
  return columns.map((column) => {
    const laid = lay.apply(part(column.values), sliceSpans(column.invalid ?? [], block.from, block.to));
    let notANumber = 0;
    for (const v of laid.values) if (v !== v) notANumber++;
    for (const gap of laid.gaps) if (gap.why === 'clock gap') notANumber -= gap.to - gap.from;
    return makeChannel({
      name: column.name, unit: options.units?.[column.name] ?? column.unit, sampleRate: lay.sampleRate, values: laid.values, start, invalid: laid.gaps,
      step: {
        op: where, options: { file: table.file, ...options },
        found: { sha256, ...table.about, ...column.about, rows: block.to - block.from, ...(whole ? {} : { firstRow: block.from }), ...splitAt, ...lay.found, samples: laid.values.length, notANumber },
      },
    });
  });
}

interface Lay {
  readonly sampleRate: number;
  readonly found: Readonly<Record<string, unknown>>;
  readonly apply: (values: Float64Array, invalid: readonly Span[]) => { readonly values: Float64Array; readonly gaps: readonly Span[] };
}

async function clockOf(table: RawTable, time: Float64Array | null, rows: number, options: ReadOptions, lineOf: LineOf, where: string): Promise<Lay> {
  const { file } = table;
  if (rows === 0) throw new FormatError({ file, found: 'no row of numbers', expected: 'at least one row' });
  if (time === null || options.sampleRate !== undefined) {
    const sampleRate = options.sampleRate ?? table.sampleRate;
    if (sampleRate === undefined) throw new FormatError({ file, found: 'neither time stamps nor a sample rate', expected: 'one of them', remedy: 'Give sampleRate (Hz), or timeColumn by name.' });
    return { sampleRate, found: { sampleRate, clock: options.sampleRate === undefined ? 'as the file states' : 'as stated' }, apply: (values, gaps) => ({ values, gaps }) };
  }
  const report = fitStamps(time, options);
  if (options.resampleTo !== undefined) {
    await refuseOrder(file, report, options, lineOf);
    return resampling(time, report.typical, options, where);
  }
  const plan: ClockPlan = await judgeClock(file, report, options, lineOf);
  return { sampleRate: plan.sampleRate, found: { clock: 'from stamps', sampleRate: plan.sampleRate, ...plan.found }, apply: (values, invalid) => ({ values: placeRows(values, plan), gaps: [...plan.gaps, ...placeSpans(invalid, plan)] }) };
}

/** What the stamps of a block say. */
export function fitStamps(time: Float64Array, options: ReadOptions): ReturnType<ClockFitter['finish']> {
  const fitter = new ClockFitter({ ...(options.maxJitter === undefined ? {} : { maxJitter: options.maxJitter }), ...(options.onDoubledStamp === undefined ? {} : { onDoubledStamp: options.onDoubledStamp }) });
  fitter.push(time);
  return fitter.finish();
}

function resampling(time: Float64Array, typical: number, options: ReadOptions, where: string): Lay {
  const { sampleRate, maxGap = 10 * typical } = options.resampleTo!;
  const rule = options.onDoubledStamp;
  const keep: number[] = [];
  for (let i = 0; i < time.length; i++) {
    const same = i > 0 && time[i] === time[i - 1];
    if (!same) keep.push(i);
    else if (rule === 'keep last') keep[keep.length - 1] = i;
    else if (rule !== 'keep first') throw new InputError({ where, argument: 'onDoubledStamp', expected: "'keep first' or 'keep last' together with resampleTo", given: `'${rule}'` });
  }
  const samples = (time.at(-1)! - time[0]!) * sampleRate;
  if (samples > 1000 * time.length) {
    throw new InputError({
      where, argument: 'resampleTo.sampleRate', expected: `at most ${Number((1000 * time.length / (time.at(-1)! - time[0]!)).toPrecision(3))} Hz, a thousand samples for each of ${time.length} rows`, given: `${sampleRate} Hz`,
      remedy: 'Split at the pauses with splitWhere: { gapLongerThan: seconds } if there are any.',
    });
  }
  const thin = (values: Float64Array): Float64Array => (keep.length === time.length ? values : Float64Array.from(keep, (i) => values[i]!));
  const kept = thin(time);
  let longest = 0;
  for (let i = 1; i < kept.length; i++) longest = Math.max(longest, kept[i]! - kept[i - 1]!);
  return {
    sampleRate, apply: (values, invalid) => {
      const { values: laid, gaps } = interpolateInTime(kept, thin(values), sampleRate, maxGap);
      return { values: laid, gaps: invalid.length === 0 ? gaps : [...gaps, ...invalidSamples(kept, thin(indicator(time.length, invalid)), sampleRate)] };
    },
    found: { clock: 'interpolated linearly in time', sampleRate, medianInterval: typical, longestInterval: longest, maxGap, droppedRows: time.length - keep.length },
  };
}

function indicator(rows: number, invalid: readonly Span[]): Float64Array {
  const marks = new Float64Array(rows);
  for (const span of invalid) marks.fill(1, span.from, span.to);
  return marks;
}

/** Samples that were interpolated from at least one invalid row. */
function invalidSamples(times: Float64Array, marks: Float64Array, sampleRate: number): Span[] {
  const { values } = interpolateInTime(times, marks, sampleRate, Infinity);
  return spansWhere(values.length, (i) => values[i]! > 0, 'invalid in file');
}
