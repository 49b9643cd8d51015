import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import { runningMedian } from '../numeric/runningMedian.js';

/** How pulses are read out of a signal. */
export interface PulseOptions {
  /** Pulses that the target gives in a revolution (teeth, stripes), missing ones of the pattern counted. No default. */
  readonly pulsesPerRevolution: number;
  /** Which flank counts, default 'rising'. */
  readonly edge?: 'rising' | 'falling';
  /** Level that the flank crosses, in the unit of the channel; default midway between the low and the high level of the record. */
  readonly threshold?: number;
  /** How far the signal must go back before the next flank counts, in the unit of the channel; default a fifth of the way from low to high. */
  readonly hysteresis?: number;
  /** Most pulses in a row that may be missing; a longer absence ends the train and another begins. Default 3. */
  readonly mostMissing?: number;
}

/** Pulses without a break: their times, and which pulse each is. */
export interface PulseRun {
  /** Seconds from the first sample of the channel, rising. */
  readonly time: Float64Array;
  /** Whole numbers, rising, the first 0; a missing pulse leaves its number out. */
  readonly index: Int32Array;
}

/** Pulses of a record, mended. */
export interface PulseTrain {
  readonly name: string;
  readonly pulsesPerRevolution: number;
  readonly runs: readonly PulseRun[];
  /** What the flanks were read with, in the unit of the pick-up; null where the pulses came as time stamps. */
  readonly threshold: number | null;
  readonly hysteresis: number | null;
  /** Pulses found, taken out because they were too many, and left open because they were missing. */
  readonly found: number;
  readonly extra: number;
  readonly missing: number;
  readonly notes: readonly string[];
}

/** The keys of PulseOptions but the required one. */
export const pulseKeys = ['edge', 'threshold', 'hysteresis', 'mostMissing'] as const;

/** The 2nd and 98th percentile of the valid samples (of at most 100 000 of them, evenly taken). */
function levels(channel: Channel): { readonly low: number; readonly high: number } {
  const runs = validRuns(channel);
  const total = runs.reduce((n, r) => n + r.to - r.from, 0);
  const stride = Math.max(1, Math.floor(total / 100_000));
  const taken: number[] = [];
  for (const r of runs) for (let i = r.from; i < r.to; i += stride) taken.push(channel.values[i]!);
  const sorted = Float64Array.from(taken).sort();
  return { low: sorted[Math.floor(0.02 * (sorted.length - 1))]!, high: sorted[Math.ceil(0.98 * (sorted.length - 1))]! };
}

/** Where the cubic through the four samples about a crossing between i − 1 and i takes the threshold; at the ends of a run, the straight line. */
function crossingPlace(values: Float64Array, from: number, to: number, i: number, threshold: number): number {
  const b = values[i - 1]! - threshold, c = values[i]! - threshold;
  if (i - 2 < from || i + 1 >= to) return i - c / (c - b);
  const a = values[i - 2]! - threshold, d = values[i + 1]! - threshold;
  const k1 = -a / 3 - b / 2 + c - d / 6, k2 = (a + c) / 2 - b, k3 = (d - a) / 6 + (b - c) / 2;
  let low = 0, high = 1;
  for (let round = 0; round < 48; round++) {
    const u = (low + high) / 2;
    if (Math.sign(b + u * (k1 + u * (k2 + u * k3))) === Math.sign(b)) low = u;
    else high = u;
  }
  return i - 1 + (low + high) / 2;
}

/** Times (in samples) at which sign·x crosses sign·threshold upwards, armed again below it by the hysteresis. */
function crossings(values: Float64Array, from: number, to: number, threshold: number, hysteresis: number, sign: 1 | -1): Float64Array {
  const list: number[] = [];
  let armed = false;
  for (let i = from; i < to; i++) {
    const v = sign * (values[i]! - threshold);
    if (v < -hysteresis) armed = true;
    else if (armed && v >= 0) {
      list.push(crossingPlace(values, from, to, i, threshold));
      armed = false;
    }
  }
  return Float64Array.from(list);
}

/** Numbers the pulses: a pulse is extra where it comes after less than half the usual interval, or where the next one stands nearer to the usual place; long intervals leave numbers out or end the run. */
export function mendPulses(time: Float64Array, perRevolution: number, mostMissing: number): { readonly runs: PulseRun[]; readonly extra: number; readonly missing: number } {
  const intervals = Float64Array.from({ length: Math.max(0, time.length - 1) }, (_, i) => time[i + 1]! - time[i]!);
  if (intervals.length < 3) return { runs: [], extra: 0, missing: 0 };
  const usual = new Float64Array(intervals.length);
  runningMedian(intervals, usual, 0, intervals.length, 2 * Math.min(Math.max(perRevolution, 5), 60) + 1);
  const runs: PulseRun[] = [];
  let extra = 0, missing = 0;
  let times = [time[0]!], index = [0];
  const close = (): void => {
    if (times.length >= 4) runs.push({ time: Float64Array.from(times), index: Int32Array.from(index) });
  };
  for (let i = 1; i < time.length; i++) {
    const ratio = (time[i]! - times.at(-1)!) / usual[i - 1]!;
    const next = i + 1 < time.length ? (time[i + 1]! - times.at(-1)!) / usual[i - 1]! : Infinity;
    const steps = Math.round(ratio);
    if (steps === 0 || Math.abs(next - 1) < Math.abs(ratio - 1)) extra++;
    else if (steps > mostMissing + 1) {
      close();
      times = [time[i]!];
      index = [0];
    } else {
      missing += Math.max(1, steps) - 1;
      index.push(index.at(-1)! + Math.max(1, steps));
      times.push(time[i]!);
    }
  }
  close();
  return { runs, extra, missing };
}

/** A train as a result, with its notes. */
export function makePulseTrain(train: Omit<PulseTrain, 'notes'>): PulseTrain {
  const { runs, found, extra, missing } = train;
  const notes = [...(extra > 0 ? [`${extra} of ${found} pulses taken out, too close to the one before`] : []), ...(missing > 0 ? [`${missing} pulses missing`] : []), ...(runs.length > 1 ? [`${runs.length} trains: the angle is not known from one to the next`] : [])];
  return makeResult<PulseTrain>('PulseTrain', { ...train, runs: Object.freeze(runs.map((r) => Object.freeze(r))), notes: Object.freeze(notes) },
    (p) => `PulseTrain of ${p.name}: ${p.found} pulses, ${p.pulsesPerRevolution} a revolution, ${p.extra} taken out, ${p.missing} missing`);
}

/**
 * Finds the pulses of a speed pick-up, takes out those that are too many, and numbers them so that missing ones are known.
 *
 * Definition: a pulse is where the signal crosses the threshold on the chosen flank, after it has been beyond the hysteresis; its time is read between two samples from the cubic through the four about it. Against the
 * running median of the intervals over a revolution, a pulse after less than half an interval, or one whose follower stands nearer to the usual place, is taken out; an interval that rounds to k leaves
 * k − 1 numbers out. No pulse is made up.
 *
 * Kept: masked samples are not read; a train ends at a mask. Cost: one walk.
 *
 * @param channel the pick-up's signal, any unit
 * @param options pulsesPerRevolution, no default; edge, threshold, hysteresis, mostMissing
 * @returns the runs of pulses, and how many were taken out or missing
 * @throws InputError where no run of four pulses is found
 * @see pulsesFromTimes, speedFromPulses, learnTarget, toShaftAngle
 * @example
 * const pickup = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: 1000, values: Array.from({ length: 1000 }, (_, i) => Math.sin(2 * Math.PI * 0.02 * i + 0.1)) });
 * findPulses(pickup, { pulsesPerRevolution: 2 }).found // => 19
 */
export function findPulses(channel: Channel, options: PulseOptions): PulseTrain {
  const where = 'findPulses';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['pulsesPerRevolution'], optional: pulseKeys });
  const perRevolution = checkNumber(where, 'pulsesPerRevolution', options.pulsesPerRevolution, { integer: true, min: 1 });
  const sign = checkChoice(where, 'edge', options.edge ?? 'rising', ['rising', 'falling']) === 'rising' ? 1 : -1;
  const mostMissing = checkNumber(where, 'mostMissing', options.mostMissing ?? 3, { integer: true, min: 0 });
  if (validRuns(channel).length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const { low, high } = levels(channel);
  const threshold = checkNumber(where, 'threshold', options.threshold ?? (low + high) / 2);
  const hysteresis = checkNumber(where, 'hysteresis', options.hysteresis ?? (high - low) / 5, { min: 0 });
  const runs: PulseRun[] = [];
  let found = 0, extra = 0, missing = 0;
  for (const { from, to } of validRuns(channel)) {
    const time = crossings(channel.values, from, to, threshold, hysteresis, sign).map((t) => t / channel.sampleRate);
    const mended = mendPulses(time, perRevolution, mostMissing);
    found += time.length;
    extra += mended.extra;
    missing += mended.missing;
    for (const run of mended.runs) runs.push(run);
  }
  if (runs.length === 0) {
    throw new InputError({ where, argument: channel.name, expected: 'a signal with at least four pulses in a row', given: `${found} crossings of ${threshold}`, remedy: 'State threshold and hysteresis, or the other edge.' });
  }
  return makePulseTrain({ name: channel.name, pulsesPerRevolution: perRevolution, runs, threshold, hysteresis, found, extra, missing });
}
