import { checkChoice, checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { shiftInstant } from '../record/time.js';
import type { Cycles, ResiduePolicy } from '../count/CycleCount.js';
import { checkCurve, continuations, damageFunction, stressAtLife, type Continuation, type LifeCurve } from './LifeCurve.js';
import { equivalentAmplitude, type MeanStress } from './meanStress.js';
import { continuationName, meanStressName } from './names.js';
import { checkNotchOnCurve } from './notchFactor.js';
import { checkStressCycles, closedBy, type StressCycles } from './StressCycles.js';
import { twoFigures } from './figures.js';
import { checkKind, type Measure, type StressKind } from './stress.js';

/** Options of damage. The curve, the mean-stress rule and the residue policy are physical choices without a default. */
export interface DamageOptions<K extends StressKind = StressKind> {
  readonly curve: LifeCurve<Measure, K>;
  readonly meanStress: MeanStress;
  /** How the residue of the count is closed. */
  readonly residue: ResiduePolicy;
  /** Below the knee; the curve's own by default. */
  readonly continuation?: Continuation;
  /** Number of equal range classes of `byClass`; 32 by default. */
  readonly classes?: number;
  /** How many of the cycles that do most damage are listed; 10 by default. */
  readonly largest?: number;
}

/** One of the cycles that do most damage. */
export interface Contributor {
  /** Its share of the whole damage. */
  readonly share: number;
  /** Local stress, Pa. */
  readonly range: number;
  readonly mean: number;
  /** How many cycles the row stands for. */
  readonly count: number;
  /** Sample index; −1 where it is not known. */
  readonly at: number;
  /** The record it lies in; null where it is not known. */
  readonly record: string | null;
  /** Seconds from the start of that record (of its first repetition, where the count was repeated); null where it is not known. */
  readonly seconds: number | null;
  /** ISO 8601 UTC; null where it is not known. */
  readonly time: string | null;
}

/** Damage after Palmgren and Miner. Arrays have one entry for each row of `cycles`. */
export interface Damage {
  readonly total: number;
  /** Damage in one valid hour. */
  readonly perHour: number;
  /** Valid hours that the cycles come from. */
  readonly hours: number;
  readonly kind: StressKind;
  readonly curve: LifeCurve;
  readonly continuation: Continuation;
  readonly meanStress: MeanStress;
  readonly residue: ResiduePolicy;
  /** The cycles as they were counted, their residue closed. */
  readonly cycles: Cycles;
  /** Pa for one unit of the count. */
  readonly factor: number;
  /** Damage of each row. */
  readonly damage: Float64Array;
  /** Stress with which each row entered the curve (as the curve measures it, mean stress accounted for), Pa. */
  readonly stress: Float64Array;
  /** Cycles and damage by class of local stress range, Pa. */
  readonly byClass: { readonly edges: Float64Array; readonly cycles: Float64Array; readonly damage: Float64Array };
  /** Share of the damage from cycles whose life lies outside the tested interval; null where the curve states none. */
  readonly outsideTested: number | null;
  readonly largest: readonly Contributor[];
  readonly notes: readonly string[];
}

/**
 * Sums the damage of stress cycles after Palmgren and Miner: D = Σ n / N(S), S after the mean-stress rule.
 *
 * Kept: the damage of every row, so that it can be asked by class, by time and by cycle. Cost: one power for each row.
 *
 * @param cycles cycles of local stress, from localStress
 * @param options curve (of the same kind of stress), mean-stress rule and residue policy, and optionally continuation, classes and largest
 * @returns the damage
 * @throws InputError for nominal stress, a curve of another kind, a mean-stress rule on a curve that is not fully reversed, a notch that would count twice (a factor on a curve that holds its notch) or not at all (left to a curve that holds none), or a damage too large for a number
 * @see life, damageContinuations, equivalentRange
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [90, 70, 50, 42, 38].map(MPa), count: [2e4, 1e5, 8e5, 3e6, 2e7], hours: 1 });
 * const local = stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' });
 * damage(local, { curve: curveLibrary.en1993Shear(100, 1.15), meanStress: 'none', residue: 'half' }).total // => 0.0933512803
 * @references A. Palmgren, Die Lebensdauer von Kugellagern, VDI-Zeitschrift 68 (1924) 339; M. A. Miner, Cumulative damage in fatigue, Journal of Applied Mechanics 12 (1945) A159.
 */
export function damage<C extends StressCycles<'local'>>(cycles: C, options: DamageOptions<C['kind']>): Damage {
  const where = 'damage';
  const checked = checkDamage(where, cycles, options);
  const rows = closedBy(where, cycles.cycles, options.residue);
  const { stress, each } = damageOfRows(rows, cycles.factor, options.curve, checked.continuation, checked.equivalent);
  let total = 0;
  for (let i = 0; i < each.length; i++) total += each[i]!;
  const hours = rows.validTime / 3600;
  const perHour = hours > 0 ? total / hours : 0;
  checkResult(where, 'stress beside the curve', { total, perHour });
  const outsideTested = shareOutside(options.curve, checked.continuation, stress, each, total);
  return makeResult<Damage>('Damage', {
    total, perHour, hours, kind: cycles.kind, curve: options.curve, continuation: checked.continuation, meanStress: options.meanStress,
    residue: options.residue, cycles: rows, factor: cycles.factor, damage: each, stress, byClass: byClass(rows, cycles.factor, each, checked.classes), outsideTested,
    largest: contributors(rows, cycles.factor, each, total, checked.largest), notes: Object.freeze([...rows.notes, ...notesOf(cycles, options, rows, outsideTested)]),
  }, (d) => `Damage ${twoFigures(d.total)} in ${d.hours.toPrecision(3)} h (${twoFigures(d.perHour)} per hour): ${d.curve.name}, below the knee ${continuationName(d.continuation)}, mean stress ${meanStressName(d.meanStress)}, residue ${d.residue}`);
}

/**
 * Sums the damage under each of the three continuations below the knee, side by side.
 *
 * Kept: as damage keeps it. Cost: three times damage.
 *
 * @param options as damage takes them, without `continuation`
 * @returns one Damage for each continuation
 * @throws InputError as damage does
 * @see damage
 * @example
 * const spectrum = stressCycles(cyclesFromTable({ unit: 'Pa', range: [160, 120, 90, 70, 50].map((s) => 2 * MPa(s)), count: [1e4, 1e5, 1e6, 5e6, 2e7], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
 * const curve = lifeCurve({ name: 'knee at 100 MPa', kind: 'shear', measure: 'amplitude', through: { stress: MPa(100), cycles: 2e6 }, slope: 5, knee: 2e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 'by hand' });
 * const all = damageContinuations(spectrum, { curve, meanStress: 'none', residue: 'half' });
 * all['cut-off'].total // => 0.1768448
 * all['reduced-slope'].total // => 0.490970312
 * all['same-slope'].total // => 1.2047648
 */
export function damageContinuations<C extends StressCycles<'local'>>(cycles: C, options: Omit<DamageOptions<C['kind']>, 'continuation'>): Readonly<Record<Continuation, Damage>> {
  return Object.freeze(Object.fromEntries(continuations.map((continuation) => [continuation, damage(cycles, { ...options, continuation } as DamageOptions<C['kind']>)])) as Record<Continuation, Damage>);
}

/** Options of damage checked once, with what follows from them. */
export function checkDamage(where: string, cycles: StressCycles, options: DamageOptions): { readonly continuation: Continuation; readonly classes: number; readonly largest: number; readonly equivalent: (amplitude: number, mean: number) => number } {
  checkStressCycles(where, cycles, 'local');
  checkOptions(where, options, { required: ['curve', 'meanStress', 'residue'], optional: ['continuation', 'classes', 'largest'] });
  const curve = checkCurve(where, options.curve);
  checkKind(where, `the curve ${curve.name}`, curve.kind, cycles.kind);
  const equivalent = equivalentAmplitude(options.meanStress, cycles.kind, where);
  if (options.meanStress !== 'none' && curve.ratio !== -1) {
    throw new InputError({
      where, argument: 'meanStress', expected: `'none' for the curve ${curve.name}, which was ${curve.ratio === null ? 'stated for every R' : `tested at R = ${curve.ratio}`}`, given: meanStressName(options.meanStress),
      remedy: 'The rules lead to a fully reversed stress: take a curve of R = −1 for them.',
    });
  }
  checkNotchOnCurve(where, cycles.notch, curve);
  return {
    continuation: options.continuation === undefined ? curve.beyond : checkChoice(where, 'continuation', options.continuation, continuations), equivalent,
    classes: checkNumber(where, 'classes', options.classes ?? 32, { min: 1, max: 10_000, integer: true }), largest: checkNumber(where, 'largest', options.largest ?? 10, { min: 0, integer: true }),
  };
}

function damageOfRows(rows: Cycles, factor: number, curve: LifeCurve, continuation: Continuation, equivalent: (amplitude: number, mean: number) => number): { readonly stress: Float64Array; readonly each: Float64Array } {
  const scale = curve.measure === 'range' ? 2 : 1;
  const perCycle = damageFunction(curve, continuation);
  const n = rows.range.length;
  const stress = new Float64Array(n);
  const each = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    stress[i] = scale * equivalent(0.5 * rows.range[i]! * factor, rows.mean[i]! * factor);
    each[i] = rows.count[i]! * perCycle(stress[i]!);
  }
  return { stress, each };
}

function byClass(rows: Cycles, factor: number, each: Float64Array, classes: number): Damage['byClass'] {
  let top = 0;
  for (let i = 0; i < rows.range.length; i++) if (rows.range[i]! > top) top = rows.range[i]!;
  const width = (top * factor) / classes;
  const edges = Float64Array.from({ length: classes + 1 }, (_, k) => k * width);
  const cycles = new Float64Array(classes);
  const sum = new Float64Array(classes);
  for (let i = 0; i < each.length; i++) {
    const k = top > 0 ? Math.min(classes - 1, Math.floor((rows.range[i]! / top) * classes)) : 0;
    cycles[k]! += rows.count[i]!;
    sum[k]! += each[i]!;
  }
  return Object.freeze({ edges, cycles, damage: sum });
}

/** Share of the damage whose life at that stress lies outside the tested interval. */
function shareOutside(curve: LifeCurve, continuation: Continuation, stress: Float64Array, each: Float64Array, total: number): number | null {
  if (curve.tested === null) return null;
  if (!(total > 0)) return 0;
  const most = stressAtLife(curve, curve.tested.from * (1 - 1e-9), continuation).value;
  const least = stressAtLife(curve, curve.tested.to * (1 + 1e-9), continuation).value;
  let outside = 0;
  for (let i = 0; i < each.length; i++) if (stress[i]! > most || stress[i]! < least) outside += each[i]!;
  return Math.min(1, outside / total);
}

function contributors(rows: Cycles, factor: number, each: Float64Array, total: number, largest: number): readonly Contributor[] {
  const top: number[] = [];
  for (let i = 0; i < each.length && largest > 0; i++) {
    if (!(each[i]! > 0) || (top.length === largest && each[i]! <= each[top[top.length - 1]!]!)) continue;
    let k = top.length;
    while (k > 0 && each[top[k - 1]!]! < each[i]!) k--;
    top.splice(k, 0, i);
    if (top.length > largest) top.pop();
  }
  const { sampleRate } = rows;
  return Object.freeze(top.map((i) => {
    const at = rows.at[i]!;
    const source = at < 0 ? undefined : rows.sources.find((s) => at >= s.from && at < s.from + s.samples);
    const seconds = source && sampleRate !== null ? (at - source.from) / sampleRate : null;
    return Object.freeze({
      share: each[i]! / total, range: rows.range[i]! * factor, mean: rows.mean[i]! * factor, count: rows.count[i]!, at, record: source?.name ?? null, seconds,
      time: source && seconds !== null ? shiftInstant(source.start, seconds) : null,
    });
  }));
}

function notesOf(cycles: StressCycles, options: DamageOptions, rows: Cycles, outside: number | null): string[] {
  const notes: string[] = [];
  const { curve } = options;
  if (rows.validTime <= 0) notes.push('no valid time stands behind these cycles: the damage per hour is not known');
  if (cycles.notch?.basis === 'on top of the curve' && cycles.notch.value > 1) notes.push(`the curve ${curve.name} holds its notch; ${cycles.notch.value} (${cycles.notch.source}) comes on top of it`);
  if (outside !== null && outside > 0) notes.push(`${Number((100 * outside).toPrecision(2))} % of the damage comes from cycles outside the tested interval of ${curve.name}`);
  if (outside === null) notes.push(`the curve ${curve.name} states no tested interval`);
  if (options.meanStress === 'none' && curve.ratio !== null) notes.push(`mean stress left out; the curve was tested at R = ${curve.ratio}`);
  const short = stressAtLife(curve, 1000).value * (curve.measure === 'range' ? 1 : 2) / cycles.factor;
  let low = 0;
  for (let i = 0; i < rows.range.length; i++) if (rows.range[i]! > short) low += rows.count[i]!;
  if (low > 0) notes.push(`${low} cycles would last fewer than 1000 times: stress life does not hold there, look at strainLifeDamage`);
  return notes;
}
