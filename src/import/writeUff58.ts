import { createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import type { Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { validityMask } from '../record/Channel.js';
import { quantityOf, type Unit } from '../record/units.js';
import { rateOf } from './uff58.js';

/** Specific data types of ordinates in dataset 58, by quantity. */
const ordinateType: Readonly<Record<string, number>> = { stress: 2, strain: 3, temperature: 5, length: 8, speed: 11, acceleration: 12, force: 13, time: 17, frequency: 18, 'angular speed': 19 };

/** How the numbers of a dataset 58 are written. */
export type UniversalEncoding = 'ascii' | 'binary';

const perBlock = 8192;

/**
 * Writes each channel as one dataset 58, evenly spaced, of type 4 (real, double precision): as dataset 58b (binary, to the
 * last bit), or as text in records of 4E20.12, which hold 13 digits of each value. The format has no place for masks and
 * trails: masked samples become NaN, and the fourth line says how many.
 */
export async function writeUff58(recording: Recording, temporary: string, encoding: UniversalEncoding): Promise<void> {
  for (const c of recording.channels) {
    if (rateOf(1 / c.sampleRate) !== c.sampleRate) throw new InputError({ where: 'writeRecording', argument: `sampleRate of ${c.name}`, expected: 'one whose period has at most six digits: dataset 58 holds no more', given: `${c.sampleRate} Hz`, remedy: 'Write Parquet, or resample.' });
    if (/[\r\n]/.test(c.name) || Buffer.byteLength(c.name, 'latin1') !== c.name.length || c.name.length > 80) throw new InputError({ where: 'writeRecording', argument: 'name of a channel', expected: 'one line of at most 80 characters for dataset 58', given: JSON.stringify(c.name.slice(0, 90)), remedy: 'Rename it with rename.' });
  }
  function* parts(): Generator<Buffer> {
    for (const [i, channel] of recording.channels.entries()) yield* dataSet(recording, channel, i + 1, encoding);
  }
  await pipeline(Readable.from(parts()), createWriteStream(temporary));
}

function* dataSet(recording: Recording, channel: Channel, number: number, encoding: UniversalEncoding): Generator<Buffer> {
  const { values, sampleRate, unit } = channel;
  const mask = validityMask(channel);
  const masked = mask.length - mask.reduce((n, m) => n + m, 0);
  const title = encoding === 'ascii' ? pad(58, 6) : `${pad(58, 6)}b${pad(1, 6)}${pad(2, 6)}${pad(11, 12)}${pad(values.length * 8, 12)}${pad(0, 6)}${pad(0, 6)}${pad(0, 12)}${pad(0, 12)}`;
  const lines = [
    '    -1', title,
    channel.name, latin(recording.name).slice(0, 80) || 'NONE', channel.start ?? 'NONE', masked > 0 ? `${masked} masked samples as NaN` : 'NONE', 'NONE',
    `${pad(1, 5)}${pad(0, 10)}${pad(0, 5)}${pad(0, 10)} ${'NONE'.padEnd(10)}${pad(number, 10)}${pad(0, 4)} ${'NONE'.padEnd(10)}${pad(0, 10)}${pad(0, 4)}`,
    `${pad(4, 10)}${pad(values.length, 10)}${pad(1, 10)}${exponential(0, 5, 13)}${exponential(1 / sampleRate, 5, 13)}${exponential(0, 5, 13)}`,
    axis(17, 'Time', 's'), axis(ordinateType[quantityOf(unit)] ?? 1, quantityOf(unit), unit), axis(0, 'NONE', 'NONE'), axis(0, 'NONE', 'NONE'),
  ];
  yield Buffer.from(`${lines.join('\n')}\n`, 'latin1');
  const block = encoding === 'ascii' ? textBlock : binaryBlock;
  for (let from = 0; from < values.length; from += perBlock) yield block(values, mask, from, Math.min(values.length, from + perBlock));
  yield Buffer.from(encoding === 'ascii' ? '    -1\n' : '\n    -1\n', 'latin1');
}

function binaryBlock(values: Float64Array, mask: Uint8Array, from: number, to: number): Buffer {
  const data = Buffer.alloc((to - from) * 8);
  for (let i = from; i < to; i++) data.writeDoubleLE(mask[i] === 1 ? values[i]! : NaN, (i - from) * 8);
  return data;
}

/** Records of four numbers; `from` is the first of a record. */
function textBlock(values: Float64Array, mask: Uint8Array, from: number, to: number): Buffer {
  let text = '';
  for (let i = from; i < to; i++) text += (mask[i] === 1 ? exponential(values[i]!, 12, 20) : 'NaN'.padStart(20)) + (i % 4 === 3 || i === to - 1 ? '\n' : '');
  return Buffer.from(text, 'latin1');
}

function axis(type: number, label: string, unit: Unit | 'NONE'): string {
  return `${pad(type, 10)}${pad(0, 5)}${pad(0, 5)}${pad(0, 5)} ${label.slice(0, 20).padEnd(20)} ${latin(unit).slice(0, 20).padEnd(20)}`;
}

function pad(value: number, width: number): string {
  return String(value).padStart(width);
}

/** A number in the form Ew.d: `digits` behind the point, an exponent of two figures or more. */
function exponential(value: number, digits: number, width: number): string {
  const [mantissa, exponent] = value.toExponential(digits).split('e');
  return `${mantissa}E${exponent!.startsWith('-') ? '-' : '+'}${exponent!.replace(/[+-]/, '').padStart(2, '0')}`.padStart(width);
}

/** The trade's ASCII spelling of units and names. */
function latin(text: string): string {
  return text.replaceAll('·', '.').replace(/[µμ]/g, 'u').replaceAll('²', '^2').replaceAll('°', 'deg').replace(/[^\x20-\x7e]/g, '_');
}
