import { gammaQuantile, normalQuantile, studentQuantile } from '../numeric/distributions.js';
import type { Random } from '../numeric/random.js';
import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import type { DamageConvergence } from './damageConvergence.js';
import { percent } from './figures.js';
import type { LifeCurve } from './LifeCurve.js';

/** A relative spread about 1: its shape and its standard deviation (0.02 is 2 %). */
export interface Spread {
  readonly shape: 'normal' | 'lognormal' | 'uniform';
  readonly deviation: number;
}

/** The names of the inputs, in the order in which they act. */
export type LifeInput = 'gauge' | 'zero' | 'section' | 'notch' | 'strength' | 'curve' | 'criticalSum' | 'duty';

/** What a draw moves: the inputs, and the shares of the hours where their certainty is stated. */
export type LifeVariable = LifeInput | 'shares';

/** All inputs in order. */
export const lifeInputNames: readonly LifeInput[] = Object.freeze(['gauge', 'zero', 'section', 'notch', 'strength', 'curve', 'criticalSum', 'duty']);

/** How well each input is known. What is left out is taken as exact, and a note says so. */
export interface LifeInputs {
  /** Relative: everything that scales the measured torque (gauge factor, shunt, modulus, bonding angle; for another section than that under the gauge also the diameter there, by its third power). */
  readonly gauge?: Spread;
  /** Standard deviation of the zero, in the unit of the count; it moves the means. */
  readonly zero?: { readonly deviation: number };
  /** Relative, on the outer diameter; stress goes with its third power. Left out for the section under a gauge: its stress comes from the strain, whatever the diameter. */
  readonly section?: Spread;
  /** Relative, on the notch factor. */
  readonly notch?: Spread;
  /** Relative, on the strength of the material: the whole curve moves in stress, and the strengths of a mean-stress rule with it. Beside or in place of `curve`, as the source states its scatter in stress or in life. */
  readonly strength?: Spread;
  /** Scatter of log10 N about the median curve. The curve's own deviation and survival where left out inside; a curve from fitLifeCurve brings with it how well its tests settle the line, which is then drawn too. */
  readonly curve?: { readonly deviation?: number; readonly survival?: number };
  /** Miner's sum at failure: lognormal, by its median and its coefficient of variation. */
  readonly criticalSum?: { readonly median: number; readonly deviation: number };
  /**
   * How well the record stands for the running hours to come: a relative spread on the damage in an hour, or what
   * damageConvergence found of the record, whose drawn rates are taken (at the middle the rate of the record); and, where
   * states are given, the certainty of the shares of those that are not fixed (the sum of the Dirichlet parameters; the higher, the surer).
   */
  readonly duty?: { readonly spread?: Spread; readonly settled?: DamageConvergence; readonly certainty?: number };
}

/** One draw of every input. */
export interface LifeDraw {
  /** On every stress. */
  readonly scale: number;
  /** On every mean, in the unit of the count. */
  readonly shift: number;
  /** On every life. */
  readonly life: number;
  readonly criticalSum: number;
  /** On the damage of an hour. */
  readonly rate: number;
  /** Share of the hours of each state. */
  readonly shares: readonly number[];
}

/** Inputs checked, as functions from standard normals to factors. */
export interface LifeSampler {
  /** Inputs that vary. */
  readonly names: readonly LifeInput[];
  /** A draw from one standard normal for each name; shares left out stay at their middle. */
  draw(normals: ReadonlyMap<LifeInput, number>, shares?: readonly number[]): LifeDraw;
  /** Draws the shares of the hours; null where they are exact. */
  readonly drawShares: ((random: Random) => readonly number[]) | null;
  readonly notes: readonly string[];
}

/** A factor about 1 from a standard normal. */
function spreadFactor(spread: Spread, z: number, p: (z: number) => number): number {
  if (spread.shape === 'normal') return Math.max(1e-9, 1 + spread.deviation * z);
  if (spread.shape === 'lognormal') return lognormal(1, spread.deviation, z);
  return 1 + Math.sqrt(3) * spread.deviation * (2 * p(z) - 1);
}

/** exp(ln median + s·z) with s² = ln(1 + v²), v the coefficient of variation. */
function lognormal(median: number, variation: number, z: number): number {
  return median * Math.exp(Math.sqrt(Math.log1p(variation * variation)) * z);
}

/** Five of these deviations below 1 lies 0: one draw in three millions would come there. */
export const widestNormal = 0.2;

function checkSpread(where: string, argument: string, spread: Spread): void {
  checkOptions(`${where} (${argument})`, spread, { required: ['shape', 'deviation'] });
  checkChoice(where, `${argument}.shape`, spread.shape, ['normal', 'lognormal', 'uniform']);
  checkNumber(where, `${argument}.deviation`, spread.deviation, { min: 0, max: spread.shape === 'uniform' ? 1 / Math.sqrt(3) : 1 });
  if (spread.shape === 'normal' && spread.deviation > widestNormal) {
    throw new InputError({ where, argument: `${argument}.deviation`, expected: `at most ${widestNormal} for a normal spread, for a wider one reaches down to 0`, given: show(spread.deviation), remedy: "State it with shape 'lognormal'." });
  }
}

/**
 * Checks the inputs and makes their sampler.
 *
 * @param states share of the running hours of each state, adding up to 1; a fixed one keeps its own
 * @param logStress log₁₀ of the stress, Pa, at which the curve is read: there the line of a fitted one has its error
 * @throws InputError for an unknown input, a spread out of bounds, or a curve whose scatter or survival nobody states
 */
export function lifeSampler(where: string, inputs: LifeInputs, curve: LifeCurve, states: readonly SharedState[], p: (z: number) => number, logStress: number): LifeSampler {
  checkOptions(`${where} (inputs)`, inputs, { optional: [...lifeInputNames] });
  for (const name of ['gauge', 'section', 'notch', 'strength'] as const) if (inputs[name]) checkSpread(where, `inputs.${name}`, inputs[name]);
  if (inputs.zero) checkNumber(where, 'inputs.zero.deviation', inputs.zero.deviation, { min: 0 });
  if (inputs.criticalSum) {
    checkNumber(where, 'inputs.criticalSum.median', inputs.criticalSum.median, { above: 0 });
    checkNumber(where, 'inputs.criticalSum.deviation', inputs.criticalSum.deviation, { min: 0, max: 2 });
  }
  const settled = checkDuty(where, inputs.duty);
  const certainty = inputs.duty?.certainty;
  if (certainty !== undefined) checkCertainty(where, 'inputs.duty.certainty', certainty);
  const scatter = inputs.curve ? curveScatter(where, inputs.curve, curve, p, logStress) : null;
  const shares = states.map((state) => state.share);
  const drawShares = certainty === undefined ? null : shareDraws(states, certainty);
  const names = lifeInputNames.filter((name) => (name === 'duty' ? inputs.duty?.spread ?? inputs.duty?.settled : inputs[name]) !== undefined);
  const scattered = inputs.curve ?? inputs.strength;
  const exact = lifeInputNames.filter((name) => !names.includes(name) && !(scattered && (name === 'curve' || name === 'strength'))).map((name) => (name === 'duty' && drawShares ? 'duty but for its shares' : name));
  const notes = exact.length > 0 ? [`taken as exact: ${exact.join(', ')}`] : [];
  if (!scatter && curve.survival !== 0.5) notes.push(`the curve stands as it is, at ${curve.survival === null ? 'a survival that its source does not state' : `${percent(curve.survival)} survival`}: the band is not about the median life`);
  if (scatter?.note) notes.push(scatter.note);
  if (certainty !== undefined && !drawShares) notes.push('the certainty of the shares moves nothing: no two states share the hours');
  const draw = (normals: ReadonlyMap<LifeInput, number>, drawn: readonly number[] = shares): LifeDraw => {
    const z = (name: LifeInput): number => normals.get(name) ?? 0;
    const of = (name: 'gauge' | 'section' | 'notch' | 'strength'): number => (inputs[name] ? spreadFactor(inputs[name], z(name), p) : 1);
    return {
      scale: (of('gauge') * of('section') ** -3 * of('notch')) / of('strength'), shift: (inputs.zero?.deviation ?? 0) * z('zero'),
      life: scatter ? 10 ** (scatter.toMedian + scatter.off(z('curve'))) : 1,
      criticalSum: inputs.criticalSum ? lognormal(inputs.criticalSum.median, inputs.criticalSum.deviation, z('criticalSum')) : 1,
      rate: inputs.duty?.spread ? spreadFactor(inputs.duty.spread, z('duty'), p) : settled && normals.has('duty') ? settledFactor(settled, p(z('duty'))) : 1,
      shares: drawn,
    };
  };
  return { names, draw, drawShares, notes };
}

/** Checks what is known of the duty. @returns what damageConvergence found; null where it was not given */
function checkDuty(where: string, duty: LifeInputs['duty']): DamageConvergence | null {
  if (!duty) return null;
  checkOptions(`${where} (inputs.duty)`, duty, { optional: ['spread', 'settled', 'certainty'] });
  if (duty.spread) checkSpread(where, 'inputs.duty.spread', duty.spread);
  if (!duty.settled) return null;
  if (kindOf(duty.settled) !== 'DamageConvergence') throw new InputError({ where, argument: 'inputs.duty.settled', expected: 'a DamageConvergence', given: show(duty.settled), remedy: 'Make one with damageConvergence(damage, { within }).' });
  if (duty.spread) throw new InputError({ where, argument: 'inputs.duty', expected: 'spread or settled', given: 'both' });
  return duty.settled;
}

/** The drawn rate of that probability over the rate of the record. */
function settledFactor({ rates, perHour }: DamageConvergence, probability: number): number {
  return rates[Math.min(rates.length - 1, Math.floor(probability * rates.length))]! / perHour;
}

/**
 * Decades from the curve to its median, and decades of a draw off that. A curve fitted to tests is drawn as the life of a new part is predicted from them: Student's t of
 * their degrees of freedom, times s·√(1 + h), h the variance of the line over that of a test at the stress that does the damage.
 */
function curveScatter(where: string, given: NonNullable<LifeInputs['curve']>, curve: LifeCurve, p: (z: number) => number, logStress: number): { readonly toMedian: number; readonly off: (z: number) => number; readonly note: string | null } {
  checkOptions(`${where} (inputs.curve)`, given, { optional: ['deviation', 'survival'] });
  const deviation = given.deviation ?? curve.deviation;
  const survival = given.survival ?? curve.survival;
  if (deviation === null) throw new InputError({ where, argument: 'inputs.curve.deviation', expected: `given, because the source of ${curve.name} states no scatter`, given: 'nothing', remedy: 'State the standard deviation of log10 N; 0.2 is common for welded details (common practice, no source).' });
  if (survival === null) throw new InputError({ where, argument: 'inputs.curve.survival', expected: `given, because the source of ${curve.name} states no survival`, given: 'nothing' });
  checkNumber(where, 'inputs.curve.deviation', deviation, { min: 0, max: 2 });
  checkNumber(where, 'inputs.curve.survival', survival, { above: 0, below: 1 });
  const { fitted } = curve;
  if (fitted && survival !== curve.survival) {
    throw new InputError({ where, argument: 'inputs.curve.survival', expected: `left out for ${curve.name}, which was fitted to tests and knows where its median lies`, given: String(survival) });
  }
  const toMedian = fitted ? fitted.toMedian : normalQuantile(survival) * deviation;
  if (!fitted || given.deviation !== undefined) return { toMedian, off: (z) => deviation * z, note: fitted ? 'how well the tests settle the line of the curve is not drawn, because its deviation was stated' : null };
  const [a, b, c] = fitted.leverage;
  const line = Math.max(0, a + b * logStress + c * logStress * logStress);
  const predicted = deviation * Math.sqrt(1 + line);
  return {
    toMedian, off: (z) => (z === 0 ? 0 : predicted * studentQuantile(p(z), fitted.freedom)),
    note: `the curve is drawn as its tests predict a new part: Student's t of ${fitted.freedom} degrees of freedom, the line known to ${Number(Math.sqrt(line).toPrecision(2))} of the deviation of a test at the stress that does the damage`,
  };
}

/** A state by its share of the running hours, and whether that share is known. */
interface SharedState {
  readonly share: number;
  readonly fixed?: boolean;
}

/** Draws the shares of the states that are not fixed, with their sum kept; null where no two of them share hours. */
function shareDraws(states: readonly SharedState[], certainty: number): LifeSampler['drawShares'] {
  const free = states.map((state) => (state.fixed ? 0 : state.share));
  if (free.filter((share) => share > 0).length < 2) return null;
  const sum = free.reduce((a, b) => a + b, 0);
  const middle = free.map((share) => share / sum);
  return (random) => {
    const drawn = dirichlet(middle, certainty, random);
    return states.map((state, k) => (state.fixed ? state.share : sum * drawn[k]!));
  };
}

/** Checks the certainty of shares: below 0.1 they are all or nothing, and beyond a million exact for every purpose. */
export function checkCertainty(where: string, argument: string, certainty: number): void {
  checkNumber(where, argument, certainty, { min: 0.1, max: 1e6 });
}

/** Shares from a Dirichlet distribution with the given middle. */
export function dirichlet(shares: readonly number[], certainty: number, random: Random): number[] {
  const parts = shares.map((share) => (share > 0 ? gammaQuantile(Math.max(1e-300, random.uniform()), share * certainty) : 0));
  const sum = parts.reduce((a, b) => a + b, 0);
  return parts.map((part) => part / sum);
}
