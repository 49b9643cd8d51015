import { checkChannel, isChannel, type Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { defineOperation } from '../record/operation.js';
import { checkSection, type ShaftSection } from '../gauge/section.js';
import { isCycleCount, isCycles, type CycleCount, type Cycles } from '../count/CycleCount.js';
import { checkCount, makeStressCycles, type StressCycles } from './StressCycles.js';

/** Options of the step shearStress. */
interface ShearStressOptions {
  readonly section: ShaftSection;
}

const remedy = 'Convert it with convert(channel, \'N·m\'), or turn a bridge signal into torque with toTorque.';

const shearStressOperation = defineOperation<ShearStressOptions>('shearStress', (channel, options) => {
  checkChannel('shearStress', channel, ['N·m'], remedy);
  checkOptions('shearStress', options, { required: ['section'] });
  const { polarModulus } = checkSection('shearStress', options.section);
  const values = new Float64Array(channel.values.length);
  for (let i = 0; i < values.length; i++) values[i] = channel.values[i]! / polarModulus;
  return { unit: 'Pa', values, name: `nominal shear of ${channel.name}`, found: { basis: 'nominal', kind: 'shear', polarModulus } };
});

/**
 * Turns torque, or counted cycles of torque, into the nominal shear stress at the outer surface: τ = T / W with
 * W = π (D⁴ − d⁴) / (16 D). Stress raisers are left out; they enter with localStress.
 *
 * Kept: clock and masks of a channel; the count as it was counted. Cost: one pass over a channel, none for a count.
 *
 * @param torque a channel, a CycleCount or Cycles of torque, N·m
 * @param section the shaft where the life is asked, from solidSection or hollowSection
 * @returns a channel of nominal shear stress in Pa, or cycles of nominal shear stress
 * @throws InputError for another unit, or a section that is none
 * @see localStress, vibrationLimits
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: [0, 1000] });
 * shearStress(torque, solidSection(mm(50))).values[1] / 1e6 // => 40.7437
 * const table = cyclesFromTable({ unit: 'N·m', range: [1000], count: [10], hours: 1 });
 * shearStress(table, solidSection(mm(50))).factor // => 40743.665
 * @references School knowledge: torsion of a round bar.
 */
export function shearStress(torque: Channel<'N·m'>, section: ShaftSection): Channel<'Pa'>;
export function shearStress(torque: CycleCount<'N·m'> | Cycles<'N·m'>, section: ShaftSection): StressCycles<'nominal', 'shear'>;
export function shearStress(torque: Channel<'N·m'> | CycleCount<'N·m'> | Cycles<'N·m'>, section: ShaftSection): Channel<'Pa'> | StressCycles<'nominal', 'shear'> {
  if (!isChannel(torque) && (isCycleCount(torque) || isCycles(torque))) {
    checkCount('shearStress', torque, 'N·m', 'Count torque in N·m, or state a count in Pa with stressCycles.');
    const { polarModulus, outerDiameter, innerDiameter } = checkSection('shearStress', section);
    const source = `torsion of a round ${innerDiameter > 0 ? `tube ${(outerDiameter * 1e3).toPrecision(4)}/${(innerDiameter * 1e3).toPrecision(4)}` : `shaft ${(outerDiameter * 1e3).toPrecision(4)}`} mm`;
    return makeStressCycles('nominal', 'shear', torque, [{ step: 'nominal shear', factor: 1 / polarModulus, source }]);
  }
  return shearStressOperation(torque as Channel, { section }) as Channel<'Pa'>;
}
