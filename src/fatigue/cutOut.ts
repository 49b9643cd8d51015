import { checkChannel, duration, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkText } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { slice } from '../record/slice.js';
import type { Unit } from '../record/units.js';
import type { Contributor } from './damage.js';

/**
 * Cuts the moment of a harmful cycle out of its record, so that one can see what caused it.
 *
 * Kept: rate and masks; the cut ends at the record's ends where the moment lies near them. Cost: one copy.
 *
 * @param channel the record the cycle lies in
 * @param moment an entry of `largest` of a Damage
 * @param options before and after, seconds about the turning point
 * @returns the part of the channel
 * @throws InputError for a moment of another record, or one without a place in time
 * @see damage
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 100 }, (_, i) => (i === 50 ? 900 : 0)) });
 * const cycles = localStress(shearStress(countCycles(torque), solidSection(mm(20))), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'detail' }));
 * const done = damage(cycles, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * cutOut(torque, done.largest[0], { before: 1, after: 2 }).values.length // => 30
 */
export function cutOut<U extends Unit>(channel: Channel<U>, moment: Contributor, options: { readonly before: number; readonly after: number }): Channel<U> {
  const where = 'cutOut';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['before', 'after'] });
  checkNumber(where, 'before', options.before, { min: 0, unit: 's' });
  checkNumber(where, 'after', options.after, { above: 0, unit: 's' });
  if (moment?.seconds === null || typeof moment?.seconds !== 'number') throw new InputError({ where, argument: 'moment', expected: 'a cycle with a place in time', given: 'one without' });
  checkText(where, 'moment.record', moment.record, 'the name of a record');
  if (moment.record !== channel.name) throw new InputError({ where, argument: 'channel', expected: `the record ${moment.record}, in which the cycle lies`, given: channel.name });
  return slice(channel, { from: Math.max(0, moment.seconds - options.before), to: Math.min(duration(channel), moment.seconds + options.after) });
}
