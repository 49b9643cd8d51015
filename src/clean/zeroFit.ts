import { leastSquares, type LinearFit } from '../numeric/leastSquares.js';
import { medianOf, theilSen } from './theilSen.js';
import { zeroRow, type ZeroModel } from './ZeroModel.js';
import type { Batch, ReadState } from './zeroStates.js';

/** The terms of a fit, the constant first. */
export type Terms = ZeroModel['terms'];

/** How the terms are fitted. */
export type ZeroMethod = ZeroModel['method'];

/** The regressors of a piece. */
export function rowOf(terms: Terms, reference: number | null, b: Batch): number[] {
  return zeroRow(terms, reference, { time: b.time, temperature: b.temperature ?? Number.NaN, speed: b.speed ?? Number.NaN });
}

/** Weighted least squares on the pieces; residuals come back unweighted. */
export function fitBatches(terms: Terms, reference: number | null, batches: readonly Batch[]): LinearFit | null {
  const mean = batches.reduce((s, b) => s + b.samples, 0) / batches.length;
  const weights = batches.map((b) => Math.sqrt(b.samples / mean));
  const rows = batches.map((b) => rowOf(terms, reference, b));
  const fit = leastSquares(terms.map((_, j) => rows.map((row, i) => row[j]! * weights[i]!)), batches.map((b, i) => b.mean * weights[i]!));
  return fit && { ...fit, residuals: fit.residuals.map((v, i) => v / weights[i]!) };
}

/** Coefficients and what is left; the covariance is a matter of the scatter that is found (see widen). */
export type Coefficients = Pick<LinearFit, 'coefficients' | 'residuals' | 'deviation' | 'degreesOfFreedom'>;

/** Medians in place of least squares, for the constant and at most one slope: Theil–Sen over pairs of pieces of different states. The deviation is that of the median. */
export function fitRobust(terms: Terms, reference: number | null, batches: readonly Batch[]): Coefficients | null {
  const fit = fitBatches(terms, reference, batches);
  if (fit === null) return null;
  const x = batches.map((b) => rowOf(terms, reference, b)[1] ?? 0);
  const y = batches.map((b) => b.mean);
  const line = terms.length === 1 ? { slope: 0, intercept: medianOf(y) } : theilSen(x, y, batches.map((b) => b.state));
  if (line === null) return null;
  const residuals = Float64Array.from(y, (v, i) => v - line.intercept - line.slope * x[i]!);
  const coefficients = Float64Array.from(terms.length === 1 ? [line.intercept] : [line.intercept, line.slope]);
  return { coefficients, residuals, deviation: 1.4826 * medianOf(residuals.map(Math.abs)), degreesOfFreedom: fit.degreesOfFreedom };
}

/** Covariance of the terms for pieces of variance 1: (XᵀX)⁻¹, times π/2 for medians. */
function unitCovariance(terms: Terms, reference: number | null, batches: readonly Batch[], method: ZeroMethod): number[][] {
  const fit = fitBatches(terms, reference, batches)!;
  const factor = fit.deviation === 0 ? 0 : (method === 'Theil-Sen' ? Math.PI / 2 : 1) / fit.deviation ** 2;
  return fit.covariance.map((row) => Array.from(row, (c) => factor * c));
}

/** The covariance that serial correlation and the scatter between states call for. */
export function widen(terms: Terms, reference: number | null, states: readonly ReadState[], batches: readonly Batch[], fit: Coefficients, method: ZeroMethod, notes: string[]): { readonly covariance: number[][]; readonly degreesOfFreedom: number } {
  const unit = unitCovariance(terms, reference, batches, method);
  const scaled = (variance: number): number[][] => unit.map((row) => row.map((c) => c * variance));
  if (method === 'Theil-Sen') noteBreakdown(terms, states.length, notes);
  if (fit.degreesOfFreedom === 0) {
    notes.push('The standard errors are not known: there are as many readings as coefficients.');
    return { covariance: scaled(0), degreesOfFreedom: 0 };
  }
  const between = betweenStates(terms, reference, states);
  const own = between === null ? fit.residuals : withoutStateMeans(batches, fit.residuals);
  const free = between === null ? fit.degreesOfFreedom : batches.length - states.length;
  const r = Math.min(0.9, Math.max(0, lagOne(batches, own)));
  const factor = (1 + r) / (1 - r);
  const scatter = between === null ? fit.deviation ** 2 : free > 0 ? own.reduce((sum, v) => sum + v * v, 0) / free : 0;
  if (between !== null && between.variance > scatter * factor) {
    if (between.variance > 4 * scatter * factor) notes.push(`The states scatter about the model ${Math.sqrt(between.variance / (scatter * factor)).toPrecision(2)} times as much as their own noise explains; a term may be missing, or a state may hold torque.`);
    return { covariance: scaled(between.variance), degreesOfFreedom: between.degreesOfFreedom };
  }
  if (r > 0.3) notes.push(`Neighbouring pieces of a state go together (correlation ${r.toFixed(2)}); the standard errors are widened for it.`);
  return { covariance: scaled(scatter * factor), degreesOfFreedom: Math.max(1, Math.round(free / factor)) };
}

/** How many of n states may lie anywhere: a median holds while fewer than half of what it is taken of is spoilt, be it states or slopes between two of them. */
export function wrongStates(terms: number, states: number): number {
  let wrong = 0;
  const sound = (bad: number): boolean => (terms === 1 ? 2 * bad < states : 2 * (states - bad) * (states - bad - 1) > states * (states - 1));
  while (wrong < states && sound(wrong + 1)) wrong++;
  return wrong;
}

function noteBreakdown(terms: Terms, states: number, notes: string[]): void {
  if (wrongStates(terms.length, states) === 0) notes.push(`Medians over ${states === 1 ? 'one state' : `${states} states`} withstand no wrong one: give at least ${terms.length === 1 ? 3 : 5}.`);
}

/** Residuals less their mean in each state: what a state shows of its own noise. */
function withoutStateMeans(batches: readonly Batch[], residuals: Float64Array): Float64Array {
  const sums = new Map<number, { sum: number; count: number }>();
  batches.forEach((b, i) => {
    const s = sums.get(b.state) ?? { sum: 0, count: 0 };
    sums.set(b.state, { sum: s.sum + residuals[i]!, count: s.count + 1 });
  });
  return residuals.map((v, i) => {
    const s = sums.get(batches[i]!.state)!;
    return v - s.sum / s.count;
  });
}

/** Lag-one correlation of residuals within states. */
function lagOne(batches: readonly Batch[], residuals: Float64Array): number {
  let products = 0, squares = 0, pairs = 0;
  for (let i = 0; i < batches.length; i++) {
    squares += residuals[i]! ** 2;
    if (i === 0 || batches[i - 1]!.state !== batches[i]!.state) continue;
    products += residuals[i]! * residuals[i - 1]!;
    pairs++;
  }
  return pairs < 4 || squares === 0 ? 0 : products / pairs / (squares / batches.length);
}

/** Variance of a piece as the residuals of whole states about their least-squares line show it; null where the states leave no freedom. */
function betweenStates(terms: Terms, reference: number | null, states: readonly ReadState[]): { readonly variance: number; readonly degreesOfFreedom: number } | null {
  if (states.length <= terms.length) return null;
  const whole = states.map((s): Batch => merged(s.batches));
  const fit = fitBatches(terms, reference, whole);
  if (!fit || fit.degreesOfFreedom < 1) return null;
  const piecesPerState = states.reduce((n, s) => n + s.batches.length, 0) / states.length;
  return { variance: fit.deviation ** 2 * piecesPerState, degreesOfFreedom: fit.degreesOfFreedom };
}

/** A whole state as one piece. */
export function merged(batches: readonly Batch[]): Batch {
  const samples = batches.reduce((n, b) => n + b.samples, 0);
  const mean = (of: (b: Batch) => number | null): number => batches.reduce((s, b) => s + of(b)! * b.samples, 0) / samples;
  const maybe = (of: (b: Batch) => number | null): number | null => (of(batches[0]!) === null ? null : mean(of));
  return { state: batches[0]!.state, samples, mean: mean((b) => b.mean), time: mean((b) => b.time), temperature: maybe((b) => b.temperature), speed: maybe((b) => b.speed) };
}
