import { checkChannel, duration, formatSeconds, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { spansWhere, type Run } from '../record/span.js';
import type { TimeWindow } from '../record/slice.js';
import { unitConversion } from '../record/units.js';

/** When the shaft stood still. */
export interface RestStates {
  /** s from the first sample of the speed channel. */
  readonly windows: readonly TimeWindow[];
  /** ISO 8601 UTC of the speed channel's first sample, or null. */
  readonly start: string | null;
  /** s in all windows together. */
  readonly seconds: number;
  readonly rule: { readonly below: number; readonly minimum: number; readonly guard: number };
  readonly notes: readonly string[];
}

/** What counts as rest. Physical choices: none has a default. */
export interface RestOptions {
  /** Shaft speed; its sign does not matter. */
  readonly speed: Channel<'rpm' | 'rad/s'>;
  /** The shaft rests below this speed, rad/s (use rpm(…)). */
  readonly below: number;
  /** Shortest window that is kept, after the guard time, s. */
  readonly minimum: number;
  /** Time cut off after each stop, for the ring-down, and before each start, for torque that builds up before the shaft moves, s. */
  readonly guard: number;
}

const where = 'findRestStates';

/**
 * Finds the windows in which the shaft stands still: |speed| below a limit, less a guard time at each stop and start,
 * and at least as long as asked.
 *
 * A masked sample of the speed ends a window. A shaft at rest can still be wound up (a brake, a clamped coupling, a
 * head of water on the pump): look at the residuals of fitZero. Cost: one pass.
 *
 * @param options speed, below (rad/s), minimum (s), guard (s)
 * @returns windows in seconds from the first sample of the speed channel; none is a result, with a note
 * @throws InputError for another unit, or an option out of bounds or missing
 * @see fitZero
 * @example
 * const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 1, values: [0, 0, 0, 0, 900, 900, 0, 0, 0, 0, 0] });
 * findRestStates({ speed, below: rpm(5), minimum: 2, guard: 1 }).windows // => [{"from":0,"to":3},{"from":7,"to":11}]
 */
export function findRestStates(options: RestOptions): RestStates {
  checkOptions(where, options, { required: ['speed', 'below', 'minimum', 'guard'] });
  const speed = checkChannel(where, options.speed, ['rpm', 'rad/s'] as const);
  const below = checkNumber(where, 'below', options.below, { above: 0, unit: 'rad/s' });
  const minimum = checkNumber(where, 'minimum', options.minimum, { above: 0, unit: 's' });
  const guard = checkNumber(where, 'guard', options.guard, { min: 0, unit: 's' });
  const limit = below / unitConversion(speed.unit, 'rad/s', where).factor;
  const still = validRuns(speed).flatMap((run): Run[] => spansWhere(run.to - run.from, (i) => Math.abs(speed.values[run.from + i]!) < limit, 'by hand')
    .map((s) => ({ from: s.from + run.from, to: s.to + run.from })));
  const end = duration(speed);
  const notes: string[] = [];
  let short = 0;
  const windows = still.flatMap(({ from, to }): TimeWindow[] => {
    const window = {
      from: from === 0 ? 0 : from / speed.sampleRate + guard,
      to: to === speed.values.length ? end : to / speed.sampleRate - guard,
    };
    if (window.to - window.from >= minimum * (1 - 1e-12)) return [Object.freeze(window)];
    short++;
    return [];
  });
  if (short > 0) notes.push(`${short} time${short === 1 ? '' : 's'} of rest ${short === 1 ? 'was' : 'were'} shorter than ${minimum} s after the guard time and left out.`);
  if (windows.length === 0) notes.push('No window of rest was found.');
  const seconds = windows.reduce((sum, w) => sum + w.to - w.from, 0);
  return makeResult('RestStates', {
    windows: Object.freeze(windows), start: speed.start, seconds, rule: Object.freeze({ below, minimum, guard }), notes: Object.freeze(notes),
  }, (r) => `Rest: ${r.windows.length} window${r.windows.length === 1 ? '' : 's'}, ${formatSeconds(r.seconds)} in all`);
}
