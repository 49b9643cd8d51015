import { fileURLToPath } from 'node:url';
import {
  countCycles, curveLibrary, damage, findFaults, findRestStates, fitZero, lifeCurve, localStress, markInvalid, MPa, notchFactor, removeZero, shearStress, solidSection, toTorque,
  type Channel, type CycleCount, type Gauge, type LifeCurve, type NotchFactor, type ZeroModel,
} from '../../src/index.js';
import { chain, plant } from '../../sample-runs/tarn-weir.mjs';

/** Path of a committed sample run. */
export const file = (name: string): string => fileURLToPath(new URL(`../../sample-runs/${name}`, import.meta.url));

export const section = solidSection(plant.shaft.diameter);
export const ratioGauge = { gaugeFactor: chain.gaugeFactor, activeArms: 4 as const, youngsModulus: plant.steel.youngs, poissonsRatio: plant.steel.poisson };
/** The keyway: the factor of a curve of smooth specimens, a further raiser on a curve of a welded detail. */
const notch = (curve: LifeCurve<'range' | 'amplitude', 'shear'>): NotchFactor<'shear'> =>
  notchFactor({ kind: 'shear', value: plant.shaft.notchFactor, basis: curve.notch === 'in the stress' ? 'fatigue' : 'on top of the curve', source: 'truth of the sample runs' });

const shared = { kind: 'shear', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 'this test' } as const;
/** S-N curves of quite different slope and knee; damage must come back by each of them. */
export const curves: readonly LifeCurve<'range' | 'amplitude', 'shear'>[] = [
  curveLibrary.en1993Shear(100, 1.15),
  lifeCurve({ ...shared, name: 'slope 3', measure: 'range', through: { stress: MPa(100), cycles: 2e6 }, slope: 3, knee: null, beyond: 'same-slope' }),
  lifeCurve({ ...shared, name: 'slope 8 with a knee', measure: 'amplitude', through: { stress: MPa(90), cycles: 1e6 }, slope: 8, knee: 1e6, beyond: 'reduced-slope' }),
];

/** Damage of a torque history or of its count by a curve. */
export function damageOf(torque: Channel<'N·m'> | CycleCount<'N·m'>, curve: LifeCurve<'range' | 'amplitude', 'shear'>): number {
  const count = 'values' in torque ? countCycles(torque) : torque;
  return damage(localStress(shearStress(count, section), notch(curve)), { curve, meanStress: 'none', residue: 'half' }).total;
}

/** Masks what findFaults finds, rests where the speed channel says so, a straight line as zero: what an analyst does who knows no truth. */
export function prepare(bridge: Channel<'mV/V'> | Channel<'V'>, speed: Channel<'rpm'>, gauge: Gauge = ratioGauge): { torque: Channel<'N·m'>; model: ZeroModel } {
  const faults = findFaults(bridge);
  const masked = faults.spans.length > 0 ? markInvalid(bridge, faults) : bridge;
  const raw = toTorque(masked as Channel<'V'>, { gauge, section });
  const rest = findRestStates({ speed, below: 0.05, minimum: 5, guard: 1 });
  const model = fitZero(raw, { rest, model: 'linear in time' });
  return { torque: removeZero(raw, model), model };
}
