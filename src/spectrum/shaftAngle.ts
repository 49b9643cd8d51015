import { checkNumber } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { instantToNanoseconds } from '../record/time.js';
import { cubicSpline, integralOfSpline, type Spline } from '../numeric/cubicSpline.js';
import type { PulseTrain } from './findPulses.js';
import { checkPulses, pulseAngles } from './learnTarget.js';
import { checkOffsets } from './speedFromPulses.js';

/** What tells the angle of the shaft: pulses (their angle is exact), or a speed channel (its integral). One of the two. */
export interface ShaftAngleSource {
  /** From findPulses, on the same clock zero as the channel. */
  readonly pulses?: PulseTrain;
  /** rad by which each pulse comes late, from learnTarget. */
  readonly offsets?: ArrayLike<number>;
  /** Speed of the shaft, rad/s, any rate. */
  readonly speed?: Channel<'rad/s'>;
  /** Below this speed (rad/s) the angle is not followed; default 2 % of the greatest speed. */
  readonly minimumSpeed?: number;
}

/** The keys of ShaftAngleSource. */
export const angleKeys = ['pulses', 'offsets', 'speed', 'minimumSpeed'] as const;

/** Angle (rad, rising) over time (s from the channel's first sample), piece by piece, and what a reader should know. */
export interface AngleCurve {
  readonly pieces: readonly Spline[];
  readonly notes: readonly string[];
}

/** Seconds from the channel's first sample to the speed channel's. */
function offsetBetween(channel: Channel, speed: Channel): number {
  if (channel.start === null || speed.start === null) return 0;
  return Number(instantToNanoseconds(speed.start) - instantToNanoseconds(channel.start)) / 1e9;
}

function fromPulses(where: string, source: ShaftAngleSource): AngleCurve {
  const train = checkPulses(where, source.pulses);
  const offsets = checkOffsets(where, source.offsets, train.pulsesPerRevolution);
  const pieces = train.runs.map((run) => cubicSpline(run.time, pulseAngles(run, train.pulsesPerRevolution, offsets)));
  return { pieces, notes: [...train.notes, 'angle 0 is the first pulse of a train'] };
}

function fromSpeed(where: string, channel: Channel, speed: Channel, minimumSpeed: number | undefined): AngleCurve {
  checkChannel(where, speed, ['rad/s'], "Use convert(speed, 'rad/s').");
  const late = offsetBetween(channel, speed);
  const runs = validRuns(speed);
  if (runs.length === 0) throw new InputError({ where, argument: `speed ${speed.name}`, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  let top = 0;
  for (const r of runs) for (let i = r.from; i < r.to; i++) top = Math.max(top, speed.values[i]!);
  const least = checkNumber(where, 'minimumSpeed', minimumSpeed ?? 0.02 * top, { min: 0, unit: 'rad/s' });
  const pieces: Spline[] = [];
  let left = 0;
  const add = (from: number, to: number): void => {
    if (to - from < 4) return;
    const time = Float64Array.from({ length: to - from }, (_, i) => (from + i) / speed.sampleRate + late);
    pieces.push(integralOfSpline(cubicSpline(time, speed.values.slice(from, to))));
  };
  for (const r of runs) {
    let from = -1;
    for (let i = r.from; i <= r.to; i++) {
      const turning = i < r.to && speed.values[i]! > 0 && speed.values[i]! >= least;
      if (turning && from < 0) from = i;
      if (!turning && from >= 0) { add(from, i); from = -1; }
      if (!turning && i < r.to) left++;
    }
  }
  if (pieces.length === 0) throw new InputError({ where, argument: `speed ${speed.name}`, expected: `at least ${least} rad/s and above 0 over four samples`, given: `at most ${top} rad/s`, remedy: 'A shaft that turns the other way needs its speed with the other sign.' });
  const notes = ['angle by integrating the speed; angle 0 is where following begins, so phases are not those of a mark on the shaft'];
  if (left > 0) notes.push(`${left} of ${speed.values.length} speed samples below ${least.toPrecision(3)} rad/s or backwards: angle not followed there`);
  if (channel.start === null || speed.start === null) notes.push('the two channels are taken to start together');
  return { pieces, notes };
}

/** The angle over time from what there is. @throws InputError where neither or both are given, or the shaft does not turn. */
export function angleCurve(where: string, channel: Channel, source: ShaftAngleSource): AngleCurve {
  if ((source.pulses === undefined) === (source.speed === undefined)) {
    throw new InputError({ where, argument: 'pulses', expected: 'given, or speed, one of the two', given: source.pulses === undefined ? 'neither' : 'both', remedy: 'Make pulses with findPulses.' });
  }
  return source.pulses !== undefined ? fromPulses(where, source) : fromSpeed(where, channel, source.speed!, source.minimumSpeed);
}
