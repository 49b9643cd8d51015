import { checkList, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';

/** What speedCrossings takes. */
export interface SpeedCrossingsOptions {
  /** Natural frequencies, Hz. */
  readonly frequencies: readonly number[];
  /** Damping ratio of each, or one for all, above 0 and below 1. No default. */
  readonly damping: number | readonly number[];
  /** Orders that excite, cycles a revolution of the shaft whose speed is meant. */
  readonly orders: readonly number[];
  /** Range of speed to look at, rad/s; rpm(1200) is 1200 rpm. */
  readonly from: number;
  readonly to: number;
  /** Running speed, rad/s: margins and amplifications are for this speed. */
  readonly running: number;
}

/** Where an order meets a natural frequency. */
export interface SpeedCrossing {
  /** Place of the natural frequency in the list, from 0. */
  readonly mode: number;
  /** Hz. */
  readonly frequency: number;
  readonly order: number;
  /** rad/s. */
  readonly speed: number;
  /** (speed − running)/running: how far the crossing lies from the running speed, negative below it. */
  readonly margin: number;
  /** Response at running speed over the static one, 1/√((1 − r²)² + (2ζr)²), r = order·running/(2π·frequency). */
  readonly amplification: number;
  /** The same at the crossing: 1/(2ζ). */
  readonly atCrossing: number;
}

/** All crossings in a range of speed. */
export interface SpeedCrossings {
  readonly running: number;
  /** By nearness to the running speed. */
  readonly crossings: readonly SpeedCrossing[];
  readonly notes: readonly string[];
}

/**
 * Finds the speeds at which an order of rotation meets a natural frequency, with the margin to the running speed and the amplification there.
 *
 * Definition: speed = 2π·frequency/order; see SpeedCrossing for margin and amplification. A margin alone misleads: with little damping and a strong order a wide margin can still amplify, and a
 * crossing far above r = 1 hardly answers; hence both.
 *
 * @param options frequencies (Hz), damping, orders, from, to, running (rad/s)
 * @returns the crossings, nearest to the running speed first
 * @throws InputError for an empty list, a damping outside 0 … 1, or from not below to
 * @see speedMap, torsionalModes, driveOrders
 * @example
 * const c = speedCrossings({ frequencies: [24], damping: 0.02, orders: [1, 2], from: rpm(300), to: rpm(1800), running: rpm(990) });
 * c.crossings[0].margin // => -0.2727
 * c.crossings[0].amplification // => 1.12
 * @references J. P. Den Hartog, Mechanical Vibrations, 1956, section 2.9 (magnification of a damped single mode; from memory).
 */
export function speedCrossings(options: SpeedCrossingsOptions): SpeedCrossings {
  const where = 'speedCrossings';
  const { frequencies, damping, orders } = checkOptions(where, options, { required: ['frequencies', 'damping', 'orders', 'from', 'to', 'running'] });
  for (const [key, list] of [['frequencies', frequencies], ['orders', orders]] as const) {
    for (const v of checkList(where, key, list, 'a list of at least one number')) checkNumber(where, key, v, { above: 0 });
  }
  const ratios = typeof damping === 'number' ? Array.from(frequencies, () => damping) : damping;
  if (!Array.isArray(ratios) || ratios.length !== frequencies.length) throw new InputError({ where, argument: 'damping', expected: `one number, or ${frequencies.length}, one a frequency`, given: show(damping) });
  for (const z of ratios) checkNumber(where, 'damping', z, { above: 0, below: 1 });
  const from = checkNumber(where, 'from', options.from, { min: 0, unit: 'rad/s' });
  const to = checkNumber(where, 'to', options.to, { above: from, unit: 'rad/s' });
  const running = checkNumber(where, 'running', options.running, { above: 0, unit: 'rad/s' });
  const crossings = Array.from(frequencies).flatMap((frequency, mode) => Array.from(orders,(order): SpeedCrossing => {
    const speed = (2 * Math.PI * frequency) / order;
    const r = running / speed, z = ratios[mode]!;
    return Object.freeze({ mode, frequency, order, speed, margin: (speed - running) / running, amplification: 1 / Math.hypot(1 - r * r, 2 * z * r), atCrossing: 1 / (2 * z) });
  })).filter((c) => c.speed >= from && c.speed <= to).sort((a, b) => Math.abs(a.margin) - Math.abs(b.margin));
  const notes = [`${crossings.length} of ${frequencies.length * orders.length} crossings lie in the range`];
  return makeResult<SpeedCrossings>('SpeedCrossings', { running, crossings: Object.freeze(crossings), notes: Object.freeze(notes) },
    (s) => `SpeedCrossings: ${s.crossings.length}${s.crossings.length > 0 ? `, the nearest at ${((s.crossings[0]!.speed * 30) / Math.PI).toPrecision(4)} rpm (order ${s.crossings[0]!.order}, ${s.crossings[0]!.frequency} Hz)` : ''}`);
}
