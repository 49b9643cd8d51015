import { validityMask, type Channel } from '../record/Channel.js';
import type { Fault, Span } from '../record/span.js';
import { cubicAcross } from '../numeric/cubicAcross.js';

/** Reasons for which the crest of a swing is missing, while its height is known to be at least what was recorded. */
export const crestFaults: readonly Fault[] = Object.freeze(['rail', 'saturation']);

/** A crest that a rail or an amplifier cut off. */
export interface Crest {
  readonly span: Span;
  /** 1 for a peak, −1 for a trough. */
  readonly sign: 1 | -1;
  /** What its flanks say of it, one value a sample, at least as far out as recorded; what was recorded where a flank is not known. */
  readonly likely: Float64Array;
}

/** The cut-off crests of a channel, each as the cubic through two samples on either side has it, and no lower than it was recorded. */
export function likelyCrests(channel: Channel): readonly Crest[] {
  const x = channel.values;
  const valid = validityMask(channel);
  return channel.invalid.filter((s) => crestFaults.includes(s.why)).map((span): Crest => {
    const k = span.to - span.from;
    const recorded = x.slice(span.from, span.to);
    const flanked = [span.from - 2, span.from - 1, span.to, span.to + 1].every((i) => valid[i] === 1);
    const beside = flanked ? (x[span.from - 1]! + x[span.to]!) / 2 : 0;
    const sign = recorded[k >> 1]! >= beside ? 1 : -1;
    if (!flanked) return { span, sign, likely: recorded };
    return { span, sign, likely: cubicAcross(x, span.from, k).map((v, j) => sign * Math.max(sign * v, sign * recorded[j]!)) };
  });
}

/** The channel with its crests in place, each moved out (or in, but not below what was recorded) by so much. */
export function withCrests(channel: Channel, crests: readonly Crest[], outward: (crest: Crest) => number): Float64Array {
  const values = channel.values.slice();
  for (const crest of crests) {
    const by = outward(crest);
    const { span, sign, likely } = crest;
    for (let j = 0; j < likely.length; j++) values[span.from + j] = sign * Math.max(sign * channel.values[span.from + j]!, sign * likely[j]! + by);
  }
  return values;
}

/**
 * How far off such crests are, tried on sound ones: the highest crests that came through are cut off to the same length, put back from their flanks and compared.
 *
 * @returns height missed of each, in the channel's unit; empty where there are no such crests
 */
export function crestErrors(channel: Channel, length: number, sign: 1 | -1, most: number = 30): Float64Array {
  const x = channel.values;
  const valid = validityMask(channel);
  const tops: number[] = [];
  for (let i = 1; i + 1 < x.length; i++) {
    if (valid[i - 1]! + valid[i]! + valid[i + 1]! === 3 && sign * x[i]! > sign * x[i - 1]! && sign * x[i]! >= sign * x[i + 1]!) tops.push(i);
  }
  tops.sort((a, b) => sign * (x[b]! - x[a]!));
  const errors: number[] = [];
  const used: number[] = [];
  for (const top of tops) {
    if (errors.length === most) break;
    if (used.some((i) => Math.abs(i - top) < 2 * length + 8)) continue;
    used.push(top);
    let [from, to] = [top, top + 1];
    while (to - from < length && from > 0 && to < x.length) sign * x[from - 1]! > sign * x[to]! ? from-- : to++;
    let sound = from >= 2 && to + 2 <= x.length && to - from === length;
    for (let i = from - 2; sound && i < to + 2; i++) sound = valid[i] === 1;
    if (!sound) continue;
    const cut = Math.max(sign * x[from - 1]!, sign * x[to]!);
    errors.push(sign * x[top]! - cubicAcross(x, from, length).reduce((high, v) => Math.max(high, sign * v), cut));
  }
  return Float64Array.from(errors);
}
