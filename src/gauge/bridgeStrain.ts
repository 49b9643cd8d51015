import { checkChannel, type Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { checkOptions } from '../record/check.js';
import { defineOperation } from '../record/operation.js';
import { bridgeUnits, checkGauge, ratioPerUnit, sensitivityFactors, strainOfRatio, strainPerRatio, type BridgeUnit, type Gauge } from './Gauge.js';
import { scaled } from './torqueFromStrain.js';

const operation = defineOperation<{ gauge: Gauge }>('bridgeStrain', (channel, options) => {
  const where = 'bridgeStrain';
  checkOptions(where, options, { required: ['gauge'] });
  const gauge = checkGauge(where, options.gauge);
  checkChannel(where, channel, bridgeUnits, 'A channel of strain needs no bridgeStrain; a unit that the file did not state is given by assignUnit.');
  const { ratio, chain } = ratioPerUnit(where, gauge, channel.unit);
  const sign = gauge.polarity ?? 1;
  const perRatio = sign * strainPerRatio(gauge);
  const values = gauge.activeArms === 1 ? channel.values.map((v) => sign * strainOfRatio(ratio * v, gauge)) : scaled(channel.values, ratio * perRatio);
  return { values, unit: 'strain', found: { strainPerUnit: ratio * perRatio, bridgeRatioPerUnit: ratio, chain, sensitivityFactors: sensitivityFactors(gauge), linear: gauge.activeArms !== 1 } };
});

/**
 * Turns a bridge signal into the strain of one gauge.
 *
 * ε = 4 r / (N K) with the bridge ratio r = output / supply, N active arms and the gauge factor K; for one active arm
 * the exact ε = 4 r / (K (1 − 2 r)). K is lessened by lead wires, transverse sensitivity and misalignment where the gauge states them. Counts are divided by counts per volt, volts by gain and supply.
 *
 * Kept: clock, masks; masked samples are turned too, so that they stay in one unit. Cost: one pass.
 *
 * @param channel a signal in count, V, mV, V/V or mV/V
 * @param gauge the bridge; gain and excitation for a signal in V, countsPerVolt too for counts
 * @returns the gauge strain (of a gauge at 45°: half the shear strain)
 * @throws InputError for another unit, or where the gauge lacks what the unit needs
 * @see toTorque, shuntStrain
 * @example
 * const bridge = makeChannel({ name: 'bridge', unit: 'mV/V', sampleRate: 1000, values: [0, 1] });
 * bridgeStrain(bridge, { gaugeFactor: 2, activeArms: 4 }).values[1] // => 0.0005
 * @references J. W. Dally and W. F. Riley, Experimental Stress Analysis, chapter on strain-gauge circuits (from memory).
 */
export function bridgeStrain(channel: Channel<BridgeUnit>, gauge: Gauge): Channel<'strain'> {
  if (gauge === undefined) throw new InputError({ where: 'bridgeStrain', argument: 'gauge', expected: 'given', given: 'nothing' });
  return operation(channel, { gauge }) as Channel<'strain'>;
}
