import { checkChannel, duration, validityMask, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { binMeans, coarseLag, type CoarseLag } from '../numeric/coarseLag.js';
import { studentQuantile } from '../numeric/distributions.js';
import { fitLag, smooth, type LagFit, type Sampled } from '../numeric/fitLag.js';
import type { PartLags } from '../numeric/partLags.js';

/** What alignChannels takes. */
export interface AlignOptions {
  /** Both signals are averaged over this time, s (Hann window), before the last fit (default eight periods of the slower rate, at least 20 ms). Slow features in noise want more. */
  readonly smoothing?: number;
}

/** The clock of one recorder against that of another. */
export interface Alignment {
  /** Law: τ = (t − offset)·(1 + skew); t is the reference's time, τ the other's, each from its own first sample, s. */
  readonly offset: number;
  readonly skew: number;
  /** Standard errors. */
  readonly offsetError: number;
  readonly skewError: number;
  /** Correlation of the two errors, −1 … 1. */
  readonly errorCorrelation: number;
  /** The farthest that an eighth of the features lies off the law, where chance would show that in fewer than one of 500 records, else 0, s: a clock that lost frames or wandered follows no one skew. */
  readonly drift: number;
  /** other ≈ bias + gain · reference, after alignment. */
  readonly gain: number;
  readonly bias: number;
  /** Correlation of the two signals after alignment. */
  readonly correlation: number;
  /** Samples of the other channel that were compared. */
  readonly samples: number;
  readonly notes: readonly string[];
}

const coarseRates = [20, 5, 1.25];
const fineRate = 500;
/** Two quartz clocks differ by tens of ppm, poor and cold ones by a few hundred (common practice, no source). */
const crystalSkew = 500e-6;
/** A skew lies surely beyond a limit by so many standard errors. */
const surely = 3;
/** Parts of a record that lie off the law by more than this part of a sample period are noted; a lost frame moves them by a quarter of one and more. */
const leastDrift = 0.05;
/** How often a sound record may be said to drift. */
const chance = 0.002;

/**
 * Finds offset and skew between the clocks of two recorders from a signal that both recorded (speed, for one).
 *
 * First the best lag of all, by the normalised cross-correlation of first differences of means at 20, 5 and 1.25 Hz, whichever is clearest; then offset, skew, gain and
 * bias together by least squares on other(τ) = bias + gain·reference(t), τ = (t − offset)·(1 + skew), with
 * both signals averaged over seconds first, then over less and less down to `smoothing`. Standard errors come from
 * leaving out blocks one at a time (one second, or four times the smoothing). Masked samples take no part. Where parts of the record lie off the law, as they do
 * when single frames were lost between two features, that is noted: beyond Student's t for one sound record in 500, with the noise read off neighbouring features.
 * Measured on 1700 sound pairs of two minutes (steps, few steps, wandering, a run up; white, slow, growing, bursting and heavy-tailed noise of 0.2 to 10 % of a step): said of 0.9 % (of a run up alone 4 %, in bursts 2 %), and of 0.1 % a skew beyond crystals. With noise of 0.2 % a clock
 * that jumped by 20 ms in the middle is found in 73 %, one bent by 10 ms in 69 %; with 2 % of noise in 14 and 5 %, with 10 % hardly ever.
 *
 * Kept: nothing is changed. Cost: transforms of the record at 20 Hz and some twenty passes at no more than 500 Hz.
 *
 * @param reference the channel whose clock is taken as true
 * @param other the same quantity (or one in proportion to it) by the other recorder
 * @param options smoothing in seconds
 * @returns offset in s, skew as a ratio (50e-6 is 50 ppm, fast), their standard errors, and how well the signals agree
 * @throws InputError for records that share no clear feature, or too short ones
 * @see moveToClock puts the other recorder's channels on the reference's clock
 * @example
 * const bumps = (t: number) => Math.exp(-((t - 7) ** 2) / 2) + 2 * Math.exp(-((t - 31) ** 2) / 3);
 * const reference = makeChannel({ name: 'a', unit: 'rpm', sampleRate: 100, values: Float64Array.from({ length: 5000 }, (_, i) => bumps(i / 100)) });
 * const other = makeChannel({ name: 'b', unit: 'rpm', sampleRate: 50, values: Float64Array.from({ length: 2000 }, (_, i) => bumps(2.5 + i / 50)) });
 * alignChannels(reference, other).offset // => 2.500
 * @references B. Efron, The jackknife, the bootstrap and other resampling plans, SIAM, 1982, ch. 3 (leaving out one block at a time; from memory).
 */
export function alignChannels(reference: Channel, other: Channel, options?: AlignOptions): Alignment {
  const where = 'alignChannels';
  checkChannel(where, reference);
  checkChannel(where, other);
  const { smoothing = Math.max(0.02, 8 / Math.min(reference.sampleRate, other.sampleRate)) } = checkOptions<AlignOptions>(where, options, { optional: ['smoothing'] });
  const most = Math.min(duration(reference), duration(other)) / 4;
  if (options?.smoothing === undefined && smoothing > most) throw new InputError({ where, argument: other.name, expected: `long enough, as ${reference.name} must be, to tell two clocks apart (${(4 * smoothing).toPrecision(3)} s at least)`, given: `${(4 * most).toPrecision(3)} s` });
  checkNumber(where, 'smoothing', smoothing, { above: 0, max: most, unit: 's' });
  const tries = [4, 1, 0.3].filter((width) => width > smoothing && width < Math.min(duration(reference), duration(other)) / 4);
  const a = reduced(reference);
  const b = reduced(other);
  const coarse = bestLag(reference, other);
  const unclear = whyUnclear(coarse);
  if (unclear !== null) {
    throw new InputError({
      where, argument: other.name, expected: `a signal that shares one clear feature with ${reference.name}`,
      given: coarse.correlation === coarse.correlation ? `a best correlation of ${coarse.correlation.toFixed(2)} and ${coarse.next.toFixed(2)} elsewhere: ${unclear}` : 'signals that do not move', remedy: 'Take a quantity that both recorded, over a stretch with starts, stops or load steps.',
    });
  }
  let fit: LagFit | null = null;
  let offset = coarse.lag;
  for (const width of [...tries, smoothing]) {
    fit = fitLag(smoothed(a, width), smoothed(b, width), offset, Math.max(1, 4 * width));
    if (fit?.converged) offset = fit.offset;
  }
  if (fit === null || !fit.converged || !(fit.skewVariance >= 0)) {
    throw new InputError({ where, argument: other.name, expected: `a signal whose match with ${reference.name} settles`, given: 'a fit that does not', remedy: 'Take a longer stretch with features at both ends, or more smoothing.' });
  }
  const drift = worstLag(fit.parts);
  const notes = Object.freeze(notesOf(fit, drift, 1 / Math.min(reference.sampleRate, other.sampleRate)));
  const [offsetError, skewError] = [Math.sqrt(fit.offsetVariance), Math.sqrt(fit.skewVariance)];
  return makeResult('Alignment', {
    offset: fit.offset, skew: fit.skew, offsetError, skewError, errorCorrelation: offsetError * skewError === 0 ? 0 : fit.covariance / (offsetError * skewError), gain: fit.gain, bias: fit.bias,
    drift, correlation: fit.correlation, samples: fit.samples, notes,
  }, (r) => `Alignment: offset ${r.offset.toFixed(6)} s ± ${r.offsetError.toPrecision(2)} s, skew ${(r.skew * 1e6).toFixed(3)} ppm ± ${(r.skewError * 1e6).toPrecision(2)} ppm, correlation ${r.correlation.toFixed(4)}`);
}

/** What a reader should know of a fit: signals that agree little, and a clock that no crystal explains. */
function notesOf({ skew, skewVariance, correlation }: LagFit, drift: number, period: number): string[] {
  const notes: string[] = [];
  if (correlation < 0.9) notes.push(`the two signals agree with a correlation of ${correlation.toFixed(3)} only`);
  const skewError = Math.sqrt(skewVariance);
  const beyond = Math.abs(skew) - crystalSkew;
  const ppm = (1e6 * skew).toFixed(0);
  if (beyond > surely * skewError) notes.push(`a skew of ${ppm} ppm is more than two crystal clocks differ by: one record has lost frames (repairClock first) or its sample rate is not the one stated`);
  else if (Math.abs(drift) > leastDrift * period) notes.push(`no one skew fits: parts of the record lie up to ${(1e3 * Math.abs(drift)).toPrecision(2)} ms off the law, so frames were lost (repairClock first) or a clock wandered`);
  else if (beyond > 0) notes.push(`a skew of ${ppm} ppm would be more than two crystal clocks differ by, but is known to ± ${(1e6 * skewError).toPrecision(2)} ppm only: a longer stretch, or one with features at both ends, would tell`);
  return notes;
}

/** The farthest lag of a part that chance would not show in one record of 500 (Student's t, shared out among the parts), else 0. */
function worstLag({ lags, degreesOfFreedom }: PartLags): number {
  if (!(degreesOfFreedom >= 1)) return 0;
  const limit = studentQuantile(1 - chance / 2 / lags.length, degreesOfFreedom);
  return lags.reduce((worst, p) => (Math.abs(p.lag) > Math.max(Math.abs(worst), limit * p.error) ? p.lag : worst), 0);
}

/** Which of its limits a coarse match fails, or null. */
function whyUnclear({ correlation, next, common }: CoarseLag): string | null {
  if (!(correlation > 0.3)) return 'it must be above 0.3';
  if (next > 0.9 * correlation) return 'another lag fits as well (more than 0.9 of the best)';
  if (correlation * Math.sqrt(common) < 6) return `${common} means in common are too few (correlation · √number must be at least 6)`;
  return null;
}

/** The lag in seconds, at the rate at which it stands out most: short features need a high one, slow ones in noise a low one. */
function bestLag(reference: Channel, other: Channel): CoarseLag {
  const slower = Math.min(reference.sampleRate, other.sampleRate);
  const all = [...new Set(coarseRates.map((rate) => Math.min(rate, slower)))].map((rate) => {
    const found = coarseLag(binMeans(known(reference), rate), binMeans(known(other), rate), 12, Math.ceil(2 * rate));
    return { ...found, lag: found.lag / rate };
  });
  return all.reduce((best, one) => (one.correlation - one.next > best.correlation - best.next ? one : best));
}

/** The values with NaN where they are masked. */
function known(channel: Channel): { readonly values: Float64Array; readonly sampleRate: number } {
  const mask = validityMask(channel);
  return { values: channel.values.map((v, i) => (mask[i] === 1 ? v : NaN)), sampleRate: channel.sampleRate };
}

/** At no more than 500 Hz, by means of whole blocks; a block with a masked sample is not known. */
function reduced(channel: Channel): Sampled {
  const { values, sampleRate } = known(channel);
  const length = Math.max(1, Math.floor(sampleRate / fineRate));
  const out = new Float64Array(Math.floor(values.length / length));
  for (let b = 0; b < out.length; b++) {
    let sum = 0;
    for (let i = b * length; i < (b + 1) * length; i++) sum += values[i]!;
    out[b] = sum / length;
  }
  return { values: out, sampleRate: sampleRate / length, first: (length - 1) / 2 / sampleRate };
}

function smoothed(signal: Sampled, width: number): Sampled {
  const half = Math.round((width * signal.sampleRate) / 2);
  return half < 1 ? signal : { ...signal, values: smooth(signal.values, half) };
}
