import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { checkGauge, ratioPerUnit, shearModulusOf, strainOfRatio, type Gauge } from './Gauge.js';
import { checkSection, type ShaftSection } from './section.js';

/** What a full-scale reading means at the shaft. */
export interface FullScale {
  /** N·m. */
  readonly torque: number;
  /** Strain of one gauge. */
  readonly strain: number;
  /** Nominal shear stress at the gauge section, Pa. */
  readonly shearStress: number;
  /** N·m per volt of amplifier output. */
  readonly torquePerVolt: number;
  readonly notes: readonly string[];
}

/** Options of fullScaleTorque. */
export interface FullScaleOptions {
  /** The bridge, with gain and excitation. */
  readonly gauge: Gauge;
  readonly section: ShaftSection;
  /** Amplifier output at full scale, V. */
  readonly outputVoltage: number;
}

/**
 * Finds the torque at which the amplifier reaches its full-scale output.
 *
 * T = 2 G W ε with ε = 4 U / (N K A Ue): U output, A gain, Ue supply, N active arms, K gauge factor.
 *
 * @param options gauge (with gain and excitation), section, outputVoltage in V, above 0
 * @returns torque in N·m, with gauge strain, shear stress and torque per volt
 * @throws InputError where gain, excitation or an elastic constant is missing
 * @see toTorque, shuntStrain
 * @example
 * const gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.28, gain: 1000, excitation: 2.5 };
 * fullScaleTorque({ gauge, section: hollowSection(mm(75), mm(55)), outputVoltage: 10 }).torque // => 19043.5738
 */
export function fullScaleTorque(options: FullScaleOptions): FullScale {
  const where = 'fullScaleTorque';
  checkOptions(where, options, { required: ['gauge', 'section', 'outputVoltage'] });
  const gauge = checkGauge(where, options.gauge);
  const { polarModulus } = checkSection(where, options.section);
  const volts = checkNumber(where, 'outputVoltage', options.outputVoltage, { above: 0, unit: 'V' });
  const strain = strainOfRatio(volts * ratioPerUnit(where, gauge, 'V').ratio, gauge);
  const shearStress = 2 * shearModulusOf(gauge, where) * strain;
  const torque = shearStress * polarModulus;
  const notes: string[] = [];
  if (Math.abs(strain) > 0.0015) notes.push(`The gauge strain at full scale is ${(strain * 1e6).toFixed(0)} µm/m: beyond 1500 µm/m many foil gauges and most shafts no longer serve for cyclic loads (common practice, no source).`);
  return makeResult('FullScale', checkResult(where, 'options', { torque, strain, shearStress, torquePerVolt: torque / volts, notes: Object.freeze(notes) }),
    (r) => `Full scale ${r.torque.toPrecision(5)} N·m: gauge strain ${(r.strain * 1e6).toPrecision(4)} µm/m, shear stress ${(r.shearStress / 1e6).toPrecision(4)} MPa, ${r.torquePerVolt.toPrecision(5)} N·m/V`);
}
