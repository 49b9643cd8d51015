import { checkChannel, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { defineOperation } from '../record/operation.js';
import { omegaReader, type SpeedSource } from '../record/omegaReader.js';

/** What shaftPower takes. */
export type ShaftPowerOptions = SpeedSource;

const where = 'shaftPower';

const operation = defineOperation<ShaftPowerOptions>(where, (channel, options) => {
  checkChannel(where, channel, ['N·m'], "Convert it with convert(channel, 'N·m'), or turn a bridge signal into torque with toTorque.");
  checkOptions(where, options, { required: ['speed'], optional: ['latency'] });
  const omega = omegaReader(where, channel, options);
  const n = channel.values.length;
  const { from, to } = omega.covered;
  const values = new Float64Array(n).fill(Number.NaN);
  for (let i = from; i < to; i++) values[i] = channel.values[i]! * omega.at(i);
  const outside = [{ from: 0, to: from, why: 'out of range' as const }, { from: to, to: n, why: 'out of range' as const }].filter((s) => s.to > s.from);
  return { unit: 'W', name: `power of ${channel.name}`, values, invalid: [...channel.invalid, ...outside], found: { latency: options.latency ?? 0, withoutSpeed: n - (to - from) } };
});

/**
 * Gives the power that a shaft carries, sample by sample: P = T·ω, both at the same instant. Torque that reached
 * the recorder `latency` seconds late at sample time t belongs to t − latency, so speed is read there.
 *
 * Kept: the clock of the torque; its masks. Samples for which the shift leaves no speed are masked as 'out of range'. Cost: one pass.
 *
 * @param torque N·m
 * @param options speed (rpm or rad/s, any rate, read by straight lines), latency in s
 * @returns power, W; positive where the shaft drives
 * @throws InputError for another unit, or a speed that does not cover the record
 * @see powerBalance, alignChannels
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [100, 100, 200] });
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: [10, 20, 20] });
 * shaftPower(torque, { speed }).values // => [1000,2000,4000]
 * @references School knowledge: P = T·ω.
 */
export function shaftPower(torque: Channel<'N·m'>, options: ShaftPowerOptions): Channel<'W'> {
  return operation(torque, options) as Channel<'W'>;
}
