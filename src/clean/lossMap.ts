import { brief } from '../record/brief.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { checkFaults, normaliseSpans, runsBetween, type Fault, type Span } from '../record/span.js';
import { lowerGamma } from '../numeric/distributions.js';
import { shaftAngle, type AngleSource } from './shaftAngle.js';

/** Loss per class of a quantity. */
export interface LossClasses {
  /** One more than the classes. */
  readonly edges: readonly number[];
  readonly unit: string;
  /** Samples, lost ones among them, and gaps that begin in the class. */
  readonly samples: readonly number[];
  readonly lost: readonly number[];
  readonly gaps: readonly number[];
  /** lost / samples; null for an empty class. */
  readonly share: readonly (number | null)[];
  /** Chance of such an uneven spread of gaps if loss had nothing to do with the quantity; null with fewer than 10 gaps. */
  readonly chance: number | null;
}

/** Where loss falls. */
export interface LossMap {
  readonly channel: string;
  readonly samples: number;
  readonly lost: number;
  readonly gaps: number;
  /** lost / samples. */
  readonly share: number;
  readonly byLevel: LossClasses;
  /** Over one revolution, in rad; only while the shaft turns. Null without speed, angle or pulses. */
  readonly byAngle: LossClasses | null;
  /** Part of the gaps that fall together in angle (length of the mean vector, 0 to 1) and the angle about which they do, rad; null without. */
  readonly concentration: number | null;
  readonly meanAngle: number | null;
  readonly notes: readonly string[];
}

/** What lossMap reads besides the channel. */
export interface LossOptions extends AngleSource {
  /** Reasons that count as loss. Default dropout, held value, clock gap, not a number, invalid in file. */
  readonly why?: readonly Fault[];
  /** Classes of level and of angle. Default 12. */
  readonly classes?: number;
}

const where = 'lossMap';

/** What counts as loss unless told: samples that never came. */
export const neverCame: readonly Fault[] = Object.freeze(['dropout', 'held value', 'clock gap', 'not a number', 'invalid in file']);

/**
 * Maps the lost samples of a record against its level and, with a speed, angle or pulse channel, against the angle of the shaft.
 *
 * The level of a lost sample is not known: it is taken on the straight line between the valid samples on both sides. Whether loss is random is told by the gaps, not the samples, since the samples of
 * one gap go together: over level by χ² against the time spent in each class (classes joined until 5 gaps are expected), over angle by Rayleigh's test, chance = exp(−n R²).
 * Loss at one angle points to the antenna; loss at high load makes the damage of what is left too small.
 *
 * Cost: one pass.
 *
 * @param channel a masked channel, for example after markInvalid
 * @param options why, classes; one of speed, angle and pulses
 * @returns loss by level and by angle, with the chance that it is random, and warnings in the notes
 * @throws InputError for a channel without any valid sample, or more than one source of angle
 * @see findFaults, markInvalid, worstCase
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, 3, NaN, 5, 6, 7, 8] });
 * lossMap(T, { classes: 2 }).byLevel.lost // => [1,0]
 * @references N. I. Fisher, Statistical Analysis of Circular Data (1993), 4.3: Rayleigh test (from memory). χ²: common practice, no source.
 */
export function lossMap(channel: Channel, options: LossOptions = {}): LossMap {
  checkChannel(where, channel);
  checkOptions(where, options, { optional: ['why', 'classes', 'speed', 'angle', 'pulses'] });
  const why = checkFaults(where, options.why ?? neverCame);
  const classes = checkNumber(where, 'classes', options.classes ?? 12, { integer: true, min: 2, max: 360 });
  const n = channel.values.length;
  const lost = joinedGaps(channel.invalid.filter((s) => why.includes(s.why)));
  const runs = runsBetween(channel.invalid, n);
  if (runs.length === 0) throw new InputError({ where, argument: 'channel', expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const level = levels(channel);
  let low = Number.POSITIVE_INFINITY, high = Number.NEGATIVE_INFINITY;
  for (const { from, to } of runs) for (let i = from; i < to; i++) { low = Math.min(low, level[i]!); high = Math.max(high, level[i]!); }
  if (high === low) high = low + Math.max(1, 1e-12 * Math.abs(low));
  checkResult(where, channel.name, { span: high - low });
  const byLevel = classify(channel, lost, level, low, high, classes, channel.unit);
  const angle = shaftAngle(where, channel, options);
  const byAngle = angle && classify(channel, lost, angle, 0, 2 * Math.PI, classes, 'rad');
  const samples = lost.reduce((sum, s) => sum + s.to - s.from, 0);
  const notes: string[] = [];
  const chance = chiSquareChance(byLevel);
  if (chance !== null && chance < 1e-3) notes.push(levelWarning(byLevel, channel.unit));
  let concentration: number | null = null, meanAngle: number | null = null, angleChance: number | null = null;
  if (angle) {
    const starts = lost.map((s) => angle[s.from]!).filter((a) => a === a);
    const [c, s] = [starts.reduce((sum, a) => sum + Math.cos(a), 0), starts.reduce((sum, a) => sum + Math.sin(a), 0)];
    if (starts.length > 0) {
      concentration = Math.hypot(c, s) / starts.length;
      meanAngle = (Math.atan2(s, c) + 2 * Math.PI) % (2 * Math.PI);
    }
    if (starts.length >= 10) angleChance = Math.exp(-starts.length * concentration! ** 2);
    if (angleChance !== null && angleChance < 1e-3) notes.push(`Loss is not random over the shaft angle: gaps gather about ${((meanAngle! * 180) / Math.PI).toFixed(0)}° (mean vector ${concentration!.toFixed(2)}). The antenna looks away there once a revolution, and orders of the shaft speed in the signal are false.`);
    if (options.speed) notes.push('The angle is integrated from the speed: its origin is the first sample, and it drifts with the error of the speed.');
  }
  return makeResult('LossMap', {
    channel: channel.name, samples: n, lost: samples, gaps: lost.length, share: samples / n, byLevel: Object.freeze({ ...byLevel, chance }),
    byAngle: byAngle && Object.freeze({ ...byAngle, chance: angleChance }), concentration, meanAngle, notes: Object.freeze(notes),
  }, (m) => `Loss of ${m.channel}: ${(100 * m.share).toPrecision(2)} % in ${m.gaps} gap${m.gaps === 1 ? '' : 's'}${m.notes.length > 0 ? `; ${m.notes[0]}` : ''}`);
}

/** Touching spans as one gap, whatever their reasons. */
export function joinedGaps(spans: readonly Span[]): readonly Span[] {
  return normaliseSpans(spans.map((s) => ({ ...s, why: 'dropout' as const })), Number.MAX_SAFE_INTEGER, where);
}

/** The channel's values, with straight lines across masked spans. */
function levels(channel: Channel): Float64Array {
  const out = channel.values.slice();
  const n = out.length;
  const bridged = joinedGaps(channel.invalid);
  for (const { from, to } of bridged) {
    const [a, b] = [from > 0 ? out[from - 1]! : out[to]!, to < n ? out[to]! : out[from - 1]!];
    for (let i = from; i < to; i++) out[i] = a + ((b - a) * (i - from + 1)) / (to - from + 1);
  }
  return out;
}

function classify(channel: Channel, lost: readonly Span[], of: Float64Array, low: number, high: number, classes: number, unit: string): LossClasses {
  const [samples, gone, gaps] = [0, 1, 2].map(() => new Array<number>(classes).fill(0)) as [number[], number[], number[]];
  const at = (i: number): number => Math.min(classes - 1, Math.max(0, Math.floor(((of[i]! - low) / (high - low)) * classes)));
  for (let i = 0; i < channel.values.length; i++) if (of[i] === of[i]) samples[at(i)]!++;
  for (const { from, to } of lost) {
    if (of[from] === of[from]) gaps[at(from)]!++;
    for (let i = from; i < to; i++) if (of[i] === of[i]) gone[at(i)]!++;
  }
  return {
    edges: Object.freeze(Array.from({ length: classes + 1 }, (_, k) => low + ((high - low) * k) / classes)), unit, samples: Object.freeze(samples), lost: Object.freeze(gone), gaps: Object.freeze(gaps),
    share: Object.freeze(samples.map((s, k) => (s === 0 ? null : gone[k]! / s))), chance: null,
  };
}

/** P of a χ² as large as this under loss in proportion to time; null with fewer than 10 gaps or one class left. */
function chiSquareChance(c: LossClasses): number | null {
  const gaps = c.gaps.reduce((s, v) => s + v, 0);
  if (gaps < 10) return null;
  const total = c.samples.reduce((s, v) => s + v, 0);
  let chi = 0, joinedClasses = 0, observed = 0, expected = 0;
  c.samples.forEach((s, k) => {
    observed += c.gaps[k]!;
    expected += (gaps * s) / total;
    const rest = (gaps * c.samples.slice(k + 1).reduce((sum, v) => sum + v, 0)) / total;
    if ((expected >= 5 && rest >= 5) || rest === 0) {
      if (expected > 0) {
        chi += (observed - expected) ** 2 / expected;
        joinedClasses++;
      }
      observed = expected = 0;
    }
  });
  return joinedClasses < 2 ? null : 1 - lowerGamma((joinedClasses - 1) / 2, chi / 2);
}

function levelWarning(c: LossClasses, unit: string): string {
  const part = (from: number, to: number): number => c.lost.slice(from, to).reduce((s, v) => s + v, 0) / Math.max(1, c.samples.slice(from, to).reduce((s, v) => s + v, 0));
  const half = Math.floor(c.samples.length / 2);
  const [lower, upper] = [part(0, half), part(half, c.samples.length)];
  // Peaks are in the top quarter; more loss in a middle class alone says nothing of them.
  const top = part(Math.ceil(0.75 * c.samples.length), c.samples.length);
  const meaning = upper > 1.2 * lower && top > 1.2 * part(0, c.samples.length) ? 'Peaks are missing more often than the rest, so damage scaled by valid time is too small.'
    : lower > 1.2 * upper ? 'Damage scaled by valid time is too large.' : 'See the shares by class.';
  return `Loss is not random over the level: ${(100 * upper).toPrecision(2)} % above ${brief(c.edges[half]!, 3)} ${unit} against ${(100 * lower).toPrecision(2)} % below. ${meaning}`;
}
