import type { Channel } from '../record/Channel.js';
import { checkChannel, validityMask } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { orderOfFloats } from '../numeric/order.js';
import { countCycles } from './countCycles.js';

/** How finely the damaging cycles of a record are sampled, and what that costs. */
export interface SamplingAdequacy<U extends Unit = Unit> {
  readonly unit: U;
  /** Half of the damage comes from cycles with fewer samples than this. */
  readonly samplesPerCycle: number;
  /** A tenth of that damage comes from cycles with fewer samples than this. */
  readonly samplesPerFastCycle: number;
  /** Damage found over the damage that the peaks between the samples would give. */
  readonly damageRatio: number;
  /** 1 − damageRatio. */
  readonly damageLost: number;
  readonly exponent: number;
  readonly notes: readonly string[];
}

/**
 * Tells whether a record was sampled fast enough for its damaging cycles: samples per cycle, weighed by Sᵐ, and the share
 * of damage lost because samples miss the peaks.
 *
 * A cycle of range S whose turning points bend by c = 2·y − a − b passes for a sine of p samples a period, c = S·(1 − cos 2π/p).
 * What a turning point misses is read from the record itself: the crest of the sine about the middle of its cycle through it and its two neighbours lies
 * δ = √(h² + ((b − a)/(2·sin ω))²) − h beyond it, cos ω = 1 − (2·y − a − b)/(2h); y is the turning point, a and b its neighbours, h = S/2. The ratio of damage is
 * Σ Sᵐ / Σ (S + δ₁ + δ₂)ᵐ over closed cycles, and ranges of the residue as halves. For a sine it is 0.95 at 10 samples a period and 0.997 at 40, for m = 3;
 * from 4 samples a period on it holds what is lost within 0.006 (m up to 8), for noise up to a fifth of the rate within 0.03. Of faster content it tells less than is lost: for noise up to 0.4
 * of the rate, 0.19 of 0.26 (m = 3) and 0.33 of 0.48 (m = 8); a note says so where the damaging cycles hold fewer than 5 samples (own simulation).
 * A load that jumps from level to level within one sample is no sine: there it tells how far the band-limited course through the samples would overshoot, which no shaft need have done.
 *
 * Cost: one count.
 *
 * @param channel the channel that is to be counted
 * @param options exponent m: the S-N slope, 1 … 50; no default
 * @returns samples per cycle and the expected loss
 * @throws InputError for a constant
 * @see countCycles upsamplePeaks
 * @example
 * const sine = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 2000 }, (_, i) => Math.sin(0.65 * i)) });
 * samplingAdequacy(sine, { exponent: 3 }).samplesPerCycle // => 9.67
 * samplingAdequacy(sine, { exponent: 3 }).damageRatio // => 0.950179
 * @references Own derivation; the record is taken as free of content above half its rate.
 */
export function samplingAdequacy<U extends Unit>(channel: Channel<U>, options: { readonly exponent: number }): SamplingAdequacy<U> {
  const where = 'samplingAdequacy';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['exponent'] });
  const exponent = checkNumber(where, 'exponent', options.exponent, { min: 1, max: 50 });
  const { closed, residue } = countCycles(channel, { largest: 0 });
  const halves = Math.max(0, residue.at.length - 1);
  const rows = closed.at.length + halves;
  const fromAt = joined(closed.fromAt, residue.at.subarray(0, halves));
  const at = joined(closed.at, residue.at.subarray(1));
  if (rows === 0) throw new InputError({ where, argument: channel.name, expected: 'a record with a cycle, or half of one', given: 'a constant' });
  const { values } = channel;
  const valid = validityMask(channel);
  const range = at.map((i, k) => Math.abs(values[i]! - values[fromAt[k]!]!));
  const top = range.reduce((a, b) => Math.max(a, b), 0);
  const period = range.map((r, k) => samplesOf(r, bendAt(values, valid, fromAt[k]!), bendAt(values, valid, at[k]!)));
  const weight = range.map((r, k) => (k < closed.at.length ? 1 : 0.5) * (r / top) ** exponent);
  let found = 0, whole = 0;
  for (let k = 0; k < rows; k++) {
    const missed = beyond(values, valid, fromAt[k]!, range[k]! / 2) + beyond(values, valid, at[k]!, range[k]! / 2);
    found += weight[k]!;
    whole += weight[k]! * (1 + missed / range[k]!) ** exponent;
  }
  const damageRatio = found / whole;
  const samplesPerCycle = weighedQuantile(period, weight, 0.5);
  return makeResult<SamplingAdequacy<U>>('SamplingAdequacy', {
    unit: channel.unit, samplesPerCycle, samplesPerFastCycle: weighedQuantile(period, weight, 0.1), damageRatio, damageLost: 1 - damageRatio, exponent,
    notes: Object.freeze([
      ...(samplesPerCycle < 5 ? ['Half of the damage comes from cycles of fewer than 5 samples: more is missed than this figure tells.'] : []),
      ...(damageRatio < 0.95 ? ['More than 5 % of the damage is missed between samples: interpolate with upsamplePeaks before counting, or record faster.'] : []),
    ]),
  }, (s) => `SamplingAdequacy ${channel.name}: ${s.samplesPerCycle} samples per damaging cycle, damage × ${s.damageRatio.toPrecision(3)} (m = ${s.exponent})`);
}

function joined(a: Float64Array, b: Float64Array): Float64Array {
  const both = new Float64Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}

/** 2·y − a − b at a turning point, without its sign; 0 beside a mask and at an end. */
function bendAt(values: Float64Array, valid: Uint8Array, i: number): number {
  if (i < 1 || i + 1 >= values.length || !valid[i - 1] || !valid[i + 1]) return 0;
  return Math.abs(2 * values[i]! - values[i - 1]! - values[i + 1]!);
}

/**
 * How far the crest of the sine through a turning point at height h above the middle of its cycle and its neighbours lies beyond it; 0 beside a mask, at an end and where both neighbours are equal to it.
 * At fewer than three samples a period, where neighbours lie below −h/2, that of the parabola.
 */
function beyond(values: Float64Array, valid: Uint8Array, i: number, h: number): number {
  const bend = bendAt(values, valid, i);
  if (!(bend > 0)) return 0;
  const slope = (values[i + 1]! - values[i - 1]!) / 2;
  const cosine = 1 - bend / (2 * h);
  return cosine > -0.5 ? Math.hypot(h, slope / Math.sqrt(1 - cosine * cosine)) - h : slope ** 2 / (2 * bend);
}

/** Samples in a period of the sine of that range that bends as much at its peaks: bend = range·(1 − cos 2π/p). */
function samplesOf(range: number, bendFrom: number, bendTo: number): number {
  const bend = bendFrom > 0 && bendTo > 0 ? (bendFrom + bendTo) / 2 : Math.max(bendFrom, bendTo);
  return (2 * Math.PI) / Math.acos(Math.max(-1, 1 - bend / range));
}

function weighedQuantile(values: Float64Array, weights: Float64Array, share: number): number {
  const order = orderOfFloats(values);
  const total = weights.reduce((a, b) => a + b, 0);
  let sum = 0;
  for (const k of order) {
    sum += weights[k]!;
    if (sum >= share * total) return values[k]!;
  }
  return values[order.at(-1)!]!;
}
