import { orderOf } from '../numeric/order.js';
import type { Cycles } from '../count/CycleCount.js';
import { branchesOf, damageFunction, type Branch, type Continuation, type LifeCurve } from './LifeCurve.js';
import { equivalentAmplitude, type MeanStress } from './meanStress.js';
import type { StressKind } from './stress.js';

/** Damage of one hour when every stress is multiplied by `scale` and every mean is moved by `shift` (Pa, before scaling). */
export type DamageRate = (scale: number, shift: number) => number;

/** Rows of a count as stress: amplitude and mean in Pa, cycles per hour. */
export interface StressRows {
  readonly amplitude: Float64Array;
  readonly mean: Float64Array;
  readonly perHour: Float64Array;
}

/** What turns rows into damage. */
export interface RateOptions {
  readonly curve: LifeCurve;
  readonly continuation: Continuation;
  readonly meanStress: MeanStress;
  readonly kind: StressKind;
}

/** Rows of closed cycles as stress. */
export function stressRows(rows: Cycles, factor: number): StressRows {
  const hours = rows.validTime / 3600;
  return { amplitude: rows.range.map((r) => 0.5 * r * factor), mean: rows.mean.map((m) => m * factor), perHour: rows.count.map((n) => n / hours) };
}

/**
 * The damage rate as a function of a scale on the stress and a shift of the means, made quick for many draws: sums of n·Sᵐ
 * are kept in order of S for each branch of the curve, and a draw costs one search for each branch. Without a mean-stress rule
 * that is exact. With a rule up to 2400 rows go into every draw as they are; more are put into classes of amplitude and mean,
 * each with its own sums. A row enters by its own equivalent stress, and only how far a draw moves that is taken from its class:
 * the rate at scale 1 and shift 0 is exact, on either side of a knee.
 */
export function damageRate(rows: StressRows, options: RateOptions): DamageRate {
  const { curve, continuation, meanStress } = options;
  if (meanStress === 'none') {
    const measure = measureOf(curve);
    const damage = damageOfFactor(rows.amplitude.map((a) => measure * a), rows.perHour, branchesOf(curve, continuation));
    return (scale) => damage(scale);
  }
  return rows.amplitude.length > most ? rateByClasses(rows, options) : rateByRows(rows, options);
}

/** Damage in an hour as recorded, and log₁₀ of the stress (as the curve measures it) on the average of the damage. */
export function damageCentre(rows: StressRows, { curve, continuation, meanStress, kind }: RateOptions): { readonly perHour: number; readonly logStress: number } {
  const perCycle = damageFunction(curve, continuation);
  const equivalent = equivalentAmplitude(meanStress, kind, 'lifeBand');
  let perHour = 0, moment = 0;
  for (let i = 0; i < rows.amplitude.length; i++) {
    const stress = measureOf(curve) * equivalent(rows.amplitude[i]!, rows.mean[i]!);
    const done = rows.perHour[i]! * perCycle(stress);
    if (!(done > 0)) continue;
    perHour += done;
    moment += done * Math.log10(stress);
  }
  return { perHour, logStress: perHour > 0 ? moment / perHour : Math.log10(curve.through.stress) };
}

/** What a stress amplitude is multiplied by to be as the curve measures it. */
function measureOf(curve: LifeCurve): number {
  return curve.measure === 'range' ? 2 : 1;
}

/** The damage of stresses as a function of one factor on all of them. */
function damageOfFactor(stresses: Float64Array, perHour: Float64Array, branches: readonly Branch[]): (factor: number) => number {
  const order = fallingOrder(stresses);
  const stress = Float64Array.from(order, (i) => stresses[i]!);
  const summed = branches.map((branch) => {
    const sums = new Float64Array(stress.length + 1);
    for (let k = 0; k < stress.length; k++) sums[k + 1] = sums[k]! + (perHour[order[k]!]! * (stress[k]! / branch.stress) ** branch.slope) / branch.cycles;
    return { ...branch, sums };
  });
  return (factor) => {
    let from = 0;
    let damage = 0;
    for (const branch of summed) {
      const to = branch.least > 0 ? countAbove(stress, branch.least / factor) : stress.length;
      if (to > from) damage += factor ** branch.slope * (branch.sums[to]! - branch.sums[from]!);
      from = Math.max(from, to);
      if (from === stress.length) break;
    }
    return damage;
  };
}

/** The order in which amplitudes fall, to 1 part in 2⁴⁷ of the largest. */
function fallingOrder(amplitude: Float64Array): Uint32Array {
  let top = 0;
  for (let i = 0; i < amplitude.length; i++) if (amplitude[i]! > top) top = amplitude[i]!;
  if (top === 0) return orderOf(new Float64Array(amplitude.length));
  return orderOf(amplitude.map((a) => Math.floor((1 - a / top) * 2 ** 47)));
}

/** How many of the falling values are at least `least`. */
function countAbove(falling: Float64Array, least: number): number {
  let low = 0;
  let high = falling.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (falling[middle]! >= least) low = middle + 1;
    else high = middle;
  }
  return low;
}

function rateByRows(rows: StressRows, { curve, continuation, meanStress, kind }: RateOptions): DamageRate {
  const measure = measureOf(curve);
  const perCycle = damageFunction(curve, continuation);
  const equivalent = equivalentAmplitude(meanStress, kind, 'lifeBand');
  return (scale, shift) => {
    let damage = 0;
    for (let i = 0; i < rows.amplitude.length; i++) {
      damage += rows.perHour[i]! * perCycle(measure * equivalent(rows.amplitude[i]! * scale, (rows.mean[i]! + shift) * scale));
    }
    return damage;
  };
}

/** At most this many rows go into the draws as they are; more are put into classes. */
const most = 2400;

/** Classes of amplitude (each a quarter wider than the next, the last to 0) and of mean (equal in width). */
const [amplitudes, means] = [12, 80];

function rateByClasses(rows: StressRows, { curve, continuation, meanStress, kind }: RateOptions): DamageRate {
  const measure = measureOf(curve);
  const branches = branchesOf(curve, continuation);
  const perCycle = damageFunction(curve, continuation);
  const equivalent = equivalentAmplitude(meanStress, kind, 'lifeBand');
  const own = rows.amplitude.map((a, i) => measure * equivalent(a, rows.mean[i]!));
  const [low, high] = ends(rows.mean);
  const classes = classesOf(rows, own, [low, high]).map((members) => {
    const { amplitude, mean } = middleOf(rows, members, curve.slope);
    const perHour = Float64Array.from(members, (i) => rows.perHour[i]!);
    // Rows to which the rule gives no stress have nothing that a draw could scale: such a class is read by its middle.
    if (own[members[0]!] === 0) {
      const cycles = perHour.reduce((a, b) => a + b, 0);
      return { amplitude, mean, base: 1, damage: (stress: number): number => cycles * perCycle(measure * stress) };
    }
    return { amplitude, mean, base: equivalent(amplitude, mean), damage: damageOfFactor(Float64Array.from(members, (i) => own[i]!), perHour, branches) };
  });
  return (scale, shift) => {
    // A mean that reaches the strength is refused by the rule, as it is row by row.
    for (const mean of [low, high]) equivalent(scale, (mean + shift) * scale);
    let damage = 0;
    for (const c of classes) {
      const stress = equivalent(c.amplitude * scale, (c.mean + shift) * scale);
      if (stress > 0) damage += c.damage(stress / c.base);
    }
    return damage;
  };
}

/** Members of each class that holds any, by number of row; rows to which the rule gives no stress are in classes of their own. */
function classesOf(rows: StressRows, own: Float64Array, [low, high]: readonly [number, number]): readonly number[][] {
  const [, top] = ends(rows.amplitude);
  const width = (high - low) / means || 1;
  const members = Array.from({ length: 2 * amplitudes * means }, (): number[] => []);
  for (let i = 0; i < own.length; i++) {
    const a = Math.min(amplitudes - 1, Math.floor(-Math.log(rows.amplitude[i]! / top) / 0.25));
    const m = Math.min(means - 1, Math.floor((rows.mean[i]! - low) / width));
    members[((own[i]! > 0 ? 1 : 0) * amplitudes + a) * means + m]!.push(i);
  }
  return members.filter((rows) => rows.length > 0);
}

/** Amplitude and mean in the middle of a class, each row weighted by n·aᵐ. */
function middleOf(rows: StressRows, members: readonly number[], slope: number): { readonly amplitude: number; readonly mean: number } {
  const top = members.reduce((most, i) => Math.max(most, rows.amplitude[i]!), 0);
  let weight = 0, amplitude = 0, mean = 0;
  for (const i of members) {
    // A row of next to nothing keeps a weight, so that a class of such rows has a middle.
    const w = Math.max(rows.perHour[i]!, 1e-100) * Math.max((rows.amplitude[i]! / top) ** slope, 1e-100);
    weight += w;
    amplitude += w * rows.amplitude[i]!;
    mean += w * rows.mean[i]!;
  }
  return { amplitude: amplitude / weight, mean: mean / weight };
}

/** The least and the largest of some values. */
function ends(values: Float64Array): readonly [number, number] {
  let [low, high] = [Infinity, -Infinity];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return [low, high];
}
