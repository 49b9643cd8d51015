import { checkNumber, show } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { ClockFitter } from '../numeric/clockFitter.js';
import { readCsvDescription, storedBlocks } from './csvStore.js';
import { openFile, type OpenFile } from './formats.js';
import { judgeClock, type ClockPlan } from './judgeClock.js';
import type { ReadOptions } from './options.js';
import { parquetBlocks, readParquetDescription } from './parquet.js';
import { formats, readRecording } from './readRecording.js';
import { checkStoredOptions, pickStored, type Stored } from './stored.js';
import { lineOfRow, textBlocks } from './textBlocks.js';
import { openText } from './textTable.js';
import { openWav, wavBlocks } from './wav.js';
import { datedOrigin, instantAfter, timeBase } from './timeBase.js';

/** Some samples of a channel, in order. */
export interface SampleBlock {
  /** The place of values[0] in the channel. */
  readonly from: number;
  readonly values: Float64Array;
  /** Masked samples of this block, counted from its first. */
  readonly invalid: readonly Span[];
}

/** A channel whose values come block by block. */
export interface ChannelStream extends AsyncIterable<SampleBlock> {
  readonly name: string;
  readonly unit: Unit;
  /** Hz. */
  readonly sampleRate: number;
  readonly start: string | null;
  /** Samples in all, where the file or the first pass over its clock says so. */
  readonly samples: number | null;
}

/** Which channel to stream, in blocks of how many samples, and how to read the file. */
export interface StreamOptions extends Omit<ReadOptions, 'columns' | 'resampleTo' | 'splitWhere' | 'block' | 'pointers' | 'name'> {
  /** The name of the channel. */
  readonly channel: string;
  /** Samples in each block but the last (default 65 536). */
  readonly blockLength?: number;
}

/**
 * Streams one channel of a file, block by block, in constant memory.
 *
 * Text tables are read twice where they hold time stamps: once over time alone, which settles the clock and its gaps, then
 * over the values. WAV, and Parquet and CSV of writeRecording, are read once. Other formats are read whole first.
 *
 * Kept: what readRecording keeps; the blocks together equal its values and masks. Every block is a fresh array.
 * Cost: one pass (two with time stamps); memory for one block.
 *
 * @param file the path
 * @param options channel: its name; blockLength; the rest as for readRecording
 * @returns name, unit, rate and start at once; iterate over it for the blocks
 * @throws InputError and FormatError as readRecording does, at once for the clock and while iterating for the values
 * @see readRecording
 * @example
 * (not run: needs a file)
 * const stream = await streamChannel('run.csv', { channel: 'torque' });
 * for await (const { values } of stream) counter.push(values);
 */
export async function streamChannel(file: string, options: StreamOptions): Promise<ChannelStream> {
  const where = 'streamChannel';
  const { channel, blockLength = 65536, ...rest } = options ?? {};
  if (typeof channel !== 'string') throw new InputError({ where, argument: 'channel', expected: 'the name of a channel', given: show(channel) });
  checkNumber(where, 'blockLength', blockLength, { integer: true, min: 1, max: 1 << 24 });
  for (const key of ['columns', 'resampleTo', 'splitWhere', 'block', 'pointers', 'name']) {
    if (key in rest) throw new InputError({ where, argument: key, expected: 'left out', given: 'a value', remedy: 'Read the file with readRecording for that.' });
  }
  const asked: ReadOptions = { ...rest, columns: [channel] };
  const { open, format } = await openFile(file, asked, where, formats);
  if (format.name === 'text') return streamText(open, asked, blockLength, where);
  if (format.name === 'CSV of writeRecording') {
    const stored = await readCsvDescription(open.path, open.file, open.gzip);
    return streamStored(open, stored, asked, blockLength, where, (picks) => storedBlocks(open, stored, picks));
  }
  if (format.name === 'Parquet') {
    const stored = await readParquetDescription(open);
    if (stored !== null) return streamStored(open, stored, asked, blockLength, where, (picks) => parquetBlocks(open, stored, picks));
  }
  if (format.name === 'WAV' && asked.sampleRate === undefined) return streamWav(open, asked, blockLength, where);
  const [whole] = (await readRecording(file, asked)).channels;
  const once = async function* (): AsyncGenerator<Float64Array> {
    yield whole!.values;
  };
  return makeStream({ name: whole!.name, unit: whole!.unit, sampleRate: whole!.sampleRate, start: whole!.start, samples: whole!.values.length }, () => cut(once(), whole!.values.length, blockLength, whole!.invalid));
}

type Facts = Omit<ChannelStream, typeof Symbol.asyncIterator>;

function makeStream(facts: Facts, blocks: () => AsyncGenerator<SampleBlock>): ChannelStream {
  return makeResult('ChannelStream', { ...facts, [Symbol.asyncIterator]: blocks }, (s) => `Stream of ${s.name} [${s.unit}] at ${s.sampleRate} Hz${s.samples === null ? '' : `, ${s.samples} samples`}`);
}

type Rows = AsyncIterable<{ readonly columns: readonly Float64Array[]; readonly rows: number }>;

async function* firstColumn(rows: Rows): AsyncGenerator<Float64Array> {
  for await (const block of rows) yield block.columns[0]!.subarray(0, block.rows);
}

function streamStored(open: OpenFile, stored: Stored, options: ReadOptions, blockLength: number, where: string, rows: (picks: readonly number[]) => Rows): ChannelStream {
  checkStoredOptions(where, options);
  const picks = pickStored(where, stored, options);
  const c = stored.channels[picks[0]!]!;
  const values = async function* (): AsyncGenerator<Float64Array> {
    let left = c.samples;
    for await (const part of firstColumn(rows(picks))) {
      yield left < part.length ? part.subarray(0, left) : part;
      left -= part.length;
      if (left <= 0) return;
    }
    throw new FormatError({ file: open.file, found: `${c.samples - left} rows`, expected: `${c.samples} rows, as its description says` });
  };
  return makeStream({ name: c.name, unit: options.units?.[c.name] ?? c.unit, sampleRate: c.sampleRate, start: c.start, samples: c.samples }, () => cut(values(), c.samples, blockLength, c.invalid));
}

async function streamWav(open: OpenFile, options: ReadOptions, blockLength: number, where: string): Promise<ChannelStream> {
  const wav = await openWav(open);
  const [name] = options.columns!;
  const pick = wav.channels.findIndex((c) => c.name === name);
  if (pick < 0) throw new InputError({ where, argument: 'channel', expected: `one of ${wav.channels.map((c) => `'${c.name}'`).join(', ')}`, given: `'${name}'` });
  const unit = options.units?.[name!] ?? wav.channels[pick]!.unit;
  return makeStream({ name: name!, unit, sampleRate: wav.format.sampleRate, start: wav.start, samples: wav.frames }, () => cut(firstColumn(wavBlocks(open, wav, [pick])), wav.frames, blockLength, []));
}

async function streamText(open: OpenFile, options: ReadOptions, blockLength: number, where: string): Promise<ChannelStream> {
  const text = await openText(open.path, open.size, options, where);
  const column = text.dialect.columns[text.picks[0]!]!;
  const values = (): AsyncGenerator<Float64Array> => firstColumn(textBlocks(text, text.picks, -1, 0));
  const facts = { name: column.name, unit: options.units?.[column.name] ?? column.unit };
  if (text.time === null || options.sampleRate !== undefined) return makeStream({ ...facts, sampleRate: options.sampleRate!, start: null, samples: null }, () => cut(values(), Infinity, blockLength, []));
  const fitter = new ClockFitter({ ...(options.maxJitter === undefined ? {} : { maxJitter: options.maxJitter }), ...(options.onDoubledStamp === undefined ? {} : { onDoubledStamp: options.onDoubledStamp }) });
  const timeColumn = text.dialect.columns[text.time]!;
  const stated = text.firstStamp !== null ? null : { unit: options.timeUnit };
  let origin: bigint | null = text.firstStamp === null ? null : datedOrigin(where, timeColumn.name, text.firstStamp, text.zoned, options).origin;
  let shift = 0;
  let firstTime = NaN;
  for await (const block of textBlocks(text, [text.time], text.firstStamp === null ? -1 : 0, text.firstStamp ?? 0)) {
    let stamps = block.columns[0]!.subarray(0, block.rows);
    if (stated) {
      const base = timeBase(open.file, timeColumn, stamps, stated.unit === undefined ? options : { ...options, timeUnit: stated.unit });
      stated.unit ??= base.about['timeUnit'] as NonNullable<ReadOptions['timeUnit']>;
      stamps = base.time;
      if (base.origin !== null) {
        origin ??= base.origin;
        shift = Number(base.origin - origin) * 1e-9;
        if (shift !== 0) stamps = stamps.map((t) => t + shift);
      }
    }
    if (Number.isNaN(firstTime)) firstTime = stamps[0]!;
    fitter.push(stamps);
  }
  const plan = await judgeClock(open.file, fitter.finish(), options, (row) => lineOfRow(text, row));
  const start = instantAfter(origin, firstTime);
  return makeStream({ ...facts, sampleRate: plan.sampleRate, start, samples: plan.samples }, () => cut(placed(values(), plan), plan.samples, blockLength, plan.gaps));
}

/** Rows at their places, with NaN in the gaps. */
async function* placed(rows: AsyncGenerator<Float64Array>, plan: ClockPlan): AsyncGenerator<Float64Array> {
  if (plan.pieces === null) {
    yield* rows;
    return;
  }
  let piece = 0;
  let at = 0;
  let row = 0;
  for await (const part of rows) {
    const end = row + part.length;
    while (piece < plan.pieces.length && plan.pieces[piece]!.row < end) {
      const p = plan.pieces[piece]!;
      const from = Math.max(row, p.row);
      const to = Math.min(end, p.row + p.rows);
      const sample = p.sample + from - p.row;
      for (; at < sample; at += Math.min(1 << 16, sample - at)) yield new Float64Array(Math.min(1 << 16, sample - at)).fill(NaN);
      yield part.subarray(from - row, to - row);
      at = sample + to - from;
      if (p.row + p.rows > end) break;
      piece++;
    }
    row = end;
  }
}

/** Blocks of one length, each with its part of the masks; samples that are not finite are masked too. */
async function* cut(parts: AsyncGenerator<Float64Array>, samples: number, blockLength: number, invalid: readonly Span[]): AsyncGenerator<SampleBlock> {
  let block = new Float64Array(Math.min(blockLength, samples));
  let filled = 0;
  let from = 0;
  let span = 0;
  const close = (values: Float64Array): SampleBlock => {
    while (span < invalid.length && invalid[span]!.to <= from) span++;
    const near: Span[] = [];
    for (let i = span; i < invalid.length && invalid[i]!.from < from + values.length; i++) {
      const s = invalid[i]!;
      near.push({ from: Math.max(0, s.from - from), to: Math.min(values.length, s.to - from), why: s.why });
    }
    return { from, values, invalid: maskNotFinite(values, near) };
  };
  for await (const part of parts) {
    for (let at = 0; at < part.length;) {
      const count = Math.min(part.length - at, block.length - filled);
      block.set(part.subarray(at, at + count), filled);
      filled += count;
      at += count;
      if (filled < block.length) continue;
      yield close(block);
      from += filled;
      filled = 0;
      block = new Float64Array(Math.min(blockLength, Math.max(1, samples - from)));
    }
  }
  if (filled > 0) yield close(block.slice(0, filled));
}

function maskNotFinite(values: Float64Array, spans: readonly Span[]): readonly Span[] {
  const out: Span[] = [];
  let next = 0;
  for (let i = 0; i < values.length;) {
    if (next < spans.length && spans[next]!.from === i) {
      out.push(spans[next]!);
      i = spans[next]!.to;
      next++;
    } else if (values[i]! * 0 !== 0) {
      const last = out.at(-1);
      if (last && last.to === i && last.why === 'not a number') out[out.length - 1] = { ...last, to: i + 1 };
      else out.push({ from: i, to: i + 1, why: 'not a number' });
      i++;
    } else i++;
  }
  return out;
}
