import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { momentsWithin } from '../record/momentsWithin.js';
import { makeResult } from '../record/result.js';
import { windowToSamples } from '../record/slice.js';
import { coveredSamples, sliceSpans } from '../record/span.js';
import { shiftInstant } from '../record/time.js';
import { fitRingDown, type RingDown } from './fitRingDown.js';
import { checkStates, type MachineState, type MachineStates, type StateName } from './segmentStates.js';

/** What torqueEvents takes. */
export interface TorqueEventOptions {
  /** From segmentStates, edited or not. */
  readonly states: MachineStates | readonly MachineState[];
  /** Which states are events, default start, load change and trip. */
  readonly of?: readonly StateName[];
  /** s of the following state that still belong to an event (its ringing), default 5. */
  readonly after?: number;
  /** Band in which the ring-down after a trip is looked for, Hz; without it none is fitted. */
  readonly ringDown?: { readonly from: number; readonly to: number };
}

/** One event of torque. */
export interface TorqueEvent {
  readonly state: StateName;
  /** s from the first sample, and ISO 8601 UTC of the peak; null where the start is not known. */
  readonly from: number;
  readonly to: number;
  readonly time: string | null;
  /** N·m, the sample of largest size, and when, s. */
  readonly peak: number;
  readonly peakAt: number;
  /** N·m, the other extreme. */
  readonly opposite: number;
  /** |peak| over the steady torque named in `against`; null where no steady state is beside it. */
  readonly amplification: number | null;
  /** The denominator: mean torque of the steady state after a start, before a trip, and the larger of both for a change of load; N·m. */
  readonly against: { readonly state: 'before' | 'after'; readonly torque: number } | null;
  /** s from 10 % to 90 % of the way from the torque before to the peak; null where the samples between are masked. */
  readonly riseTime: number | null;
  readonly ringDown: RingDown | null;
  /** Share of the event's samples under masks: its peak may be hidden. */
  readonly masked: number;
}

/** The events of a record. */
export interface TorqueEvents {
  readonly events: readonly TorqueEvent[];
  readonly notes: readonly string[];
}

const where = 'torqueEvents';

/**
 * Measures the events of a record: peak torque, torque amplification with its denominator stated, rise time, and the ring-down after a trip.
 *
 * Cost: a few passes over the events.
 *
 * @param torque N·m, unfiltered or filtered well above the modes
 * @param options states; of: which states count; after, s; ringDown: band, Hz
 * @returns the events in order
 * @throws InputError for states outside the record or out of order
 * @see segmentStates, fitRingDown, eventTrend
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [...Array(20).fill(0), ...Array(10).fill(900), ...Array(70).fill(500)] });
 * const states = [{ state: 'stop', from: 0, to: 2, speed: 0, torque: 0 }, { state: 'start', from: 2, to: 3, speed: 20, torque: 900 }, { state: 'steady', from: 3, to: 10, speed: 40, torque: 500 }];
 * torqueEvents(torque, { states }).events[0].amplification // => 1.8
 * @references Common practice, no source; the denominator is stated because practice varies.
 */
export function torqueEvents(torque: Channel<'N·m'>, options: TorqueEventOptions): TorqueEvents {
  checkChannel(where, torque, ['N·m'], "Convert it with convert(channel, 'N·m').");
  checkOptions(where, options, { required: ['states'], optional: ['of', 'after', 'ringDown'] });
  const states = checkStates(where, 'states' in options.states ? options.states.states : options.states);
  const of = options.of ?? ['start', 'load change', 'trip'];
  const after = checkNumber(where, 'after', options.after ?? 5, { min: 0, unit: 's' });
  const notes: string[] = [];
  const events = states.flatMap((state, k) => (of.includes(state.state) ? [measure(torque, states, k, after, options.ringDown, notes)] : []));
  return makeResult('TorqueEvents', { events: Object.freeze(events), notes: Object.freeze(notes) },
    (r) => `TorqueEvents: ${r.events.map((e) => `${e.state} at ${e.peakAt.toFixed(2)} s, peak ${e.peak.toPrecision(4)} N·m${e.amplification === null ? '' : ` (${e.amplification.toPrecision(3)} × the steady torque ${e.against!.state})`}`).join('; ') || 'none'}`);
}

function measure(torque: Channel, states: readonly MachineState[], k: number, after: number, band: TorqueEventOptions['ringDown'], notes: string[]): TorqueEvent {
  const state = states[k]!;
  const end = Math.min(state.to + after, states.at(-1)!.to, states[k + 1]?.to ?? state.to);
  const window = { from: state.from, to: end };
  const { from, to } = windowToSamples(where, torque, window, `states[${k}]`);
  const { moments } = momentsWithin(torque, from, to);
  if (moments.count === 0) throw new InputError({ where, argument: `states[${k}]`, expected: 'a stretch with valid samples', given: 'one that is masked throughout' });
  const upward = Math.abs(moments.max) >= Math.abs(moments.min);
  const peak = upward ? moments.max : moments.min;
  const at = indexOfValue(torque, from, to, peak);
  const against = steadyBeside(states, k);
  const start = momentsWithin(torque, Math.max(0, from - Math.round(torque.sampleRate)), Math.max(1, from)).moments;
  return Object.freeze({
    state: state.state, ...window, peak, peakAt: at / torque.sampleRate, time: shiftInstant(torque.start, at / torque.sampleRate), opposite: upward ? moments.min : moments.max,
    amplification: against && against.torque !== 0 ? Math.abs(peak) / Math.abs(against.torque) : null, against,
    riseTime: riseOf(torque, from, at, start.count > 0 ? start.mean : torque.values[from]!, peak), ringDown: state.state === 'trip' && band ? ringOf(torque, collapseOf(torque, from, to, against?.torque ?? peak), end, band, notes) : null,
    masked: coveredSamples(sliceSpans(torque.invalid, from, to)) / (to - from),
  });
}

function indexOfValue(torque: Channel, from: number, to: number, value: number): number {
  let mask = 0;
  for (let i = from; i < to; i++) {
    while (mask < torque.invalid.length && torque.invalid[mask]!.to <= i) mask++;
    if (torque.values[i] === value && !(mask < torque.invalid.length && torque.invalid[mask]!.from <= i)) return i;
  }
  return from;
}

function steadyBeside(states: readonly MachineState[], k: number): TorqueEvent['against'] {
  const before = states.slice(0, k).reverse().find((s) => s.state === 'steady');
  const after = states.slice(k + 1).find((s) => s.state === 'steady');
  const side = (s: MachineState | undefined, name: 'before' | 'after'): TorqueEvent['against'] => (s ? Object.freeze({ state: name, torque: s.torque }) : null);
  if (states[k]!.state === 'start') return side(after, 'after');
  if (states[k]!.state === 'trip') return side(before, 'before');
  if (before && after) return Math.abs(after.torque) >= Math.abs(before.torque) ? side(after, 'after') : side(before, 'before');
  return side(after, 'after') ?? side(before, 'before');
}

/** Last passage of 10 % and first of 90 % on the way up to the peak, by straight lines between samples. */
function riseOf(torque: Channel, from: number, at: number, start: number, peak: number): number | null {
  if (torque.invalid.some((s) => s.from < at && s.to > from)) return null;
  const share = (i: number): number => (torque.values[i]! - start) / (peak - start);
  let low = -1;
  for (let i = at; i > from && low < 0; i--) if (share(i - 1) <= 0.1 && share(i) > 0.1) low = i - 1 + (0.1 - share(i - 1)) / (share(i) - share(i - 1));
  if (low < 0) return null;
  for (let i = Math.ceil(low); i <= at; i++) {
    if (share(i) >= 0.9) {
      const previous = share(i - 1);
      const high = i - 1 + (previous >= 0.9 ? 0 : (0.9 - previous) / (share(i) - previous));
      return (high - low) / torque.sampleRate;
    }
  }
  return null;
}

/** The first sample at which the torque is less than half of what it was: the ring-down begins there. */
function collapseOf(torque: Channel, from: number, to: number, before: number): number {
  for (let i = from; i < to; i++) if (torque.values[i]! / before < 0.5) return i;
  return from;
}

function ringOf(torque: Channel, at: number, end: number, band: { readonly from: number; readonly to: number }, notes: string[]): RingDown | null {
  try {
    const found = fitRingDown(torque, { from: at / torque.sampleRate, to: end, band });
    notes.push(...found.notes.map((note) => `Ring-down after the trip at ${(at / torque.sampleRate).toFixed(2)} s: ${note}`));
    return found;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    notes.push(`The ring-down after the trip at ${(at / torque.sampleRate).toFixed(2)} s could not be fitted: ${error.message}`);
    return null;
  }
}
