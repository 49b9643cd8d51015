import { censoredFit } from '../numeric/censoredFit.js';
import { toleranceFactor } from '../numeric/toleranceFactor.js';
import { checkChoice, checkNumber, checkOptions, checkText, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { percent } from './figures.js';
import { lifeCurve, type Continuation, type LifeCurve } from './LifeCurve.js';
import type { Measure, StressKind } from './stress.js';

/** One fatigue test. */
export interface FatigueTest {
  /** Pa, as the fit's `measure` says. */
  readonly stress: number;
  /** Cycles to failure, or run without failure. */
  readonly cycles: number;
  /** True where the specimen did not fail. */
  readonly runout?: boolean;
}

/** Options of fitLifeCurve. */
export interface FitOptions<M extends Measure, K extends StressKind> {
  readonly name: string;
  readonly kind: K;
  readonly measure: M;
  readonly ratio: number | null;
  readonly notch: 'in the curve' | 'in the stress';
  readonly source: string;
  /** Size and surface of the specimens, in words. */
  readonly specimen?: string;
  /** Cycles of the knee, which the tests of a straight line cannot show; null for none. */
  readonly knee: number | null;
  readonly beyond: Continuation;
  /** Survival of the design curve, for instance 0.95. */
  readonly survival: number;
  /** Confidence of the design curve and of the band, for instance 0.95; 0.5 leaves the uncertainty of the fit out. */
  readonly confidence: number;
}

/** A straight line through fatigue tests, with its bands. */
export interface LifeFit<M extends Measure = Measure, K extends StressKind = StressKind> {
  /** log₁₀ N = intercept − slope·log₁₀(S in Pa). */
  readonly slope: number;
  readonly intercept: number;
  /** Standard error of the slope. */
  readonly slopeError: number;
  /** Standard deviation of log₁₀ N about the line. */
  readonly deviation: number;
  readonly failures: number;
  readonly runouts: number;
  /** Curve of 50 % survival. */
  readonly median: LifeCurve<M, K>;
  /** Curve of the wanted survival with the wanted confidence: the median moved by `factor` deviations. */
  readonly curve: LifeCurve<M, K>;
  /** One-sided tolerance factor at the middle of the tests. */
  readonly factor: number;
  /**
   * Along the tested stresses: the median life, its two-sided confidence band for the whole line, and the lower
   * tolerance limit at each stress. Stress in Pa, lives in cycles.
   */
  readonly band: { readonly stress: Float64Array; readonly median: Float64Array; readonly low: Float64Array; readonly high: Float64Array; readonly tolerance: Float64Array };
  readonly notes: readonly string[];
}

/**
 * Fits log₁₀ N = A − m·log₁₀ S to fatigue tests, life as the dependent variable. Without runouts it is least squares;
 * runouts enter by maximum likelihood as lives that are longer than what was run.
 *
 * The band about the whole line is Ŷ ± √(2·F(2, ν))·se(Ŷ); the tolerance limit is Ŷ − k·s with k from the noncentral t.
 * s² has n − 2 degrees of freedom; with runouts the likelihood's σ² is raised by r/(r − 2), r the failures.
 *
 * Both curves remember how far below the median line they lie and how well the tests settle it (`fitted`): lifeBand draws the life of a new part from that.
 *
 * Kept: intercept, slope, scatter. Cost: some Newton steps, each linear in the number of tests.
 *
 * @param tests at least four failures at two stresses or more
 * @param options what the tests were, and survival and confidence of the design curve
 * @returns the fit, its median curve and its design curve, their tested interval taken from the failures
 * @throws InputError for too few failures, a slope that is not above 0, or a survival or confidence outside 0 to 1
 * @see curveLibrary, shiftSurvival
 * @example
 * const tests = [948, 834, 703, 631, 579, 524].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130, 43860, 132150][i] }));
 * const fit = fitLifeCurve(tests, { name: '4340', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'table E9.1', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 });
 * -1 / fit.slope // => -0.0945
 * @references ASTM E739-10 (2015), Statistical analysis of linear or linearized stress-life (S-N) and strain-life fatigue data, section 8 (dependent variable, n − 2, hyperbolic band, as written above; it leaves runouts and tolerance limits out), from memory, numbers of its equations not known; G. J. Lieberman, Tables for one-sided statistical tolerance limits, Industrial Quality Control 14 (1958) 7 (factor at the middle), from memory; N. E. Dowling, Mechanical Behavior of Materials, 4th ed., example 9.1 (data of the example).
 */
export function fitLifeCurve<const M extends Measure, const K extends StressKind>(tests: readonly FatigueTest[], options: FitOptions<M, K>): LifeFit<M, K> {
  const where = 'fitLifeCurve';
  checkOptions(where, options, { required: ['name', 'kind', 'measure', 'ratio', 'notch', 'source', 'knee', 'beyond', 'survival', 'confidence'], optional: ['specimen'] });
  checkChoice(where, 'kind', options.kind, ['shear', 'direct']);
  for (const key of ['name', 'source'] as const) checkText(where, key, options[key]);
  const survival = checkNumber(where, 'survival', options.survival, { above: 0, below: 1 });
  const confidence = checkNumber(where, 'confidence', options.confidence, { above: 0, below: 1 });
  const failures = checkTests(where, tests);
  const runouts = tests.length - failures.length;
  const line = censoredFit(Float64Array.from(tests, (t) => Math.log10(t.stress)), Float64Array.from(tests, (t) => Math.log10(t.cycles)), tests.map((t) => t.runout === true));
  if (!line || !(line.slope < 0)) {
    throw new InputError({ where, argument: 'tests', expected: 'failures at two stresses or more, with lives that fall as stress rises', given: line ? `a line that rises with a slope of ${line.slope.toPrecision(3)}` : `${failures.length} failures without a line through them` });
  }
  const free = failures.length - 2;
  const raise = failures.length / free;
  const deviation = line.deviation * Math.sqrt(raise);
  const { aa, ab, bb } = { aa: line.covariance.aa * raise, ab: line.covariance.ab * raise, bb: line.covariance.bb * raise };
  const variance = deviation ** 2;
  const error = (x: number): number => Math.sqrt(Math.max(0, aa + 2 * ab * x + bb * x * x));
  const leverage = (x: number): number => (error(x) / deviation) ** 2;
  const middle = -ab / bb;
  const factor = toleranceFactor(survival, confidence, leverage(middle), free);
  const stresses = tests.map((t) => t.stress);
  const grid = Float64Array.from({ length: 11 }, (_, k) => Math.min(...stresses) * (Math.max(...stresses) / Math.min(...stresses)) ** (k / 10));
  const wide = Math.sqrt(2 * (free / 2) * ((1 - confidence) ** (-2 / free) - 1));
  const life = (s: number, shift: (x: number) => number): number => 10 ** (line.intercept + line.slope * Math.log10(s) + shift(Math.log10(s)));
  const at = (p: number, shift: number, name: string, source: string): LifeCurve<M, K> => lifeCurve<M, K>({
    name, kind: options.kind, measure: options.measure, through: { stress: 10 ** middle, cycles: life(10 ** middle, () => shift) }, slope: -line.slope, knee: options.knee, beyond: options.beyond, ratio: options.ratio,
    survival: p, deviation, fitted: { toMedian: -shift, freedom: free, leverage: variance > 0 ? [aa / variance, (2 * ab) / variance, bb / variance] : [0, 0, 0] }, tested: testedInterval(failures), notch: options.notch, specimen: options.specimen ?? null, source,
  });
  const notes = runouts > 0 ? [`${runouts} runouts taken as lives longer than what was run, by maximum likelihood`] : [];
  return makeResult<LifeFit<M, K>>('LifeFit', {
    slope: -line.slope, intercept: line.intercept, slopeError: Math.sqrt(bb), deviation, failures: failures.length, runouts, factor,
    median: at(0.5, 0, `${options.name}, median`, `${options.source}; ${failures.length} failures and ${runouts} runouts, median line`),
    curve: at(survival, -factor * deviation, `${options.name}, ${percent(survival)} survival`, `${options.source}; ${failures.length} failures and ${runouts} runouts, ${percent(survival)} survival with ${percent(confidence)} confidence`),
    band: Object.freeze({
      stress: grid, median: grid.map((s) => life(s, () => 0)), low: grid.map((s) => life(s, (x) => -wide * error(x))), high: grid.map((s) => life(s, (x) => wide * error(x))),
      tolerance: grid.map((s) => life(s, (x) => -toleranceFactor(survival, confidence, leverage(x), free) * deviation)),
    }),
    notes: Object.freeze(notes),
  }, (f) => `Fit of ${f.failures} failures and ${f.runouts} runouts: slope ${f.slope.toPrecision(4)} ± ${f.slopeError.toPrecision(2)}, deviation of log10 N ${f.deviation.toPrecision(3)}, design curve ${f.factor.toPrecision(3)} deviations below the median`);
}

function checkTests(where: string, tests: readonly FatigueTest[]): readonly FatigueTest[] {
  if (!Array.isArray(tests)) throw new InputError({ where, argument: 'tests', expected: 'a list of tests', given: show(tests) });
  tests.forEach((test: FatigueTest, i) => {
    checkOptions(`${where} (tests)`, test, { required: ['stress', 'cycles'], optional: ['runout'] });
    checkNumber(where, `tests[${i}].stress`, test.stress, { above: 0, unit: 'Pa' });
    checkNumber(where, `tests[${i}].cycles`, test.cycles, { above: 0, unit: 'cycles' });
  });
  const failures = (tests as readonly FatigueTest[]).filter((test) => test.runout !== true);
  if (failures.length < 4) throw new InputError({ where, argument: 'tests', expected: 'at least four failures', given: `${failures.length}`, remedy: 'Take a published curve from curveLibrary.' });
  return failures;
}

function testedInterval(failures: readonly FatigueTest[]): { readonly from: number; readonly to: number } | null {
  const lives = failures.map((f) => f.cycles);
  const [from, to] = [Math.min(...lives), Math.max(...lives)];
  return to > from ? { from, to } : null;
}
