import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeChannel, type Channel } from '../record/Channel.js';
import { spansWhere } from '../record/span.js';
import { makePulseTrain, mendPulses, type PulseTrain } from './findPulses.js';
import { checkPulses } from './learnTarget.js';
import { checkOffsets, speedOnClock } from './speedFromPulses.js';

/** Pulses that a counter or a recorder stamped itself. */
export interface PulseTimesOptions {
  /** Pulses that the target gives in a revolution. No default. */
  readonly pulsesPerRevolution: number;
  /** What the train is called, default 'pulses'. */
  readonly name?: string;
  /** Most pulses in a row that may be missing; a longer absence ends the train and another begins. Default 3. */
  readonly mostMissing?: number;
}

/** The clock of a speed channel made from a train of pulses. */
export interface SpeedFromTrainOptions {
  /** Hz, and how many samples: those of the channel that it shall stand beside. */
  readonly sampleRate: number;
  readonly samples: number;
  /** ISO 8601 UTC of the instant from which the pulses are timed; default not known. */
  readonly start?: string | null;
  /** rad by which each pulse of the target comes late, from learnTarget; default an even target. */
  readonly offsets?: readonly number[] | Float64Array;
}

/**
 * Makes a pulse train from time stamps, as findPulses does from a sampled pick-up: pulses too many are taken out, missing ones leave their number out.
 *
 * Kept: every stamp that is not taken out, as it is. Cost: one walk.
 *
 * @param times s from the first sample of the channel that the pulses go with, rising
 * @param options pulsesPerRevolution, no default; name, mostMissing
 * @returns the runs of pulses, and how many were taken out or missing
 * @throws InputError for times that do not rise, or no four pulses in a row
 * @see findPulses, speedFromTrain, learnTarget, toShaftAngle
 * @example
 * const train = pulsesFromTimes([0.1, 0.2, 0.3, 0.31, 0.4, 0.6, 0.7, 0.8], { pulsesPerRevolution: 4 });
 * [train.extra, train.missing] // => [1,1]
 */
export function pulsesFromTimes(times: ArrayLike<number>, options: PulseTimesOptions): PulseTrain {
  const where = 'pulsesFromTimes';
  checkOptions(where, options, { required: ['pulsesPerRevolution'], optional: ['name', 'mostMissing'] });
  const perRevolution = checkNumber(where, 'pulsesPerRevolution', options.pulsesPerRevolution, { integer: true, min: 1 });
  const mostMissing = checkNumber(where, 'mostMissing', options.mostMissing ?? 3, { integer: true, min: 0 });
  const time = Float64Array.from(times);
  time.forEach((t, i) => {
    checkNumber(where, `times[${i}]`, t, { unit: 's' });
    if (i > 0 && !(t > time[i - 1]!)) throw new InputError({ where, argument: `times[${i}]`, expected: `above the one before (${time[i - 1]} s)`, given: `${t} s`, remedy: 'Sort the stamps and take out repeated ones.' });
  });
  const { runs, extra, missing } = mendPulses(time, perRevolution, mostMissing);
  if (runs.length === 0) throw new InputError({ where, argument: 'times', expected: 'at least four pulses in a row', given: `${time.length} stamps without`, remedy: 'Raise mostMissing where pulses are seldom.' });
  return makePulseTrain({ name: options.name ?? 'pulses', pulsesPerRevolution: perRevolution, runs, threshold: null, hysteresis: null, found: time.length, extra, missing });
}

/**
 * Makes a speed channel from a train of pulses, on the clock of the channel that it goes with.
 *
 * Definition as speedFromPulses: the slope of the cubic spline through angle over time. Outside the trains the speed is masked as 'out of range'.
 *
 * @param train from pulsesFromTimes or findPulses
 * @param options sampleRate (Hz) and samples; start; offsets (rad)
 * @returns a channel called speed, rad/s; its trail begins here, with the counts of the train
 * @throws InputError for something that is no train, or offsets that are not one a pulse
 * @see pulsesFromTimes, speedFromPulses
 * @example
 * const train = pulsesFromTimes(Array.from({ length: 100 }, (_, i) => 0.01 * i), { pulsesPerRevolution: 20 });
 * convert(speedFromTrain(train, { sampleRate: 100, samples: 99 }), 'rpm').values[50] // => 300.0
 */
export function speedFromTrain(train: PulseTrain, options: SpeedFromTrainOptions): Channel<'rad/s'> {
  const where = 'speedFromTrain';
  const pulses = checkPulses(where, train);
  checkOptions(where, options, { required: ['sampleRate', 'samples'], optional: ['start', 'offsets'] });
  const sampleRate = checkNumber(where, 'sampleRate', options.sampleRate, { above: 0, unit: 'Hz' });
  const samples = checkNumber(where, 'samples', options.samples, { integer: true, min: 1 });
  const offsets = checkOffsets(where, options.offsets, pulses.pulsesPerRevolution);
  const { values, known } = speedOnClock(pulses, samples, sampleRate, offsets);
  return makeChannel({
    name: 'speed', unit: 'rad/s', sampleRate, values, start: options.start ?? null, invalid: spansWhere(samples, (i) => known[i] === 0, 'out of range'),
    step: {
      op: where, options: { sampleRate, samples, pulsesPerRevolution: pulses.pulsesPerRevolution, offsets: offsets ? Array.from(offsets) : null },
      found: { pulses: pulses.found, extra: pulses.extra, missing: pulses.missing, trains: pulses.runs.length },
    },
  });
}
