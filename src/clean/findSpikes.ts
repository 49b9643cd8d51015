import { cubicWeights } from '../numeric/cubicAcross.js';
import type { Channel } from '../record/Channel.js';
import type { Run, Span } from '../record/span.js';
import { noiseDeviation } from './findSaturation.js';

/** What tells a spike from torque. */
export interface SpikeRule {
  /** Frequency of the highest torsional mode that the record can hold, Hz. A physical choice: without it spikes are not looked for. */
  readonly highestMode: number;
  /** Longest spike, samples, 1 to 3. Default 3. */
  readonly longest?: number;
}

/** Part of a sine of unit height, ω rad per sample, that a cubic through two samples on each side of k missing ones misses at the middle. */
export function missedByCubic(omega: number, k: number): number {
  const a = (k + 1) / 2;
  const b = a + 1;
  const inner = (b * b) / (b * b - a * a);
  return Math.abs(1 - (inner * Math.cos(omega * a) - (inner - 1) * Math.cos(omega * b)));
}

/**
 * Finds jumps of 1 to 3 samples, there and back, that no mode can make.
 *
 * Each candidate is compared with the cubic through two samples on either side. A signal made of modes up to highestMode departs from such a cubic over
 * and over: within one and a half periods the neighbours show it too, and so does a ring-down. A spike departs at least 4 times as far as its
 * neighbours do beyond 7 noise deviations (scaled from their single-sample departures to its length at highestMode), farther than the signal moves across it, with jumps
 * there and back steeper than those of a pulse (1 − cos)/2 of its height at highestMode, sin(π highestMode / sampleRate),
 * the smaller jump being 0.3 times the larger at least (a step, as lost frames leave it, is none), without flanks (a pulse that
 * rises and falls over the two samples on both sides by a fifth of its height or more is torque), and by more than 6 quanta and 10 noise deviations.
 *
 * Samples that other candidates touch do not count as neighbours while a third of the neighbours is left, so that pairs and bursts do not hide one another: spikes 2 samples apart or more, up to about one sample in six
 * within those one and a half periods. A denser burst is not told from a mode.
 */
export function findSpikes(channel: Channel, valid: readonly Run[], quantum: number, rule: SpikeRule): Span[] {
  const x = channel.values;
  const omega = (2 * Math.PI * rule.highestMode) / channel.sampleRate;
  const reach = Math.max(10, Math.ceil((1.5 * channel.sampleRate) / rule.highestMode));
  const longest = rule.longest ?? 3;
  const weights = Array.from({ length: longest }, (_, k) => Array.from({ length: k + 1 }, (_, j) => cubicWeights(k + 1, j)));
  const scale = weights.map((_, k) => Math.max(1, missedByCubic(omega, k + 1) / missedByCubic(omega, 1)));
  const noise = 10 * noiseDeviation(x, valid);
  const shape: Shape = { weights, quantum, noise, steepest: Math.sin(omega / 2) }; // largest step of a pulse (1 − cos ωt)/2 of unit height
  const spans: Span[] = [];
  for (const run of valid) {
    if (run.to - run.from < 12) continue;
    const candidates = candidatesIn(x, run, shape);
    const touched = new Uint8Array(candidates.length === 0 ? 0 : run.to - run.from);
    for (const c of candidates) touch(touched, c, run, 1);
    let end = run.from;
    for (const [at, { from, length, height }] of candidates.entries()) {
      if (from <= end && end > run.from) continue;
      const rivals = rivalsOf(candidates, at);
      for (const c of rivals) touch(touched, c, run, -1);
      const around = Math.max(
        largestDeparture(x, Math.max(run.from, from - reach), from, touched, run.from),
        largestDeparture(x, from + length, Math.min(run.to, from + length + reach), touched, run.from),
      );
      for (const c of rivals) touch(touched, c, run, 1);
      if (!(height > 4 * scale[length - 1]! * Math.max(0, around - 0.7 * noise) + noise)) continue;
      end = from + length;
      spans.push({ from, to: end, why: 'spike' });
    }
  }
  return spans;
}

/** What the samples of a spike and those beside it must show by themselves. */
interface Shape {
  /** Of the cubic across spikes of 1, 2, 3 samples, by place. */
  readonly weights: readonly (readonly Float64Array[])[];
  readonly quantum: number;
  readonly noise: number;
  readonly steepest: number;
}

interface Candidate {
  readonly from: number;
  readonly length: number;
  /** Largest departure from the cubic. */
  readonly height: number;
}

/** What looks like a spike by itself, in order of place and length. */
function candidatesIn(x: Float64Array, run: Run, shape: Shape): Candidate[] {
  const floor = 3 * medianStep(x, run);
  const candidates: Candidate[] = [];
  for (let i = run.from + 2; i + 3 <= run.to; i++) {
    if (Math.abs(x[i]! - x[i - 1]!) <= floor) continue;
    for (let k = 1; k <= shape.weights.length && i + k + 2 <= run.to; k++) {
      const height = heightOf(x, i, k, run, shape);
      if (height > shape.noise) candidates.push({ from: i, length: k, height });
    }
  }
  return candidates;
}

/** How far the k samples from i on depart from the cubic across them, or 0 where they have not the shape of a spike. */
function heightOf(x: Float64Array, i: number, k: number, run: Run, { weights, quantum, steepest }: Shape): number {
  let least = Number.POSITIVE_INFINITY, most = 0;
  for (let j = 0; j < k; j++) {
    const w = weights[k - 1]![j]!;
    const away = Math.abs(x[i + j]! - (w[0]! * x[i - 2]! + w[1]! * x[i - 1]! + w[2]! * x[i + k]! + w[3]! * x[i + k + 1]!));
    least = Math.min(least, away);
    most = Math.max(most, away);
  }
  if (!(least > 6 * quantum) || least < 0.2 * most || !(most > Math.abs(x[i + k]! - x[i - 1]!))) return 0;
  const there = x[i]! - x[i - 1]!;
  const back = x[i + k - 1]! - x[i + k]!;
  if (there * back <= 0 || Math.min(Math.abs(there), Math.abs(back)) < Math.max(steepest * most, 0.3 * Math.abs(there), 0.3 * Math.abs(back))) return 0;
  const sign = Math.sign(there);
  const flanks = Math.min(sign * (x[i - 1]! - x[Math.max(run.from, i - 3)]!), sign * (x[i + k]! - x[Math.min(run.to - 1, i + k + 2)]!));
  return flanks > 0.2 * most ? 0 : most;
}

/** Counts a candidate in, or out, where the departure of a sample reads it; from the first sample of the run on. */
function touch(touched: Uint8Array, { from, length }: Candidate, run: Run, by: 1 | -1): void {
  for (let i = Math.max(run.from, from - 2); i < Math.min(run.to, from + length + 2); i++) touched[i - run.from]! += by;
}

/** The candidates that overlap or adjoin one: other readings of the same samples, itself included. */
function rivalsOf(candidates: readonly Candidate[], at: number): Candidate[] {
  const { from, length } = candidates[at]!;
  let first = at;
  while (first > 0 && candidates[first - 1]!.from >= from - 3) first--;
  const rivals: Candidate[] = [];
  for (let i = first; i < candidates.length && candidates[i]!.from <= from + length; i++) if (candidates[i]!.from + candidates[i]!.length >= from) rivals.push(candidates[i]!);
  return rivals;
}

/**
 * Largest departure of a sample in from ≤ i < to from the cubic through its four neighbours. Samples that a candidate touches are left out, since spikes come
 * in pairs and bursts; where these are more than two in three all count, since crests close together are a mode.
 */
function largestDeparture(x: Float64Array, from: number, to: number, touched: Uint8Array, start: number): number {
  let largest = 0, quiet = 0, left = 0;
  for (let i = from + 2; i + 2 < to; i++) {
    const away = Math.abs(x[i]! - (4 * (x[i - 1]! + x[i + 1]!) - x[i - 2]! - x[i + 2]!) / 6);
    if (away > largest) largest = away;
    if (touched[i - start] !== 0) continue;
    left++;
    if (away > quiet) quiet = away;
  }
  return 3 * left >= to - from - 4 ? quiet : largest;
}

function medianStep(x: Float64Array, run: Run): number {
  const steps = new Float64Array(Math.min(4001, run.to - run.from - 1));
  const stride = (run.to - run.from - 1) / steps.length;
  for (let k = 0; k < steps.length; k++) {
    const i = run.from + 1 + Math.floor(k * stride);
    steps[k] = Math.abs(x[i]! - x[i - 1]!);
  }
  return steps.sort()[steps.length >> 1]!;
}
