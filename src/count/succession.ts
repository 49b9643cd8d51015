import type { Channel } from '../record/Channel.js';
import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { instantToNanoseconds } from '../record/time.js';

/** A stretch of a signal that ended: when it began, and how many samples it had. */
export interface Stretch {
  readonly start: string;
  readonly samples: number;
}

/** Seconds from the end of a stretch to the start of the next; below 0 where they overlap. */
export function pauseAfter(before: Stretch, sampleRate: number, start: string): number {
  return Number(instantToNanoseconds(start) - instantToNanoseconds(before.start)) / 1e9 - before.samples / sampleRate;
}

/** A channel that a counter takes goes on where the samples before it ended, to half a sample, and bears the counter's name. @throws InputError else */
export function checkNext(where: string, channel: Channel, name: string | null, before: Stretch | null): void {
  const remedy = 'Count it by itself and join the counts with mergeCounts.';
  if (name !== null && channel.name !== name) throw new InputError({ where, argument: 'channel', expected: `${show(name)}, as the counter's`, given: show(channel.name), remedy });
  if (before === null || channel.start === null) return;
  const pause = pauseAfter(before, channel.sampleRate, channel.start);
  if (Math.abs(pause) <= 0.5 / channel.sampleRate) return;
  throw new InputError({ where, argument: `start of ${channel.name}`, expected: 'at the end of the samples before it', given: `${channel.start}, which is ${Math.abs(pause).toPrecision(3)} s ${pause < 0 ? 'before' : 'after'} that end`, remedy });
}
