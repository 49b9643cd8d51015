import { orderOf } from '../numeric/order.js';
import type { Cycles } from '../count/CycleCount.js';
import { branchesOf, damageFunction, type Continuation, type LifeCurve } from './LifeCurve.js';
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
 * The damage rate as a function of a scale on the stress and a shift of the means, made quick for many draws. Without a
 * mean-stress rule it is exact: sums of n·Sᵐ are kept in order of S for each branch of the curve, and a draw costs one
 * search for each branch. With a rule the rows are folded into classes that keep the damage of the first branch.
 */
export function damageRate(rows: StressRows, options: RateOptions): DamageRate {
  return options.meanStress === 'none' ? rateByBranches(rows, options) : rateByClasses(foldRows(rows, options.curve.slope), options);
}

function rateByBranches(rows: StressRows, { curve, continuation }: RateOptions): DamageRate {
  const measure = curve.measure === 'range' ? 2 : 1;
  const order = fallingOrder(rows.amplitude);
  const stress = Float64Array.from(order, (i) => measure * rows.amplitude[i]!);
  const branches = branchesOf(curve, continuation).map((branch) => {
    const sums = new Float64Array(stress.length + 1);
    for (let k = 0; k < stress.length; k++) sums[k + 1] = sums[k]! + (rows.perHour[order[k]!]! * (stress[k]! / branch.stress) ** branch.slope) / branch.cycles;
    return { ...branch, sums };
  });
  return (scale) => {
    let from = 0;
    let damage = 0;
    for (const branch of branches) {
      const to = branch.least > 0 ? countAbove(stress, branch.least / scale) : stress.length;
      if (to > from) damage += scale ** branch.slope * (branch.sums[to]! - branch.sums[from]!);
      from = Math.max(from, to);
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

function rateByClasses(rows: StressRows, { curve, continuation, meanStress, kind }: RateOptions): DamageRate {
  const measure = curve.measure === 'range' ? 2 : 1;
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

/** At most this many rows go into the draws as they are; more are folded. */
const most = 2400;

/** Rows folded into classes of log amplitude and mean; each class keeps its cycles, its Σ n·aᵐ, and the mean weighted by that. */
export function foldRows(rows: StressRows, slope: number): StressRows {
  const n = rows.amplitude.length;
  if (n <= most) return rows;
  const amplitudes = 60, means = 40;
  let top = 0, low = Infinity, high = -Infinity;
  for (let i = 0; i < n; i++) {
    top = Math.max(top, rows.amplitude[i]!);
    low = Math.min(low, rows.mean[i]!);
    high = Math.max(high, rows.mean[i]!);
  }
  const width = (high - low) / means || 1;
  const count = new Float64Array(amplitudes * means), weight = new Float64Array(amplitudes * means), meanSum = new Float64Array(amplitudes * means);
  for (let i = 0; i < n; i++) {
    const share = rows.amplitude[i]! / top;
    // Classes of 5 % in amplitude from the top; what is smaller than the last edge (5 % of the top) shares the last class.
    const a = Math.min(amplitudes - 1, Math.floor(-Math.log(share) / 0.05));
    const k = a * means + Math.min(means - 1, Math.floor((rows.mean[i]! - low) / width));
    const w = rows.perHour[i]! * share ** slope;
    count[k]! += rows.perHour[i]!;
    weight[k]! += w;
    meanSum[k]! += w * rows.mean[i]!;
  }
  const used = Array.from(count.keys()).filter((k) => weight[k]! > 0);
  return {
    amplitude: Float64Array.from(used, (k) => top * (weight[k]! / count[k]!) ** (1 / slope)), mean: Float64Array.from(used, (k) => meanSum[k]! / weight[k]!),
    perHour: Float64Array.from(used, (k) => count[k]!),
  };
}
