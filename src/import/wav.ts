import { open as openHandle, readFile, type FileHandle } from 'node:fs/promises';
import { basename } from 'node:path';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { instantToNanoseconds, nanosecondsToInstant } from '../record/time.js';
import { isUnit, type Unit } from '../record/units.js';
import { ByteReader, bytesOf, readNumbers, type NumberKind } from './ByteReader.js';
import { startsWith, type OpenFile } from './formats.js';
import { notRead } from './table.js';
import { tablesFormat, type RawFile } from './tablesFormat.js';

/** What the calibration file beside a WAV file (`run.wav` → `run.wav.json`) may say. */
export interface WavCalibration {
  /** ISO 8601 UTC of the first sample. */
  readonly start?: string;
  /** One entry a channel: value = scale · sample + offset, the sample as a part of full scale (−1 … 1). */
  readonly channels: readonly { readonly name: string; readonly unit: Unit; readonly scale: number; readonly offset?: number }[];
}

const mostChannels = 1024;

interface WavFormat { readonly kind: NumberKind; readonly float: boolean; readonly channels: number; readonly sampleRate: number; readonly frameBytes: number; readonly bits: number }

/**
 * WAV, also RF64 and BW64 (more than 4 GiB): PCM of 8 to 32 bits and IEEE float. Samples are parts of full scale until the
 * calibration file beside it says what full scale means.
 *
 * @references Multimedia Programming Interface and Data Specifications 1.0 (IBM, Microsoft, 1991), RIFF WAVE; EBU Tech 3306, RF64 (2009); ITU-R BS.2088, BW64 (2019).
 */
export const wavFormat: ReturnType<typeof tablesFormat> = tablesFormat('WAV', (open) => ['RIFF', 'RF64', 'BW64'].some((id) => startsWith(open.head, id)) && startsWith(open.head, 'WAVE', 8), async (open, _options, _where, whole) => {
  const wav = await openWav(open);
  const all = wav.channels.map((_, i) => i);
  const columns = wav.channels.map((channel) => ({
    name: channel.name, unit: channel.unit, values: whole ? new Float64Array(wav.frames) : notRead,
    about: { channel: channel.place + 1, bits: wav.format.bits, coding: wav.format.float ? 'float' : 'PCM', scale: channel.scale, offset: channel.offset, unitInFile: channel.stated ? channel.unit : null, calibration: channel.stated ? `${open.file}.json` : null },
  }));
  let at = 0;
  if (whole) for await (const block of wavBlocks(open, wav, all)) {
    columns.forEach((column, j) => column.values.set(block.columns[j]!.subarray(0, block.rows), at));
    at += block.rows;
  }
  return {
    tables: [{ file: open.file, columns, rows: wav.frames, time: null, sampleRate: wav.format.sampleRate, origin: wav.start === null ? null : instantToNanoseconds(wav.start), about: { format: 'WAV' }, lineOf: async () => null }],
    notes: [...cutOff(wav), wav.channels[0]!.stated ? `scaled by ${open.file}.json` : `no calibration file ${open.file}.json: samples are parts of full scale`],
  } satisfies RawFile;
});

/** A note of what stands behind the last whole frame. */
function cutOff({ data, format, frames }: OpenWav): string[] {
  const left = data.length - frames * format.frameBytes;
  return left === 0 ? [] : [`the last ${left} byte${left === 1 ? '' : 's'} of the samples, which make no whole frame of ${format.frameBytes}, left out`];
}

/** One channel of a WAV file: value = scale · sample + offset. */
interface WavChannel { readonly place: number; readonly name: string; readonly unit: Unit; readonly scale: number; readonly offset: number; readonly stated: boolean }

/** A WAV file whose layout is known. */
export interface OpenWav { readonly format: WavFormat; readonly data: Place; readonly frames: number; readonly channels: readonly WavChannel[]; readonly start: string | null }

interface Place { readonly at: number; readonly length: number }

/** Finds the format, the samples and the calibration of a WAV file, without reading the samples. */
export async function openWav(open: OpenFile): Promise<OpenWav> {
  const handle = await openHandle(open.path, 'r');
  let found: { readonly format: WavFormat; readonly data: Place };
  try {
    found = await findChunks(open, handle);
  } finally {
    await handle.close();
  }
  const { format, data } = found;
  const frames = Math.floor(data.length / format.frameBytes);
  if (frames === 0) throw new FormatError({ file: open.file, found: 'no sample', expected: 'at least one' });
  const calibration = await readCalibration(open, format.channels);
  const channels = Array.from({ length: format.channels }, (_, place): WavChannel => {
    const entry = calibration?.channels[place];
    return { place, name: entry?.name ?? `channel ${place + 1}`, unit: entry?.unit ?? '1', scale: entry?.scale ?? 1, offset: entry?.offset ?? 0, stated: entry !== undefined };
  });
  return { format, data, frames, channels, start: calibration?.start === undefined ? null : nanosecondsToInstant(instantToNanoseconds(calibration.start)) };
}

/** The scaled samples of some channels, block by block. */
export async function* wavBlocks(open: OpenFile, { format, data, frames, channels }: OpenWav, picks: readonly number[]): AsyncGenerator<{ readonly columns: readonly Float64Array[]; readonly rows: number }> {
  const full = format.float ? 1 : 2 ** (format.bits - 1);
  const zero = format.kind === 'uint8' ? 128 : 0;
  const perBlock = Math.max(1, Math.floor((1 << 20) / format.frameBytes));
  const bytes = new Uint8Array(Math.min(frames, perBlock) * format.frameBytes);
  const handle = await openHandle(open.path, 'r');
  try {
    for (let from = 0; from < frames; from += perBlock) {
      const rows = Math.min(perBlock, frames - from);
      const { bytesRead } = await handle.read(bytes, 0, rows * format.frameBytes, data.at + from * format.frameBytes);
      if (bytesRead < rows * format.frameBytes) throw new FormatError({ file: open.file, found: 'a file that became shorter while it was read', expected: 'a complete file' });
      yield { rows, columns: picks.map((pick) => {
        const { place, scale, offset } = channels[pick]!;
        const values = readNumbers(bytes, format.kind, true, place * bytesOf[format.kind], rows, format.frameBytes);
        for (let i = 0; i < rows; i++) values[i] = ((values[i]! - zero) / full) * scale + offset;
        return values;
      }) };
    }
  } finally {
    await handle.close();
  }
}

/** Walks through the chunks by their heads alone, as files of more than 4 GiB need it. */
async function findChunks(open: OpenFile, handle: FileHandle): Promise<{ readonly format: WavFormat; readonly data: Place }> {
  const headAt = async (at: number): Promise<ByteReader> => {
    const bytes = new Uint8Array(Math.max(0, Math.min(64, open.size - at)));
    await handle.read(bytes, 0, bytes.length, at);
    return new ByteReader(open.file, bytes);
  };
  const large = (await headAt(0)).text(0, 4, 'the header') !== 'RIFF';
  let format: WavFormat | null = null;
  let wide: number | null = null;
  for (let at = 12; at + 8 <= open.size;) {
    const chunk = await headAt(at);
    const id = chunk.text(0, 4, 'a chunk');
    let length = chunk.u32(4, 'the length of a chunk');
    at += 8;
    if (id === 'ds64') wide = chunk.u64(16, 'the 64-bit length of the data');
    if (id === 'fmt ') format = readFormat(chunk, 8, length);
    if (id === 'data' && length === 0xffffffff && large && wide !== null) length = wide;
    if (at + length > open.size) throw new FormatError({ file: open.file, found: `the chunk ${show(id)} at byte ${at} of ${length} bytes in a file of ${open.size}`, expected: 'a complete file', remedy: 'Copy the file again from where it was recorded.' });
    if (id === 'data') {
      if (!format) throw new FormatError({ file: open.file, found: 'samples before their format', expected: "a 'fmt ' chunk first" });
      return { format, data: { at, length } };
    }
    at += length + (length % 2);
  }
  throw new FormatError({ file: open.file, found: "no chunk 'data'", expected: 'samples', remedy: 'Copy the file again from where it was recorded.' });
}

function readFormat(reader: ByteReader, at: number, length: number): WavFormat {
  if (length < 16) throw new FormatError({ file: reader.file, found: `a 'fmt ' chunk of ${length} bytes`, expected: 'at least 16' });
  let tag = reader.u16(at, 'the format tag');
  const channels = reader.u16(at + 2, 'the number of channels');
  const sampleRate = reader.u32(at + 4, 'the sample rate');
  const frameBytes = reader.u16(at + 12, 'the size of a frame');
  const bits = reader.u16(at + 14, 'the bits of a sample');
  if (tag === 0xfffe && length >= 26) tag = reader.u16(at + 24, 'the extended format tag');
  const kind = tag === 1 ? ({ 8: 'uint8', 16: 'int16', 24: 'int24', 32: 'int32' } as const)[bits] : tag === 3 ? ({ 32: 'float32', 64: 'float64' } as const)[bits] : undefined;
  if (kind === undefined) throw new FormatError({ file: reader.file, found: `samples of format ${tag} with ${bits} bits`, expected: 'PCM of 8, 16, 24 or 32 bits, or float of 32 or 64 bits', remedy: 'Export it uncompressed.' });
  if (channels > mostChannels) throw new FormatError({ file: reader.file, found: `${channels} channels`, expected: `at most ${mostChannels}` });
  if (channels === 0 || sampleRate === 0 || frameBytes !== channels * bytesOf[kind]) {
    throw new FormatError({ file: reader.file, found: `${channels} channels at ${sampleRate} Hz in frames of ${frameBytes} bytes`, expected: 'a format that agrees with itself' });
  }
  return { kind, float: tag === 3, channels, sampleRate, frameBytes, bits };
}

async function readCalibration(open: OpenFile, channels: number): Promise<WavCalibration | null> {
  const path = `${open.path}.json`;
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
  const file = basename(path);
  try {
    return checkCalibration(JSON.parse(text), channels);
  } catch (error) {
    if (!(error instanceof InputError || error instanceof SyntaxError)) throw error;
    throw new FormatError({ file, found: error.message.replace(/\.+$/, ''), expected: `a calibration of ${channels} channel${channels === 1 ? '' : 's'}, each with name, unit, scale and, where it is not 0, offset` });
  }
}

function checkCalibration(value: unknown, channels: number): WavCalibration {
  const where = 'calibration';
  const c = checkOptions(where, value as WavCalibration, { required: ['channels'], optional: ['start'] });
  if (!Array.isArray(c.channels) || c.channels.length !== channels) throw new InputError({ where, argument: 'channels', expected: `an array of ${channels}`, given: show(c.channels) });
  for (const [i, entry] of c.channels.entries()) {
    checkOptions(where, entry, { required: ['name', 'unit', 'scale'], optional: ['offset'] });
    if (typeof entry.name !== 'string' || entry.name.trim() === '') throw new InputError({ where, argument: `channels[${i}].name`, expected: 'a name', given: show(entry.name) });
    if (!isUnit(entry.unit)) throw new InputError({ where, argument: `channels[${i}].unit`, expected: 'a known unit such as N·m', given: show(entry.unit) });
    checkNumber(where, `channels[${i}].scale`, entry.scale);
    if (entry.offset !== undefined) checkNumber(where, `channels[${i}].offset`, entry.offset);
  }
  if (c.start !== undefined) instantToNanoseconds(c.start);
  return c;
}
