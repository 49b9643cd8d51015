import { checkChannel, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { defineOperation } from '../record/operation.js';
import { checkSection, type ShaftSection } from '../gauge/section.js';

/** Options of the step shearStress. */
interface ShearStressOptions {
  readonly section: ShaftSection;
}

const shearStressOperation = defineOperation<ShearStressOptions>('shearStress', (channel, options) => {
  checkChannel('shearStress', channel, ['N·m'], 'Convert it with convert(channel, \'N·m\'), or turn a bridge signal into torque with toTorque.');
  checkOptions('shearStress', options, { required: ['section'] });
  const { polarModulus } = checkSection('shearStress', options.section);
  const values = new Float64Array(channel.values.length);
  for (let i = 0; i < values.length; i++) values[i] = channel.values[i]! / polarModulus;
  return { unit: 'Pa', values, name: `nominal shear of ${channel.name}`, found: { basis: 'nominal', kind: 'shear', polarModulus } };
});

/**
 * Turns torque into the nominal shear stress at the outer surface: τ = T / W with W = π (D⁴ − d⁴) / (16 D). Stress raisers
 * are left out; they enter with localStress.
 *
 * Kept: clock, masks. Cost: one pass.
 *
 * @param channel torque, N·m
 * @param section the shaft where the life is asked, from solidSection or hollowSection
 * @returns nominal shear stress, Pa
 * @throws InputError for a channel of another unit, or a section that is none
 * @see nominalShear for a cycle count of torque, localStress
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: [0, 1000] });
 * shearStress(torque, solidSection(mm(50))).values[1] / 1e6 // => 40.7437
 * @references School knowledge: torsion of a round bar.
 */
export function shearStress(channel: Channel<'N·m'>, section: ShaftSection): Channel<'Pa'> {
  return shearStressOperation(channel, { section }) as Channel<'Pa'>;
}
