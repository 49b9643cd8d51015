import { InputError } from './errors.js';
import { checkChannel, nextChannel, type Channel, type Outcome } from './Channel.js';

const operations = new Map<string, (channel: Channel, options: object) => Channel>();

/**
 * Defines an operation from channel to channel under the name by which a trail calls it. The function that comes
 * back checks that its subject is a channel, computes, makes the next channel and appends the step; a throw leaves
 * no step. Options must be plain data; channels among them are recorded as inputs.
 */
export function defineOperation<O extends object>(op: string, compute: (channel: Channel, options: O) => Outcome): (channel: Channel, options: O) => Channel {
  if (operations.has(op)) throw new Error(`the operation ${op} is defined twice`);
  const run = (channel: Channel, options: O): Channel => {
    checkChannel(op, channel);
    return nextChannel(channel, op, options ?? {}, compute(channel, options));
  };
  operations.set(op, run as (channel: Channel, options: object) => Channel);
  return run;
}

/** The operation of that name. @throws InputError that lists what there is. */
export function operationNamed(op: string): (channel: Channel, options: object) => Channel {
  const run = operations.get(op);
  if (!run) throw new InputError({ where: 'replay', argument: 'trail', expected: `made of the operations ${[...operations.keys()].join(', ')}`, given: `the operation ${op}` });
  return run;
}
