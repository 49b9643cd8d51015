import { EigenvalueDecomposition, Matrix, SingularValueDecomposition } from 'ml-matrix';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { assemble, reduceTrain, type ReducedTrain, type Train } from './Train.js';

/** One torsional mode of a train. */
export interface TorsionalMode {
  /** rad/s and Hz; 0 for the rigid-body turn. */
  readonly angularFrequency: number;
  readonly frequency: number;
  /** Modal damping ratio from the shafts' damping, φᵀCφ / (2 ω φᵀMφ). */
  readonly dampingRatio: number;
  /** Angle of each inertia about its own axis, as they stand in the train; the largest is ±1. */
  readonly shape: Float64Array;
  /** Torque in each shaft per radian of `shape`, N·m. */
  readonly shaftTorque: Float64Array;
  /** Stress in each shaft per radian of `shape`, Pa; NaN where the shaft states no polar modulus. */
  readonly shaftStress: Float64Array;
  /** φᵀMφ for `shape`, kg·m². */
  readonly modalInertia: number;
}

/** The modes of a train, lowest first, with the names that its arrays follow. */
export interface TorsionalModes {
  readonly inertias: readonly string[];
  readonly shafts: readonly string[];
  readonly modes: readonly TorsionalMode[];
  readonly notes: readonly string[];
}

/**
 * Gives the undamped torsional modes of a lumped train: K φ = ω² M φ, on the coordinates that remain when the rigid gears
 * are taken out.
 *
 * Kept: the order of inertias and shafts. Cost: one symmetric eigenvalue problem of the number of coordinates (ml-matrix).
 *
 * @param train inertias in kg·m², shafts in N·m/rad, gears by speed ratio
 * @returns modes, lowest first; a train that is free to turn begins with one of 0 Hz
 * @throws InputError for an unknown name, a number out of bounds, a closed loop of gears, or stiffnesses so different that a mode drowns in rounding
 * @see forcedResponse, fitStiffness
 * @example
 * const train = { inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000 }] };
 * torsionalModes(train).modes[1].angularFrequency // => 100
 * @references J. P. Den Hartog, Mechanical Vibrations; W. T. Thomson, Theory of Vibration with Applications, chapter 12 (lumped torsional systems); both from memory.
 */
export function torsionalModes(train: Train): TorsionalModes {
  const reduced = reduceTrain('torsionalModes', train);
  const n = reduced.count;
  const root = reduced.mass.map(Math.sqrt);
  const K = assemble(reduced, train.shafts.map((s) => s.stiffness));
  const C = assemble(reduced, train.shafts.map((s) => s.damping ?? 0));
  const scaled = new Matrix(n, n);
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) scaled.set(i, j, K[i]![j]! / (root[i]! * root[j]!));
  const eigen = new EigenvalueDecomposition(scaled, { assumeSymmetric: true });
  const order = eigen.realEigenvalues.map((value, index) => ({ value, index })).sort((a, b) => a.value - b.value);
  const stiffest = Math.max(...eigen.realEigenvalues);
  const free = freeTurns(reduced);
  const modes = order.map(({ value, index }, k) => {
    if (k >= free && !(value > 1e-12 * stiffest)) {
      throw new InputError({ where: 'torsionalModes', argument: 'shafts', expected: 'stiffnesses of which none drowns in the rounding of another', given: `a mode whose frequency is below a millionth of the highest, ${(Math.sqrt(stiffest) / (2 * Math.PI)).toPrecision(3)} Hz`, remedy: 'Make one inertia of those that a very stiff shaft joins.' });
    }
    const squared = k < free ? 0 : value;
    const vector = Array.from({ length: n }, (_, i) => eigen.eigenvectorMatrix.get(i, index) / root[i]!);
    return modeOf(train, reduced.coordinate, reduced.ratio, reduced.twists, reduced.mass, C, Math.sqrt(squared), vector);
  });
  return makeResult('TorsionalModes', {
    inertias: train.inertias.map((p) => p.name), shafts: train.shafts.map((s) => s.name), modes: Object.freeze(modes),
    notes: Object.freeze(train.gears?.length ? ['Gears are taken as rigid: mesh stiffness and backlash are left out.'] : []),
  }, (r) => `TorsionalModes: ${r.modes.map((m) => `${m.frequency.toPrecision(4)} Hz`).join(', ')}`);
}

/** How many independent ways the train turns without twisting a shaft: coordinates less the rank of the twists, whatever the stiffnesses. */
function freeTurns({ count, twists }: ReducedTrain): number {
  const rows = twists.filter((t) => t.length > 0);
  if (rows.length === 0) return count;
  const matrix = Matrix.zeros(rows.length, count);
  rows.forEach((twist, r) => { for (const { at, factor } of twist) matrix.set(r, at, matrix.get(r, at) + factor); });
  return count - new SingularValueDecomposition(matrix, { autoTranspose: true }).rank;
}

function modeOf(
  train: Train, coordinate: readonly number[], ratio: readonly number[], twists: readonly (readonly { readonly at: number; readonly factor: number }[])[],
  mass: readonly number[], C: readonly (readonly number[])[], omega: number, vector: readonly number[],
): TorsionalMode {
  const raw = coordinate.map((c, i) => vector[c]! * ratio[i]!);
  const largest = raw.reduce((best, v) => (Math.abs(v) > Math.abs(best) * (1 + 1e-9) ? v : best), 0);
  const shape = Float64Array.from(raw, (v) => v / largest);
  const q = vector.map((v) => v / largest);
  const modalInertia = mass.reduce((sum, m, i) => sum + m * q[i]! ** 2, 0);
  const damping = q.reduce((sum, a, i) => sum + q.reduce((s, b, j) => s + a * C[i]![j]! * b, 0), 0);
  const shaftTorque = Float64Array.from(train.shafts, (shaft, s) => shaft.stiffness * twists[s]!.reduce((sum, t) => sum + t.factor * q[t.at]!, 0));
  return Object.freeze({
    angularFrequency: omega, frequency: omega / (2 * Math.PI), dampingRatio: omega === 0 ? 0 : damping / (2 * omega * modalInertia), shape, shaftTorque,
    shaftStress: shaftTorque.map((t, s) => t / (train.shafts[s]!.polarModulus ?? Number.NaN)), modalInertia,
  });
}
