import type { Channel } from './Channel.js';
import { defineOperation } from './operation.js';
import { unitConversion, type Unit } from './units.js';

const convertOperation = defineOperation<{ unit: Unit }>('convert', (channel, { unit }) => {
  const { factor, offset } = unitConversion(channel.unit, unit);
  const values = new Float64Array(channel.values.length);
  for (let i = 0; i < values.length; i++) values[i] = channel.values[i]! * factor + offset;
  return { unit, values, found: { factor, offset } };
});

/**
 * The same quantity in another unit: value · factor + offset.
 *
 * Kept: name, clock, masks. Cost: one pass.
 *
 * @param unit a unit of the same quantity
 * @throws InputError where the units measure different quantities; the message names the verb that leads there
 * @example
 * convert(makeChannel({ name: 'T', unit: 'kN·m', sampleRate: 1, values: [1.5] }), 'N·m').values[0] // => 1500
 */
export function convert<U extends Unit>(channel: Channel, unit: U): Channel<U> {
  return convertOperation(channel, { unit }) as Channel<U>;
}

const assignOperation = defineOperation<{ unit: Unit }>('assignUnit', (channel, { unit }) => {
  unitConversion(unit, unit);
  return { unit, found: { before: channel.unit } };
});

/**
 * States the unit of a channel whose file did not, or stated it wrongly. The numbers stay.
 *
 * @example
 * assignUnit(makeChannel({ name: 'T', unit: '?', sampleRate: 1, values: [1.5] }), 'N·m').unit // => "N·m"
 */
export function assignUnit<U extends Unit>(channel: Channel, unit: U): Channel<U> {
  return assignOperation(channel, { unit }) as Channel<U>;
}

const renameOperation = defineOperation<{ name: string }>('rename', (channel, { name }) => ({ name, found: { before: channel.name } }));

/** The same channel under another name. @example rename(makeChannel({ name: 'a', unit: 'V', sampleRate: 1, values: [0] }), 'bridge').name // => "bridge" */
export function rename<U extends Unit>(channel: Channel<U>, name: string): Channel<U> {
  return renameOperation(channel, { name }) as Channel<U>;
}
