import { checkChannel, type Channel } from '../record/Channel.js';
import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Outcome } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import { quantityOf, unitConversion } from '../record/units.js';
import { bridgeUnits, checkGauge, ratioPerUnit, sensitivityFactors, shearModulusOf, strainOfRatio, strainPerRatio, strainUnits, type BridgeUnit, type Gauge, type StrainUnit } from './Gauge.js';
import { checkSection, type ShaftSection } from './section.js';
import { scaled } from './torqueFromStrain.js';

/** A calibration line found by applying known torques: torque = slope · signal + intercept. */
export interface TorqueCalibration {
  /** N·m per unit of the signal. */
  readonly slope: number;
  /** The unit of the signal that was calibrated; the channel must carry it. */
  readonly unit: BridgeUnit | StrainUnit;
  /** N·m at a signal of 0. Default 0: the zero is then removed from the record, by removeZero. */
  readonly intercept?: number;
}

/** Either the gauge and the shaft under it, or a calibration. */
export type ToTorqueOptions =
  | { readonly gauge: Gauge; readonly section: ShaftSection; readonly calibration?: undefined }
  | { readonly calibration: TorqueCalibration; readonly gauge?: undefined; readonly section?: undefined };

const where = 'toTorque';
const units = [...bridgeUnits, ...strainUnits];

const operation = defineOperation<ToTorqueOptions>(where, (channel, options) => {
  if (options === undefined) throw new InputError({ where, argument: 'options', expected: 'gauge and section, or calibration', given: 'nothing' });
  checkOptions(where, options, { optional: ['gauge', 'section', 'calibration'] });
  checkChannel(where, channel, units, 'Other units of torque are turned by convert; a unit that the file did not state is given by assignUnit.');
  if (options.calibration !== undefined) {
    if (options.gauge !== undefined || options.section !== undefined) {
      throw new InputError({ where, argument: 'options', expected: 'either gauge and section or calibration', given: 'both' });
    }
    return byCalibration(channel, options.calibration);
  }
  checkOptions(where, options, { required: ['gauge', 'section'] });
  return byGauge(channel, checkGauge(where, options.gauge), checkSection(where, options.section));
});

function byCalibration(channel: Channel, calibration: TorqueCalibration): Outcome {
  checkOptions(`${where}, calibration`, calibration, { required: ['slope', 'unit'], optional: ['intercept'] });
  const { slope, intercept = 0 } = calibration;
  checkNumber(where, 'calibration.slope', slope, { unit: 'N·m per unit' });
  if (slope === 0) throw new InputError({ where, argument: 'calibration.slope', expected: 'other than 0', given: '0' });
  checkNumber(where, 'calibration.intercept', intercept, { unit: 'N·m' });
  checkChoice(where, 'calibration.unit', calibration.unit, units);
  if (calibration.unit !== channel.unit) {
    throw new InputError({ where, argument: `unit of ${channel.name}`, expected: `${calibration.unit}, in which the calibration was made`, given: channel.unit, remedy: quantityOf(channel.unit) === quantityOf(calibration.unit) ? `Convert the channel to '${calibration.unit}' first.` : 'Calibrate in the unit of the record.' });
  }
  return { values: scaled(channel.values, slope, intercept), unit: 'N·m', found: { torquePerUnit: slope, intercept, by: 'calibration' } };
}

function byGauge(channel: Channel, gauge: Gauge, section: ShaftSection): Outcome {
  const modulus = shearModulusOf(gauge, where);
  const torquePerStrain = 2 * modulus * section.polarModulus;
  const common = { by: 'gauge and section', torquePerStrain, shearModulus: modulus, polarModulus: section.polarModulus };
  if (quantityOf(channel.unit) === 'strain') {
    const torquePerUnit = torquePerStrain * unitConversion(channel.unit, 'strain', where).factor;
    return { values: scaled(channel.values, torquePerUnit), unit: 'N·m', found: { torquePerUnit, ...common, chain: [] } };
  }
  const { ratio, chain } = ratioPerUnit(where, gauge, channel.unit);
  const sign = gauge.polarity ?? 1;
  const torquePerUnit = sign * ratio * strainPerRatio(gauge) * torquePerStrain;
  const found = { torquePerUnit, ...common, strainPerUnit: sign * ratio * strainPerRatio(gauge), bridgeRatioPerUnit: ratio, chain, sensitivityFactors: sensitivityFactors(gauge), linear: gauge.activeArms !== 1 };
  if (gauge.activeArms !== 1) return { values: scaled(channel.values, torquePerUnit), unit: 'N·m', found };
  const values = channel.values.map((v) => sign * strainOfRatio(ratio * v, gauge) * torquePerStrain);
  return { values, unit: 'N·m', found };
}

/**
 * Turns a bridge signal into shaft torque, in one step.
 *
 * By gauge and section: T = 2 G W ε, ε = 4 r / (N K), r = signal as output per supply. By calibration: T = slope · signal
 * + intercept. The step records the torque per unit of signal and every factor of the chain.
 *
 * Kept: name, clock, masks; masked samples are turned too, so that they stay in one unit. The zero is not touched:
 * see fitZero and removeZero, before or after. Cost: one pass.
 *
 * @param channel a signal in count, V, mV, V/V, mV/V, strain or µstrain
 * @param options gauge and section, or calibration
 * @returns torque in N·m
 * @throws InputError for another unit, a gauge that lacks what the unit needs, or both ways at once
 * @see bridgeStrain, torqueFromStrain, fullScaleTorque, fitCalibration, removeZero
 * @example
 * const bridge = makeChannel({ name: 'bridge', unit: 'V', sampleRate: 2000, values: [0, 2.5] });
 * const gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.3, gain: 500, excitation: 5 };
 * toTorque(bridge, { gauge, section: solidSection(mm(50)) }).values[1] // => 1954.0555267
 * toTorque(bridge, { calibration: { slope: 800, unit: 'V' } }).values[1] // => 2000
 * @references F. P. Beer and E. R. Johnston, Mechanics of Materials, chapter 3; J. W. Dally and W. F. Riley, Experimental Stress Analysis, strain-gauge circuits (both from memory).
 */
export function toTorque(channel: Channel<BridgeUnit | StrainUnit>, options: ToTorqueOptions): Channel<'N·m'> {
  return operation(channel, options) as Channel<'N·m'>;
}
