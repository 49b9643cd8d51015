import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { unitConversion } from '../record/units.js';
import { readerOf, startOffset } from '../record/readerOf.js';
import { speedReader } from './zeroStates.js';

/** Where the angle of the shaft comes from: one of the three, or none. */
export interface AngleSource {
  /** Integrated from the first sample on; it drifts. */
  readonly speed?: Channel<'rpm' | 'rad/s'>;
  readonly angle?: Channel<'rad' | 'deg' | 'rev'>;
  /** Rising passages of `level` in a pulse channel, so many per revolution. */
  readonly pulses?: { readonly channel: Channel; readonly level: number; readonly perRevolution: number };
}

/** Angle within the revolution, 0 to 2π, for each sample of a channel; NaN while the shaft does not turn. Null without a source. */
export function shaftAngle(where: string, subject: Channel, source: AngleSource): Float64Array | null {
  const given = (['speed', 'angle', 'pulses'] as const).filter((key) => source[key] !== undefined);
  if (given.length === 0) return null;
  if (given.length > 1) throw new InputError({ where, argument: 'options', expected: 'one source of the shaft angle', given: given.join(' and ') });
  const n = subject.values.length;
  const total = source.speed ? integrate(where, subject, source.speed) : source.angle ? readAngle(where, subject, source.angle) : fromPulses(where, subject, source.pulses!);
  const turn = 2 * Math.PI;
  const out = new Float64Array(n);
  const window = Math.max(1, Math.round(subject.sampleRate));
  for (let i = 0; i < n; i++) {
    const moved = Math.abs(total[Math.min(n - 1, i + window)]! - total[Math.max(0, i - window)]!);
    out[i] = moved >= 0.5 ? ((total[i]! % turn) + turn) % turn : Number.NaN;
  }
  return out;
}

function integrate(where: string, subject: Channel, speed: Channel<'rpm' | 'rad/s'>): Float64Array {
  checkChannel(where, speed, ['rpm', 'rad/s'] as const);
  const read = speedReader(where, speed, subject.start);
  const out = new Float64Array(subject.values.length);
  let before = read(0);
  for (let i = 1; i < out.length; i++) {
    const now = read(i / subject.sampleRate);
    out[i] = out[i - 1]! + (before + now) / 2 / subject.sampleRate;
    before = now;
  }
  return out;
}

function readAngle(where: string, subject: Channel, angle: Channel<'rad' | 'deg' | 'rev'>): Float64Array {
  checkChannel(where, angle, ['rad', 'deg', 'rev'] as const);
  const factor = unitConversion(angle.unit, 'rad', where).factor;
  const read = readerOf(where, angle, 'angle', subject.start);
  return Float64Array.from(subject.values, (_, i) => read(i / subject.sampleRate) * factor);
}

function fromPulses(where: string, subject: Channel, pulses: NonNullable<AngleSource['pulses']>): Float64Array {
  checkOptions(`${where}, pulses`, pulses, { required: ['channel', 'level', 'perRevolution'] });
  const { values, sampleRate, start } = checkChannel(where, pulses.channel);
  checkNumber(where, 'pulses.level', pulses.level);
  checkNumber(where, 'pulses.perRevolution', pulses.perRevolution, { integer: true, min: 1 });
  const times: number[] = [];
  for (const run of validRuns(pulses.channel)) {
    for (let i = run.from + 1; i < run.to; i++) {
      if (values[i - 1]! < pulses.level && values[i]! >= pulses.level) times.push((i - (values[i]! - pulses.level) / (values[i]! - values[i - 1]!)) / sampleRate);
    }
  }
  const shift = startOffset(start, subject.start);
  const step = (2 * Math.PI) / pulses.perRevolution;
  let k = 0;
  return Float64Array.from(subject.values, (_, i) => {
    const t = i / subject.sampleRate + shift;
    while (k + 1 < times.length && times[k + 1]! <= t) k++;
    if (times.length < 2 || t < times[0]!) return 0;
    return k + 1 < times.length ? step * (k + (t - times[k]!) / (times[k + 1]! - times[k]!)) : step * k;
  });
}
