import { brief } from '../record/brief.js';
import { checkChoice, checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';

/** A term of the zero besides the constant: drift with time, with temperature, with speed squared, and the friction of turning without load. */
export type ZeroTerm = 'time' | 'temperature' | 'speed squared' | 'friction';

/** Every term, in the order in which a model holds them. */
export const zeroTerms: readonly ZeroTerm[] = Object.freeze(['time', 'temperature', 'speed squared', 'friction']);

/** One rest or unloaded state as the fit saw it. */
export interface ZeroStateFit {
  /** s from the first sample of the channel. */
  readonly from: number;
  readonly to: number;
  /** Valid samples that were read. */
  readonly samples: number;
  readonly mean: number;
  /** Standard deviation of the samples. */
  readonly deviation: number;
  /** Mean minus model. */
  readonly residual: number;
  /** Mean minus the model fitted without this state; null where the others cannot carry the model. */
  readonly leaveOneOut: number | null;
  /** Mean temperature, °C, and mean speed, rad/s, where the fit had them. */
  readonly temperature: number | null;
  readonly speed: number | null;
}

/**
 * The zero of a torque signal as a fitted model: z = z0 + zt·t + zT·(T − Tref) + zw·ω² (+ f·sign ω, which is true torque
 * and is not removed). Plain data: it survives JSON.
 */
export interface ZeroModel {
  readonly channel: string;
  readonly unit: Unit;
  /** ISO 8601 UTC of t = 0, or null where it is the first sample of whichever channel the model is used on. */
  readonly start: string | null;
  /** What the entries of coefficients and covariance belong to; the first is the constant. */
  readonly terms: readonly ('constant' | ZeroTerm)[];
  /** Unit of the channel, per s, per K, per (rad/s)², and again the unit. */
  readonly coefficients: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  readonly standardErrors: readonly number[];
  /** Degrees of freedom behind the standard errors; 0 where they are not known. */
  readonly degreesOfFreedom: number;
  /** Tref, °C; null without a temperature term. */
  readonly referenceTemperature: number | null;
  readonly method: 'least squares' | 'Theil-Sen';
  readonly states: readonly ZeroStateFit[];
  /** Root mean square of the states' residuals. */
  readonly residual: number;
  /** Root mean square of the leave-one-out residuals; null where there are none. */
  readonly leaveOneOut: number | null;
  readonly notes: readonly string[];
}

/** What the zero depends on at one instant: s, °C, rad/s. */
export interface ZeroInstant {
  readonly time: number;
  readonly temperature?: number;
  readonly speed?: number;
}

/** The regressors of a model at one instant, friction included. */
export function zeroRow(terms: ZeroModel['terms'], referenceTemperature: number | null, at: ZeroInstant): number[] {
  return terms.map((term) => {
    if (term === 'constant') return 1;
    if (term === 'time') return at.time;
    if (term === 'temperature') return at.temperature! - referenceTemperature!;
    if (term === 'speed squared') return at.speed! * at.speed!;
    return Math.sign(at.speed ?? 0);
  });
}

/**
 * Finds the zero at one instant and its standard error, without friction.
 *
 * @param model from fitZero, or read back from JSON
 * @param at time in s from the model's start; temperature (°C) and speed (rad/s) where the model has a term in them
 * @returns the zero and its standard error, in the model's unit
 * @throws InputError for a model that is none, or an instant that does not state what the model depends on
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [3, 3, 50, 60, 5, 5] });
 * const model = fitZero(T, { rest: [{ from: 0, to: 2 }, { from: 4, to: 6 }], model: 'linear in time' });
 * zeroAt(model, { time: 2.5 }).zero // => 4
 */
export function zeroAt(model: ZeroModel, at: ZeroInstant): { readonly zero: number; readonly standardError: number } {
  const where = 'zeroAt';
  const numbers = (list: unknown): boolean => Array.isArray(list) && list.length === model.terms.length && list.every(Number.isFinite);
  if (!Array.isArray((model as ZeroModel | null)?.terms) || !numbers(model.coefficients) || !Array.isArray(model.covariance) || model.covariance.length !== model.terms.length || !model.covariance.every(numbers)) {
    throw new InputError({ where, argument: 'model', expected: 'a zero model of terms, coefficients and covariance', given: show(model), remedy: 'Make one with fitZero.' });
  }
  model.terms.forEach((term, k) => checkChoice(where, `model.terms[${k}]`, term, ['constant', ...zeroTerms]));
  checkOptions(where, at, { required: ['time'], optional: ['temperature', 'speed'] });
  checkNumber(where, 'time', at.time, { unit: 's' });
  const by = (...names: ZeroTerm[]): boolean => names.some((name) => model.terms.includes(name));
  if (at.temperature !== undefined || by('temperature')) checkNumber(where, 'temperature', at.temperature, { above: -273.15, unit: '°C' });
  if (by('temperature')) checkNumber(where, 'model.referenceTemperature', model.referenceTemperature, { above: -273.15, unit: '°C' });
  if (at.speed !== undefined || by('speed squared')) checkNumber(where, 'speed', at.speed, { unit: 'rad/s' });
  return checkResult(where, 'at', zeroOf(model, at));
}

/** The same, of a model and an instant that were checked. */
export function zeroOf(model: ZeroModel, at: ZeroInstant): { readonly zero: number; readonly standardError: number } {
  const row = zeroRow(model.terms, model.referenceTemperature, at).map((x, i) => (model.terms[i] === 'friction' ? 0 : x));
  let zero = 0, variance = 0;
  for (let i = 0; i < row.length; i++) {
    zero += row[i]! * model.coefficients[i]!;
    for (let j = 0; j < row.length; j++) variance += row[i]! * row[j]! * model.covariance[i]![j]!;
  }
  return { zero, standardError: Math.sqrt(Math.max(0, variance)) };
}

/** Freezes a model and gives it its line. */
export function makeZeroModel(model: ZeroModel): ZeroModel {
  return makeResult('ZeroModel', { ...model }, (m) => {
    const names = { constant: 'z0', time: 'zt', temperature: 'zT', 'speed squared': 'zw', friction: 'friction' };
    const per = { constant: '', time: '/s', temperature: '/K', 'speed squared': '/(rad/s)²', friction: '' };
    const parts = m.terms.map((term, i) => `${names[term]} ${brief(m.coefficients[i]!, 5)} ± ${brief(m.standardErrors[i]!)} ${m.unit}${per[term]}`);
    return `Zero of ${m.channel} from ${m.states.length} state${m.states.length === 1 ? '' : 's'}: ${parts.join(', ')}`;
  });
}
