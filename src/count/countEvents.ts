import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { coveredSamples } from '../record/span.js';
import { shiftInstant } from '../record/time.js';
import type { Unit } from '../record/units.js';

/** One stretch in which a state held. */
export interface StateEvent {
  /** Seconds from the first sample to the entry, and to the exit. */
  readonly from: number;
  readonly to: number;
  /** ISO 8601 UTC of the entry; null where the start is not known. */
  readonly time: string | null;
  /** The value of largest magnitude on the way, with its sign. */
  readonly peak: number;
  /** Did the record begin inside it: was the entry not seen? */
  readonly openAtStart: boolean;
  /** Did the record end inside it: was the exit not seen? */
  readonly openAtEnd: boolean;
}

/** When a state is entered and left. */
export interface StateRule {
  /** Entered where the magnitude reaches this. */
  readonly on: number;
  /** Left where the magnitude falls below this; not above `on`. */
  readonly off: number;
  /** Seconds that it must hold before entry or exit counts; 0 unless told. */
  readonly dwell?: number;
}

/** Counts of what happened to a shaft. */
export interface EventCounts<U extends Unit = Unit> {
  readonly unit: U;
  /** Entries into running that were seen; null where no rule was given. */
  readonly starts: number | null;
  /** Exits from running that were seen. */
  readonly stops: number | null;
  /** Changes of direction between two stretches beyond the reversal level. */
  readonly reversals: number | null;
  /** Entries into overload, one that the record begins with included. */
  readonly overloads: number | null;
  readonly running: readonly StateEvent[];
  readonly overloaded: readonly StateEvent[];
  /** Seconds from the first sample to each reversal. */
  readonly reversedAt: Float64Array;
  readonly validTime: number;
  readonly notes: readonly string[];
}

/** The rules; each may be left out, one must be given. They are physical choices without defaults. */
export interface EventRules {
  readonly running?: StateRule;
  readonly overload?: StateRule;
  /** Reversal: the sign changes between two stretches of magnitude `on`, each held for `dwell`. */
  readonly reversal?: { readonly on: number; readonly dwell?: number };
}

/**
 * Counts starts, stops, reversals and overloads, with hysteresis and dwell, so that noise about a threshold counts once.
 *
 * A state is entered where |value| ≥ on and it does not fall below off for the dwell; it is left where |value| < off and
 * it does not reach on for the dwell. Masked samples neither enter nor leave; time under masks counts towards the dwell.
 *
 * Cost: one pass for each rule.
 *
 * @param channel torque, speed or another quantity with a sign
 * @param rules running, overload and reversal, at least one; levels in the unit of the channel
 * @returns counts and the stretches; a stretch that the record begins or ends in is marked and counts as no start or stop
 * @throws InputError for no rule, on not above 0, off above on, or a dwell below 0
 * @see levelCrossings
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 5, 4, 6, 1, 0, -5, -5, 0] });
 * const events = countEvents(torque, { running: { on: 3, off: 2 }, reversal: { on: 3 }, overload: { on: 6, off: 5 } });
 * [events.starts, events.stops, events.reversals, events.overloads] // => [2,2,1,1]
 */
export function countEvents<U extends Unit>(channel: Channel<U>, rules: EventRules): EventCounts<U> {
  const where = 'countEvents';
  checkChannel(where, channel);
  checkOptions(where, rules, { optional: ['running', 'overload', 'reversal'] });
  if (!rules.running && !rules.overload && !rules.reversal) throw new InputError({ where, argument: 'rules', expected: 'at least one of running, overload, reversal', given: 'none' });
  const running = rules.running ? stretches(where, channel, 'running', rules.running, 0) : null;
  const overloaded = rules.overload ? stretches(where, channel, 'overload', rules.overload, 0) : null;
  const reversed = rules.reversal ? reversals(where, channel, rules.reversal) : null;
  const open = [...(running ?? []), ...(overloaded ?? [])].filter((e) => e.openAtStart || e.openAtEnd).length;
  const lost = coveredSamples(channel.invalid);
  return makeResult<EventCounts<U>>('EventCounts', {
    unit: channel.unit, starts: running && running.filter((e) => !e.openAtStart).length, stops: running && running.filter((e) => !e.openAtEnd).length,
    reversals: reversed && reversed.length, overloads: overloaded && overloaded.length, running: Object.freeze(running ?? []), overloaded: Object.freeze(overloaded ?? []),
    reversedAt: reversed ?? new Float64Array(0), validTime: (channel.values.length - lost) / channel.sampleRate,
    notes: Object.freeze([
      ...(open > 0 ? [`${open} stretches run over an end of the record; their unseen entries and exits are not counted as starts or stops.`] : []),
      ...(lost > 0 ? ['What happened under masks is not counted.'] : []),
    ]),
  }, (e) => `EventCounts ${channel.name}: ${[['starts', e.starts], ['stops', e.stops], ['reversals', e.reversals], ['overloads', e.overloads]].filter(([, n]) => n !== null).map(([name, n]) => `${n} ${name}`).join(', ')}`);
}

function stretches(where: string, channel: Channel, name: string, rule: StateRule, side: -1 | 0 | 1): StateEvent[] {
  checkOptions(where, rule, { required: ['on', 'off'], optional: ['dwell'] });
  const on = checkNumber(where, `${name}.on`, rule.on, { above: 0, unit: channel.unit });
  const off = checkNumber(where, `${name}.off`, rule.off, { min: 0, max: on, unit: channel.unit });
  const dwell = checkNumber(where, `${name}.dwell`, rule.dwell ?? 0, { min: 0, unit: 's' }) * channel.sampleRate;
  const { values, sampleRate } = channel;
  const events: StateEvent[] = [];
  let inside = false, pending = -1, entered = 0, seen = false, openAtStart = false;
  let top = 0;
  const close = (to: number, openAtEnd: boolean): void => {
    events.push(Object.freeze({ from: entered / sampleRate, to: to / sampleRate, time: shiftInstant(channel.start, entered / sampleRate), peak: top, openAtStart, openAtEnd }));
  };
  for (const run of validRuns(channel)) {
    for (let i = run.from; i < run.to; i++) {
      const v = side === 0 ? Math.abs(values[i]!) : side * values[i]!;
      if (!seen) {
        seen = true;
        inside = openAtStart = v >= on;
        entered = i;
        top = values[i]!;
      } else if (!inside) {
        if (pending < 0 && v >= on) {
          pending = i;
          top = values[i]!;
        } else if (pending >= 0 && v < off) pending = -1;
        if (pending >= 0 && i - pending >= dwell) {
          [inside, entered, openAtStart, pending] = [true, pending, false, -1];
        }
      } else {
        if (pending < 0 && v < off) pending = i;
        else if (pending >= 0 && v >= on) pending = -1;
        if (pending >= 0 && i - pending >= dwell) {
          close(pending, false);
          [inside, pending] = [false, -1];
        }
      }
      if ((inside || pending >= 0) && Math.abs(values[i]!) > Math.abs(top)) top = values[i]!;
    }
  }
  if (inside) close(values.length, true);
  return events;
}

/** Where the stretches beyond +on and beyond −on follow one another: the entry of each that has the other sign than the one before it. */
function reversals(where: string, channel: Channel, rule: { readonly on: number; readonly dwell?: number }): Float64Array {
  checkOptions(where, rule, { required: ['on'], optional: ['dwell'] });
  const full = { on: rule.on, off: rule.on, dwell: rule.dwell ?? 0 };
  const sides = ([1, -1] as const).flatMap((side) => stretches(where, channel, 'reversal', full, side).map((e) => ({ side, from: e.from })));
  sides.sort((a, b) => a.from - b.from);
  return Float64Array.from(sides.filter((e, k) => k > 0 && e.side !== sides[k - 1]!.side), (e) => e.from);
}
