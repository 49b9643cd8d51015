import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel, Outcome } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import { spansWhere } from '../record/span.js';
import { cubicSpline, evaluateSpline } from '../numeric/cubicSpline.js';
import { findPulses, pulseKeys, type PulseOptions, type PulseTrain } from './findPulses.js';
import { pulseAngles } from './learnTarget.js';

/** What speedFromPulses takes. */
export interface SpeedFromPulsesOptions extends PulseOptions {
  /** Rate of the speed channel, Hz; default that of the pick-up's. */
  readonly sampleRate?: number;
  /** rad by which each pulse of the target comes late, from learnTarget; default an even target. */
  readonly offsets?: readonly number[] | Float64Array;
}

/** The offsets as numbers, one a pulse of a revolution. */
export function checkOffsets(where: string, offsets: ArrayLike<number> | undefined, perRevolution: number): ArrayLike<number> | undefined {
  if (offsets !== undefined && offsets.length !== perRevolution) {
    throw new InputError({ where, argument: 'offsets', expected: `one number a pulse, ${perRevolution} in all`, given: `${offsets.length}`, remedy: 'Learn them with learnTarget from the same pick-up.' });
  }
  for (let j = 0; offsets && j < offsets.length; j++) checkNumber(where, `offsets[${j}]`, offsets[j], { unit: 'rad' });
  return offsets;
}

/** Speed (rad/s) of a train at the samples of a clock, and which of them lie within a run. */
export function speedOnClock(pulses: PulseTrain, length: number, sampleRate: number, offsets: ArrayLike<number> | undefined): { readonly values: Float64Array; readonly known: Uint8Array } {
  const values = new Float64Array(length);
  const known = new Uint8Array(length);
  for (const run of pulses.runs) {
    const from = Math.ceil(run.time[0]! * sampleRate), to = Math.min(length, Math.floor(run.time.at(-1)! * sampleRate) + 1);
    if (to <= from) continue;
    const theta = cubicSpline(run.time, pulseAngles(run, pulses.pulsesPerRevolution, offsets));
    values.set(evaluateSpline(theta, Float64Array.from({ length: to - from }, (_, i) => (from + i) / sampleRate), 1), from);
    known.fill(1, from, to);
  }
  return { values, known };
}

const operation = defineOperation<SpeedFromPulsesOptions>('speedFromPulses', (channel, options): Outcome => {
  const where = 'speedFromPulses';
  checkOptions(where, options, { required: ['pulsesPerRevolution'], optional: [...pulseKeys, 'sampleRate', 'offsets'] });
  const { sampleRate: rate, offsets, ...rest } = options;
  const sampleRate = checkNumber(where, 'sampleRate', rate ?? channel.sampleRate, { above: 0, unit: 'Hz' });
  checkOffsets(where, offsets, options.pulsesPerRevolution);
  const pulses = findPulses(channel, rest);
  const length = Math.max(1, Math.floor(((channel.values.length - 1) * sampleRate) / channel.sampleRate) + 1);
  const { values, known } = speedOnClock(pulses, length, sampleRate, offsets);
  return {
    unit: 'rad/s', name: 'speed', sampleRate, values, invalid: spansWhere(length, (i) => known[i] === 0, 'out of range'),
    found: { pulses: pulses.found, extra: pulses.extra, missing: pulses.missing, trains: pulses.runs.length, threshold: pulses.threshold, hysteresis: pulses.hysteresis },
  };
});

/**
 * Makes a speed channel from the pulses of a pick-up.
 *
 * Definition: pulse i stands at the angle 2π·i/P + offset_{i mod P}; the speed is the slope of the cubic spline through angle over time. True for what changes over several pulses.
 *
 * Kept: the start; before the first and after the last pulse of a train the speed is masked as 'out of range'. Cost: one walk, and a few operations a pulse and a new sample.
 *
 * @param channel the pick-up's signal, any unit
 * @param options pulsesPerRevolution, no default; edge, threshold, hysteresis, mostMissing as findPulses; sampleRate (Hz), offsets (rad)
 * @returns a channel called speed, rad/s
 * @throws InputError as findPulses, or for offsets that are not one a pulse
 * @see findPulses, speedFromTrain, learnTarget, toShaftAngle
 * @example
 * const pickup = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: 20000, values: Array.from({ length: 20000 }, (_, i) => Math.sin(2 * Math.PI * 60 * 10 * (i / 20000) + 0.1)) });
 * convert(speedFromPulses(pickup, { pulsesPerRevolution: 60, sampleRate: 100 }), 'rpm').values[50] // => 600.0
 */
export function speedFromPulses(channel: Channel, options: SpeedFromPulsesOptions): Channel<'rad/s'> {
  const plain = options?.offsets instanceof Float64Array ? { ...options, offsets: Array.from(options.offsets) } : options;
  return operation(channel, plain) as Channel<'rad/s'>;
}
