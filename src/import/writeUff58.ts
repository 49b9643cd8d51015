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

/**
 * Writes each channel as one dataset 58b (binary, double precision, evenly spaced). The format has no place for masks
 * and trails: masked samples become NaN, and the fourth line says how many.
 */
export async function writeUff58(recording: Recording, temporary: string): Promise<void> {
  for (const c of recording.channels) {
    if (rateOf(1 / c.sampleRate) !== c.sampleRate) throw new InputError({ where: 'writeRecording', argument: `sampleRate of ${c.name}`, expected: 'one whose period has at most six digits: dataset 58 holds no more', given: `${c.sampleRate} Hz`, remedy: 'Write Parquet, or resample.' });
    if (/[\r\n]/.test(c.name) || Buffer.byteLength(c.name, 'latin1') !== c.name.length || c.name.length > 80) throw new InputError({ where: 'writeRecording', argument: 'name of a channel', expected: 'one line of at most 80 characters for dataset 58', given: JSON.stringify(c.name.slice(0, 90)), remedy: 'Rename it with rename.' });
  }
  function* parts(): Generator<Buffer> {
    for (const [i, channel] of recording.channels.entries()) yield* dataSet(recording, channel, i + 1);
  }
  await pipeline(Readable.from(parts()), createWriteStream(temporary));
}

function* dataSet(recording: Recording, channel: Channel, number: number): Generator<Buffer> {
  const { values, sampleRate, unit } = channel;
  const mask = validityMask(channel);
  const masked = mask.length - mask.reduce((n, m) => n + m, 0);
  const data = Buffer.alloc(values.length * 8);
  for (let i = 0; i < values.length; i++) data.writeDoubleLE(mask[i] === 1 ? values[i]! : NaN, i * 8);
  const lines = [
    '    -1',
    `${pad(58, 6)}b${pad(1, 6)}${pad(2, 6)}${pad(11, 12)}${pad(data.length, 12)}${pad(0, 6)}${pad(0, 6)}${pad(0, 12)}${pad(0, 12)}`,
    channel.name, latin(recording.name).slice(0, 80) || 'NONE', channel.start ?? 'NONE', masked > 0 ? `${masked} masked samples as NaN` : 'NONE', 'NONE',
    `${pad(1, 5)}${pad(0, 10)}${pad(0, 5)}${pad(0, 10)} ${'NONE'.padEnd(10)}${pad(number, 10)}${pad(0, 4)} ${'NONE'.padEnd(10)}${pad(0, 10)}${pad(0, 4)}`,
    `${pad(4, 10)}${pad(values.length, 10)}${pad(1, 10)}${e13(0)}${e13(1 / sampleRate)}${e13(0)}`,
    axis(17, 'Time', 's'), axis(ordinateType[quantityOf(unit)] ?? 1, quantityOf(unit), unit), axis(0, 'NONE', 'NONE'), axis(0, 'NONE', 'NONE'),
  ];
  yield Buffer.from(`${lines.join('\n')}\n`, 'latin1');
  yield data;
  yield Buffer.from('\n    -1\n', 'latin1');
}

function axis(type: number, label: string, unit: Unit | 'NONE'): string {
  return `${pad(type, 10)}${pad(0, 5)}${pad(0, 5)}${pad(0, 5)} ${label.slice(0, 20).padEnd(20)} ${latin(unit).slice(0, 20).padEnd(20)}`;
}

function pad(value: number, width: number): string {
  return String(value).padStart(width);
}

function e13(value: number): string {
  const [mantissa, exponent] = value.toExponential(5).split('e');
  return `${mantissa}E${exponent!.startsWith('-') ? '-' : '+'}${exponent!.replace(/[+-]/, '').padStart(2, '0')}`.padStart(13);
}

/** The trade's ASCII spelling of units and names. */
function latin(text: string): string {
  return text.replaceAll('·', '.').replace(/[µμ]/g, 'u').replaceAll('²', '^2').replaceAll('°', 'deg').replace(/[^\x20-\x7e]/g, '_');
}
