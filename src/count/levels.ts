import type { Channel } from '../record/Channel.js';
import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { coveredSamples } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { classCentres, classifierOf, listEdges, type ClassEdges } from './classes.js';
import { readSignal, turnsOf } from './turningPoints.js';

/** How often a signal crosses each level. */
export interface LevelCrossings<U extends Unit = Unit> {
  readonly unit: U;
  readonly levels: Float64Array;
  readonly reference: number;
  /** Crossings upward. */
  readonly rising: Float64Array;
  /** Crossings downward. */
  readonly falling: Float64Array;
  /** The count of the practice: upward crossings at and above the reference, downward ones below it. */
  readonly count: Float64Array;
  readonly validTime: number;
}

/** What levelCrossings is told. */
export interface LevelOptions {
  /** Rising levels, or { from, to, classes } for classes + 1 of them. */
  readonly levels: ClassEdges;
  /** The load from which levels count as above or below; it has no default. */
  readonly reference: number;
  /** First variant of the practice: leave the reference level itself out; false unless told. */
  readonly skipReference?: boolean;
  /** Second variant: a level counts again only after the signal has come back by this much towards the reference; 0 unless told. */
  readonly band?: number;
}

/**
 * Counts level crossings. A level L is crossed upward where the signal comes from below L to L or above it, downward
 * where it comes from L or above to below it.
 *
 * The practice counts upward crossings of levels at and above the reference load and downward crossings of levels below
 * it. Its two variants against small ripples are `skipReference` and `band`; `rising` and `falling` are always all crossings.
 *
 * Cost: the number of crossings.
 *
 * @param signal a channel, or bare numbers (unit '1', 1 Hz); masked spans are bridged
 * @param options levels and reference (no defaults), skipReference, band
 * @returns counts for each level
 * @throws InputError for levels that do not rise, or a band below 0
 * @see peakCounts timeAtLevel
 * @example
 * const crossings = levelCrossings(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2), { levels: [-2, 0, 2], reference: 0 });
 * crossings.count // => [2,4,3]
 * levelCrossings(Float64Array.of(0, 5, 4, 5, 0), { levels: [4.5, 6], reference: 0, band: 2 }).count // => [1,0]
 * @references ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, 5.1, from memory.
 */
export function levelCrossings<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: LevelOptions): LevelCrossings<U> {
  const where = 'levelCrossings';
  checkOptions(where, options, { required: ['levels', 'reference'], optional: ['skipReference', 'band'] });
  const levels = listEdges(where, 'levels', options.levels);
  const reference = checkNumber(where, 'reference', options.reference);
  const band = checkNumber(where, 'band', options.band ?? 0, { min: 0 });
  const source = readSignal<U>(where, signal);
  const { values } = turnsOf(source.values, source.runs);
  const rising = new Float64Array(levels.length);
  const falling = new Float64Array(levels.length);
  const count = new Float64Array(levels.length);
  levels.forEach((level, k) => {
    const above = level >= reference;
    let armed = true;
    for (let i = 1; i < values.length; i++) {
      const a = values[i - 1]!;
      const b = values[i]!;
      if (above ? Math.min(a, b) < level - band : Math.max(a, b) >= level + band) armed = true;
      const up = a < level && b >= level;
      const down = a >= level && b < level;
      if (up) rising[k]!++;
      if (down) falling[k]!++;
      if (!(above ? up : down) || !armed || (options.skipReference && level === reference)) continue;
      count[k]!++;
      armed = band === 0;
    }
  });
  return makeResult<LevelCrossings<U>>('LevelCrossings', {
    unit: source.unit, levels, reference, rising, falling, count, validTime: coveredSamples(source.runs) / (source.channel?.sampleRate ?? 1),
  }, (c) => `LevelCrossings [${c.unit}]: ${c.levels.length} levels, reference ${c.reference}`);
}

/** Peaks and valleys, each with its place. */
export interface PeakCounts<U extends Unit = Unit> {
  readonly unit: U;
  readonly reference: number;
  readonly variant: 'beyond reference' | 'all' | 'largest between crossings';
  /** In time order. */
  readonly peaks: Float64Array;
  readonly peaksAt: Float64Array;
  readonly valleys: Float64Array;
  readonly valleysAt: Float64Array;
}

/**
 * Counts peaks and valleys. The first and the last point of a record are neither.
 *
 * - `'beyond reference'` (default): peaks above the reference load and valleys below it.
 * - `'all'`: every peak and valley.
 * - `'largest between crossings'`: between two successive crossings of the reference only the highest peak or the lowest valley.
 *
 * Cost: one pass.
 *
 * @param signal a channel, or bare numbers (unit '1'); masked spans are bridged
 * @param options reference (no default) and variant
 * @returns values and sample indices in time order
 * @throws InputError where nothing valid is there, or for another variant
 * @see levelCrossings
 * @example
 * const peaks = peakCounts(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2), { reference: 0 });
 * peaks.peaks // => [1,5,3,4]
 * peaks.valleys // => [-3,-1,-4]
 * @references ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, 5.2, from memory.
 */
export function peakCounts<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: { readonly reference: number; readonly variant?: PeakCounts['variant'] }): PeakCounts<U> {
  const where = 'peakCounts';
  checkOptions(where, options, { required: ['reference'], optional: ['variant'] });
  const reference = checkNumber(where, 'reference', options.reference);
  const variant = checkChoice(where, 'variant', options.variant ?? 'beyond reference', ['beyond reference', 'all', 'largest between crossings']);
  const source = readSignal<U>(where, signal);
  const { values, at } = turnsOf(source.values, source.runs);
  const peaks: number[] = [];
  const valleys: number[] = [];
  for (let k = 1; k < values.length - 1; k++) {
    const peak = values[k]! > values[k - 1]!;
    const beyond = peak ? values[k]! > reference : values[k]! < reference;
    if (!beyond && variant !== 'all') continue;
    const list = peak ? peaks : valleys;
    const last = list.at(-1);
    const same = variant === 'largest between crossings' && last !== undefined && !crosses(values, last, k, reference);
    if (!same) list.push(k);
    else if (peak ? values[k]! > values[last]! : values[k]! < values[last]!) list[list.length - 1] = k;
  }
  const pick = (list: number[], from: Float64Array): Float64Array => Float64Array.from(list, (k) => from[k]!);
  return makeResult<PeakCounts<U>>('PeakCounts', {
    unit: source.unit, reference, variant, peaks: pick(peaks, values), peaksAt: pick(peaks, at), valleys: pick(valleys, values), valleysAt: pick(valleys, at),
  }, (c) => `PeakCounts [${c.unit}]: ${c.peaks.length} peaks and ${c.valleys.length} valleys, ${c.variant}, reference ${c.reference}`);
}

/** Does the signal come to the other side of the reference between two points on one side of it? */
function crosses(values: Float64Array, from: number, to: number, reference: number): boolean {
  const above = values[to]! > reference;
  for (let k = from + 1; k < to; k++) if (above ? values[k]! <= reference : values[k]! >= reference) return true;
  return false;
}

/** How long a signal stays in each class. */
export interface TimeAtLevel<U extends Unit = Unit> {
  readonly unit: U;
  readonly edges: Float64Array;
  readonly centres: Float64Array;
  /** Seconds in each class. */
  readonly seconds: Float64Array;
  /** Seconds below the first edge. */
  readonly below: number;
  /** Seconds above the last edge. */
  readonly above: number;
  readonly validTime: number;
}

/**
 * Adds up the time that a signal stays in each class: every valid sample stands for 1 / sampleRate.
 *
 * Cost: one pass.
 *
 * @param channel a channel; masked samples are left out
 * @param options edges, a rising list or { from, to, classes }; no default
 * @returns seconds in each class, below and above; together the valid time
 * @throws InputError for edges that do not rise
 * @see levelCrossings
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 2, values: [0, 1, 1, 3, 9] });
 * timeAtLevel(torque, { edges: [0, 1, 2, 4] }).seconds // => [0.5,1,0.5]
 * timeAtLevel(torque, { edges: [0, 1, 2, 4] }).above // => 0.5
 */
export function timeAtLevel<U extends Unit>(channel: Channel<U>, options: { readonly edges: ClassEdges }): TimeAtLevel<U> {
  const where = 'timeAtLevel';
  checkOptions(where, options, { required: ['edges'] });
  const edges = listEdges(where, 'edges', options.edges);
  const source = readSignal<U>(where, channel);
  const rate = source.channel?.sampleRate ?? 1;
  const classify = classifierOf(edges);
  const samples = new Float64Array(edges.length + 1);
  for (const run of source.runs) for (let i = run.from; i < run.to; i++) samples[classify(source.values[i]!) + 1]!++;
  const seconds = samples.map((n) => n / rate);
  return makeResult<TimeAtLevel<U>>('TimeAtLevel', {
    unit: source.unit, edges, centres: classCentres(edges), seconds: seconds.slice(1, -1), below: seconds[0]!, above: seconds.at(-1)!, validTime: coveredSamples(source.runs) / rate,
  }, (t) => `TimeAtLevel [${t.unit}]: ${t.validTime} s in ${t.seconds.length} classes`);
}
