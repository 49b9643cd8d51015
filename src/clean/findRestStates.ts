import { checkChannel, duration, formatSeconds, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { momentsWithin } from '../record/momentsWithin.js';
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
  /** Windows of slow turning, each in one direction, with its mean speed in rad/s; empty without barringBelow. */
  readonly barring: readonly BarringWindow[];
  /** s in all windows of rest together. */
  readonly seconds: number;
  readonly rule: { readonly below: number; readonly minimum: number; readonly guard: number; readonly barringBelow: number | null };
  readonly notes: readonly string[];
}

/** A window of slow turning in one direction. */
export interface BarringWindow extends TimeWindow {
  /** Mean speed with its sign, rad/s. */
  readonly speed: number;
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
  /** Turning slower than this, rad/s, and not at rest, counts as barring: unloaded but for friction. Left out, barring is not looked for. */
  readonly barringBelow?: number;
}

const where = 'findRestStates';

/**
 * Finds the windows in which the shaft stands still: |speed| below a limit, less a guard time at each stop and start,
 * and at least as long as asked; and, where asked for, those in which it is barred, in each direction.
 *
 * A masked sample of the speed ends a window. A shaft at rest can still be wound up (a brake, a clamped coupling, a
 * head of water on the pump): look at the residuals of fitZero, or bar it in both directions and fit friction. Cost: one pass.
 *
 * @param options speed, below (rad/s), minimum (s), guard (s), barringBelow (rad/s)
 * @returns windows in seconds from the first sample of the speed channel; none is a result, with a note
 * @throws InputError for another unit, or an option out of bounds or missing
 * @see fitZero
 * @example
 * const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 1, values: [0, 0, 0, 0, 900, 900, 0, 0, 0, 0, 0] });
 * findRestStates({ speed, below: rpm(5), minimum: 2, guard: 1 }).windows // => [{"from":0,"to":3},{"from":7,"to":11}]
 */
export function findRestStates(options: RestOptions): RestStates {
  checkOptions(where, options, { required: ['speed', 'below', 'minimum', 'guard'], optional: ['barringBelow'] });
  const speed = checkChannel(where, options.speed, ['rpm', 'rad/s'] as const);
  const below = checkNumber(where, 'below', options.below, { above: 0, unit: 'rad/s' });
  const minimum = checkNumber(where, 'minimum', options.minimum, { above: 0, unit: 's' });
  const guard = checkNumber(where, 'guard', options.guard, { min: 0, unit: 's' });
  const barringBelow = options.barringBelow === undefined ? null : checkNumber(where, 'barringBelow', options.barringBelow, { above: below, unit: 'rad/s' });
  const { factor } = unitConversion(speed.unit, 'rad/s', where);
  const still = windowsWhere(speed, (v) => Math.abs(v) < below / factor, minimum, guard);
  const barring = barringBelow === null ? [] : [1, -1].flatMap((sign) =>
    windowsWhere(speed, (v) => sign * v >= below / factor && sign * v < barringBelow / factor, minimum, guard).windows.map((w): BarringWindow => {
      const { moments } = momentsWithin(speed, Math.ceil(w.from * speed.sampleRate), Math.floor(w.to * speed.sampleRate));
      return Object.freeze({ ...w, speed: moments.mean * factor });
    })).sort((a, b) => a.from - b.from);
  const notes: string[] = [];
  if (still.short > 0) notes.push(`${still.short} time${still.short === 1 ? '' : 's'} of rest ${still.short === 1 ? 'was' : 'were'} shorter than ${minimum} s after the guard time and left out.`);
  if (still.windows.length === 0) notes.push('No window of rest was found.');
  if (barringBelow !== null && !(barring.some((w) => w.speed > 0) && barring.some((w) => w.speed < 0))) notes.push('The shaft was not barred in both directions: friction cannot be told from the zero.');
  const seconds = still.windows.reduce((sum, w) => sum + w.to - w.from, 0);
  return makeResult('RestStates', {
    windows: Object.freeze(still.windows), start: speed.start, barring: Object.freeze(barring), seconds, rule: Object.freeze({ below, minimum, guard, barringBelow }), notes: Object.freeze(notes),
  }, (r) => `Rest: ${r.windows.length} window${r.windows.length === 1 ? '' : 's'}, ${formatSeconds(r.seconds)} in all${r.barring.length > 0 ? `; barred ${r.barring.length} times` : ''}`);
}

/** Runs of valid samples that pass a test, less the guard at each end that is not an end of the record. */
function windowsWhere(speed: Channel, test: (value: number) => boolean, minimum: number, guard: number): { readonly windows: TimeWindow[]; readonly short: number } {
  const runs = validRuns(speed).flatMap((run): Run[] => spansWhere(run.to - run.from, (i) => test(speed.values[run.from + i]!), 'by hand')
    .map((s) => ({ from: s.from + run.from, to: s.to + run.from })));
  const windows = runs.map(({ from, to }): TimeWindow => Object.freeze({
    from: from === 0 ? 0 : from / speed.sampleRate + guard,
    to: to === speed.values.length ? duration(speed) : to / speed.sampleRate - guard,
  })).filter((w) => w.to - w.from >= minimum * (1 - 1e-12));
  return { windows, short: runs.length - windows.length };
}
