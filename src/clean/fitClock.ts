import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { unitConversion } from '../record/units.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { ClockFitter } from '../numeric/clockFitter.js';
import { roundRate } from '../numeric/roundRate.js';
import { checkFrames, checkRising, checkStampsFollow, clockNotes } from './checkClock.js';

/** From what a clock is fitted: a frame counter, time stamps, or both; one value a row. */
export interface ClockSource {
  /** Frame numbers, one a row, that count on where frames were lost. */
  readonly counter?: Channel<'count'>;
  /** The number of different frame numbers, for example 65536 for a counter of 16 bits. No default. */
  readonly modulus?: number;
  /** Time stamps, one a row. */
  readonly stamps?: Channel<'s' | 'ms'>;
  /** How far a stamp may lie from its place, in sample periods, where there is no counter (default 0.25, at most 0.5). */
  readonly maxJitter?: number;
}

/** How many gaps of each length. */
export interface GapLengths {
  /** Lost frames in a gap, rising. */
  readonly length: Float64Array;
  readonly count: Float64Array;
}

/** A clock as counter and stamps show it. */
export interface ClockFit {
  /** Frame number of each row, from 0; frames without a row were lost. */
  readonly place: Float64Array;
  readonly rows: number;
  readonly lostFrames: number;
  /** Lost frames as a part of all. */
  readonly lostPart: number;
  readonly gapLengths: GapLengths;
  /** Rate by the stamps, Hz: one over the slope of the least-squares line of stamp against place; null without stamps. */
  readonly fittedRate: number | null;
  /** Standard error of the fitted rate, Hz. */
  readonly fittedRateError: number | null;
  /** The roundest rate that the stamps do not contradict; null without stamps. */
  readonly sampleRate: number | null;
  /** Stamp minus fitted line, s; null without stamps. */
  readonly residuals: Float64Array | null;
  readonly rmsResidual: number | null;
  readonly notes: readonly string[];
}

/**
 * Fits the clock of a record from its frame counter, its time stamps, or both.
 *
 * Counter c of modulus M: place pᵢ = pᵢ₋₁ + ((cᵢ − cᵢ₋₁) mod M). Stamps alone: each goes to the whole number nearest to
 * the running line. Both: places from the counter, whole turns of it (losses of M frames or more) from the stamps. The
 * clock is the least-squares line t = a + p/rate through the stamps. Refused: stamps that fall back, or clocks of more than 20
 * frames a row. Noted: a gap longer than all rows, a count of 0 after 100 lost frames or more (the counter may have started
 * again), a stamp that lies 20 times farther from the line than half of them do.
 *
 * Kept: nothing is changed. Cost: one pass.
 *
 * @param source counter with modulus, stamps, or both
 * @returns places, losses by length, fitted rate with its standard error, residuals
 * @throws InputError where there is neither, or where frames repeat, run back or cannot be placed, or stamps fall back; the row is named
 * @see repairClock puts a channel at these places
 * @example
 * const counter = makeChannel({ name: 'frame', unit: 'count', sampleRate: 100, values: [6, 7, 2, 3] });
 * Array.from(fitClock({ counter, modulus: 8 }).place) // => [0,1,4,5]
 */
export function fitClock(source: ClockSource): ClockFit {
  const where = 'fitClock';
  const { counter, modulus, stamps, maxJitter } = checkOptions(where, source, { optional: ['counter', 'modulus', 'stamps', 'maxJitter'] });
  if (counter === undefined && stamps === undefined) throw new InputError({ where, argument: 'counter', expected: 'given, or stamps, or both', given: 'neither' });
  if (counter !== undefined) {
    checkChannel(where, counter, ['count'], "State its unit with assignUnit(channel, 'count') if that is what it is.");
    checkNumber(where, 'modulus', modulus, { integer: true, min: 2 });
  } else if (modulus !== undefined) throw new InputError({ where, argument: 'modulus', expected: 'given together with counter', given: String(modulus) });
  if (stamps !== undefined) checkChannel(where, stamps, ['s', 'ms']);
  if (maxJitter !== undefined) checkNumber(where, 'maxJitter', maxJitter, { above: 0, max: 0.5 });
  if (counter && stamps && counter.values.length !== stamps.values.length) {
    throw new InputError({ where, argument: 'stamps', expected: `as long as counter (${counter.values.length} rows)`, given: `${stamps.values.length} rows` });
  }
  const seconds = stamps === undefined ? null : secondsOf(where, stamps);
  const place = counter ? placesOf(where, counter, modulus!, seconds) : placesOfStamps(where, seconds!, maxJitter);
  checkFrames(where, counter ? 'counter' : 'stamps', place, seconds);
  if (counter && seconds) checkStampsFollow(where, place, seconds, counter.values);
  const line = seconds === null ? null : fitLine(where, place, seconds);
  const rows = place.length;
  const frames = place[rows - 1]! + 1;
  const notes: string[] = [];
  if (seconds === null) notes.push(`losses of ${modulus} frames or more at once cannot be seen by the counter alone`);
  notes.push(...clockNotes(place, counter?.values ?? null, line?.residuals ?? null, line === null ? 0 : 1 / line.rate));
  return makeResult('ClockFit', {
    place, rows, lostFrames: frames - rows, lostPart: (frames - rows) / frames, gapLengths: gapLengthsOf(place),
    fittedRate: line?.rate ?? null, fittedRateError: line?.rateError ?? null, sampleRate: line?.rounded ?? null, residuals: line?.residuals ?? null, rmsResidual: line?.rms ?? null, notes,
  }, (f) => `Clock: ${f.rows} rows, ${f.lostFrames} frames lost (${(100 * f.lostPart).toPrecision(2)} %)${f.fittedRate === null ? '' : `, ${f.fittedRate} Hz by the stamps, residual ${f.rmsResidual!.toPrecision(2)} s rms`}`);
}

function secondsOf(where: string, stamps: Channel<'s' | 'ms'>): Float64Array {
  const { factor } = unitConversion(stamps.unit, 's');
  const seconds = stamps.values.map((v) => v * factor);
  for (const span of stamps.invalid) throw new InputError({ where, argument: 'stamps', expected: 'valid in every row', given: `masked rows from ${span.from} (${span.why})` });
  return seconds;
}

/** Places by the counter. Rows whose count is masked are placed where the counts before and after leave no doubt. */
function placesOf(where: string, counter: Channel<'count'>, modulus: number, seconds: Float64Array | null): Float64Array {
  const { values, invalid } = counter;
  const place = new Float64Array(values.length);
  const known = new Uint8Array(values.length).fill(1);
  for (const span of invalid) known.fill(0, span.from, span.to);
  const first = known.indexOf(1);
  if (first < 0) throw new InputError({ where, argument: 'counter', expected: 'valid in some rows', given: 'all masked' });
  const period = seconds === null ? NaN : typicalPeriod(values, known, seconds, modulus);
  if (seconds !== null) checkRising(where, seconds, period);
  for (let i = 0; i < first; i++) place[i] = i;
  place[first] = first;
  let last = first;
  for (let i = first; i < values.length; i++) {
    const c = values[i]!;
    if (known[i] === 0) continue;
    if (!Number.isInteger(c) || c < 0 || c >= modulus) throw new InputError({ where, argument: `counter in row ${i}`, expected: `a whole number from 0 below ${modulus}`, given: String(c) });
    if (i === first) continue;
    let step = (((c - values[last]!) % modulus) + modulus) % modulus;
    if (seconds !== null) {
      const turns = Math.round(((seconds[i]! - seconds[last]!) / period - step) / modulus);
      if (turns > 0) step += turns * modulus;
    }
    const rows = i - last;
    if (step < rows) {
      throw new InputError({ where, argument: `counter in row ${i}`, expected: 'a frame after the one before', given: step === 0 ? `the frame ${c} again` : `frame ${c} after ${values[last]!}, ${rows} rows before`, remedy: 'Mask the wrong counts with markInvalid, or cut the doubled rows out.' });
    }
    if (step > rows && rows > 1) {
      throw new InputError({ where, argument: `counter in rows ${last + 1} to ${i - 1}`, expected: 'known where frames were lost', given: `${rows - 1} masked counts across ${step - rows} lost frames`, remedy: 'Give stamps too, or cut these rows out.' });
    }
    for (let j = last + 1; j <= i; j++) place[j] = place[last]! + (step === rows ? j - last : step);
    last = i;
  }
  for (let i = last + 1; i < values.length; i++) place[i] = place[last]! + i - last;
  return place;
}

/** Median of stamp differences over count differences of neighbouring rows; of rows farther apart where most neighbours share a stamp, as in stamps given block by block. */
function typicalPeriod(values: Float64Array, known: Uint8Array, seconds: Float64Array, modulus: number): number {
  let period = NaN;
  for (let lag = 1; lag < values.length && !(period > 0) && (lag === 1 || period === 0); lag *= 2) {
    const periods: number[] = [];
    for (let i = lag; i < values.length && periods.length < 4096; i++) {
      const step = (((values[i]! - values[i - lag]!) % modulus) + modulus) % modulus;
      if (known[i] === 1 && known[i - lag] === 1 && step > 0) periods.push((seconds[i]! - seconds[i - lag]!) / step);
    }
    periods.sort((a, b) => a - b);
    period = periods[periods.length >> 1] ?? NaN;
  }
  return period;
}

function placesOfStamps(where: string, seconds: Float64Array, maxJitter: number | undefined): Float64Array {
  const fitter = new ClockFitter(maxJitter === undefined ? {} : { maxJitter });
  fitter.push(seconds);
  const report = fitter.finish();
  for (const [event, what] of [[report.unreadable, 'a missing stamp'], [report.fallsBack, 'time that falls back'], [report.doubled, 'a stamp twice'], [report.offClock, 'a stamp off the uniform clock']] as const) {
    if (event) throw new InputError({ where, argument: `stamps in row ${event.row}`, expected: 'on a uniform clock, each later than the one before', given: `${what} (${event.at} s after ${event.before} s), ${event.count} in all`, remedy: 'Give a frame counter, or read the file with onDoubledStamp or resampleTo.' });
  }
  const place = new Float64Array(seconds.length);
  for (const piece of report.pieces) for (let i = 0; i < piece.rows; i++) place[piece.row + i] = piece.sample + i;
  return place;
}

interface Line { readonly rate: number; readonly rateError: number; readonly rounded: number; readonly residuals: Float64Array; readonly rms: number }

/** Least-squares line of stamps against places, about their means. */
function fitLine(where: string, place: Float64Array, seconds: Float64Array): Line {
  const n = place.length;
  let meanP = 0, meanT = 0;
  for (let i = 0; i < n; i++) {
    meanP += (place[i]! - meanP) / (i + 1);
    meanT += (seconds[i]! - meanT) / (i + 1);
  }
  let spp = 0, spt = 0;
  for (let i = 0; i < n; i++) {
    const d = place[i]! - meanP;
    spp += d * d;
    spt += d * (seconds[i]! - meanT);
  }
  const period = spt / spp;
  const residuals = new Float64Array(n);
  let squares = 0, worst = 0;
  for (let i = 0; i < n; i++) {
    const r = seconds[i]! - meanT - period * (place[i]! - meanP);
    residuals[i] = r;
    squares += r * r;
    worst = Math.max(worst, Math.abs(r));
  }
  const rate = 1 / period;
  if (!(rate > 0 && Number.isFinite(rate))) throw new InputError({ where, argument: 'stamps', expected: 'rising over two rows or more, as the frames do', given: `${n} ${n === 1 ? 'row' : 'rows'} from ${seconds[0]!} s to ${seconds[n - 1]!} s` });
  const periodError = n > 2 ? Math.sqrt(squares / (n - 2) / spp) : 0;
  return { rate, rateError: rate * rate * periodError, rounded: roundRate(rate, place[n - 1]!, Math.min(0.25, (2 * worst) / period + 1e-3)), residuals, rms: Math.sqrt(squares / n) };
}

function gapLengthsOf(place: Float64Array): GapLengths {
  const counts = new Map<number, number>();
  for (let i = 1; i < place.length; i++) {
    const lost = place[i]! - place[i - 1]! - 1;
    if (lost > 0) counts.set(lost, (counts.get(lost) ?? 0) + 1);
  }
  const sorted = [...counts].sort((a, b) => a[0] - b[0]);
  return { length: Float64Array.from(sorted, (e) => e[0]), count: Float64Array.from(sorted, (e) => e[1]) };
}
