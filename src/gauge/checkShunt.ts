import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { momentsWithin } from '../record/momentsWithin.js';
import { makeResult } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import type { Moments } from '../numeric/moments.js';
import { bridgeUnits, checkGauge, ratioPerUnit, type BridgeUnit, type Gauge } from './Gauge.js';
import { shuntStrain } from './shuntStrain.js';

/** A shunt step in a record against what it should be. */
export interface ShuntCheck {
  /** Size of the step, in the channel's unit. */
  readonly expected: number;
  readonly measured: number;
  /** Of the two means. */
  readonly standardError: number;
  /** measured / expected − 1. */
  readonly error: number;
  /** By which the chain's torque is to be multiplied, were the whole error that of gain and supply. */
  readonly correction: number;
  readonly withinTolerance: boolean;
  readonly notes: readonly string[];
}

/** Options of checkShunt. */
export interface ShuntCheckOptions {
  readonly gauge: Gauge;
  /** Ω of each arm, and of the resistor across one of them. */
  readonly gaugeResistance: number;
  readonly shuntResistance: number;
  /** Windows of the record, s, without and with the resistor; the shaft at rest in both. */
  readonly open: TimeWindow;
  readonly shunted: TimeWindow;
  /** Largest error that passes, as a part (0.01 for 1 %). */
  readonly tolerance: number;
}

const where = 'checkShunt';

/**
 * Compares the step that a shunt resistor leaves in a record with the step that gain, supply and converter should make of it.
 *
 * Expected: r / (ratio per unit), r = R / (4 Rs + 2 R) exactly. Measured: difference of the means of the valid samples in the two windows. The check sees gain, supply, counts and leads as far as
 * they lie outside the resistor; it does not see the gauge factor, the bond, the section or the modulus.
 *
 * Cost: one pass over the windows.
 *
 * @param channel the raw signal, in count, V, mV, V/V or mV/V
 * @param options gauge, gaugeResistance, shuntResistance (Ω), open and shunted windows (s), tolerance (no default)
 * @returns expected and measured step, error, correction factor, notes
 * @throws InputError for a window without valid samples, or a gauge that lacks what the unit needs
 * @see shuntStrain, shuntResistance
 * @example
 * const bridge = makeChannel({ name: 'bridge', unit: 'mV/V', sampleRate: 1, values: [0.1, 0.1, 1.11, 1.11] });
 * const gauge = { gaugeFactor: 2, activeArms: 4 };
 * checkShunt(bridge, { gauge, gaugeResistance: 350, shuntResistance: 87325, open: { from: 0, to: 2 }, shunted: { from: 2, to: 4 }, tolerance: 0.005 }).error // => 0.01
 * @references Wheatstone algebra of one shunted arm; the check itself is common practice, no source.
 */
export function checkShunt(channel: Channel<BridgeUnit>, options: ShuntCheckOptions): ShuntCheck {
  checkOptions(where, options, { required: ['gauge', 'gaugeResistance', 'shuntResistance', 'open', 'shunted', 'tolerance'] });
  checkChannel(where, channel, bridgeUnits);
  const gauge = checkGauge(where, options.gauge);
  const tolerance = checkNumber(where, 'tolerance', options.tolerance, { above: 0 });
  const { bridgeRatio } = shuntStrain({ gaugeResistance: options.gaugeResistance, shuntResistance: options.shuntResistance, gaugeFactor: gauge.gaugeFactor, activeArms: gauge.activeArms });
  const expected = bridgeRatio / ratioPerUnit(where, gauge, channel.unit).ratio;
  if (!(expected > 0 && Number.isFinite(expected))) throw new InputError({ where, argument: 'shuntResistance', expected: 'one that gives a step above 0', given: `${options.shuntResistance} Ω on ${options.gaugeResistance} Ω` });
  const open = meanWithin(channel, options.open, 'open');
  const shunted = meanWithin(channel, options.shunted, 'shunted');
  const step = shunted.mean - open.mean;
  const measured = Math.abs(step);
  if (measured === 0) throw new InputError({ where, argument: 'shunted', expected: 'a window with the resistor connected', given: 'one without any step' });
  const error = measured / expected - 1;
  const standardError = Math.sqrt(variance(open) / open.count + variance(shunted) / shunted.count);
  const notes: string[] = [];
  if (measured < 3 * standardError) notes.push('The step does not stand out of the noise: was the resistor connected?');
  if (Math.abs(error) > tolerance) notes.push(`The step is ${(100 * error).toPrecision(2)} % off: gain, supply, counts per volt or the resistor is not what was stated.`);
  const check = { expected, measured, standardError, error, correction: expected / measured, withinTolerance: Math.abs(error) <= tolerance, notes: Object.freeze(notes) };
  return makeResult('ShuntCheck', checkResult(where, channel.name, check),
    (c) => `Shunt step ${c.measured.toPrecision(5)} ${channel.unit} against ${c.expected.toPrecision(5)}: ${(100 * c.error).toPrecision(2)} % (${c.withinTolerance ? 'within' : 'outside'} ${100 * tolerance} %)`);
}

function variance(m: Moments): number {
  return m.count > 1 ? m.squares / (m.count - 1) : 0;
}

function meanWithin(channel: Channel, window: TimeWindow, argument: string): Moments {
  const { from, to } = windowToSamples(where, channel, window, argument);
  const { moments } = momentsWithin(channel, from, to);
  if (moments.count === 0) throw new InputError({ where, argument, expected: 'a window with valid samples', given: 'one that is masked throughout' });
  return moments;
}
