import { Matrix, solve } from 'ml-matrix';
import { checkList, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { assemble, reduceTrain, type Train } from './Train.js';

/** Torque in every shaft per N·m of a harmonic torque on one inertia. */
export interface ForcedResponse {
  /** Hz. */
  readonly frequency: Float64Array;
  readonly shafts: readonly string[];
  /** For each shaft: amplitude of its torque per unit torque, over `frequency`. */
  readonly magnitude: readonly Float64Array[];
  /** For each shaft: phase against the torque, rad, −π … π. */
  readonly phase: readonly Float64Array[];
}

/** What forcedResponse takes. */
export interface ForcedResponseOptions {
  /** The inertia on which the torque acts. */
  readonly at: string;
  /** Hz, each above 0. */
  readonly frequency: ArrayLike<number>;
}

/**
 * Gives the torque in every shaft under a harmonic torque of 1 N·m on one inertia: (K − ω²M + iωC) q = f, torque = (k + iωc)·twist.
 *
 * Cost: one linear system of twice the number of coordinates per frequency.
 *
 * @throws InputError for an unknown inertia or a frequency that is not above 0, and where an undamped train is driven at its natural frequency
 * @example
 * const train = { inertias: [{ name: 'a', inertia: 2 }, { name: 'b', inertia: 6 }], shafts: [{ name: 's', from: 'a', to: 'b', stiffness: 15000 }] };
 * forcedResponse(train, { at: 'a', frequency: [0.1] }).magnitude[0][0] // => 0.75003
 * @references W. T. Thomson, Theory of Vibration with Applications (harmonic response of several degrees of freedom; from memory).
 */
export function forcedResponse(train: Train, options: ForcedResponseOptions): ForcedResponse {
  const where = 'forcedResponse';
  checkOptions(where, options, { required: ['at', 'frequency'] });
  const reduced = reduceTrain(where, train);
  const driven = train.inertias.findIndex((p) => p.name === options.at);
  if (driven < 0) throw new InputError({ where, argument: 'at', expected: `one of ${train.inertias.map((p) => p.name).join(', ')}`, given: JSON.stringify(options.at) });
  const frequency = Float64Array.from(checkList(where, 'frequency', options.frequency, 'a list of at least one frequency'), (f, i) => checkNumber(where, `frequency[${i}]`, f, { above: 0, unit: 'Hz' }));
  const K = assemble(reduced, train.shafts.map((s) => s.stiffness));
  const C = assemble(reduced, train.shafts.map((s) => s.damping ?? 0));
  const magnitude = train.shafts.map(() => new Float64Array(frequency.length));
  const phase = train.shafts.map(() => new Float64Array(frequency.length));
  const n = reduced.count;
  frequency.forEach((f, at) => {
    const w = 2 * Math.PI * f;
    const A = new Matrix(2 * n, 2 * n);
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const real = K[i]![j]! - (i === j ? w * w * reduced.mass[i]! : 0);
        A.set(i, j, real);
        A.set(n + i, n + j, real);
        A.set(i, n + j, -w * C[i]![j]!);
        A.set(n + i, j, w * C[i]![j]!);
      }
    }
    const f0 = new Array<number>(2 * n).fill(0);
    f0[reduced.coordinate[driven]!] = reduced.ratio[driven]!;
    const q = solveAt(where, A, f0, f);
    train.shafts.forEach((shaft, s) => {
      const re = reduced.twists[s]!.reduce((sum, t) => sum + t.factor * q.get(t.at, 0), 0);
      const im = reduced.twists[s]!.reduce((sum, t) => sum + t.factor * q.get(n + t.at, 0), 0);
      const c = w * (shaft.damping ?? 0);
      const torqueRe = shaft.stiffness * re - c * im;
      const torqueIm = shaft.stiffness * im + c * re;
      magnitude[s]![at] = Math.hypot(torqueRe, torqueIm);
      phase[s]![at] = Math.atan2(torqueIm, torqueRe);
    });
  });
  return makeResult('ForcedResponse', { frequency, shafts: train.shafts.map((s) => s.name), magnitude, phase }, (r) => `ForcedResponse of ${r.shafts.join(', ')} at ${r.frequency.length} frequencies`);
}

function solveAt(where: string, A: Matrix, f0: number[], frequency: number): Matrix {
  try {
    return solve(A, Matrix.columnVector(f0));
  } catch {
    throw new InputError({ where, argument: 'frequency', expected: 'off the natural frequencies of an undamped train', given: `${frequency} Hz`, remedy: 'Give the shafts some damping.' });
  }
}
