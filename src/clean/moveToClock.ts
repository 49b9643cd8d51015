import { checkChannel, validRuns, type Channel, type Outcome } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { spansWhere, type Fault, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { interpolateAt, sincKernel } from '../numeric/interpolate.js';

/** Where the reference's clock stands against the channel's: τ = (t − offset)·(1 + skew), as alignChannels finds it. */
export interface ClockLaw {
  /** A channel on the clock to move to: its rate, length and start are taken. */
  readonly reference: Channel;
  /** s. */
  readonly offset: number;
  /** Ratio; 50e-6 is 50 ppm fast. */
  readonly skew: number;
}

/** How late a signal comes. */
export interface Latency {
  /** Time by which the channel shows things late (radio, converter, filter), s; below 0 where it shows them early. */
  readonly latency: number;
}

const kernelHalf = 16;
const kernelBeta = 9;

/**
 * The channel read at the times τ₀ + n·step, n = 0 … count − 1, in seconds of its own clock. Places on a sample give it
 * exactly; others a windowed sinc over the valid run around them, with its pass band narrowed where the new rate is lower.
 */
function readAt(channel: Channel, first: number, step: number, count: number): { readonly values: Float64Array; readonly invalid: readonly Span[] } {
  const { values, sampleRate } = channel;
  const out = new Float64Array(count).fill(NaN);
  const reason = new Uint8Array(count).fill(1);
  const kernel = sincKernel(kernelHalf, kernelBeta);
  const cutoff = Math.min(1, 1 / (step * sampleRate));
  for (const { from, to } of validRuns(channel)) {
    const low = Math.max(0, Math.ceil((from / sampleRate - first) / step - 1e-9));
    const high = Math.min(count - 1, Math.floor(((to - 1) / sampleRate - first) / step + 1e-9));
    if (high < low) continue;
    const places = Float64Array.from({ length: high - low + 1 }, (_, n) => {
      const place = (first + (low + n) * step) * sampleRate;
      const near = Math.round(place);
      return Math.min(to - 1, Math.max(from, Math.abs(place - near) < 1e-7 ? near : place));
    });
    interpolateAt(kernel, values, from, to, places, () => cutoff, out, low);
    if (cutoff === 1) for (let n = 0; n < places.length; n++) if (Number.isInteger(places[n]!)) out[low + n] = values[places[n]!]!;
    reason.fill(0, low, high + 1);
  }
  return { values: out, invalid: lostSpans(channel, reason, first, step) };
}

/** Samples without a value: the reason that the channel gives at that time, or 'out of range' beyond its ends. */
function lostSpans(channel: Channel, reason: Uint8Array, first: number, step: number): Span[] {
  const { invalid, sampleRate, values } = channel;
  const whys: (Fault | null)[] = new Array<Fault | null>(reason.length).fill(null);
  let at = 0;
  for (let n = 0; n < reason.length; n++) {
    if (reason[n] === 0) continue;
    const place = (first + n * step) * sampleRate;
    if (place < -1e-7 || place > values.length - 1 + 1e-7) {
      whys[n] = 'out of range';
      continue;
    }
    while (at < invalid.length - 1 && invalid[at]!.to <= Math.floor(place)) at++;
    whys[n] = invalid[at]?.why ?? 'out of range';
  }
  const kinds = [...new Set(whys.filter((w) => w !== null))];
  return kinds.flatMap((why) => spansWhere(reason.length, (n) => whys[n] === why, why));
}

const moveOperation = defineOperation<ClockLaw>('moveToClock', (channel, options) => {
  const where = 'moveToClock';
  const { reference, offset, skew } = checkOptions(where, options, { required: ['reference', 'offset', 'skew'] });
  checkChannel(where, reference);
  checkNumber(where, 'offset', offset, { unit: 's' });
  checkNumber(where, 'skew', skew, { above: -0.01, below: 0.01 });
  if (reference.sampleRate < channel.sampleRate / 1000) throw new InputError({ where, argument: 'reference', expected: `a clock of at least a thousandth of the rate of ${channel.name} (${channel.sampleRate / 1000} Hz)`, given: `${reference.sampleRate} Hz`, remedy: 'Use decimate first.' });
  const read = readAt(channel, -offset * (1 + skew), (1 + skew) / reference.sampleRate, reference.values.length);
  return { ...outcome(where, channel, read), sampleRate: reference.sampleRate, start: reference.start };
});

function outcome(where: string, channel: Channel, read: ReturnType<typeof readAt>): Outcome {
  const masked = read.invalid.reduce((n, s) => n + s.to - s.from, 0);
  if (masked === read.values.length) throw new InputError({ where, argument: 'offset', expected: `such that ${channel.name} and its new clock have time in common`, given: 'no sample in common' });
  return { values: read.values, invalid: read.invalid, found: { samples: read.values.length, masked, outOfRange: read.invalid.filter((s) => s.why === 'out of range').reduce((n, s) => n + s.to - s.from, 0) } };
}

/**
 * Reads a channel on the clock of another recorder: sample n becomes the value at τ = (n/rate − offset)·(1 + skew).
 *
 * Read by a Kaiser-windowed sinc of 16 samples to each side (pass band narrowed where the new rate is lower), so that content
 * up to 0.8 of half the lower rate is kept to 0.1 %; places on a sample give it exactly. Times that the channel did
 * not record, or recorded under a mask, are masked.
 *
 * Kept: name, unit; rate, length and start are the reference's. Cost: 32 products a sample.
 *
 * @param channel a channel of the other recorder
 * @param law the reference channel, and offset (s) and skew as alignChannels found them
 * @throws InputError where the two have no time in common, or the reference is more than a thousand times slower
 * @see alignChannels, correctLatency
 * @example
 * const reference = makeChannel({ name: 'a', unit: 'rpm', sampleRate: 10, values: new Float64Array(5) });
 * const other = makeChannel({ name: 'b', unit: 'kW', sampleRate: 10, values: [5, 6, 7, 8] });
 * moveToClock(other, { reference, offset: 0.2, skew: 0 }).invalid // => [{"from":0,"to":2,"why":"out of range"}]
 */
export function moveToClock<U extends Unit>(channel: Channel<U>, law: ClockLaw): Channel<U> {
  return moveOperation(channel, law) as Channel<U>;
}

const latencyOperation = defineOperation<Latency>('correctLatency', (channel, options) => {
  const where = 'correctLatency';
  const { latency } = checkOptions(where, options, { required: ['latency'] });
  checkNumber(where, 'latency', latency, { unit: 's' });
  return outcome(where, channel, readAt(channel, latency, 1 / channel.sampleRate, channel.values.length));
});

/**
 * Takes the latency out of a channel: y(t) = x(t + latency), on the same clock, so that it agrees with channels that are not
 * late. Correct latency before power (torque × speed) and before phases between channels.
 *
 * Read as in moveToClock; a latency of whole samples moves them exactly. Samples beyond the record's end are masked as 'out of range'.
 *
 * Kept: name, unit, rate, length, start. Cost: 32 products a sample.
 *
 * @param channel the late channel
 * @param options latency in seconds, no default
 * @throws InputError for a latency as long as the record
 * @see moveToClock
 * @example
 * const late = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 1, 2, 3] });
 * Array.from(correctLatency(late, { latency: 0.1 }).values.subarray(0, 3)) // => [1,2,3]
 */
export function correctLatency<U extends Unit>(channel: Channel<U>, options: Latency): Channel<U> {
  return latencyOperation(channel, options) as Channel<U>;
}
