import { brief } from '../record/brief.js';
import { checkChoice, checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { leastSquares } from '../numeric/leastSquares.js';
import { bridgeUnits, strainUnits } from './Gauge.js';
import type { TorqueCalibration } from './toTorque.js';

/** One step of a calibration, in the order in which it was taken. */
export interface CalibrationPoint {
  /** Applied torque with its sign, N·m (force · arm, buoyancy and arm weight already counted). */
  readonly applied: number;
  /** Reading, in the unit of the calibration. */
  readonly signal: number;
  /** Loading or unloading; left out, it follows from the size of the torque before, and a torque read again keeps the direction it had. */
  readonly direction?: 'up' | 'down';
}

/** A straight line torque = slope · signal + intercept through some of the points. */
export interface CalibrationLine {
  readonly points: number;
  /** N·m per unit. */
  readonly slope: number;
  /** N·m. */
  readonly intercept: number;
  /** Standard errors of both; null with two points. */
  readonly slopeError: number | null;
  readonly interceptError: number | null;
  /** Residual standard deviation, N·m; null with two points. */
  readonly deviation: number | null;
  /** Correlation coefficient of signal and torque. */
  readonly correlation: number;
}

/** What a calibration says about the measuring chain. */
export interface Calibration {
  /** For toTorque: the line through all points. */
  readonly calibration: TorqueCalibration;
  readonly all: CalibrationLine;
  /** Lines of loading and unloading, and of positive and negative torque, where there are two points or more. */
  readonly up: CalibrationLine | null;
  readonly down: CalibrationLine | null;
  readonly positive: CalibrationLine | null;
  readonly negative: CalibrationLine | null;
  /** Applied torque minus line of all points, N·m, in the order given. */
  readonly residuals: readonly number[];
  /** Largest size of applied torque, N·m: the full scale of the percentages. */
  readonly fullScale: number;
  /** Largest residual, N·m and part of full scale. */
  readonly linearity: number;
  readonly linearityOfScale: number;
  /** Largest difference between unloading and loading at one torque, N·m by the slope, and part of full scale; null without both. */
  readonly hysteresis: number | null;
  readonly hysteresisOfScale: number | null;
  /** Last reading without torque minus the first, in N·m by the slope; null with fewer than two. */
  readonly zeroReturn: number | null;
  readonly notes: readonly string[];
}

const where = 'fitCalibration';

/**
 * Fits a calibration line to applied torques, loading and unloading, and says how well the chain keeps it.
 *
 * torque = slope · signal + intercept by least squares (torque on signal), over all points and over each direction. Linearity is the largest residual of
 * the line; hysteresis the largest difference of reading between unloading and loading at the same torque (by straight lines between the
 * loading points), times the slope; zero return the change of the reading without torque, times the slope.
 *
 * @param points at least two, in the order taken; applied in N·m, signal in `unit`
 * @param options unit of the signal: count, V, mV, V/V, mV/V, strain or µstrain
 * @returns lines with standard errors, residuals, linearity, hysteresis, zero return, notes
 * @throws InputError for fewer than two points, or readings that are all the same
 * @see toTorque
 * @example
 * const points = [[0, 0.1], [50, 0.6], [100, 1.1], [50, 0.61], [0, 0.1]].map(([applied, signal]) => ({ applied, signal }));
 * const fit = fitCalibration(points, { unit: 'mV/V' });
 * fit.all.slope // => 99.846
 * fit.hysteresis // => 0.99846
 * @references JCGM 100:2008 (GUM), H.3, for the line and its standard errors; hysteresis and zero return: common practice of force and torque calibration, no source.
 */
export function fitCalibration(points: readonly CalibrationPoint[], options: { readonly unit: TorqueCalibration['unit'] }): Calibration {
  checkOptions(where, options, { required: ['unit'] });
  const unit = checkChoice(where, 'unit', options.unit, [...bridgeUnits, ...strainUnits]);
  if (!Array.isArray(points) || points.length < 2) throw new InputError({ where, argument: 'points', expected: 'at least two points', given: show(points) });
  points.forEach((p, i) => {
    checkOptions(`${where}, points[${i}]`, p, { required: ['applied', 'signal'], optional: ['direction'] });
    checkNumber(where, `points[${i}].applied`, p.applied, { unit: 'N·m' });
    checkNumber(where, `points[${i}].signal`, p.signal);
    if (p.direction !== undefined) checkChoice(where, `points[${i}].direction`, p.direction, ['up', 'down'] as const);
  });
  const directions = directionsOf(points);
  const up = points.filter((_, i) => directions[i] === 'up');
  const down = points.filter((_, i) => directions[i] === 'down');
  const all = lineThrough(points);
  if (all === null) throw new InputError({ where, argument: 'points', expected: 'readings that change with the torque', given: 'readings or torques that are all the same' });
  const fullScale = largestSize(points.map((p) => p.applied));
  const residuals = points.map((p) => p.applied - (all.slope * p.signal + all.intercept));
  const linearity = largestSize(residuals);
  const gap = hysteresisOf(up, down);
  const hysteresis = gap === null ? null : gap * Math.abs(all.slope);
  const zeros = points.filter((p) => Math.abs(p.applied) <= 1e-6 * fullScale);
  const zeroReturn = zeros.length < 2 ? null : (zeros.at(-1)!.signal - zeros[0]!.signal) * all.slope;
  const positive = lineThrough(points.filter((p) => p.applied >= 0));
  const negative = lineThrough(points.filter((p) => p.applied <= 0));
  return makeResult('Calibration', checkResult(where, 'points', {
    calibration: Object.freeze({ slope: all.slope, unit, intercept: all.intercept }), all, up: lineThrough(up), down: lineThrough(down), positive, negative,
    residuals: Object.freeze(residuals), fullScale, linearity, linearityOfScale: linearity / fullScale,
    hysteresis, hysteresisOfScale: hysteresis === null ? null : hysteresis / fullScale, zeroReturn,
    notes: Object.freeze(notesOf(points, up, down, hysteresis, zeros.length, positive, negative)),
  }), (c) => `Calibration from ${c.all.points} points: ${brief(c.all.slope, 6)} N·m/${unit}${c.all.slopeError === null ? '' : ` ± ${brief(c.all.slopeError)}`}, linearity ${percent(c.linearityOfScale)}${c.hysteresisOfScale === null ? '' : `, hysteresis ${percent(c.hysteresisOfScale)}`} of ${brief(c.fullScale, 4)} N·m`);
}

function percent(part: number): string {
  return `${brief(100 * part)} %`;
}

function largestSize(values: readonly number[]): number {
  return values.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
}

/** The direction told, or else up where the size of the torque grew and down where it fell; the direction before where the same torque was read again. */
function directionsOf(points: readonly CalibrationPoint[]): ('up' | 'down')[] {
  const directions: ('up' | 'down')[] = [];
  points.forEach((p, i) => {
    const before = points[i - 1];
    const followed = before === undefined ? 'up' : p.applied === before.applied ? directions[i - 1]! : Math.abs(p.applied) >= Math.abs(before.applied) ? 'up' : 'down';
    directions.push(p.direction ?? followed);
  });
  return directions;
}

function lineThrough(points: readonly CalibrationPoint[]): CalibrationLine | null {
  if (points.length < 2) return null;
  const n = points.length;
  const mean = (of: (p: CalibrationPoint) => number): number => points.reduce((s, p) => s + of(p), 0) / n;
  const x0 = mean((p) => p.signal);
  const y0 = mean((p) => p.applied);
  const x = points.map((p) => p.signal - x0);
  const y = points.map((p) => p.applied - y0);
  const fit = leastSquares([new Float64Array(n).fill(1), x], y);
  const yy = y.reduce((s, v) => s + v * v, 0);
  if (fit === null || yy === 0) return null;
  const slope = fit.coefficients[1]!;
  const free = fit.degreesOfFreedom > 0;
  const u = (shift: number): number => Math.sqrt(fit.covariance[0]![0]! - 2 * shift * fit.covariance[0]![1]! + shift * shift * fit.covariance[1]![1]!);
  return Object.freeze({
    points: n, slope, intercept: y0 + fit.coefficients[0]! - slope * x0, slopeError: free ? Math.sqrt(fit.covariance[1]![1]!) : null, interceptError: free ? u(x0) : null,
    deviation: free ? fit.deviation : null, correlation: x.reduce((s, v, i) => s + v * y[i]!, 0) / Math.sqrt(x.reduce((s, v) => s + v * v, 0) * yy),
  });
}

/** Largest difference in signal of the unloading points against straight lines between the loading points; null where they share no range. */
function hysteresisOf(up: readonly CalibrationPoint[], down: readonly CalibrationPoint[]): number | null {
  const loading = [...up].sort((a, b) => a.applied - b.applied);
  let largest: number | null = null;
  for (const p of down) {
    const i = loading.findIndex((q, j) => j > 0 && loading[j - 1]!.applied <= p.applied && p.applied <= q.applied);
    if (i < 0) continue;
    const [a, b] = [loading[i - 1]!, loading[i]!];
    const at = b.applied === a.applied ? 0.5 : (p.applied - a.applied) / (b.applied - a.applied);
    const gap = Math.abs(p.signal - (a.signal + at * (b.signal - a.signal)));
    if (largest === null || gap > largest) largest = gap;
  }
  return largest;
}

function notesOf(points: readonly CalibrationPoint[], up: readonly CalibrationPoint[], down: readonly CalibrationPoint[], hysteresis: number | null, zeros: number, positive: CalibrationLine | null, negative: CalibrationLine | null): string[] {
  const notes: string[] = [];
  if (points.length === 2) notes.push('Two points make a line without any check of it.');
  if (hysteresis === null) notes.push(`${down.length === 0 ? 'Loading only' : up.length === 0 ? 'Unloading only' : 'Loading and unloading share no range of torque'}: hysteresis is not known.`);
  if (zeros < 2) notes.push('Fewer than two readings without torque: the zero return is not known.');
  if (positive && negative && positive.slopeError !== null && negative.slopeError !== null) {
    const apart = Math.abs(positive.slope - negative.slope);
    if (apart > 2 * Math.hypot(positive.slopeError, negative.slopeError)) notes.push(`The slopes of the two directions of torque differ by ${percent(apart / Math.abs(positive.slope))}, more than twice their standard error.`);
  } else if (!points.some((p) => p.applied > 0) || !points.some((p) => p.applied < 0)) notes.push('One direction of torque only.');
  return notes;
}
