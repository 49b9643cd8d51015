import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { countUpTo } from '../numeric/countUpTo.js';
import { lagOne } from '../numeric/lagOne.js';
import { flooredLogs, lognormalMeans } from '../numeric/lognormalMeans.js';
import { momentsOf, standardDeviation } from '../numeric/moments.js';
import { createRandom } from '../numeric/random.js';
import type { Span } from '../record/span.js';
import { clockOf, maskedSpans } from '../count/namedWindows.js';
import type { Damage } from './damage.js';

/** Options of damageConvergence. */
export interface ConvergenceOptions {
  /** How closely the damage rate should be known: half the width of the interval over the rate, for instance 0.2; no default. */
  readonly within: number;
  /** Length of a block, seconds of valid time; a fortieth of it unless told. */
  readonly block?: number;
  /** The masked spans of the counted channel (its `invalid`): they are in no block. Needed where samples were lost; without it lost time is taken as spread evenly. */
  readonly invalid?: readonly Span[];
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
  /** Rates that the record allows, drawn, rising; the interval is of them, and lifeBand draws from them (inputs.duty.settled). */
  readonly rates: Float64Array;
  /** Half the width of the interval over the rate. */
  readonly relativeHalfWidth: number;
  readonly verdict: 'long enough' | 'record longer';
  /** Hours that would do if it goes on like this: at least the recorded ones, and four times as many where neighbouring stretches are alike. */
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
 * Tells whether a record is long enough for its damage rate: the running rate over time, and an interval of the rate of a
 * record without end.
 *
 * The damage of each cycle is put where it turned back, in n blocks for the running rate, and in eight stretches of equal length for the
 * interval. Time is valid time: masked spans are left out of it where `invalid` says that they lie, so that a record with a gap gives what it gives without the gap. Not told, a gap
 * counts as if lost time were spread evenly, and a stretch within it as one at rest. The logarithms of the stretches' damages (each with a twentieth of their mean added, so that a stretch at rest has one) are taken
 * as normal, for damage is skewed: a record more often misses its rare large cycles than holds too many. From their mean and standard deviation the mean
 * of the distribution is drawn, as Student's t is drawn for a normal one (see the reference); the interval holds `level` of the draws. What
 * belongs together for less than a stretch stays together in it. Hours needed = hours·(ln(reach of the upper end)/ln(1 + within))².
 *
 * The interval takes the stretches as independent, unless neighbouring ones are seen to be alike (correlation r of their logarithms, each with the next, above 0.3): then
 * the eight count as two, and where their standard deviation is above a tenth of ln(1 + within) a note says so, the record is not called long enough, and at least four times its hours are needed.
 *
 * The 90 % interval held the true rate in 87 to 95 % of 300 simulated records each (slopes 5, 6 and 11, 75 to 1500 correlation times, a level of
 * the load that wandered by 0 to 40 %, correlated over 20 to 100 samples of at least 1500). Where the level keeps for longer it holds less often: with a level that wanders
 * by 25, 35 and 25 % and is correlated over one, two and four stretches, in 81, 80 and 67 % of 300 records (slope 5, 4000 samples; slope 11, 1500 samples, over 2.7, 5 and 11 stretches: 74, 66 and 58 %).
 * Eight stretches show that only at times: the note stood at 29, 49 and 55 % of those records, and at 7 to 12 % of records without such a level.
 * Know how slowly the duty changes, and record many times as long. In fewer than 3 of 100
 * a record was called 'long enough' whose rate was off by more than one and a half times `within`. That is so for a length settled beforehand:
 * who records until 'long enough' appears stops more often while large cycles happen to be missing. What comes more seldom than once in the record is in no interval: count
 * starts, trips and the like by the piece (dutyMix).
 *
 * Kept: the running rate. Cost: draws × blocks.
 *
 * @param damage from damage, of cycles with places (not of classes)
 * @param options within (no default), invalid (of the counted channel, where samples were lost), block (of the running rate), level, draws, seed
 * @returns the interval, the verdict and the running rate
 * @throws InputError for damage without places or time, or of cycles that were repeated, extrapolated or picked by state, fewer than 20 blocks, no damage at all, or `invalid` that is not as long as the lost time
 * @see damage, lifeBand
 * @example
 * const waves = makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 20000 }, (_, i) => MPa(100) * Math.sin(i)) });
 * const done = damage(stressCycles(countCycles(waves), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * damageConvergence(done, { within: 0.1 }).verdict // => "long enough"
 * @references K. Krishnamoorthy and T. Mathew, Inferences on the means of lognormal distributions using generalized p-values and generalized confidence intervals, Journal of Statistical Planning and Inference
 * 115 (2003) 103, from memory. The stretches and what is added to them: own simulation.
 */
export function damageConvergence(damage: Damage, options: ConvergenceOptions): DamageConvergence {
  const where = 'damageConvergence';
  if (kindOf(damage) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(damage), remedy: 'Make one with damage(cycles, options).' });
  checkOptions(where, options, { required: ['within'], optional: ['block', 'invalid', 'level', 'draws', 'seed'] });
  const within = checkNumber(where, 'within', options.within, { above: 0, below: 10 });
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const draws = checkNumber(where, 'draws', options.draws ?? 2000, { integer: true, min: 100, max: 1_000_000 });
  const { sums, blockHours, partial } = blockSums(where, damage, options);
  const n = sums.length;
  const total = sums.reduce((a, b) => a + b, 0);
  const perHour = total / (n * blockHours);
  if (!(perHour > 0)) throw new InputError({ where, argument: 'damage', expected: 'above 0', given: 'no damage', remedy: 'There is nothing to settle where no cycle does damage.' });
  const random = createRandom(checkNumber(where, 'seed', options.seed ?? 1, { integer: true }));
  const means = stretchMeans(sums);
  const { correlation, spread } = likeness(means);
  const alike = correlation > clear;
  const rates = lognormalMeans(means, draws, random, alike ? independent : stretches).map((mean) => mean / blockHours);
  const at = (p: number): number => rates[Math.min(draws - 1, Math.floor(p * draws))]!;
  const interval = Object.freeze({ level, low: at((1 - level) / 2), high: at((1 + level) / 2) });
  const relativeHalfWidth = (interval.high - interval.low) / 2 / perHour;
  const reach = Math.max(relativeHalfWidth, interval.high / perHour - 1);
  const hours = Float64Array.from({ length: n }, (_, k) => (k + 1) * blockHours);
  let running = 0;
  const runningPerHour = sums.map((s, k) => (running += s) / hours[k]!);
  const largestBlockShare = sums.reduce((a, b) => Math.max(a, b), 0) / total;
  const slow = alike && spread > Math.log1p(within) / 10;
  const verdict = relativeHalfWidth <= within && !slow ? 'long enough' : 'record longer';
  const cycle = damage.largest[0]?.share ?? 0;
  return makeResult<DamageConvergence>('DamageConvergence', {
    perHour, interval, rates, relativeHalfWidth, verdict, hours, hoursNeeded: n * blockHours * Math.max(slow ? stretches / independent : 1, (Math.log1p(reach) / Math.log1p(within)) ** 2), runningPerHour, largestBlockShare,
    notes: Object.freeze([
      ...(damage.cycles.lostTime > 0 && options.invalid === undefined ? ['Lost time was taken as spread evenly over the blocks, so that a stretch under a mask counts as one at rest; state invalid, the masked spans of the counted channel, to leave it out where it lies. What the notes after this one say of the load may come from that.'] : []),
      ...(partial > 0 ? [`The last ${partial.toPrecision(2)} h do not fill a block and were left out.`] : []),
      ...(largestBlockShare > 0.3 ? [`One block of ${n} holds ${Number((100 * largestBlockShare).toPrecision(2))} % of the damage: how often so rare an event comes is not settled by it.`] : []),
      ...(slow ? [`Neighbouring stretches of the eight are alike (correlation ${correlation.toPrecision(2)}): the load seems to change more slowly than a stretch lasts. They were counted as two; the interval may still be too narrow, and the record is not called long enough.`] : []),
      ...(relativeHalfWidth > within ? ['So few of the damaging cycles were recorded that the interval leans on the spread of eight stretches: it is wide, and where the load changes slowly it still holds the true rate less often than the level says.'] : []),
      ...(cycle > 0.3 ? [`A single cycle does ${Number((100 * cycle).toPrecision(2))} % of the damage.`] : []),
    ]),
  }, (c) => `DamageConvergence: ${c.perHour.toPrecision(3)} per hour ± ${Number((100 * c.relativeHalfWidth).toPrecision(2))} % (${Number((100 * level).toPrecision(2))} %), ${c.verdict}`);
}

/** Damage of each block by the place where its cycles turned back, on the clock of valid samples; hours are valid hours. */
function blockSums(where: string, damage: Damage, { block, invalid }: ConvergenceOptions): { readonly sums: Float64Array; readonly blockHours: number; readonly partial: number } {
  const { cycles } = damage;
  const { samples, sampleRate } = clockOf(where, cycles);
  if (!(damage.hours > 0)) throw new InputError({ where, argument: 'damage', expected: 'of cycles with valid time behind them', given: 'none' });
  const seconds = invalid === undefined ? samples / sampleRate : cycles.validTime;
  const placeOf = invalid === undefined ? (at: number): number => at : validPlaces(maskedSpans(where, cycles, invalid));
  const length = checkNumber(where, 'block', block ?? seconds / 40, { above: 0, max: seconds / 20, unit: 's' });
  const n = Math.floor(seconds / length + 1e-9);
  const perBlock = sampleRate * length;
  const sums = new Float64Array(n);
  cycles.at.forEach((at, k) => {
    if (at < 0) throw new InputError({ where, argument: 'damage', expected: 'of cycles with places', given: 'cycles in classes', remedy: "Count with keep: 'cycles'." });
    const b = Math.floor(placeOf(at) / perBlock);
    if (b < n) sums[b]! += damage.damage[k]!;
  });
  const valid = cycles.validTime / seconds;
  const partial = ((seconds - n * length) / 3600) * valid;
  return { sums, blockHours: (length * valid) / 3600, partial: partial > 1e-9 ? partial : 0 };
}

/** Turns a sample's index into its place among the valid samples. */
function validPlaces(spans: readonly Span[]): (at: number) => number {
  const before = new Float64Array(spans.length + 1);
  spans.forEach((span, k) => (before[k + 1] = before[k]! + span.to - span.from));
  return (at) => at - before[countUpTo(spans.length, (k) => spans[k]!.from, at)]!;
}

/** The interval is drawn from as many stretches: enough for a spread, and each long enough that what belongs together lies in one of them. */
const stretches = 8;

/** A correlation of neighbouring stretches above this is clear: independent ones show it in about one record of ten. */
const clear = 0.3;

/** As how many independent ones the eight count where neighbours are clearly alike: 8·(1 − r)/(1 + r) at r = 0.6. Eight values of that correlation show about 0.25 in the mean, so that what is seen is no measure of it. */
const independent = 2;

/** Correlation of the stretches' logarithms, each with the next, and their standard deviation. */
function likeness(means: Float64Array): { readonly correlation: number; readonly spread: number } {
  const { logs } = flooredLogs(means);
  const moments = momentsOf(logs);
  return { correlation: lagOne(logs.map((y) => y - moments.mean)), spread: standardDeviation(moments) };
}

/** Damage of one block of each stretch; a stretch more or less by a block where the blocks do not divide evenly. */
function stretchMeans(sums: Float64Array): Float64Array {
  return Float64Array.from({ length: stretches }, (_, k) => {
    const from = Math.floor((k * sums.length) / stretches), to = Math.floor(((k + 1) * sums.length) / stretches);
    return sums.subarray(from, to).reduce((a, b) => a + b, 0) / (to - from);
  });
}
