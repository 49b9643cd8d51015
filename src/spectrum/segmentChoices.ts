import { checkNumber, checkOptions } from '../record/check.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import { segmentStarts } from '../numeric/segments.js';
import { windowSamples, type WindowChoice } from '../numeric/window.js';
import { confidenceOf, effectiveAverages } from './averages.js';
import { checkWindow } from './segmentation.js';

/** What a spectrum would be with segments of one length. */
export interface SegmentChoice {
  /** Samples, and seconds. */
  readonly segment: number;
  readonly seconds: number;
  /** Hz: equivalent noise bandwidth. */
  readonly resolution: number;
  readonly segments: number;
  readonly effectiveAverages: number;
  /** 95 % interval of a density, factors. */
  readonly lower: number;
  readonly upper: number;
  /** Part of the valid samples that lies in a segment. */
  readonly used: number;
}

/** Lengths of segments that a record's gaps allow, and what each gives. */
export interface SegmentChoices {
  readonly name: string;
  /** Longest valid run, samples. */
  readonly longestRun: number;
  readonly choices: readonly SegmentChoice[];
}

/**
 * Lists the segment lengths that the gaps of a record allow, with the resolution, the averages and the part of the record that each gives: so that the choice is made with open eyes.
 *
 * Definition: lengths shortest · 2^k up to the longest valid run; the rest as powerDensity states it.
 *
 * @param channel any unit
 * @param options shortest: samples, from 2, default 64; overlap (default 0.5), window (default 'hann')
 * @returns one line a length
 * @throws InputError where no valid run is as long as the shortest
 * @see powerDensity, gapSpectrum
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: new Float64Array(4000), invalid: [{ from: 1500, to: 1600, why: 'dropout' }] });
 * const rows = segmentChoices(T, { shortest: 500 }).choices;
 * rows.map((r) => r.segments) // => [13,5,1]
 * rows[1].resolution // => 1.5
 */
export function segmentChoices(channel: Channel, options: { readonly shortest?: number; readonly overlap?: number; readonly window?: WindowChoice } = {}): SegmentChoices {
  const where = 'segmentChoices';
  checkChannel(where, channel);
  checkOptions(where, options, { optional: ['shortest', 'overlap', 'window'] });
  const runs = validRuns(channel);
  const longestRun = runs.reduce((n, r) => Math.max(n, r.to - r.from), 0);
  const valid = runs.reduce((n, r) => n + r.to - r.from, 0);
  const shortest = checkNumber(where, 'shortest', options.shortest ?? 64, { integer: true, min: 2, max: Math.max(2, longestRun) });
  const overlap = checkNumber(where, 'overlap', options.overlap ?? 0.5, { min: 0, below: 1 });
  const choice = checkWindow(where, options.window ?? 'hann');
  const choices: SegmentChoice[] = [];
  for (let segment = shortest; segment <= longestRun; segment *= 2) {
    const hop = segment - Math.floor(overlap * segment);
    const perRun = runs.map((r) => segmentStarts(r.from, r.to, segment, hop).length);
    const window = windowSamples(choice, segment, 'periodic');
    const averages = effectiveAverages(window, hop, perRun, 'mean');
    const { lower, upper } = confidenceOf(averages, 0.95);
    const sum = window.reduce((a, b) => a + b, 0), squares = window.reduce((a, b) => a + b * b, 0);
    choices.push(Object.freeze({
      segment, seconds: segment / channel.sampleRate, resolution: (channel.sampleRate * squares) / (sum * sum), segments: perRun.reduce((a, b) => a + b, 0), effectiveAverages: averages, lower, upper,
      used: perRun.reduce((n, k) => n + (k === 0 ? 0 : (k - 1) * hop + segment), 0) / valid,
    }));
  }
  return makeResult<SegmentChoices>('SegmentChoices', { name: channel.name, longestRun, choices: Object.freeze(choices) },
    (c) => `SegmentChoices of ${c.name}: ${c.choices.length} lengths from ${c.choices[0]!.segment} to ${c.choices.at(-1)!.segment} samples`);
}
