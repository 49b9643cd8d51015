import { FormatError, InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import type { OpenFile } from './formats.js';
import { judgeClock, refuseOrder } from './judgeClock.js';
import type { ReadOptions } from './options.js';
import { instantAfter } from './timeBase.js';
import { blocksOf, fitStamps, type RawTable } from './table.js';

/** One column or data set of a file, and what becomes of it. */
export interface ColumnDescription {
  readonly name: string;
  readonly unit: Unit;
  /** The unit as the file spells it, or null. */
  readonly unitInFile: string | null;
  readonly type: 'number' | 'date-time' | 'text';
  readonly use: 'time' | 'channel' | 'left out';
  /** Hz, of a channel; null for what is none, and where it cannot be said yet. */
  readonly sampleRate: number | null;
  /** Samples of the channel on its clock, gaps among them; null likewise. */
  readonly samples: number | null;
}

/** A column before its clock is known. */
export type ColumnFound = Omit<ColumnDescription, 'sampleRate' | 'samples'>;

/** How a text file is laid out. Lines count from 1. */
export interface TextLayout {
  readonly delimiter: string;
  readonly decimal: '.' | ',';
  readonly thousands: ',' | '.' | null;
  /** The file is packed with gzip. */
  readonly packed: boolean;
  readonly preamble: readonly string[];
  readonly headerLine: number | null;
  readonly unitsLine: number | null;
  readonly firstDataLine: number;
  readonly trailingDelimiter: boolean;
}

/** What readRecording would read from a file, and why. */
export interface FileDescription {
  readonly file: string;
  readonly format: string;
  /** Bytes. */
  readonly size: number;
  /** Text files only. */
  readonly layout: TextLayout | null;
  readonly columns: readonly ColumnDescription[];
  readonly rows: number;
  /** Where time comes from, in words. */
  readonly clock: string;
  /** Hz; null where it cannot be said yet or differs from channel to channel. */
  readonly sampleRate: number | null;
  readonly samples: number | null;
  /** Seconds from the first sample to the end of the last, of the longest channel; null where the clock cannot be said yet. */
  readonly duration: number | null;
  readonly start: string | null;
  /** Recordings that the splitting rule finds. */
  readonly blocks: number;
  /** What reading would refuse as it is asked now, each with its way out. */
  readonly refusals: readonly string[];
  readonly notes: readonly string[];
}

/** Makes the description; it reads as one line in a console. Rates that differ stand beside their channels. */
export function makeDescription(data: Omit<FileDescription, 'duration'>): FileDescription {
  const spans = data.columns.flatMap((c) => (c.use !== 'channel' ? [] : [c.sampleRate === null || c.samples === null ? null : c.samples / c.sampleRate]));
  const duration = spans.length === 0 || spans.includes(null) ? null : Math.max(...(spans as number[]));
  return makeResult('FileDescription', { ...data, duration }, (d) => {
    const used = d.columns.filter((c) => c.use === 'channel');
    const mixed = used.some((c) => c.sampleRate !== used[0]!.sampleRate);
    const channels = used.map((c) => `${c.name} [${c.unit}${mixed ? `, ${c.sampleRate === null ? 'rate not known' : `${c.sampleRate} Hz`}` : ''}]`).join(', ');
    return `${d.file}: ${d.format}, ${d.rows} rows of ${channels || 'nothing'}${d.duration === null ? '' : `, ${Number(d.duration.toPrecision(6))} s`}, ${d.clock}${d.refusals.length > 0 ? `; not readable as it stands: ${d.refusals.join(' ')}` : ''}`;
  });
}

const noClock = { sampleRate: null, samples: null };

/** The description of a table: its clock is tried as reading would, and refusals are collected instead of thrown. */
export async function describeTable(open: OpenFile, format: string, table: RawTable, options: ReadOptions, where: string, parts: { readonly layout: TextLayout | null; readonly columns: readonly ColumnFound[]; readonly notes: readonly string[] }): Promise<FileDescription> {
  const about = table.about as { readonly timeColumn?: string; readonly timeUnit?: string; readonly timeUnitFrom?: string; readonly note?: string };
  const { rows } = table;
  const refusals: string[] = [];
  let sampleRate: number | null = options.sampleRate ?? table.sampleRate ?? null;
  let samples: number | null = sampleRate === null ? null : rows;
  let blocks = 1;
  const stamps = table.time === null ? '' : `time from the column ${about.timeColumn ?? 'time'} (${about.timeUnit ?? 's'}${about.timeUnitFrom ? `, ${about.timeUnitFrom}` : ''})`;
  let clock = table.time === null || options.sampleRate !== undefined ? (sampleRate === null ? 'no time stamps and no sample rate' : `evenly spaced at ${sampleRate} Hz, as ${options.sampleRate === undefined ? 'the file states' : 'stated'}`) : stamps;
  if (table.time === null && sampleRate === null) refusals.push(`${open.file}: expected time stamps or a sample rate, found neither. Give sampleRate (Hz), or timeColumn by name.`);
  if (table.time !== null && options.sampleRate === undefined) {
    try {
      const found = typeof options.splitWhere === 'object' && 'columnChanges' in options.splitWhere ? [{ from: 0, to: rows }] : blocksOf(table, options.splitWhere, where);
      blocks = found.length;
      const block = found[Math.min(options.block ?? 1, blocks) - 1]!;
      const report = fitStamps(table.time.slice(block.from, block.to), options);
      if (options.resampleTo !== undefined) {
        await refuseOrder(open.file, report, options, table.lineOf);
        sampleRate = options.resampleTo.sampleRate;
        clock = `${stamps}, interpolated to ${sampleRate} Hz`;
      } else {
        const plan = await judgeClock(open.file, report, options, (row) => table.lineOf(row + block.from));
        sampleRate = plan.sampleRate;
        samples = plan.samples;
        clock = `${stamps}: ${sampleRate} Hz, ${report.maxJitter < 1e-9 ? 'no jitter' : `jitter up to ${Number((report.maxJitter * 1e6).toPrecision(3))} µs`}, ${plan.gaps.length} gap${plan.gaps.length === 1 ? '' : 's'}`;
      }
    } catch (error) {
      if (!(error instanceof FormatError || error instanceof InputError)) throw error;
      refusals.push(error.message);
    }
  }
  return makeDescription({
    file: open.file, format, size: open.size, layout: parts.layout, columns: parts.columns.map((c) => ({ ...c, ...(c.use === 'channel' ? { sampleRate, samples } : noClock) })), rows, clock, sampleRate, samples,
    start: instantAfter(table.origin, table.time?.[0] ?? 0), blocks, refusals,
    notes: [...parts.notes, ...(about.note ? [about.note] : [])],
  });
}
