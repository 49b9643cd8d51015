import { checkList, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { chiSquareQuantile } from '../numeric/distributions.js';
import { leastSquares } from '../numeric/leastSquares.js';
import { makeResult } from '../record/result.js';
import { torsionalModes } from './torsionalModes.js';
import { reduceTrain, type Train } from './Train.js';

/** What fitStiffness takes. */
export interface FitStiffnessOptions {
  /** Names of the shafts whose stiffness is uncertain. */
  readonly uncertain: readonly string[];
  /** Measured natural frequencies, Hz, with the number of the elastic mode (1 = the lowest above 0 Hz) and their standard uncertainty, Hz. */
  readonly lines: readonly { readonly mode: number; readonly frequency: number; readonly uncertainty: number }[];
}

/** A train whose uncertain stiffnesses agree with measured lines. */
export interface StiffnessFit {
  readonly train: Train;
  /** For each uncertain shaft: stiffness, N·m/rad, its standard uncertainty (from those of the lines), and the factor on what was assumed. */
  readonly stiffness: readonly { readonly shaft: string; readonly value: number; readonly uncertainty: number; readonly factor: number }[];
  /** Hz: computed by the fitted train less measured, one a line. */
  readonly residuals: Float64Array;
  readonly iterations: number;
  readonly notes: readonly string[];
}

/**
 * Fits uncertain shaft stiffnesses to measured torsional lines: least squares on ln f by Gauss–Newton on ln k, each line
 * weighted by its uncertainty. By perturbation ∂ ln f / ∂ ln k is the share of the mode's strain energy in that shaft.
 *
 * @throws InputError for fewer lines than shafts, unknown names, or lines that cannot tell the shafts apart
 * @example
 * const train = { inertias: [{ name: 'a', inertia: 2 }, { name: 'b', inertia: 3 }], shafts: [{ name: 's', from: 'a', to: 'b', stiffness: 10000 }] };
 * fitStiffness(train, { uncertain: ['s'], lines: [{ mode: 1, frequency: 50 / Math.PI, uncertainty: 0.01 }] }).stiffness[0].value // => 12000.0
 * @references J. W. S. Rayleigh, The Theory of Sound (first-order change of a natural frequency with stiffness; from memory).
 */
export function fitStiffness(train: Train, options: FitStiffnessOptions): StiffnessFit {
  const where = 'fitStiffness';
  checkOptions(where, options, { required: ['uncertain', 'lines'] });
  const { uncertain, lines } = options;
  checkList(where, 'uncertain', uncertain, 'a list of at least one name of a shaft');
  checkList(where, 'lines', lines, 'a list of at least one measured line');
  reduceTrain(where, train);
  if (new Set(uncertain).size !== uncertain.length) throw new InputError({ where, argument: 'uncertain', expected: 'every shaft once', given: uncertain.join(', ') });
  const at = uncertain.map((name) => {
    const index = train.shafts.findIndex((s) => s.name === name);
    if (index < 0) throw new InputError({ where, argument: 'uncertain', expected: `made of ${train.shafts.map((s) => s.name).join(', ')}`, given: JSON.stringify(name) });
    return index;
  });
  if (lines.length < at.length) throw new InputError({ where, argument: 'lines', expected: `at least as many as the ${at.length} uncertain shafts`, given: `${lines.length}` });
  lines.forEach((line, i) => {
    checkNumber(where, `lines[${i}].frequency`, line?.frequency, { above: 0, unit: 'Hz' });
    checkNumber(where, `lines[${i}].uncertainty`, line.uncertainty, { above: 0, unit: 'Hz' });
  });
  const weights = lines.map((line) => line.frequency / line.uncertainty);
  let current = train;
  for (let iterations = 1; iterations <= 50; iterations++) {
    const { columns, misfit } = linearise(where, current, at, lines);
    const fit = leastSquares(columns.map((c) => c.map((v, i) => v * weights[i]!)), misfit.map((v, i) => v * weights[i]!));
    if (!fit) throw new InputError({ where, argument: 'lines', expected: 'lines whose modes strain the uncertain shafts differently', given: 'modes that cannot tell them apart', remedy: 'Take fewer uncertain shafts or another mode.' });
    const step = fit.coefficients.map((v) => Math.max(-0.5, Math.min(0.5, v)));
    current = { ...current, shafts: current.shafts.map((s, i) => (at.includes(i) ? { ...s, stiffness: s.stiffness * Math.exp(step[at.indexOf(i)]!) } : s)) };
    if (step.every((v) => Math.abs(v) < 1e-12)) return finish(train, current, at, options, iterations, columns, weights);
  }
  throw new InputError({ where, argument: 'lines', expected: 'lines that stiffnesses near the assumed ones can give', given: 'no convergence in 50 steps', remedy: 'Check which mode each line belongs to.' });
}

function linearise(where: string, train: Train, at: readonly number[], lines: FitStiffnessOptions['lines']): { columns: number[][]; misfit: number[] } {
  const elastic = torsionalModes(train).modes.filter((m) => m.frequency > 0);
  const columns: number[][] = at.map(() => []);
  const misfit = lines.map(({ mode, frequency }, i) => {
    const found = elastic[mode - 1];
    if (!found) throw new InputError({ where, argument: `lines[${i}].mode`, expected: `1 to ${elastic.length}`, given: String(mode) });
    at.forEach((s, j) => {
      const energy = found.shaftTorque[s]! ** 2 / train.shafts[s]!.stiffness;
      columns[j]!.push((0.5 * energy) / (found.angularFrequency ** 2 * found.modalInertia));
    });
    return Math.log(frequency / found.frequency);
  });
  return { columns, misfit };
}

function finish(
  assumed: Train, fitted: Train, at: readonly number[], options: FitStiffnessOptions, iterations: number, columns: readonly (readonly number[])[], weights: readonly number[],
): StiffnessFit {
  const elastic = torsionalModes(fitted).modes.filter((m) => m.frequency > 0);
  const residuals = Float64Array.from(options.lines, (line) => elastic[line.mode - 1]!.frequency - line.frequency);
  const variance = inverseDiagonal(columns, weights);
  const freedom = options.lines.length - at.length;
  const square = options.lines.reduce((sum, line, i) => sum + (residuals[i]! / line.uncertainty) ** 2, 0);
  const notes = freedom > 0 && square > chiSquareQuantile(0.99, freedom)
    ? [`The lines do not agree with the train: χ² of the residuals is ${square.toPrecision(3)} for ${freedom} degrees of freedom. Check which mode each line belongs to, the other stiffnesses, the inertias, and the uncertainties of the lines.`] : [];
  const stiffness = at.map((s, j) => {
    const value = fitted.shafts[s]!.stiffness;
    return Object.freeze({ shaft: fitted.shafts[s]!.name, value, uncertainty: value * Math.sqrt(variance[j]!), factor: value / assumed.shafts[s]!.stiffness });
  });
  return makeResult('StiffnessFit', { train: fitted, stiffness: Object.freeze(stiffness), residuals, iterations, notes: Object.freeze(notes) }, (r) => `StiffnessFit: ${r.stiffness.map((s) => `${s.shaft} ${s.value.toPrecision(4)} ± ${s.uncertainty.toPrecision(1)} N·m/rad`).join(', ')}`);
}

/** Diagonal of (XᵀX)⁻¹, whatever the residuals: a row of zeros with a residual of 1 gives the fit a variance to divide by. */
function inverseDiagonal(columns: readonly (readonly number[])[], weights: readonly number[]): number[] {
  const extended = columns.map((c) => [...c.map((v, i) => v * weights[i]!), 0]);
  const rows = columns[0]!.length;
  const fit = leastSquares(extended, [...new Array<number>(rows).fill(0), 1])!;
  return fit.covariance.map((row, j) => row[j]! / fit.deviation ** 2);
}
