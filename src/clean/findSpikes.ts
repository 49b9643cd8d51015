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
 */
export function findSpikes(channel: Channel, valid: readonly Run[], quantum: number, rule: SpikeRule): Span[] {
  const x = channel.values;
  const omega = (2 * Math.PI * rule.highestMode) / channel.sampleRate;
  const reach = Math.max(10, Math.ceil((1.5 * channel.sampleRate) / rule.highestMode));
  const longest = rule.longest ?? 3;
  const weights = Array.from({ length: longest }, (_, k) => Array.from({ length: k + 1 }, (_, j) => cubicWeights(k + 1, j)));
  const scale = weights.map((_, k) => Math.max(1, missedByCubic(omega, k + 1) / missedByCubic(omega, 1)));
  const noise = 10 * noiseDeviation(x, valid);
  const steepest = Math.sin(omega / 2); // largest step of a pulse (1 − cos ωt)/2 of unit height
  const spans: Span[] = [];
  for (const run of valid) {
    if (run.to - run.from < 12) continue;
    const floor = 3 * medianStep(x, run);
    for (let i = run.from + 2; i + 3 <= run.to; i++) {
      if (Math.abs(x[i]! - x[i - 1]!) <= floor) continue;
      const k = spikeLength(x, i, run, weights, scale, reach, quantum, noise, steepest);
      if (k === 0) continue;
      spans.push({ from: i, to: i + k, why: 'spike' });
      i += k;
    }
  }
  return spans;
}

/** Length of the spike that begins at sample i, or 0. */
function spikeLength(x: Float64Array, i: number, run: Run, weights: readonly (readonly Float64Array[])[], scale: readonly number[], reach: number, quantum: number, floor: number, steepest: number): number {
  for (let k = 1; k <= weights.length && i + k + 2 <= run.to; k++) {
    let least = Number.POSITIVE_INFINITY, most = 0;
    for (let j = 0; j < k; j++) {
      const w = weights[k - 1]![j]!;
      const away = Math.abs(x[i + j]! - (w[0]! * x[i - 2]! + w[1]! * x[i - 1]! + w[2]! * x[i + k]! + w[3]! * x[i + k + 1]!));
      least = Math.min(least, away);
      most = Math.max(most, away);
    }
    if (!(least > 6 * quantum) || least < 0.2 * most || !(most > Math.abs(x[i + k]! - x[i - 1]!))) continue;
    const there = x[i]! - x[i - 1]!;
    const back = x[i + k - 1]! - x[i + k]!;
    if (there * back <= 0 || Math.min(Math.abs(there), Math.abs(back)) < Math.max(steepest * most, 0.3 * Math.abs(there), 0.3 * Math.abs(back))) continue;
    const sign = Math.sign(there);
    const flanks = Math.min(sign * (x[i - 1]! - x[Math.max(run.from, i - 3)]!), sign * (x[i + k]! - x[Math.min(run.to - 1, i + k + 2)]!));
    if (flanks > 0.2 * most) continue;
    const around = Math.max(largestDeparture(x, Math.max(run.from, i - reach), i), largestDeparture(x, i + k, Math.min(run.to, i + k + reach)));
    if (most > 4 * scale[k - 1]! * Math.max(0, around - 0.7 * floor) + floor) return k;
  }
  return 0;
}

/** Largest departure of a sample in from ≤ i < to from the cubic through its four neighbours. */
function largestDeparture(x: Float64Array, from: number, to: number): number {
  let largest = 0;
  for (let i = from + 2; i + 2 < to; i++) {
    const away = Math.abs(x[i]! - (4 * (x[i - 1]! + x[i + 1]!) - x[i - 2]! - x[i + 2]!) / 6);
    if (away > largest) largest = away;
  }
  return largest;
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
