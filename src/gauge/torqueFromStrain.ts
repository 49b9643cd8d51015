import { checkChannel, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { defineOperation } from '../record/operation.js';
import { unitConversion } from '../record/units.js';
import { checkGauge, shearModulusOf, strainUnits, type Gauge, type StrainUnit } from './Gauge.js';
import { checkSection, type ShaftSection } from './section.js';

/** What turns gauge strain into torque. */
export interface TorqueFromStrainOptions {
  /** The gauge whose elastic constants hold. */
  readonly gauge: Gauge;
  /** The shaft under the gauge. */
  readonly section: ShaftSection;
}

const remedy = 'Turn a bridge signal into strain with bridgeStrain first, or into torque at once with toTorque.';

const torqueOperation = defineOperation<TorqueFromStrainOptions>('torqueFromStrain', (channel, options) => {
  const where = 'torqueFromStrain';
  checkOptions(where, options, { required: ['gauge', 'section'] });
  checkChannel(where, channel, strainUnits, remedy);
  const modulus = shearModulusOf(checkGauge(where, options.gauge), where);
  const { polarModulus } = checkSection(where, options.section);
  const torquePerUnit = 2 * modulus * polarModulus * unitConversion(channel.unit, 'strain', where).factor;
  return { values: scaled(channel.values, torquePerUnit), unit: 'N·m', found: { torquePerUnit, shearModulus: modulus, polarModulus } };
});

/**
 * Turns the strain of a gauge at 45° into shaft torque: T = 2 G W ε, with W = 2 J / D.
 *
 * Kept: clock, masks; masked samples are turned too, so that they stay in one unit. Cost: one pass.
 *
 * @param channel gauge strain (half the surface shear strain), in strain or µstrain
 * @param options gauge: for G, or E and ν; section: the shaft under the gauge
 * @returns torque in N·m
 * @throws InputError for another unit, or where G does not follow from the gauge
 * @see toTorque, bridgeStrain, shearStressFromStrain
 * @example
 * const strain = makeChannel({ name: 'strain', unit: 'strain', sampleRate: 1000, values: [0.0005] });
 * const gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.3 };
 * torqueFromStrain(strain, { gauge, section: solidSection(mm(50)) }).values[0] // => 1954.0555267
 * @references F. P. Beer and E. R. Johnston, Mechanics of Materials, chapter 3: T = τ J / r, τ = G γ, γ = 2 ε45 (from memory).
 */
export function torqueFromStrain(channel: Channel<StrainUnit>, options: TorqueFromStrainOptions): Channel<'N·m'> {
  return torqueOperation(channel, options) as Channel<'N·m'>;
}

const stressOperation = defineOperation<{ gauge: Gauge }>('shearStressFromStrain', (channel, options) => {
  const where = 'shearStressFromStrain';
  checkOptions(where, options, { required: ['gauge'] });
  checkChannel(where, channel, strainUnits, remedy);
  const modulus = shearModulusOf(checkGauge(where, options.gauge), where);
  const stressPerUnit = 2 * modulus * unitConversion(channel.unit, 'strain', where).factor;
  return { values: scaled(channel.values, stressPerUnit), unit: 'Pa', found: { stressPerUnit, shearModulus: modulus } };
});

/**
 * Turns the strain of a gauge at 45° into the shear stress at the surface under it: τ = 2 G ε. The diameter is not needed.
 *
 * Kept: clock, masks; masked samples are turned too. Cost: one pass.
 *
 * @param channel gauge strain, in strain or µstrain
 * @param options gauge: for G, or E and ν
 * @returns nominal shear stress in Pa, at the gauge section
 * @throws InputError for another unit, or where G does not follow from the gauge
 * @see torqueFromStrain
 * @example
 * const strain = makeChannel({ name: 'strain', unit: 'µstrain', sampleRate: 1000, values: [250] });
 * shearStressFromStrain(strain, { gauge: { gaugeFactor: 2, activeArms: 4, shearModulus: GPa(80) } }).values[0] // => 4.0e7
 */
export function shearStressFromStrain(channel: Channel<StrainUnit>, options: { readonly gauge: Gauge }): Channel<'Pa'> {
  return stressOperation(channel, options) as Channel<'Pa'>;
}

/** values · factor. */
export function scaled(values: Float64Array, factor: number, offset: number = 0): Float64Array {
  const out = new Float64Array(values.length);
  for (let i = 0; i < out.length; i++) out[i] = values[i]! * factor + offset;
  return out;
}
