import { checkChannel, duration, formatSeconds, type Channel } from '../record/Channel.js';
import { checkList, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { momentsWithin } from '../record/momentsWithin.js';
import { kindOf, makeResult } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { runsBetween, sliceSpans } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { mergeMoments, standardDeviation, type Moments } from '../numeric/moments.js';

/** Samples by level: class k holds origin + k·width ≤ value < origin + (k + 1)·width, origin a multiple of the width, the width a power of two. */
export interface LevelHistogram {
  readonly width: number;
  readonly origin: number;
  readonly counts: Float64Array;
}

/** Statistics of the valid samples of a channel. Two of them merge to those of both together. */
export interface Summary {
  readonly name: string;
  readonly unit: Unit;
  /** Seconds that were read, and seconds under masks. */
  readonly validTime: number;
  readonly lostTime: number;
  readonly moments: Moments;
  readonly mean: number;
  /** n − 1. */
  readonly deviation: number;
  readonly rms: number;
  readonly min: number;
  readonly max: number;
  /** Largest size over rms; null for a signal of zeros. */
  readonly crest: number | null;
  readonly levels: LevelHistogram;
}

const classes = 4096;
const where = 'summarise';

/**
 * Summarises the valid samples of a channel, or of windows of it: count, mean, standard deviation, rms, extremes, crest factor,
 * and a level histogram from which levelQuantile reads quantiles.
 *
 * The class width is the smallest power of two that covers the extremes with 4096 classes, and classes lie on multiples of it, so
 * that summaries merge without loss beyond the wider class. Cost: three passes.
 *
 * @param channel any channel
 * @param options windows: stretches in s (for example the states of one kind); default the whole record
 * @returns the summary
 * @throws InputError for a channel or windows without a valid sample, or windows that overlap
 * @see mergeSummaries, levelQuantile, segmentStates, summaryTable
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [3, 4, NaN, 5] });
 * summarise(T).mean // => 4
 * summarise(T, { windows: [{ from: 0, to: 2 }] }).max // => 4
 */
export function summarise(channel: Channel, options: { readonly windows?: readonly TimeWindow[] } = {}): Summary {
  checkChannel(where, channel);
  checkOptions(where, options, { optional: ['windows'] });
  const windows = checkList(where, 'windows', options.windows ?? [{ from: 0, to: duration(channel) }], 'a list of at least one stretch');
  const parts = windows.map((window, k) => windowToSamples(where, channel, checkOptions(`${where}, windows[${k}]`, { from: window?.from, to: window?.to }, { required: ['from', 'to'] }), `windows[${k}]`));
  refuseOverlap(parts, windows);
  let moments: Moments = { count: 0, mean: 0, squares: 0, min: Infinity, max: -Infinity };
  let covered = 0;
  for (const { from, to } of parts) {
    moments = mergeMoments(moments, momentsWithin(channel, from, to).moments);
    covered += to - from;
  }
  if (moments.count === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with valid samples there', given: 'masked samples only' });
  const levels = emptyLevels(moments.min, moments.max);
  for (const { from, to } of parts) {
    for (const run of runsBetween(sliceSpans(channel.invalid, from, to), to - from)) {
      for (let i = from + run.from; i < from + run.to; i++) levels.counts[Math.floor((channel.values[i]! - levels.origin) / levels.width)]!++;
    }
  }
  return makeSummary({ name: channel.name, unit: channel.unit, validTime: moments.count / channel.sampleRate, lostTime: (covered - moments.count) / channel.sampleRate, moments, levels });
}

/**
 * Joins the summaries of two stretches or records of one quantity: moments and extremes exactly, levels on the wider classes.
 *
 * @throws InputError for different units
 * @example
 * const part = (values) => summarise(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values }));
 * mergeSummaries(part([1, 2]), part([6])).mean // => 3
 */
export function mergeSummaries(a: Summary, b: Summary): Summary {
  for (const s of [a, b]) if (kindOf(s) !== 'Summary') throw new InputError({ where: 'mergeSummaries', argument: 'summary', expected: 'a Summary', given: show(s) });
  if (a.unit !== b.unit) throw new InputError({ where: 'mergeSummaries', argument: 'unit', expected: a.unit, given: b.unit, remedy: 'Convert the channels to one unit first.' });
  const moments = mergeMoments(a.moments, b.moments);
  const levels = emptyLevels(moments.min, moments.max, Math.max(a.levels.width, b.levels.width));
  for (const { origin, width, counts } of [a.levels, b.levels]) {
    counts.forEach((n, k) => {
      if (n > 0) levels.counts[Math.floor((origin + (k + 0.5) * width - levels.origin) / levels.width)]! += n;
    });
  }
  return makeSummary({ name: a.name === b.name ? a.name : `${a.name} + ${b.name}`, unit: a.unit, validTime: a.validTime + b.validTime, lostTime: a.lostTime + b.lostTime, moments, levels });
}

/**
 * The level below which a share of the valid samples lies, by straight lines within a class; off by at most one class width.
 *
 * @param share 0 to 1
 * @example levelQuantile(summarise(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 1, 2, 3, 4] })), 0.5) // => 2.0
 */
export function levelQuantile(summary: Summary, share: number): number {
  if (kindOf(summary) !== 'Summary') throw new InputError({ where: 'levelQuantile', argument: 'summary', expected: 'a Summary', given: show(summary), remedy: 'Make one with summarise.' });
  checkNumber('levelQuantile', 'share', share, { min: 0, max: 1 });
  const { counts, origin, width } = summary.levels;
  let left = share * summary.moments.count;
  for (let k = 0; k < counts.length; k++) {
    const n = counts[k]!;
    if (n > 0 && left <= n) return Math.min(summary.max, Math.max(summary.min, origin + (k + left / n) * width));
    left -= n;
  }
  return summary.max;
}

/** Refuses windows that share samples, which would count twice. */
function refuseOverlap(parts: readonly { readonly from: number; readonly to: number }[], windows: readonly TimeWindow[]): void {
  const order = parts.map((_, k) => k).sort((a, b) => parts[a]!.from - parts[b]!.from);
  order.slice(1).forEach((k, i) => {
    const before = order[i]!;
    if (parts[k]!.from < parts[before]!.to) throw new InputError({ where, argument: `windows[${k}]`, expected: `apart from windows[${before}], which ends at ${windows[before]!.to} s`, given: `one from ${windows[k]!.from} s`, remedy: 'Samples of both would count twice: join the two.' });
  });
}

function emptyLevels(min: number, max: number, least = 0): LevelHistogram {
  const span = max - min || Math.abs(max) || 1;
  const width = Math.max(least, 2 ** -1000, 2 ** Math.ceil(Math.log2(span / (classes - 1))));
  const origin = Math.floor(min / width) * width;
  return { width, origin, counts: new Float64Array(Math.floor((max - origin) / width) + 1) };
}

function makeSummary(data: Pick<Summary, 'name' | 'unit' | 'validTime' | 'lostTime' | 'moments' | 'levels'>): Summary {
  const { moments } = data;
  if (!Number.isFinite(moments.squares) || !Number.isFinite(moments.mean)) throw new InputError({ where, argument: data.name, expected: 'values whose squares are within the range of double precision', given: `values from ${moments.min} to ${moments.max}` });
  const rms = Math.sqrt(moments.squares / moments.count + moments.mean ** 2);
  return makeResult<Summary>('Summary', {
    ...data, mean: moments.mean, deviation: moments.count > 1 ? standardDeviation(moments) : 0, rms, min: moments.min, max: moments.max,
    crest: rms > 0 ? Math.max(Math.abs(moments.min), Math.abs(moments.max)) / rms : null,
  }, (s) => `Summary ${s.name} [${s.unit}]: mean ${s.mean.toPrecision(4)}, deviation ${s.deviation.toPrecision(3)}, ${s.min.toPrecision(4)} to ${s.max.toPrecision(4)}, ${formatSeconds(s.validTime)} valid`);
}
