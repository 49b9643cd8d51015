import { checkChannel, makeChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { coveredSamples, type Span } from '../record/span.js';
import { createRandom, type Random } from '../numeric/random.js';
import type { Unit } from '../record/units.js';
import { crestErrors, crestFaults, likelyCrests, withCrests, type Crest } from './crests.js';
import { joinedGaps, lossMap } from './lossMap.js';

/** What estimateLoss needs. `of` and `within` are physical choices and have no default. */
export interface LossEstimateOptions<U extends Unit> {
  /** The number whose loss is asked for, such as damage: a sum over cycles, above 0. Called with the channel in variants that lost more, or less. */
  readonly of: (channel: Channel<U>) => number;
  /** Conditions are alike so far before and after each gap, s: the time for which the plant stays in one state. */
  readonly within: number;
  /** Default 100. */
  readonly draws?: number;
  /** Default 1. */
  readonly seed?: number;
  /** Part of the draws between low and high. Default 0.9. */
  readonly coverage?: number;
}

/** A number as it would be without loss: estimate with an interval. */
export interface LossEstimate {
  readonly channel: string;
  /** The number as the masked channel gives it. */
  readonly left: number;
  /** With the cut-off crests as their flanks have them; the same as left where none is cut off. */
  readonly withCrests: number;
  /** The central estimate, for the gaps too. */
  readonly expected: number;
  /** The draws lie between with probability `coverage`. */
  readonly low: number;
  readonly high: number;
  readonly coverage: number;
  /** Part of the number that gaps like these take, mean of the draws, 0 to 1. */
  readonly lostPart: number;
  readonly gaps: number;
  readonly crests: number;
  /** Root mean square error of crests put back from their flanks, tried on sound ones, in the channel's unit; null where none was tried. */
  readonly crestError: number | null;
  readonly draws: number;
  readonly within: number;
  readonly notes: readonly string[];
}

const where = 'estimateLoss';
const tries = 30;

/**
 * Estimates what a number such as damage would be had nothing been lost: a central estimate with an interval, from the record itself. No sample is changed or filled in: the channel stays masked.
 *
 * Gaps. Where loss falls at random, other gaps of the same lengths take about the same part ℓ of the number. Each draw loses every gap once more, at a place of which nine tenths came through, drawn evenly up to
 * `within` before or after it, and counts again: ℓ = 1 − D(lost twice)/D(lost once). The central estimate is D(lost once)/(1 − mean ℓ), the interval that of D(lost once)/(1 − ℓ). This credits
 * what bridging a gap keeps, which scaling by valid time does not, and the spread of ℓ tells how far a single lost event may lead astray.
 * Cut-off crests (rail, saturation). Each is the cubic through two samples on either side, no lower than recorded. How far such crests are off is tried on the highest
 * sound ones, cut off to the same length; each draw moves every crest by one of these errors. So the samples must lie close: a few to a crest.
 *
 * It holds where loss has nothing to do with the load: ask lossMap first. worstCase is the bound where it has. Lost frames count once repairClock has made them gaps.
 * Kept: the channel. Cost: `of` twice a draw (once where no crest is cut off).
 *
 * @param channel masked, on its repaired clock, before any filter
 * @param options of, within in s; draws, seed, coverage
 * @returns what is left, the central estimate, the interval, the parts of crests and gaps, notes
 * @throws InputError where `of` gives no number above 0, or gaps find no place to be lost again
 * @see lossMap, worstCase, repairClock
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 600 }, (_, i) => (i % 100 < 10 ? NaN : Math.sin(i))) });
 * estimateLoss(T, { of: (c) => closeResidue(countCycles(c), 'half').range.length, within: 5 }).lostPart // => 0.0676
 * @references Derived here: loss at random thins the record, and thinning it once more by the same law shows by how much.
 */
export function estimateLoss<U extends Unit>(channel: Channel<U>, options: LossEstimateOptions<U>): LossEstimate {
  checkChannel(where, channel);
  const { of, within, draws = 100, seed = 1, coverage = 0.9 } = checkOptions(where, options, { required: ['of', 'within'], optional: ['draws', 'seed', 'coverage'] });
  if (typeof of !== 'function') throw new InputError({ where, argument: 'of', expected: 'a function from the channel to a number', given: show(of) });
  checkNumber(where, 'within', within, { above: 0, unit: 's' });
  checkNumber(where, 'draws', draws, { integer: true, min: 20, max: 10_000 });
  checkNumber(where, 'seed', seed, { integer: true, min: 0 });
  checkNumber(where, 'coverage', coverage, { above: 0, below: 1 });
  const value = (c: Channel<U>, what: string): number => checkOf(of(c), what);
  const left = value(channel, 'the masked channel');
  const crests = likelyCrests(channel);
  const errors = triedErrors(channel, crests);
  const base = crests.length === 0 ? left : value(filled(channel, crests, () => 0), 'the channel with its crests');
  const gaps = joinedGaps(channel.invalid.filter((s) => !crestFaults.includes(s.why)));
  const random = createRandom(seed);
  const move = gapMover(channel, gaps, within, random);
  const estimates = new Float64Array(draws);
  let lostPart = 0, lostOnce = 0;
  for (let d = 0; d < draws; d++) {
    const once = crests.length === 0 ? channel : filled(channel, crests, (c) => drawn(errors.get(c)!, random));
    const kept = once === channel ? left : value(once, 'a draw of the crests');
    const twice = gaps.length === 0 ? kept : value(masked(once, move()), 'a draw of the gaps, all of it lost');
    lostPart += 1 - twice / kept;
    lostOnce += kept;
    estimates[d] = kept ** 2 / twice;
  }
  lostPart /= draws;
  lostOnce /= draws;
  const all = [...new Set(errors.values())].flatMap((e) => Array.from(e));
  const crestError = all.length === 0 ? null : Math.sqrt(all.reduce((s, e) => s + e * e, 0) / all.length);
  estimates.sort();
  const at = (p: number): number => estimates[Math.min(draws - 1, Math.floor(p * draws))]!;
  return makeResult('LossEstimate', {
    channel: channel.name, left, withCrests: base, expected: lostOnce / (1 - lostPart), low: at((1 - coverage) / 2), high: at((1 + coverage) / 2), coverage, lostPart, gaps: gaps.length, crests: crests.length,
    crestError, draws, within, notes: Object.freeze(notesOf(channel, within, gaps, crests, errors)),
  }, (r) => `Loss of ${r.channel}: ${(r.expected / r.left).toFixed(3)} × what is left (${(r.low / r.left).toFixed(3)} to ${(r.high / r.left).toFixed(3)}), of it crests ${(r.withCrests / r.left).toFixed(3)} ×`);
}

function checkOf(value: number, what: string): number {
  if (typeof value === 'number' && Number.isFinite(value) && value > 0) return value;
  throw new InputError({ where, argument: 'of', expected: 'a number above 0', given: `${show(value)} for ${what}`, remedy: 'A record that hangs on a single event allows only a bound: worstCase.' });
}

/** For each crest how far off crests of its length and side are; one trial serves all of a kind. */
function triedErrors(channel: Channel, crests: readonly Crest[]): ReadonlyMap<Crest, Float64Array> {
  const kinds = new Map<number, Float64Array>();
  return new Map(crests.map((crest) => {
    const kind = crest.sign * crest.likely.length;
    if (!kinds.has(kind)) kinds.set(kind, crestErrors(channel, crest.likely.length, crest.sign));
    return [crest, kinds.get(kind)!];
  }));
}

/** One of the errors, by chance; 0 where there are none. */
function drawn(errors: Float64Array, random: Random): number {
  return errors.length === 0 ? 0 : errors[random.below(errors.length)]!;
}

/** The channel with its crests in the place of the masks over them. */
function filled<U extends Unit>(channel: Channel<U>, crests: readonly Crest[], outward: (crest: Crest) => number): Channel<U> {
  const invalid = channel.invalid.filter((s) => !crestFaults.includes(s.why));
  return makeChannel({ name: channel.name, unit: channel.unit, sampleRate: channel.sampleRate, start: channel.start, values: withCrests(channel, crests, outward), invalid });
}

function masked<U extends Unit>(channel: Channel<U>, more: readonly Span[]): Channel<U> {
  const { name, unit, sampleRate, start, values } = channel;
  return makeChannel({ name, unit, sampleRate, start, values, invalid: [...channel.invalid, ...more] });
}

/** Draws the gaps again: each at a place near its own that came through (nine tenths of it at least). */
function gapMover(channel: Channel, gaps: readonly Span[], within: number, random: Random): () => readonly Span[] {
  const n = channel.values.length;
  const lostBefore = new Int32Array(n + 1);
  for (const { from, to } of channel.invalid) lostBefore.fill(1, from + 1, to + 1);
  for (let i = 0; i < n; i++) lostBefore[i + 1]! += lostBefore[i]!;
  const reach = within * channel.sampleRate;
  const total = coveredSamples(gaps);
  return () => {
    const moved: Span[] = [];
    for (const gap of gaps) {
      const length = gap.to - gap.from;
      for (let t = 0; t < tries; t++) {
        const from = gap.from + Math.round((2 * random.uniform() - 1) * (reach + length));
        if (from < 0 || from + length > n || lostBefore[from + length]! - lostBefore[from]! > 0.1 * length) continue;
        moved.push({ from, to: from + length, why: gap.why });
        break;
      }
    }
    const placed = coveredSamples(moved);
    if (placed < 0.9 * total) {
      throw new InputError({ where, argument: 'within', expected: 'long enough for every gap to find a sound place as long as itself', given: `${within} s, which leaves ${Math.round(100 * (1 - placed / total))} % of the lost time out`, remedy: 'Give more time, if conditions are alike for so long; else only worstCase tells.' });
    }
    return moved;
  };
}

function notesOf(channel: Channel, within: number, gaps: readonly Span[], crests: readonly Crest[], errors: ReadonlyMap<Crest, Float64Array>): string[] {
  const notes: string[] = [];
  if (gaps.length === 0 && crests.length === 0) notes.push('Nothing is masked: nothing was lost.');
  const level = gaps.length === 0 ? undefined : lossMap(channel).notes[0];
  if (level?.includes('Peaks are missing')) notes.push(`Loss goes with the level (see lossMap): where it does so within ${within} s of a gap too, the estimate is too small.`);
  const untried = crests.filter((c) => errors.get(c)!.length < 5).length;
  if (untried > 0) notes.push(`${untried} cut-off crest${untried === 1 ? '' : 's'} had fewer than 5 sound crests to be tried on: the interval is too short.`);
  const bare = crests.filter((c) => c.likely.every((v, j) => v === channel.values[c.span.from + j])).length;
  if (bare > 0) notes.push(`${bare} of ${crests.length} cut-off crest${crests.length === 1 ? '' : 's'} stand${bare === 1 ? 's' : ''} as recorded: the flanks show no more, or are lost themselves.`);
  return notes;
}
