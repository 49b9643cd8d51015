import { brief } from '../record/brief.js';
import { checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { normalQuantile, studentQuantile } from '../numeric/distributions.js';
import { drawOutputs, type MonteCarlo } from './monteCarlo.js';
import { prepareInput, type PreparedInput, type UncertainInput } from './Uncertain.js';

/** Two inputs whose errors go together. */
export interface InputCorrelation {
  readonly a: string;
  readonly b: string;
  /** −1 to 1. */
  readonly coefficient: number;
}

/** Inputs with uncertainties, and the quantity that follows from them. */
export interface BudgetOptions {
  readonly inputs: Readonly<Record<string, UncertainInput>>;
  /** The quantity from one value per input; called with plain numbers by name. */
  readonly model: (x: Readonly<Record<string, number>>) => number;
  readonly correlations?: readonly InputCorrelation[];
  /** Coverage probability of the intervals. Default 0.95. */
  readonly coverage?: number;
  /** Monte Carlo draws. Default 200 000; 0 for none. */
  readonly draws?: number;
  /** Seed of the draws. Default 1. */
  readonly seed?: number;
  /** Unit of the quantity, for display. Default '1'. */
  readonly unit?: string;
  /** Name of the quantity, for display. Default 'quantity'. */
  readonly name?: string;
}

/** One line of the budget. */
export interface BudgetLine {
  readonly input: string;
  readonly value: number;
  readonly distribution: string;
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
  /** ∂(quantity)/∂(input). */
  readonly sensitivity: number;
  /** Relative change of the quantity per relative change of the input; null where one of the two is 0. */
  readonly relativeSensitivity: number | null;
  /** |sensitivity| · standardUncertainty. */
  readonly contribution: number;
  /** Part of the combined variance, correlations of the input included; the shares add up to 1. */
  readonly share: number;
}

/** First-order budget and Monte Carlo from the same inputs. */
export interface UncertaintyBudget {
  readonly name: string;
  readonly unit: string;
  readonly value: number;
  /** By contribution, largest first. */
  readonly lines: readonly BudgetLine[];
  readonly standardUncertainty: number;
  /** With the terms of second order; null with correlated inputs. */
  readonly secondOrderUncertainty: number | null;
  /** Welch–Satterthwaite; null where correlated inputs have finite degrees of freedom. */
  readonly effectiveDegreesOfFreedom: number | null;
  readonly coverage: number;
  readonly coverageFactor: number;
  readonly expandedUncertainty: number;
  readonly low: number;
  readonly high: number;
  /** null where no draws were asked for. */
  readonly monteCarlo: MonteCarlo | null;
  readonly notes: readonly string[];
}

/**
 * Finds the uncertainty of a quantity from the uncertainties of its inputs, to first order and by Monte Carlo, from one statement of the inputs.
 *
 * u² = Σ ci² ui² + 2 Σ ci cj rij ui uj, with sensitivities ci = ∂f/∂xi by central differences (extrapolated); effective degrees of freedom
 * νeff = u⁴ / Σ (ci ui)⁴/νi; coverage factor k = t(νeff), νeff rounded to one decimal and then down to a whole number, or the normal quantile. Beside it the
 * same inputs are drawn (correlated ones by a normal copula) and sent through the model. Cost: `draws` calls of the model.
 *
 * @param options inputs, model; correlations, coverage, draws, seed, unit, name
 * @returns lines with sensitivities and shares, combined and expanded uncertainty, Monte Carlo mean, deviation, intervals and histogram, notes
 * @throws InputError for an input without a figure, a correlation that is impossible, or a model that gives no number
 * @see torqueBudget
 * @example
 * const budget = uncertaintyBudget({ inputs: { F: { value: 100, standard: 1 }, r: { value: 2, standard: 0.01 } }, model: ({ F, r }) => F * r, draws: 0 });
 * budget.standardUncertainty // => 2.236068
 * @references JCGM 100:2008 (GUM), 5.1.2 with note, 5.2.2, G.4.1; JCGM 101:2008, 5.9, 7, 8 (equations from memory).
 */
export function uncertaintyBudget(options: BudgetOptions): UncertaintyBudget {
  return makeBudget('uncertaintyBudget', options, []);
}

/** The budget for a verb that states its own inputs, with notes of its own. */
export function makeBudget(where: string, options: BudgetOptions, ownNotes: readonly string[]): UncertaintyBudget {
  checkOptions(where, options, { required: ['inputs', 'model'], optional: ['correlations', 'coverage', 'draws', 'seed', 'unit', 'name'] });
  const { model, correlations = [], coverage = 0.95, draws = 200_000, seed = 1, unit = '1', name = 'quantity' } = options;
  checkNumber(where, 'coverage', coverage, { above: 0, below: 1 });
  checkNumber(where, 'draws', draws, { integer: true, min: 0, max: 1e8 });
  checkNumber(where, 'seed', seed, { integer: true });
  if (typeof model !== 'function') throw new InputError({ where, argument: 'model', expected: 'a function of the inputs', given: show(model) });
  if (typeof unit !== 'string' || typeof name !== 'string') throw new InputError({ where, argument: typeof unit !== 'string' ? 'unit' : 'name', expected: 'a word', given: show(typeof unit !== 'string' ? unit : name) });
  if (typeof options.inputs !== 'object' || options.inputs === null) throw new InputError({ where, argument: 'inputs', expected: 'an object of inputs by name', given: show(options.inputs) });
  if (!Array.isArray(correlations)) throw new InputError({ where, argument: 'correlations', expected: 'a list of { a, b, coefficient }', given: show(correlations) });
  const inputs = Object.entries(options.inputs).map(([key, input]) => prepareInput(where, key, input));
  if (inputs.length === 0) throw new InputError({ where, argument: 'inputs', expected: 'at least one input', given: 'none' });
  const r = correlationMatrix(where, inputs, correlations);
  const f = (x: Float64Array): number => {
    const point: Record<string, number> = {};
    inputs.forEach((input, i) => { point[input.name] = x[i]!; });
    return model(point);
  };
  const x0 = Float64Array.from(inputs, (i) => i.value);
  const value = f(x0);
  if (!Number.isFinite(value)) throw new InputError({ where, argument: 'model', expected: 'a function that gives a finite number at the estimates', given: String(value) });
  const sensitivities = inputs.map((input, i) => (input.standardUncertainty === 0 ? 0 : derivative(f, x0, i, input.standardUncertainty)));
  const terms = inputs.map((input, i) => sensitivities[i]! * input.standardUncertainty);
  const withAll = terms.map((t, i) => t * terms.reduce((s, other, j) => s + r[i]![j]! * other, 0));
  const variance = Math.max(0, withAll.reduce((s, v) => s + v, 0));
  const standardUncertainty = Math.sqrt(variance);
  const notes: string[] = [...ownNotes];
  const nu = effectiveFreedom(inputs, terms, variance, correlations, notes);
  const whole = nu === null || !Number.isFinite(nu) ? Infinity : Math.max(1, Math.floor(Math.round(nu * 10) / 10));
  const coverageFactor = Number.isFinite(whole) ? studentQuantile((1 + coverage) / 2, whole) : normalQuantile((1 + coverage) / 2);
  const expandedUncertainty = coverageFactor * standardUncertainty;
  const second = correlations.length > 0 ? null : secondOrder(f, x0, inputs, variance);
  if (second !== null && second > 1.05 * standardUncertainty) notes.push(`The quantity bends within the uncertainties: with second-order terms the standard uncertainty is ${brief(second, 3)} instead of ${brief(standardUncertainty, 3)}.`);
  const monteCarlo = draws === 0 ? null : drawOutputs(where, { inputs, f, correlation: correlations.length > 0 ? r : null, draws, seed, coverage, first: { value, standardUncertainty, expandedUncertainty } });
  if (monteCarlo && !monteCarlo.firstOrderHolds) notes.push('The first-order interval differs from the Monte Carlo interval by more than half a unit in the second figure of u: use the latter (JCGM 101, clause 8).');
  const lines = inputs.map((input, i): BudgetLine => Object.freeze({
    input: input.name, value: input.value, distribution: input.distribution, standardUncertainty: input.standardUncertainty, degreesOfFreedom: input.degreesOfFreedom,
    sensitivity: sensitivities[i]!, relativeSensitivity: value === 0 || input.value === 0 ? null : (sensitivities[i]! * input.value) / value,
    contribution: Math.abs(terms[i]!), share: variance === 0 ? 0 : withAll[i]! / variance,
  })).sort((a, b) => b.contribution - a.contribution);
  return makeResult('UncertaintyBudget', checkResult(where, 'inputs', {
    name, unit, value, lines: Object.freeze(lines), standardUncertainty, secondOrderUncertainty: second, effectiveDegreesOfFreedom: nu, coverage, coverageFactor,
    expandedUncertainty, low: value - expandedUncertainty, high: value + expandedUncertainty, monteCarlo, notes: Object.freeze(notes),
  }, ['degreesOfFreedom', 'effectiveDegreesOfFreedom']), (b) => `${b.name} ${brief(b.value, 5)} ${b.unit} ± ${brief(b.expandedUncertainty)} (k ${b.coverageFactor.toPrecision(3)}, ${100 * b.coverage} %); most from ${b.lines[0]!.input}${b.monteCarlo ? `; Monte Carlo ${brief(b.monteCarlo.low, 5)} to ${brief(b.monteCarlo.high, 5)}` : ''}`);
}

/** ∂f/∂xi by central differences over h, h/2, h/4, extrapolated (Richardson); h is a hundredth of the value, but at least a hundredth of the uncertainty, so that a value that is all but 0 is still left, and at most ten times it. */
function derivative(f: (x: Float64Array) => number, x0: Float64Array, i: number, u: number): number {
  const h = Math.min(Math.max(Math.abs(x0[i]!), u) / 100, 10 * u);
  const slope = (step: number): number => {
    const x = x0.slice();
    const high = x0[i]! + step;
    const low = x0[i]! - step;
    x[i] = high;
    const above = f(x);
    x[i] = low;
    return (above - f(x)) / (high - low);
  };
  const [a, b, c] = [slope(h), slope(h / 2), slope(h / 4)];
  const [ab, bc] = [(4 * b - a) / 3, (4 * c - b) / 3];
  return (16 * bc - ab) / 15;
}

/** u with the terms Σij (½ fij² + fi fijj) ui² uj² added, by differences over one standard uncertainty. */
function secondOrder(f: (x: Float64Array) => number, x0: Float64Array, inputs: readonly PreparedInput[], variance: number): number {
  const at = (i: number, a: number, j: number, b: number): number => {
    const x = x0.slice();
    x[i]! += a * inputs[i]!.standardUncertainty;
    x[j]! += b * inputs[j]!.standardUncertainty;
    return f(x);
  };
  const centre = f(x0);
  let sum = variance;
  for (let i = 0; i < inputs.length; i++) {
    if (inputs[i]!.standardUncertainty === 0) continue;
    const first = (at(i, 1, i, 0) - at(i, -1, i, 0)) / 2;
    for (let j = 0; j < inputs.length; j++) {
      if (inputs[j]!.standardUncertainty === 0) continue;
      const mixed = i === j ? at(i, 1, i, 0) - 2 * centre + at(i, -1, i, 0) : (at(i, 1, j, 1) - at(i, 1, j, -1) - at(i, -1, j, 1) + at(i, -1, j, -1)) / 4;
      const third = i === j
        ? (at(i, 2, i, 0) - 2 * at(i, 1, i, 0) + 2 * at(i, -1, i, 0) - at(i, -2, i, 0)) / 2
        : (at(i, 1, j, 1) - 2 * at(i, 1, j, 0) + at(i, 1, j, -1) - at(i, -1, j, 1) + 2 * at(i, -1, j, 0) - at(i, -1, j, -1)) / 2;
      sum += mixed * mixed / 2 + first * third;
    }
  }
  return Math.sqrt(Math.max(0, sum));
}

function effectiveFreedom(inputs: readonly PreparedInput[], terms: readonly number[], variance: number, correlations: readonly InputCorrelation[], notes: string[]): number | null {
  const finite = inputs.some((i) => Number.isFinite(i.degreesOfFreedom));
  if (finite && correlations.some((c) => [c.a, c.b].some((n) => Number.isFinite(inputs.find((i) => i.name === n)!.degreesOfFreedom)))) {
    notes.push('Effective degrees of freedom are not defined for correlated inputs with finite ones; the coverage factor is the normal one.');
    return null;
  }
  const sum = inputs.reduce((s, input, i) => s + terms[i]! ** 4 / input.degreesOfFreedom, 0);
  return sum === 0 ? Infinity : variance ** 2 / sum;
}

function correlationMatrix(where: string, inputs: readonly PreparedInput[], correlations: readonly InputCorrelation[]): number[][] {
  const r: number[][] = inputs.map((_, i) => inputs.map((_, j) => (i === j ? 1 : 0)));
  for (const c of correlations) {
    checkOptions(`${where}, correlations`, c, { required: ['a', 'b', 'coefficient'] });
    const [i, j] = [c.a, c.b].map((name) => inputs.findIndex((input) => input.name === name)) as [number, number];
    if (i < 0 || j < 0 || i === j) throw new InputError({ where, argument: 'correlations', expected: `between two of ${inputs.map((x) => x.name).join(', ')}`, given: `${show(c.a)} and ${show(c.b)}` });
    r[i]![j] = r[j]![i] = checkNumber(where, 'correlations.coefficient', c.coefficient, { min: -1, max: 1 });
  }
  return r;
}
