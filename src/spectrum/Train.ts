import { checkList, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';

/** A rotating part of a drive train. */
export interface TrainInertia {
  readonly name: string;
  /** kg·m², about its own axis. */
  readonly inertia: number;
}

/** A shaft or coupling between two inertias, or between one and `'ground'`. */
export interface TrainShaft {
  readonly name: string;
  readonly from: string;
  readonly to: string;
  /** N·m/rad, of the shaft itself. */
  readonly stiffness: number;
  /** Relative viscous damping, N·m·s/rad. Default 0. */
  readonly damping?: number;
  /** Polar section modulus where stress is asked, m³. */
  readonly polarModulus?: number;
}

/** A rigid gear mesh: the inertia `to` turns at `ratio` times the speed of `from`. */
export interface TrainGear {
  readonly from: string;
  readonly to: string;
  readonly ratio: number;
}

/** A lumped drive train. Branches are allowed; gears are rigid and turn the same way in this model, since only squares matter. */
export interface Train {
  readonly inertias: readonly TrainInertia[];
  readonly shafts: readonly TrainShaft[];
  readonly gears?: readonly TrainGear[];
}

/** A train on its independent coordinates: θᵢ = ratio[i] · q[coordinate[i]]. */
export interface ReducedTrain {
  readonly count: number;
  readonly coordinate: readonly number[];
  readonly ratio: readonly number[];
  /** Mass of each coordinate: Σ J r². */
  readonly mass: readonly number[];
  /** For each shaft: the coordinates and factors of its twist. */
  readonly twists: readonly (readonly { readonly at: number; readonly factor: number }[])[];
}

/** Refuses what is no train: lists that are none, parts that are no objects or with unknown keys. */
function checkParts(where: string, train: Train): void {
  checkOptions(where, train, { required: ['inertias', 'shafts'], optional: ['gears'] });
  checkList(where, 'inertias', train.inertias, 'a list of at least one inertia');
  for (const [key, list] of [['shafts', train.shafts], ['gears', train.gears ?? []]] as const) {
    if (!Array.isArray(list)) throw new InputError({ where, argument: key, expected: 'a list', given: show(list) });
  }
  train.inertias.forEach((part, i) => checkOptions(`${where}, inertias[${i}]`, part, { required: ['name', 'inertia'] }));
  train.shafts.forEach((part, i) => checkOptions(`${where}, shafts[${i}]`, part, { required: ['name', 'from', 'to', 'stiffness'], optional: ['damping', 'polarModulus'] }));
  (train.gears ?? []).forEach((part, i) => checkOptions(`${where}, gears[${i}]`, part, { required: ['from', 'to', 'ratio'] }));
}

/**
 * Checks a train and takes its rigid gears out: J on a shaft that turns n times as fast counts as n² J.
 *
 * @references J. P. Den Hartog, Mechanical Vibrations, geared systems (from memory): equivalent inertia n² J, stiffness n² k.
 */
export function reduceTrain(where: string, train: Train): ReducedTrain {
  checkParts(where, train);
  const names = train.inertias.map((part) => part.name);
  const find = (name: string, argument: string): number => {
    const index = names.indexOf(name);
    if (index < 0) throw new InputError({ where, argument, expected: `one of ${names.join(', ')}`, given: show(name) });
    return index;
  };
  if (names.includes('ground')) throw new InputError({ where, argument: 'inertias', expected: 'of names other than ground, which does not turn', given: names.join(', ') });
  for (const { name, inertia } of train.inertias) checkNumber(where, `inertia of ${name}`, inertia, { above: 0, unit: 'kg·m²' });
  if (new Set(names).size !== names.length) throw new InputError({ where, argument: 'inertias', expected: 'of different names', given: names.join(', ') });
  const group = names.map((_, i) => i);
  const ratio = names.map(() => 1);
  for (const gear of train.gears ?? []) {
    checkNumber(where, `ratio of the gear ${gear.from}–${gear.to}`, gear.ratio, { above: 0 });
    const a = find(gear.from, 'gears.from');
    const b = find(gear.to, 'gears.to');
    if (group[a] === group[b]) throw new InputError({ where, argument: 'gears', expected: 'without a closed loop', given: `a second mesh between ${gear.from} and ${gear.to}` });
    const scale = (ratio[a]! * gear.ratio) / ratio[b]!;
    const joined = group[b];
    group.forEach((g, i) => {
      if (g === joined) {
        group[i] = group[a]!;
        ratio[i] = ratio[i]! * scale;
      }
    });
  }
  const heads = [...new Set(group)];
  const coordinate = group.map((g) => heads.indexOf(g));
  const mass = heads.map((g) => train.inertias.reduce((sum, part, i) => (group[i] === g ? sum + part.inertia * ratio[i]! ** 2 : sum), 0));
  const end = (name: string, sign: number, argument: string): { at: number; factor: number }[] => {
    if (name === 'ground') return [];
    const i = find(name, argument);
    return [{ at: coordinate[i]!, factor: sign * ratio[i]! }];
  };
  const twists = train.shafts.map((shaft) => {
    checkNumber(where, `stiffness of ${shaft.name}`, shaft.stiffness, { above: 0, unit: 'N·m/rad' });
    if (shaft.damping !== undefined) checkNumber(where, `damping of ${shaft.name}`, shaft.damping, { min: 0, unit: 'N·m·s/rad' });
    if (shaft.polarModulus !== undefined) checkNumber(where, `polarModulus of ${shaft.name}`, shaft.polarModulus, { above: 0, unit: 'm³' });
    if (shaft.from === shaft.to) throw new InputError({ where, argument: `shaft ${shaft.name}`, expected: 'between two parts', given: `both ends at ${shaft.from}` });
    return [...end(shaft.to, 1, 'shafts.to'), ...end(shaft.from, -1, 'shafts.from')];
  });
  return { count: heads.length, coordinate, ratio, mass, twists };
}

/** Σ over shafts of value · twist · twistᵀ: the stiffness or damping matrix on the independent coordinates. */
export function assemble(reduced: ReducedTrain, values: readonly number[]): number[][] {
  const matrix = Array.from({ length: reduced.count }, () => new Array<number>(reduced.count).fill(0));
  reduced.twists.forEach((twist, s) => {
    for (const a of twist) for (const b of twist) matrix[a.at]![b.at]! += values[s]! * a.factor * b.factor;
  });
  return matrix;
}
