import { basename } from 'node:path';
import type { Channel } from '../record/Channel.js';
import { assignUnit, convert } from '../record/convert.js';
import { FormatError, InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { quantityOf } from '../record/units.js';
import type { TimeWindow } from '../record/slice.js';
import { learnTarget } from '../spectrum/learnTarget.js';
import type { PulseTrain } from '../spectrum/findPulses.js';
import { pulsesFromTimes, speedFromTrain } from '../spectrum/pulsesFromTimes.js';
import { inJob } from './inJob.js';
import type { Job, JobPulses } from './Job.js';
import { readAsAsked } from './readAsAsked.js';

/** The pulses of a job's second file, s from the first sample of the recording; null where it names none. */
export async function readPulses(job: Job): Promise<PulseTrain | null> {
  const { pulses } = job.recording;
  if (!pulses) return null;
  // The stamps are values, not a clock: one row is one pulse, whenever it came.
  const [channel] = (await readAsAsked(pulses.file, (argument) => `recording.pulses.${argument === 'columns' ? 'column' : 'file'}`, { sampleRate: 1, columns: [pulses.column] })).channels;
  const stamps = pulses.unit !== undefined && pulses.unit !== channel!.unit ? assignUnit(channel!, pulses.unit) : channel!;
  const file = basename(pulses.file);
  if (quantityOf(stamps.unit) !== 'time') throw new FormatError({ file, found: `${stamps.name} in ${stamps.unit}`, expected: 'stamps in a unit of time', remedy: 'State it with recording.pulses.unit.' });
  const { offset = 0 } = pulses;
  const times = convert(stamps, 's').values.map((t) => t + offset);
  const back = times.findIndex((t, i) => i > 0 && !(t > times[i - 1]!));
  if (back >= 0) throw new FormatError({ file, found: `the stamp ${times[back]! - offset} s after ${times[back - 1]! - offset} s (pulse ${back + 1})`, expected: 'stamps that rise', remedy: 'Sort them and take out repeated ones.' });
  return inJob('recording.pulses', () => pulsesFromTimes(times, { pulsesPerRevolution: pulses.perRevolution }));
}

/** The speed of the shaft by its pulses, at the samples of the torque channel. */
export function speedByPulses(pulses: JobPulses, train: PulseTrain, torque: Channel): Channel<'rpm'> {
  const { sampleRate, start, values } = torque;
  const speed = speedFromTrain(train, { sampleRate, samples: values.length, start, ...(pulses.target === 'even' ? {} : { offsets: learnWithin(train, pulses.target) }) });
  return convert(pulses.silence === 'at rest' ? (restInSilence(speed, {}) as Channel<'rad/s'>) : speed, 'rpm');
}

/** How uneven the target is, learnt in a window and turned to the numbering of the whole train. */
function learnWithin(train: PulseTrain, { from, to }: TimeWindow): Float64Array {
  const { pulsesPerRevolution: P } = train;
  const fault = (given: string): InputError => new InputError({ where: 'job', argument: 'recording.pulses.target', expected: 'a window within one unbroken train of pulses, of at least ten revolutions', given });
  const run = train.runs.find((r) => r.time[0]! <= from && to <= r.time.at(-1)!);
  if (!run) throw fault(`${from} s to ${to} s, where the train breaks or has not begun`);
  const begin = run.time.findIndex((t) => t >= from), end = run.time.findLastIndex((t) => t <= to) + 1;
  if ((run.index[end - 1]! - run.index[begin]!) / P < 10) throw fault(`${from} s to ${to} s, ${((run.index[end - 1]! - run.index[begin]!) / P).toPrecision(2)} revolutions`);
  const part = pulsesFromTimes(run.time.slice(begin, end), { pulsesPerRevolution: P });
  const { offsets } = learnTarget(part);
  const first = run.index[begin]! % P;
  const at = (j: number): number => offsets[(j - first + P) % P]!;
  return Float64Array.from({ length: P }, (_, j) => at(j) - at(0));
}

/** Below this part of the top speed a shaft that gives no more pulses has run out, and one that begins to has been at rest. */
const slow = 0.1;

/** Sets the speed to 0 where no pulses come, unless the shaft turned fast at either end of the silence: then pulses were lost, and the mask stays. */
const restInSilence = defineOperation<object>('restInSilence', (speed) => {
  const { invalid, sampleRate } = speed;
  const values = speed.values.slice();
  let top = 0, next = 0;
  values.forEach((w, i) => {
    while (next < invalid.length && invalid[next]!.to <= i) next++;
    if (!(next < invalid.length && invalid[next]!.from <= i) && w > top) top = w;
  });
  const fast = (i: number): boolean => i >= 0 && i < values.length && values[i]! > slow * top;
  const kept = invalid.filter((span) => span.why !== 'out of range' || fast(span.from - 1) || fast(span.to));
  const silent = invalid.filter((span) => !kept.includes(span));
  for (const { from, to } of silent) values.fill(0, from, to);
  return { values, invalid: kept, found: { spans: silent.length, seconds: silent.reduce((s, { from, to }) => s + to - from, 0) / sampleRate } };
});
