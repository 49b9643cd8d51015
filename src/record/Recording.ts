import { InputError } from './errors.js';
import { nearest, show } from './check.js';
import { isChannel, type Channel } from './Channel.js';
import { makeResult } from './result.js';
import { conversionHint, quantityOf, type Unit } from './units.js';

/** Channels that were recorded together; each has its own rate. */
export interface Recording {
  readonly name: string;
  /** The file it came from and the SHA-256 of its bytes; null for one made in memory. */
  readonly source: { readonly file: string; readonly sha256: string } | null;
  readonly channels: readonly Channel[];
}

/**
 * Puts channels together.
 *
 * @throws InputError for no channel, something that is no channel, or two of one name
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values: [1, 2] });
 * makeRecording('run', [torque]).channels.length // => 1
 */
export function makeRecording(name: string, channels: readonly Channel[], source: Recording['source'] = null): Recording {
  const where = 'makeRecording';
  if (channels.length === 0) throw new InputError({ where, argument: 'channels', expected: 'at least one channel', given: 'none' });
  const seen = new Set<string>();
  for (const channel of channels) {
    if (!isChannel(channel)) throw new InputError({ where, argument: 'channels', expected: 'made of channels', given: show(channel), remedy: 'Make each with makeChannel.' });
    if (seen.has(channel.name)) throw new InputError({ where, argument: 'channels', expected: 'of different names', given: `two called ${channel.name}` });
    seen.add(channel.name);
  }
  return makeResult('Recording', { name, source: source ? Object.freeze({ ...source }) : null, channels: Object.freeze([...channels]) }, describeRecording);
}

/**
 * One channel of a recording, by name, and of the unit you say it has.
 *
 * @throws InputError for a name that is not there (the message lists the names) or another unit (the message names the verb that leads there)
 * @example
 * const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values: [1, 2] })]);
 * pick(run, 'torque', 'N·m').values[1] // => 2
 */
export function pick<U extends Unit = Unit>(recording: Recording, name: string, unit?: U): Channel<U> {
  const names = recording.channels.map((c) => c.name);
  const channel = recording.channels.find((c) => c.name === name);
  if (!channel) {
    const near = nearest(name, names);
    throw new InputError({ where: 'pick', argument: 'name', expected: `one of ${names.map((n) => `'${n}'`).join(', ')}`, given: show(name), ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
  }
  if (unit !== undefined && channel.unit !== unit) {
    const same = quantityOf(channel.unit) === quantityOf(unit);
    const remedy = same ? `Pick it as '${channel.unit}' and convert(channel, '${unit}').`
      : channel.unit === '?' ? `State its unit with assignUnit(channel, '${unit}') if that is what it is.` : conversionHint(quantityOf(channel.unit), quantityOf(unit));
    throw new InputError({ where: 'pick', argument: `unit of ${name}`, expected: `${channel.unit}, as recorded`, given: unit, ...(remedy ? { remedy } : {}) });
  }
  return channel as Channel<U>;
}

function describeRecording(recording: Recording): string {
  return `Recording ${recording.name}: ${recording.channels.map((c) => `${c.name} [${c.unit}] ${c.values.length} at ${c.sampleRate} Hz`).join('; ')}`;
}
