import { checkChannel, type Channel } from '../record/Channel.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { startOffset } from '../record/readerOf.js';
import { zeroOf, type ZeroInstant, type ZeroModel } from './ZeroModel.js';
import { celsiusReader, speedReader, type Companions } from './zeroStates.js';

/** What a step keeps of a model: enough to remove it again. */
type StoredModel = Pick<ZeroModel, 'channel' | 'unit' | 'start' | 'terms' | 'coefficients' | 'covariance' | 'referenceTemperature'> & { readonly states: readonly { readonly from: number; readonly to: number }[] };

const where = 'removeZero';

const operation = defineOperation<{ model: StoredModel } & Companions>(where, (channel, options) => {
  checkOptions(where, options, { required: ['model'], optional: ['temperature', 'speed'] });
  const model = options.model as unknown as ZeroModel;
  if (model.unit !== channel.unit) {
    throw new InputError({ where, argument: `unit of ${channel.name}`, expected: `${model.unit}, in which the zero was fitted`, given: channel.unit, remedy: 'Fit the zero on this channel, or remove it before toTorque.' });
  }
  const instant = instantReader(channel, model, options);
  const n = channel.values.length;
  const values = new Float64Array(n);
  const steady = model.terms.every((t) => t === 'constant' || t === 'friction');
  const offset = zeroOf(model, instant(0));
  const [z0, zt] = [model.coefficients[0]!, model.coefficients[model.terms.indexOf('time')] ?? 0];
  const simple = model.terms.every((t) => t === 'constant' || t === 'time' || t === 'friction');
  const shift = startOffset(model.start, channel.start);
  let sum = 0;
  for (let i = 0; i < n; i++) {
    const zero = simple ? z0 + zt * (i / channel.sampleRate + shift) : zeroOf(model, instant(i)).zero;
    values[i] = channel.values[i]! - zero;
    sum += zero;
  }
  const last = steady ? offset : zeroOf(model, instant(n - 1));
  const middle = zeroOf(model, instant(n >> 1));
  return {
    values,
    found: {
      zeroAtStart: offset.zero, zeroAtEnd: last.zero, meanZero: sum / n,
      standardErrorAtStart: offset.standardError, standardErrorAtMiddle: middle.standardError, standardErrorAtEnd: last.standardError,
    },
  };
});

/** What the zero depends on at sample i. */
function instantReader(channel: Channel, model: ZeroModel, companions: Companions): (i: number) => ZeroInstant {
  const shift = startOffset(model.start, channel.start);
  const needs = (term: ZeroModel['terms'][number]): boolean => model.terms.includes(term);
  const missing = (role: string): never => {
    throw new InputError({ where, argument: role, expected: 'a channel: the model depends on it', given: 'nothing' });
  };
  const temperature = !needs('temperature') ? null : companions.temperature ? celsiusReader(where, checkChannel(where, companions.temperature, ['°C', 'K', '°F'] as const), channel.start) : missing('temperature');
  const speed = !needs('speed squared') ? null : companions.speed ? speedReader(where, checkChannel(where, companions.speed, ['rpm', 'rad/s'] as const), channel.start) : missing('speed');
  return (i) => {
    const t = i / channel.sampleRate;
    return { time: t + shift, temperature: temperature ? temperature(t) : 0, speed: speed ? speed(t) : 0 };
  };
}

/** Is this what fitZero found, fresh or read back from JSON? */
function isZeroModel(model: ZeroModel): boolean {
  const numbers = (list: unknown, length: number): boolean => Array.isArray(list) && list.length === length && list.every((v) => Number.isFinite(v));
  if (typeof model !== 'object' || model === null || typeof model.unit !== 'string' || !Array.isArray(model.terms) || !Array.isArray(model.covariance) || !Array.isArray(model.states)) return false;
  const n = model.terms.length;
  return numbers(model.coefficients, n) && model.covariance.length === n && model.covariance.every((row) => numbers(row, n)) && model.states.every((s: unknown) => typeof s === 'object' && s !== null);
}

/**
 * Takes a fitted zero off a channel: value − (z0 + zt·t + zT·(T − Tref) + zw·ω²). Friction is true torque and stays.
 *
 * An error of the zero moves the mean, the load ratio, power and reversals; it does not touch ranges within a run.
 * Where both starts are known, the time of the model is the time of the channel even after a slice; else t counts from the first sample.
 * Temperature and speed are read by straight lines between their valid samples.
 *
 * Kept: clock, masks; masked samples are shifted too, so that they stay on one scale. Cost: one pass.
 *
 * @param channel in the unit in which the zero was fitted
 * @param model what fitZero found, fresh or read back from JSON
 * @param companions temperature (°C, K, °F) and speed (rpm, rad/s) where the model holds such terms
 * @returns the channel without its zero; the step holds the coefficients, and the zero at start and end with standard errors
 * @throws InputError for another unit, or a companion that is missing or does not cover the record
 * @see fitZero, zeroAt
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [3, 3, 50, 60, 5, 5] });
 * const model = fitZero(T, { rest: [{ from: 0, to: 2 }, { from: 4, to: 6 }], model: 'constant' });
 * removeZero(T, model).values[2] // => 46
 */
export function removeZero<U extends Unit>(channel: Channel<U>, model: ZeroModel, companions: Companions = {}): Channel<U> {
  if (!isZeroModel(model)) {
    throw new InputError({ where, argument: 'model', expected: 'what fitZero found', given: show(model) });
  }
  checkOptions(`${where}, companions`, companions, { optional: ['temperature', 'speed'] });
  const { unit, start, terms, coefficients, covariance, referenceTemperature } = model;
  const states = model.states.map(({ from, to }) => ({ from, to }));
  return operation(channel, { model: { channel: model.channel, unit, start, terms, coefficients, covariance, referenceTemperature, states }, ...companions }) as Channel<U>;
}
