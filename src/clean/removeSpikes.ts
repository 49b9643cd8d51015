import { validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { weightsAt } from '../numeric/cubicAcross.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { equalRuns, smallestStep } from './equalRuns.js';
import { findSpikes, missedByCubic, type SpikeRule } from './findSpikes.js';

/** The two nearest samples in one direction that are valid and no spike; fewer where eight samples hold no more. */
function soundBeside(sound: Uint8Array, from: number, step: 1 | -1): number[] {
  const nodes: number[] = [];
  for (let i = from; nodes.length < 2 && Math.abs(i - from) < 8 && i >= 0 && i < sound.length; i += step) if (sound[i] === 1) nodes.push(i);
  return nodes;
}

const operation = defineOperation<SpikeRule>('removeSpikes', (channel, options) => {
  const where = 'removeSpikes';
  checkOptions(where, options, { required: ['highestMode'], optional: ['longest'] });
  checkNumber(where, 'highestMode', options.highestMode, { above: 0, below: channel.sampleRate / 2, unit: 'Hz' });
  if (options.longest !== undefined) checkNumber(where, 'longest', options.longest, { integer: true, min: 1, max: 3 });
  const valid = validRuns(channel);
  const spikes = findSpikes(channel, valid, smallestStep(channel.values, equalRuns(channel.values, valid)), options);
  const values = channel.values.slice();
  let samples = 0, largest = 0, longest = 0;
  const sound = new Uint8Array(values.length);
  for (const { from, to } of valid) sound.fill(1, from, to);
  for (const { from, to } of spikes) sound.fill(0, from, to);
  for (const { from, to } of spikes) {
    const k = to - from;
    const nodes = [...soundBeside(sound, from - 1, -1), ...soundBeside(sound, to, 1)];
    for (let j = 0; j < k; j++) {
      const w = weightsAt(nodes, from + j);
      const value = nodes.reduce((sum, at, i) => sum + w[i]! * channel.values[at]!, 0);
      largest = Math.max(largest, Math.abs(value - values[from + j]!));
      values[from + j] = value;
    }
    samples += k;
    longest = Math.max(longest, k);
  }
  const missed = longest === 0 ? 0 : missedByCubic((2 * Math.PI * options.highestMode) / channel.sampleRate, longest);
  return { values, found: { spikes: spikes.length, samples, largest, longest, missedAtHighestMode: missed } };
});

/**
 * Replaces spikes of 1 to 3 samples by the cubic through the two samples nearest on either side that are no spike themselves.
 *
 * This invents up to three samples at a time, and is allowed only for what cannot bear a gap, such as a spectrum or a filter, and only while the step's
 * `missedAtHighestMode` (the part of a sine at highestMode that such a cubic misses) is small. For counting and damage mask them instead: findFaults, then markInvalid.
 *
 * Kept: clock, masks. Cost: two passes.
 *
 * @param channel any channel
 * @param options highestMode in Hz (no default), longest in samples (default 3); as the spike rule of findFaults
 * @returns the channel with spikes replaced; the step tells how many, how large, and what is missed
 * @throws InputError without a highest mode, or for one that the record cannot hold
 * @see findFaults
 * @example
 * const values = Float64Array.from({ length: 200 }, (_, i) => 100 * Math.sin(i / 20) + ((i * 7) % 5) / 10);
 * values[100] += 500;
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values });
 * removeSpikes(T, { highestMode: 20 }).trail[1].found.samples // => 1
 */
export function removeSpikes<U extends Unit>(channel: Channel<U>, options: SpikeRule): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
