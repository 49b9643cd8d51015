import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel, type Step } from '../record/Channel.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { evaluateSpline, invertSpline, splinePiece, type Spline } from '../numeric/cubicSpline.js';
import { interpolateAt, sincKernel, sincShape } from '../numeric/interpolate.js';
import { angleCurve, angleKeys, type ShaftAngleSource } from './shaftAngle.js';

/** What toShaftAngle takes. */
export interface ShaftAngleOptions extends ShaftAngleSource {
  /** Whole number from 4. Orders up to 0.4 of it are read true. No default. */
  readonly samplesPerRevolution: number;
}

/** A stretch of samples evenly spaced in angle. */
export interface AnglePiece {
  /** Sample 0 stands at the angle 2π·first/samplesPerRevolution from the angle zero of its turn of following. */
  readonly first: number;
  /** Which stretch of followed angle it belongs to; phases compare within one only. */
  readonly turn: number;
  readonly values: Float64Array;
  /** Seconds from the channel's first sample. */
  readonly time: Float64Array;
  /** rad/s. */
  readonly speed: Float64Array;
}

/** A channel over shaft angle instead of time. */
export interface AngleRecord {
  readonly name: string;
  readonly unit: Unit;
  readonly samplesPerRevolution: number;
  readonly pieces: readonly AnglePiece[];
  /** Whole and part revolutions in all pieces. */
  readonly revolutions: number;
  /** Of the channel that it was made from. */
  readonly trail: readonly Step[];
  readonly notes: readonly string[];
}

const { half, beta } = sincShape;
const kernel = sincKernel(half, beta);

/** Refuses what is no record over angle. */
export function checkAngleRecord(where: string, record: unknown): AngleRecord {
  if (kindOf(record) !== 'AngleRecord') throw new InputError({ where, argument: 'record', expected: 'an AngleRecord', given: show(record), remedy: 'Make one with toShaftAngle.' });
  return record as AngleRecord;
}

/** One followed stretch over one valid run of the channel, or null where they share less than a revolution. */
function pieceOf(channel: Channel, run: { readonly from: number; readonly to: number }, theta: Spline, turn: number, perRevolution: number): AnglePiece | null {
  const rate = channel.sampleRate;
  const begin = Math.max(theta.x[0]!, run.from / rate), end = Math.min(theta.x.at(-1)!, (run.to - 1) / rate);
  if (end <= begin) return null;
  const [a, b] = evaluateSpline(theta, Float64Array.from([begin, end])) as unknown as [number, number];
  const pitch = (2 * Math.PI) / perRevolution;
  const first = Math.ceil(a / pitch - 1e-9), last = Math.floor(b / pitch + 1e-9);
  if (last - first + 1 < perRevolution) return null;
  const time = invertSpline(theta, Float64Array.from({ length: last - first + 1 }, (_, m) => (first + m) * pitch));
  const speed = speedAt(theta, time);
  const back = speed.findIndex((v) => !(v > 0));
  if (back >= 0) throw new InputError({ where: 'toShaftAngle', argument: channel.name, expected: 'an angle that rises throughout', given: `one that turns back at ${time[back]!.toPrecision(5)} s`, remedy: 'Pulses are missing or out of place there: slice the record, or look at the pulses.' });
  const values = new Float64Array(time.length);
  const cutoff = (m: number): number => Math.min(1, (0.9 * speed[m]! * perRevolution) / (2 * Math.PI * rate));
  interpolateAt(kernel, channel.values, run.from, run.to, time.map((t) => t * rate), cutoff, values, 0);
  return Object.freeze({ first, turn, values, time, speed });
}

function speedAt(theta: Spline, time: Float64Array): Float64Array {
  let i = 0;
  return time.map((t) => {
    while (i + 2 < theta.x.length && t >= theta.x[i + 1]!) i++;
    return splinePiece(theta, i, t, 1);
  });
}

/**
 * Reads a channel at even steps of shaft angle instead of time, so that what comes round with the shaft stands still in the spectrum however the speed changes.
 *
 * Definition: the instants of θ = 2π·m/S from the angle curve (spline through the pulses, or integral of the speed), and the channel there by a windowed sinc (± 32 samples, Kaiser β = 10.06) whose
 * pass band follows the speed, so that nothing above order 0.45·S folds.
 *
 * Kept: unit, trail; each valid run and each train of pulses on its own, pieces shorter than a revolution are left out. Cost: 64 products a sample, more at low speed.
 *
 * @param channel any unit
 * @param options samplesPerRevolution, no default; pulses (with offsets) or speed; minimumSpeed (rad/s)
 * @returns values, time and speed over angle, in pieces
 * @throws InputError where neither or both of pulses and speed are given, or no whole revolution is valid
 * @see orderSpectrum, orderTracks, findPulses
 * @example
 * const turn = (i) => 2 * Math.PI * (5 * (i / 1000) + 2 * (i / 1000) ** 2);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 10 + 3 * Math.cos(2 * turn(i))) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 2 * Math.PI * (5 + 4 * (i / 1000))) });
 * const record = toShaftAngle(T, { speed, samplesPerRevolution: 64 });
 * record.pieces[0].values[64 * 20] // => 13.000
 * @references K. R. Fyfe and E. D. S. Munck, Analysis of computed order tracking, Mechanical Systems and Signal Processing 11 (1997) 187 (idea; interpolation as above).
 */
export function toShaftAngle(channel: Channel, options: ShaftAngleOptions): AngleRecord {
  const where = 'toShaftAngle';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['samplesPerRevolution'], optional: angleKeys });
  const perRevolution = checkNumber(where, 'samplesPerRevolution', options.samplesPerRevolution, { integer: true, min: 4, max: 100_000 });
  const curve = angleCurve(where, channel, options);
  const runs = validRuns(channel).filter((r) => r.to - r.from > half);
  const pieces = curve.pieces.flatMap((theta, turn) => runs.map((run) => pieceOf(channel, run, theta, turn, perRevolution)).filter((p): p is AnglePiece => p !== null));
  if (pieces.length === 0) throw new InputError({ where, argument: channel.name, expected: 'valid over at least one revolution of followed angle', given: 'none', remedy: 'Look at the masks of the channel and of the speed.' });
  const samples = pieces.reduce((n, p) => n + p.values.length, 0);
  return makeResult<AngleRecord>('AngleRecord', {
    name: channel.name, unit: channel.unit, samplesPerRevolution: perRevolution, pieces: Object.freeze(pieces), revolutions: samples / perRevolution, trail: channel.trail,
    notes: Object.freeze([...curve.notes, `orders up to ${0.4 * perRevolution} are read true`]),
  }, (r) => `AngleRecord of ${r.name} [${r.unit}]: ${r.revolutions.toFixed(1)} revolutions, ${r.samplesPerRevolution} samples each, in ${r.pieces.length} piece${r.pieces.length === 1 ? '' : 's'}`);
}
