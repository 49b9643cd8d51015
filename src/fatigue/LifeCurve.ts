import { checkChoice, checkNumber, checkOptions, checkText, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { continuationName } from './names.js';
import { checkKind, makeStress, type Measure, type Stress, type StressKind } from './stress.js';

/** How a curve goes on below its knee: no damage, the same slope, or the reduced slope 2m − 1 (or the slope that its source states). */
export type Continuation = 'cut-off' | 'same-slope' | 'reduced-slope';

/** The three continuations, in order of rising damage. */
export const continuations: readonly Continuation[] = Object.freeze(['cut-off', 'reduced-slope', 'same-slope']);

/** How a curve lies to the median line of the tests that it was fitted to, and how well they settle that line. */
export interface Fitted {
  /** Decades of life from this curve up to the median line. */
  readonly toMedian: number;
  /** Degrees of freedom behind the deviation of log₁₀ N. */
  readonly freedom: number;
  /** Variance of the line over that of one test, h = a + b·x + c·x² with x = log₁₀ of the stress in Pa (as the curve measures it). */
  readonly leverage: readonly [a: number, b: number, c: number];
}

/** What lifeCurve takes. Stresses in Pa, lives in cycles. */
export interface LifeCurveData<M extends Measure, K extends StressKind> {
  readonly name: string;
  readonly kind: K;
  readonly measure: M;
  /** A point of the first branch: stress in Pa (as `measure` says) and the cycles it lasts. */
  readonly through: { readonly stress: number; readonly cycles: number };
  /** Slope m of the first branch, N·Sᵐ = constant; at least 1, below which 2m − 1 would be steeper than m. */
  readonly slope: number;
  /** A second branch: its slope, and the cycles at which it begins. */
  readonly bend?: { readonly cycles: number; readonly slope: number } | null;
  /** Cycles at which the continuation begins; null for a straight line without a knee. */
  readonly knee: number | null;
  readonly beyond: Continuation;
  /** Slope of `'reduced-slope'` where the source states another one than 2m − 1; at least the slope above the knee, for below it a curve flattens. */
  readonly slopeBeyond?: number;
  /** R = minimum / maximum at which it was tested; null where the source holds it for every R (welded details). */
  readonly ratio: number | null;
  /** Probability of survival that the curve stands for, 0.5 for a mean curve; null where the source does not say. */
  readonly survival: number | null;
  /** Standard deviation of log10 N; null where the source does not say. */
  readonly deviation?: number | null;
  /** Left out or null for a curve of a source: its median lies as far from it as survival and deviation say, and is taken as known. */
  readonly fitted?: Fitted | null;
  /** Lives between which tests stand behind the curve; null where the source does not say. */
  readonly tested: { readonly from: number; readonly to: number } | null;
  /** Does the curve hold the notch (a welded detail, a notched specimen), or must the stress carry it? */
  readonly notch: 'in the curve' | 'in the stress';
  /** Size and surface of what was tested, in words; null where the source does not say. */
  readonly specimen?: string | null;
  /** Author, title, edition, table: what a reader needs to find it. */
  readonly source: string;
}

/** A stress–life curve as plain frozen data. */
export interface LifeCurve<M extends Measure = Measure, K extends StressKind = StressKind> extends Required<LifeCurveData<M, K>> {
  /** Pa at the knee; 0 where there is none. */
  readonly kneeStress: number;
}

/**
 * Makes a stress–life curve: N = N₁·(S₁/S)ᵐ on the first branch, the second slope from the bend on, the continuation below
 * the knee. A stress equal to the knee's still belongs to the branch above it.
 *
 * Kept: everything that is given, as plain frozen data. Cost: none.
 *
 * @param data the curve; what has no default is a physical choice
 * @returns the frozen curve
 * @throws InputError for a slope below 1, a slope beyond the knee below the one above it, a bend that does not lie before the knee, a survival outside 0 … 1, or no source
 * @see curveLibrary, cyclesToFailure, stressAtLife
 * @example
 * const curve = lifeCurve({
 *   name: 'shaft steel in torsion', kind: 'shear', measure: 'amplitude', through: { stress: MPa(150), cycles: 1e6 }, slope: 8, knee: 1e6,
 *   beyond: 'reduced-slope', ratio: -1, survival: 0.5, tested: { from: 1e4, to: 1e7 }, notch: 'in the stress', source: 'own tests',
 * });
 * cyclesToFailure(curve, shearAmplitude(MPa(300))) // => 3906.25
 * curve.slopeBeyond // => 15
 * @references E. Haibach, Modifizierte lineare Schadensakkumulations-Hypothese, LBF TM 50/70, 1970 (slope 2m − 1); from memory.
 */
export function lifeCurve<const M extends Measure, const K extends StressKind>(data: LifeCurveData<M, K>): LifeCurve<M, K> {
  const where = 'lifeCurve';
  checkOptions(where, data, {
    required: ['name', 'kind', 'measure', 'through', 'slope', 'knee', 'beyond', 'ratio', 'survival', 'tested', 'notch', 'source'],
    optional: ['bend', 'slopeBeyond', 'deviation', 'fitted', 'specimen', 'kneeStress'],
  });
  checkChoice(where, 'kind', data.kind, ['shear', 'direct']);
  checkChoice(where, 'measure', data.measure, ['range', 'amplitude']);
  checkChoice(where, 'beyond', data.beyond, continuations);
  checkChoice(where, 'notch', data.notch, ['in the curve', 'in the stress']);
  for (const key of ['name', 'source'] as const) checkText(where, key, data[key]);
  if (data.specimen !== undefined && data.specimen !== null) checkText(where, 'specimen', data.specimen, 'a text, or null');
  checkOptions(`${where} (through)`, data.through, { required: ['stress', 'cycles'] });
  checkNumber(where, 'through.stress', data.through.stress, { above: 0, unit: 'Pa' });
  checkNumber(where, 'through.cycles', data.through.cycles, { above: 0, unit: 'cycles' });
  checkNumber(where, 'slope', data.slope, { min: 1 });
  const bend = data.bend ?? null;
  if (bend) {
    checkOptions(`${where} (bend)`, bend, { required: ['cycles', 'slope'] });
    checkNumber(where, 'bend.cycles', bend.cycles, { above: 0, unit: 'cycles' });
    checkNumber(where, 'bend.slope', bend.slope, { min: 1 });
  }
  if (data.knee !== null) checkNumber(where, 'knee', data.knee, { above: bend?.cycles ?? 0, unit: 'cycles' });
  const slopeBeyond = data.slopeBeyond ?? 2 * (bend?.slope ?? data.slope) - 1;
  checkNumber(where, 'slopeBeyond', slopeBeyond, { min: bend?.slope ?? data.slope });
  if (data.ratio !== null) checkNumber(where, 'ratio', data.ratio, { below: 1 });
  if (data.survival !== null) checkNumber(where, 'survival', data.survival, { above: 0, below: 1 });
  const deviation = data.deviation ?? null;
  if (deviation !== null) checkNumber(where, 'deviation', deviation, { min: 0 });
  const fitted = checkFitted(where, data.fitted, deviation);
  if (data.tested !== null) {
    checkOptions(`${where} (tested)`, data.tested, { required: ['from', 'to'] });
    checkNumber(where, 'tested.from', data.tested.from, { above: 0, unit: 'cycles' });
    checkNumber(where, 'tested.to', data.tested.to, { above: data.tested.from, unit: 'cycles' });
  }
  const kneeStress = data.knee === null ? 0 : checkNumber(where, 'stress at the knee', stressOnBranches(data, bend, data.knee), { min: 0, unit: 'Pa' });
  const frozen = <T extends object>(part: T | null): T | null => (part ? Object.freeze({ ...part }) : null);
  return makeResult<LifeCurve<M, K>>('LifeCurve', {
    ...data, through: Object.freeze({ ...data.through }), bend: frozen(bend), slopeBeyond, deviation, fitted, specimen: data.specimen ?? null, tested: frozen(data.tested),
    kneeStress,
  }, describeCurve);
}

function checkFitted(where: string, fitted: Fitted | null | undefined, deviation: number | null): Fitted | null {
  if (!fitted) return null;
  checkOptions(`${where} (fitted)`, fitted, { required: ['toMedian', 'freedom', 'leverage'] });
  checkNumber(where, 'fitted.toMedian', fitted.toMedian);
  checkNumber(where, 'fitted.freedom', fitted.freedom, { min: 1 });
  if (!Array.isArray(fitted.leverage) || fitted.leverage.length !== 3) throw new InputError({ where, argument: 'fitted.leverage', expected: 'three numbers', given: show(fitted.leverage) });
  fitted.leverage.forEach((value: number, i) => checkNumber(where, `fitted.leverage[${i}]`, value));
  if (deviation === null) throw new InputError({ where, argument: 'deviation', expected: 'given where fitted is', given: 'nothing' });
  const [a, b, c] = fitted.leverage;
  return Object.freeze({ ...fitted, leverage: Object.freeze([a, b, c] as const) });
}

/** The curve itself. @throws InputError where it is something else, or of another stress kind than the one needed. */
export function checkCurve(where: string, curve: unknown, kind?: StressKind): LifeCurve {
  if (kindOf(curve) !== 'LifeCurve') {
    throw new InputError({ where, argument: 'curve', expected: 'a LifeCurve', given: show(curve), remedy: 'Make one with lifeCurve, or take one from curveLibrary.' });
  }
  if (kind) checkKind(where, `the curve ${(curve as LifeCurve).name}`, (curve as LifeCurve).kind, kind);
  return curve as LifeCurve;
}

/** One branch of a curve: 1/N = (S/stress)^slope / cycles while S is at least `least`. */
export interface Branch {
  readonly least: number;
  readonly stress: number;
  readonly cycles: number;
  readonly slope: number;
}

/** The branches of a curve under a continuation, highest stress first; under `'cut-off'` nothing follows below the knee. */
export function branchesOf(curve: LifeCurve, continuation: Continuation = curve.beyond): readonly Branch[] {
  const first = { stress: curve.through.stress, cycles: curve.through.cycles, slope: curve.slope };
  const list: Branch[] = [];
  let last = first;
  if (curve.bend) {
    const stress = stressOnBranches(curve, null, curve.bend.cycles);
    list.push({ ...first, least: stress });
    last = { stress, cycles: curve.bend.cycles, slope: curve.bend.slope };
  }
  list.push({ ...last, least: curve.kneeStress });
  if (curve.knee !== null && continuation !== 'cut-off') {
    list.push({ least: 0, stress: curve.kneeStress, cycles: curve.knee, slope: continuation === 'same-slope' ? last.slope : curve.slopeBeyond });
  }
  return list;
}

/** A function from stress in Pa (as the curve measures it) to the damage of one cycle, 1/N; 0 below a cut-off. */
export function damageFunction(curve: LifeCurve, continuation: Continuation = curve.beyond): (stress: number) => number {
  const branches = branchesOf(curve, continuation);
  return (stress) => {
    if (!(stress > 0)) return 0;
    for (let i = 0; i < branches.length; i++) {
      const branch = branches[i]!;
      if (stress >= branch.least) return (stress / branch.stress) ** branch.slope / branch.cycles;
    }
    return 0;
  };
}

/**
 * Gives the cycles to failure at a constant stress: N = N₁·(S₁/S)ᵐ on the branch that the stress falls on.
 *
 * Kept: nothing. Cost: one power.
 *
 * @param stress a stress of the curve's own measure and kind (`shearRange`, `directAmplitude`, …)
 * @param continuation below the knee; the curve's own by default
 * @returns cycles; Infinity below a cut-off and at no stress
 * @throws InputError for a stress of another measure or kind
 * @see stressAtLife
 * @example
 * const curve = curveLibrary.en1993Direct(71);
 * cyclesToFailure(curve, directRange(MPa(60))) // => 3313990.74
 * cyclesToFailure(curve, shearRange(MPa(60))) // => throws must be of direct stress
 */
export function cyclesToFailure<C extends LifeCurve>(curve: C, stress: Stress<C['measure'], C['kind']>, continuation?: Continuation): number {
  const where = 'cyclesToFailure';
  checkCurve(where, curve);
  if (stress === null || typeof stress !== 'object' || typeof stress.value !== 'number') {
    throw new InputError({ where, argument: 'stress', expected: 'a stress that says what it is', given: show(stress), remedy: `Write ${curve.kind}${curve.measure === 'range' ? 'Range' : 'Amplitude'}(value in Pa).` });
  }
  checkKind(where, 'stress', checkChoice(where, 'stress.kind', stress.kind, ['shear', 'direct']), curve.kind);
  checkChoice(where, 'stress.measure', stress.measure, ['range', 'amplitude']);
  if (stress.measure !== curve.measure) {
    throw new InputError({ where, argument: 'stress', expected: `a stress ${curve.measure}, as the curve ${curve.name} has it`, given: `a stress ${stress.measure}`, remedy: 'A range is twice the amplitude.' });
  }
  if (continuation !== undefined) checkChoice(where, 'continuation', continuation, continuations);
  return 1 / damageFunction(curve, continuation)(stress.value);
}

/**
 * Gives the constant stress that a curve stands for a number of cycles; the inverse of cyclesToFailure. Beyond the knee
 * under `'cut-off'` it is the stress at the knee, which lasts for ever.
 *
 * @param cycles above 0
 * @param continuation below the knee; the curve's own by default
 * @returns a stress of the curve's measure and kind, Pa
 * @throws InputError for cycles that are not above 0
 * @see cyclesToFailure
 * @example stressAtLife(curveLibrary.en1993Direct(100), 5e6).value / 1e6 // => 73.68
 */
export function stressAtLife<C extends LifeCurve>(curve: C, cycles: number, continuation?: Continuation): Stress<C['measure'], C['kind']> {
  const where = 'stressAtLife';
  checkCurve(where, curve);
  checkNumber(where, 'cycles', cycles, { above: 0, unit: 'cycles' });
  const branches = branchesOf(curve, continuation);
  const bounds = [curve.bend?.cycles, curve.knee ?? undefined].filter((n) => n !== undefined);
  let index = 0;
  while (index < bounds.length && cycles > bounds[index]!) index++;
  const branch = branches[index];
  const value = branch ? branch.stress * (branch.cycles / cycles) ** (1 / branch.slope) : curve.kneeStress;
  return makeStress(where, curve.measure as C['measure'], curve.kind as C['kind'], value);
}

function stressOnBranches(curve: { readonly through: { readonly stress: number; readonly cycles: number }; readonly slope: number }, bend: { readonly cycles: number; readonly slope: number } | null, cycles: number): number {
  const at = (stress: number, from: number, slope: number, to: number): number => stress * (from / to) ** (1 / slope);
  const { stress, cycles: from } = curve.through;
  if (!bend) return at(stress, from, curve.slope, cycles);
  return at(at(stress, from, curve.slope, bend.cycles), bend.cycles, bend.slope, cycles);
}

function describeCurve(curve: LifeCurve): string {
  const knee = curve.knee === null ? 'no knee' : `knee ${(curve.kneeStress / 1e6).toPrecision(4)} MPa at ${curve.knee.toExponential(1)} cycles, then ${continuationName(curve.beyond)}`;
  const slopes = curve.bend ? `slopes ${short(curve.slope)} and ${short(curve.bend.slope)}` : `slope ${short(curve.slope)}`;
  return `LifeCurve ${curve.name}: ${curve.kind} ${curve.measure}, ${slopes}, ${knee} (${curve.source})`;
}

function short(slope: number): number {
  return Number(slope.toPrecision(4));
}
