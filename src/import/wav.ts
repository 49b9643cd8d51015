import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { FormatError, InputError } from '../record/errors.js';
import { instantToNanoseconds } from '../record/time.js';
import { isUnit, type Unit } from '../record/units.js';
import { ByteReader, bytesOf, readNumbers, type NumberKind } from './ByteReader.js';
import { startsWith, type OpenFile } from './formats.js';
import { tablesFormat, type RawFile } from './tablesFormat.js';

/** What the calibration file beside a WAV file (`run.wav` → `run.wav.json`) may say. */
export interface WavCalibration {
  /** ISO 8601 UTC of the first sample. */
  readonly start?: string;
  /** One entry a channel: value = scale · sample + offset, the sample as a part of full scale (−1 … 1). */
  readonly channels: readonly { readonly name: string; readonly unit: Unit; readonly scale: number; readonly offset?: number }[];
}

interface WavFormat { readonly kind: NumberKind; readonly float: boolean; readonly channels: number; readonly sampleRate: number; readonly frameBytes: number; readonly bits: number }

/**
 * WAV, also RF64 and BW64 (more than 4 GiB): PCM of 8 to 32 bits and IEEE float. Samples are parts of full scale until the
 * calibration file beside it says what full scale means.
 *
 * @references Multimedia Programming Interface and Data Specifications 1.0 (IBM, Microsoft, 1991), RIFF WAVE; EBU Tech 3306, RF64 (2009); ITU-R BS.2088, BW64 (2019).
 */
export const wavFormat: ReturnType<typeof tablesFormat> = tablesFormat('WAV', (open) => ['RIFF', 'RF64', 'BW64'].some((id) => startsWith(open.head, id)) && startsWith(open.head, 'WAVE', 8), async (open) => {
  const reader = new ByteReader(open.file, await readFile(open.path));
  const { format, data } = findChunks(reader);
  const calibration = await readCalibration(open, format.channels);
  const frames = Math.floor(data.length / format.frameBytes);
  if (frames === 0) throw new FormatError({ file: open.file, found: 'no sample', expected: 'at least one' });
  const full = format.float ? 1 : 2 ** (format.bits - 1);
  const columns = Array.from({ length: format.channels }, (_, c) => {
    const entry = calibration?.channels[c];
    const values = readNumbers(reader.bytes, format.kind, true, data.at + c * bytesOf[format.kind], frames, format.frameBytes);
    const { scale = 1, offset = 0 } = entry ?? {};
    const zero = format.kind === 'uint8' ? 128 : 0;
    for (let i = 0; i < frames; i++) values[i] = ((values[i]! - zero) / full) * scale + offset;
    return {
      name: entry?.name ?? `channel ${c + 1}`, unit: entry?.unit ?? ('1' as Unit), values,
      about: { channel: c + 1, bits: format.bits, coding: format.float ? 'float' : 'PCM', scale, offset, unitInFile: entry?.unit ?? null, calibration: calibration ? `${open.file}.json` : null },
    };
  });
  return {
    tables: [{ file: open.file, columns, time: null, sampleRate: format.sampleRate, origin: calibration?.start === undefined ? null : instantToNanoseconds(calibration.start), about: { format: 'WAV' }, lineOf: async () => null }],
    notes: calibration ? [`scaled by ${open.file}.json`] : [`no calibration file ${open.file}.json: samples are parts of full scale`],
  } satisfies RawFile;
});

function findChunks(reader: ByteReader): { readonly format: WavFormat; readonly data: { readonly at: number; readonly length: number } } {
  const large = reader.text(0, 4, 'the header') !== 'RIFF';
  let at = 12;
  let format: WavFormat | null = null;
  let wide: number | null = null;
  while (at + 8 <= reader.bytes.length) {
    const id = reader.text(at, 4, 'a chunk');
    let length = reader.u32(at + 4, 'the length of a chunk');
    at += 8;
    if (id === 'ds64') wide = reader.u64(at + 8, 'the 64-bit length of the data');
    if (id === 'fmt ') format = readFormat(reader, at, length);
    if (id === 'data') {
      if (length === 0xffffffff && large && wide !== null) length = wide;
      if (!format) throw new FormatError({ file: reader.file, found: 'samples before their format', expected: "a 'fmt ' chunk first" });
      reader.need(at, length, "the chunk 'data'");
      return { format, data: { at, length } };
    }
    reader.need(at, length, `the chunk ${show(id)}`);
    at += length + (length % 2);
  }
  throw new FormatError({ file: reader.file, found: "no chunk 'data'", expected: 'samples', remedy: 'Copy the file again from where it was recorded.' });
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
