import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { cubicSpline, evaluateSpline } from '../numeric/cubicSpline.js';
import type { PulseRun, PulseTrain } from './findPulses.js';

/** Where the pulses of an uneven target really are. */
export interface TargetPattern {
  /** rad by which pulse j of a revolution comes late in angle, pulse 0 being right by definition. */
  readonly offsets: Float64Array;
  /** Standard error of each offset, rad. */
  readonly errors: Float64Array;
  readonly revolutions: number;
  readonly notes: readonly string[];
}

/** The angle (rad) of every pulse of a run, on a target with the given offsets (none: an even one). */
export function pulseAngles(run: PulseRun, perRevolution: number, offsets?: ArrayLike<number>): Float64Array {
  return Float64Array.from(run.index, (i) => (2 * Math.PI * i) / perRevolution + (offsets ? offsets[i % perRevolution]! : 0));
}

/** Refuses what is no pulse train. */
export function checkPulses(where: string, pulses: unknown): PulseTrain {
  if (kindOf(pulses) !== 'PulseTrain') throw new InputError({ where, argument: 'pulses', expected: 'a PulseTrain', given: show(pulses), remedy: 'Make one with findPulses.' });
  return pulses as PulseTrain;
}

/**
 * Learns how uneven a target is: one pulse comes round exactly once a revolution, so a smooth curve through its times gives the angle at which each of the others comes.
 *
 * Definition: θ(t) is the cubic spline through 2πr at the times of pulse 0 of revolution r; offset_j = mean over r of θ(t_{r,j}) − 2π·(r + j/P). The longest run is read.
 *
 * What comes round with the shaft is not told from an uneven target: a steady vibration of a whole order is learnt along with it. Learn on a run in which speed changes much and load little (coast-down).
 *
 * @param pulses from findPulses
 * @param options leastRevolutions: refused below so many, default 10
 * @returns offsets and their standard errors, rad
 * @throws InputError for too few revolutions or a pulse of the pattern that never came
 * @see speedFromPulses
 * @example
 * const early = 0.05;
 * const turn = (i) => (i / 500) * 2 * Math.PI * 5;
 * const pickup = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: 500, values: Array.from({ length: 2000 }, (_, i) => Math.sin(2 * turn(i) + 0.1 + early * Math.cos(turn(i)))) });
 * Math.abs(learnTarget(findPulses(pickup, { pulsesPerRevolution: 2 })).offsets[1]) // => 0.05
 */
export function learnTarget(pulses: PulseTrain, options: { readonly leastRevolutions?: number } = {}): TargetPattern {
  const where = 'learnTarget';
  const { pulsesPerRevolution: P, runs } = checkPulses(where, pulses);
  checkOptions(where, options, { optional: ['leastRevolutions'] });
  const least = checkNumber(where, 'leastRevolutions', options.leastRevolutions ?? 10, { integer: true, min: 4 });
  const run = runs.reduce((a, b) => (b.index.length > a.index.length ? b : a));
  const marks: number[] = [];
  run.index.forEach((i, k) => { if (i % P === 0) marks.push(k); });
  if (marks.length < least) {
    throw new InputError({ where, argument: 'pulses', expected: `at least ${least} revolutions without a break`, given: `${Math.max(0, marks.length - 1)}`, remedy: 'Use a longer record, or lower leastRevolutions.' });
  }
  const theta = cubicSpline(Float64Array.from(marks, (k) => run.time[k]!), Float64Array.from(marks, (k) => (2 * Math.PI * run.index[k]!) / P));
  const first = marks[0]!, last = marks.at(-1)!;
  const angle = evaluateSpline(theta, run.time.slice(first, last + 1));
  const sum = new Float64Array(P), squares = new Float64Array(P), count = new Float64Array(P);
  angle.forEach((a, k) => {
    const i = run.index[first + k]!, j = i % P;
    const off = a - (2 * Math.PI * i) / P;
    sum[j]! += off;
    squares[j]! += off * off;
    count[j]!++;
  });
  const never = count.findIndex((c) => c < 4);
  if (never >= 0) throw new InputError({ where, argument: 'pulses', expected: 'a train in which every pulse of the pattern comes in at least four revolutions', given: `pulse ${never} only ${count[never]} times` });
  const offsets = sum.map((s, j) => s / count[j]!);
  const errors = squares.map((s, j) => Math.sqrt(Math.max(0, s / count[j]! - offsets[j]! ** 2) / (count[j]! - 1)));
  const worst = offsets.reduce((m, o) => Math.max(m, Math.abs(o)), 0);
  return makeResult<TargetPattern>('TargetPattern', {
    offsets, errors, revolutions: marks.length - 1, notes: Object.freeze(['a steady vibration of a whole order is learnt along with the target']),
  }, (t) => `TargetPattern of ${t.offsets.length} pulses over ${t.revolutions} revolutions: up to ${((worst * 180) / Math.PI).toPrecision(2)}° off`);
}
