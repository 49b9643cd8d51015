import { checkChannel, isChannel, validRuns, type Channel } from '../record/Channel.js';
import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Run } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { countingBlock } from '../numeric/countingBlock.js';
import { findTurns, newTurnState } from '../numeric/findTurns.js';

/** The turning points of a signal. */
export interface TurningPoints<U extends Unit = Unit> {
  readonly unit: U;
  readonly values: Float64Array;
  /** Sample indices: of a plateau, its last sample, at which the signal turns back. */
  readonly at: Float64Array;
}

/**
 * Finds the turning points of a signal: the samples at which it turns back. Equal neighbours count as one; the first
 * and the last point are kept. Masked samples are left out and the points on both sides join.
 *
 * Cost: one pass.
 *
 * @param signal a channel, or bare numbers (unit '1')
 * @returns values and sample indices, in time order
 * @throws InputError where there is no valid sample, or a bare number is not finite
 * @see countCycles
 * @example
 * turningPoints(Float64Array.of(0, 1, 3, 3, 2, 5)).values // => [0,3,2,5]
 * turningPoints(Float64Array.of(0, 1, 3, 3, 2, 5)).at // => [0,3,4,5]
 */
export function turningPoints<U extends Unit = '1'>(signal: Channel<U> | Float64Array): TurningPoints<U> {
  const { values, runs, unit } = readSignal<U>('turningPoints', signal);
  const found = turnsOf(values, runs);
  return makeResult('TurningPoints', { unit, ...found }, (t) => `TurningPoints [${t.unit}]: ${t.values.length}`);
}

/** Turning points of the valid runs of values, joined across the gaps. */
export function turnsOf(values: Float64Array, runs: readonly Run[] = [{ from: 0, to: values.length }]): { readonly values: Float64Array; readonly at: Float64Array } {
  const state = newTurnState();
  const turns = new Float64Array(values.length + 1);
  const at = new Float64Array(values.length + 1);
  let n = 0;
  for (const run of runs) {
    for (let from = run.from; from < run.to; from += countingBlock.length) {
      const found = findTurns(state, values, from, Math.min(run.to, from + countingBlock.length), 0);
      turns.set(countingBlock.turns.subarray(0, found), n);
      at.set(countingBlock.places.subarray(0, found), n);
      n += found;
    }
  }
  if (state.stage > 0) {
    turns[n] = state.last;
    at[n] = state.lastAt;
    n++;
  }
  return { values: turns.slice(0, n), at: at.slice(0, n) };
}

/** What a counting verb reads of its subject. */
export interface Signal<U extends Unit> {
  readonly unit: U;
  readonly values: Float64Array;
  readonly runs: readonly Run[];
  readonly channel: Channel<U> | null;
}

/** The values and valid runs of a channel, or of bare numbers, which are checked unless the caller does it. @throws InputError where nothing valid is there */
export function readSignal<U extends Unit>(where: string, signal: Channel<U> | Float64Array, check = true): Signal<U> {
  if (signal instanceof Float64Array) {
    if (signal.length === 0) throw new InputError({ where, argument: 'signal', expected: 'at least one number', given: 'none' });
    if (check) checkFinite(where, signal);
    return { unit: '1' as U, values: signal, runs: [{ from: 0, to: signal.length }], channel: null };
  }
  if (!isChannel(signal)) throw new InputError({ where, argument: 'signal', expected: 'a Channel or a Float64Array', given: show(signal) });
  const channel = checkChannel<U>(where, signal);
  const runs = validRuns(channel);
  if (runs.length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with a valid sample', given: 'one that is masked from end to end' });
  return { unit: channel.unit, values: channel.values, runs, channel };
}

/** Refuses numbers that are not finite. @throws InputError that names the first one, counted from `first` */
export function checkFinite(where: string, values: Float64Array, first = 0): void {
  // Four sums, so that no addition waits for the one before it.
  let a = 0, b = 0, c = 0, d = 0;
  const whole = values.length - (values.length % 4);
  for (let i = 0; i < whole; i += 4) {
    a += values[i]! * 0;
    b += values[i + 1]! * 0;
    c += values[i + 2]! * 0;
    d += values[i + 3]! * 0;
  }
  for (let i = whole; i < values.length; i++) a += values[i]! * 0;
  if (a + b + c + d === 0) return;
  const i = values.findIndex((v) => !Number.isFinite(v));
  throw new InputError({ where, argument: `value ${first + i}`, expected: 'a finite number', given: String(values[i]), remedy: 'Make a channel of the values: it masks what is not finite.' });
}

/** Where the first of some numbers is that is too large for a finite range or mean, or −1. */
export function findHuge(values: Float64Array): number {
  return values.findIndex((v) => !Number.isFinite(2 * v));
}

/** Refuses numbers that are too large for a finite range or mean. @throws InputError that names the first one */
export function checkSizes(name: string, values: Float64Array, placeOf: (k: number) => number): void {
  const k = findHuge(values);
  if (k < 0) return;
  throw new InputError({
    where: 'countCycles', argument: `sample ${placeOf(k)} of ${name}`, expected: `at most ${Number.MAX_VALUE / 2} in size, so that ranges and means are finite`, given: String(values[k]),
    remedy: 'Mask it, or bring the channel to a larger unit.',
  });
}
