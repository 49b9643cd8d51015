import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { createRandom } from '../numeric/random.js';
import type { Damage } from './damage.js';

/** Options of damageConvergence. */
export interface ConvergenceOptions {
  /** How closely the damage rate should be known: half the width of the interval over the rate, for instance 0.2; no default. */
  readonly within: number;
  /** Length of a block, seconds; a fortieth of the record unless told. */
  readonly block?: number;
  /** Of the interval, 0.9 unless told. */
  readonly level?: number;
  /** 2000 unless told. */
  readonly draws?: number;
  /** 1 unless told. */
  readonly seed?: number;
}

/** How well a record settles the damage rate. */
export interface DamageConvergence {
  /** Damage in an hour. */
  readonly perHour: number;
  readonly interval: { readonly level: number; readonly low: number; readonly high: number };
  /** Half the width of the interval over the rate. */
  readonly relativeHalfWidth: number;
  readonly verdict: 'long enough' | 'record longer';
  /** Hours that would do if it goes on like this, at least the recorded ones. */
  readonly hoursNeeded: number;
  /** Hours at the end of each block. */
  readonly hours: Float64Array;
  /** Damage in an hour of everything up to there. */
  readonly runningPerHour: Float64Array;
  /** Share of the damage that came from the single most damaging block. */
  readonly largestBlockShare: number;
  readonly notes: readonly string[];
}

/**
 * Tells whether a record is long enough for its damage rate: the running rate over time, and an interval by a circular
 * block bootstrap.
 *
 * The record is cut into n blocks and the damage of each cycle put where it turned back. Runs of ⌈n^(1/3)⌉ neighbouring
 * blocks are drawn with replacement, so that what belongs together stays together. Of each draw t = (m* − m)/s* is kept, m* the
 * mean of its runs and s* the standard error of that; the interval is m − t₉₅·s … m − t₅·s. Damage is skewed (a record more often
 * misses its rare large cycles than holds too many), and t carries that: quantiles of m* alone would end too low. A lower end
 * below 0 is 0. Half the width of the interval goes with 1/√time: hours needed = hours·(half width / wanted)².
 *
 * It does not carry what the record never showed. On simulated loads of strongly skewed damage (slopes 6 and 11, records of 75 correlation
 * times) the 90 % interval held the true rate 80 % of the time, and 75 % where the level of the load wandered by a quarter; the true rate lay
 * above it in most of the misses. Where the verdict is 'record longer' a note says so.
 *
 * Kept: the running rate. Cost: draws × blocks.
 *
 * @param damage from damage, of cycles with places (not of classes)
 * @param options within (no default), block, level, draws, seed
 * @returns the interval, the verdict and the running rate
 * @throws InputError for damage without places or time, fewer than 20 blocks, or no damage at all
 * @see damage lifeBand
 * @example
 * const waves = makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 20000 }, (_, i) => MPa(100) * Math.sin(i)) });
 * const done = damage(stressCycles(countCycles(waves), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * damageConvergence(done, { within: 0.1 }).verdict // => "long enough"
 * @references D. N. Politis and J. P. Romano, A circular block-resampling procedure for stationary data, in: Exploring the limits of bootstrap, Wiley 1992. P. Hall, The bootstrap and Edgeworth expansion, Springer 1992,
 * section 3.2 (the interval by t); from memory.
 */
export function damageConvergence(damage: Damage, options: ConvergenceOptions): DamageConvergence {
  const where = 'damageConvergence';
  if (kindOf(damage) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(damage), remedy: 'Make one with damage(cycles, options).' });
  checkOptions(where, options, { required: ['within'], optional: ['block', 'level', 'draws', 'seed'] });
  const within = checkNumber(where, 'within', options.within, { above: 0, below: 10 });
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const draws = checkNumber(where, 'draws', options.draws ?? 2000, { integer: true, min: 100, max: 1_000_000 });
  const { sums, blockHours, partial } = blockSums(where, damage, options.block);
  const n = sums.length;
  const total = sums.reduce((a, b) => a + b, 0);
  const perHour = total / (n * blockHours);
  if (!(perHour > 0)) throw new InputError({ where, argument: 'damage', expected: 'above 0', given: 'no damage', remedy: 'There is nothing to settle where no cycle does damage.' });
  const ends = bootstrapInterval(sums, draws, level, checkNumber(where, 'seed', options.seed ?? 1, { integer: true }));
  const interval = Object.freeze({ level, low: Math.max(0, ends.low / blockHours), high: ends.high / blockHours });
  const relativeHalfWidth = (interval.high - interval.low) / 2 / perHour;
  const hours = Float64Array.from({ length: n }, (_, k) => (k + 1) * blockHours);
  let running = 0;
  const runningPerHour = sums.map((s, k) => (running += s) / hours[k]!);
  const largestBlockShare = sums.reduce((a, b) => Math.max(a, b), 0) / total;
  const verdict = relativeHalfWidth <= within ? 'long enough' : 'record longer';
  const cycle = damage.largest[0]?.share ?? 0;
  return makeResult<DamageConvergence>('DamageConvergence', {
    perHour, interval, relativeHalfWidth, verdict, hoursNeeded: n * blockHours * Math.max(1, (relativeHalfWidth / within) ** 2), hours, runningPerHour, largestBlockShare,
    notes: Object.freeze([
      ...(partial > 0 ? [`The last ${partial.toPrecision(2)} h do not fill a block and were left out.`] : []),
      ...(largestBlockShare > 0.3 ? [`One block of ${n} holds ${Number((100 * largestBlockShare).toPrecision(2))} % of the damage: the interval of a bootstrap is too narrow for so rare an event.`] : []),
      ...(verdict === 'record longer' ? ['So few of the damaging cycles were recorded that such an interval is too narrow, mostly at its upper end: the true rate is more often above it than the level says.'] : []),
      ...(cycle > 0.3 ? [`A single cycle does ${Number((100 * cycle).toPrecision(2))} % of the damage.`] : []),
      ...(damage.cycles.lostTime > 0 ? ['Lost time was taken as spread evenly over the blocks.'] : []),
    ]),
  }, (c) => `DamageConvergence: ${c.perHour.toPrecision(3)} per hour ± ${Number((100 * c.relativeHalfWidth).toPrecision(2))} % (${Number((100 * level).toPrecision(2))} %), ${c.verdict}`);
}

/** Damage of each block by the place where its cycles turned back; hours are valid hours. */
function blockSums(where: string, damage: Damage, block: number | undefined): { readonly sums: Float64Array; readonly blockHours: number; readonly partial: number } {
  const { cycles } = damage;
  const samples = cycles.sources.reduce((sum, s) => sum + s.samples, 0);
  if (!(samples > 0) || !(damage.hours > 0)) throw new InputError({ where, argument: 'damage', expected: 'of cycles that were counted in time', given: 'cycles without places' });
  const seconds = cycles.validTime + cycles.lostTime;
  const length = checkNumber(where, 'block', block ?? seconds / 40, { above: 0, max: seconds / 20, unit: 's' });
  const n = Math.floor(seconds / length + 1e-9);
  const perBlock = (samples * length) / seconds;
  const sums = new Float64Array(n);
  cycles.at.forEach((at, k) => {
    if (at < 0) throw new InputError({ where, argument: 'damage', expected: 'of cycles with places', given: 'cycles in classes', remedy: "Count with keep: 'cycles'." });
    const b = Math.floor(at / perBlock);
    if (b < n) sums[b]! += damage.damage[k]!;
  });
  const valid = cycles.validTime / seconds;
  const partial = ((seconds - n * length) / 3600) * valid;
  return { sums, blockHours: (length * valid) / 3600, partial: partial > 1e-9 ? partial : 0 };
}

/** Interval of the mean of block sums by the t of runs of neighbouring blocks, the last joined to the first. */
function bootstrapInterval(sums: Float64Array, draws: number, level: number, seed: number): { readonly low: number; readonly high: number } {
  const random = createRandom(seed);
  const n = sums.length;
  const length = Math.ceil(Math.cbrt(n));
  const runs = sums.map((_, first) => {
    let sum = 0;
    for (let k = 0; k < length; k++) sum += sums[(first + k) % n]!;
    return sum / length;
  });
  const drawn = new Float64Array(Math.ceil(n / length));
  const whole = meanAndDeviation(runs);
  const error = whole.deviation / Math.sqrt(drawn.length);
  const t: number[] = [];
  for (let k = 0; k < draws; k++) {
    for (let j = 0; j < drawn.length; j++) drawn[j] = runs[random.below(n)]!;
    const { mean, deviation } = meanAndDeviation(drawn);
    if (deviation > 0) t.push(((mean - whole.mean) / deviation) * Math.sqrt(drawn.length));
  }
  t.sort((a, b) => a - b);
  const at = (p: number): number => (t.length > 0 ? t[Math.min(t.length - 1, Math.floor(p * t.length))]! : 0);
  return { low: whole.mean - at((1 + level) / 2) * error, high: whole.mean - at((1 - level) / 2) * error };
}

function meanAndDeviation(values: Float64Array): { readonly mean: number; readonly deviation: number } {
  let sum = 0, squares = 0;
  for (let k = 0; k < values.length; k++) sum += values[k]!;
  const mean = sum / values.length;
  for (let k = 0; k < values.length; k++) squares += (values[k]! - mean) ** 2;
  return { mean, deviation: Math.sqrt(squares / (values.length - 1)) };
}
