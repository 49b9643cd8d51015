import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { withRanges } from './closeResidue.js';
import { isCycles, type Cycles } from './CycleCount.js';
import { checkWindows, clockOf, maskedSpans, windowAt, type NamedWindow } from './namedWindows.js';

/** The cycles of a record by what the machine did. */
export interface CyclesByState<U extends Unit = Unit> {
  /** One for each name, in the order of first appearance; its time is that of its windows. */
  readonly states: readonly { readonly name: string; readonly cycles: Cycles<U> }[];
  /** Cycles that run from one window to another, or lie in none; its time is that of the whole record. Count them by the piece. */
  readonly between: Cycles<U>;
}

/**
 * Parts cycles by state: a cycle belongs to a state where it begins and turns back in one and the same window of it. What runs from one
 * window to another (from standstill to load and back) or lies in no window is `between`: it comes with every start, not with every hour.
 *
 * Each row is in exactly one part, so the damages of the parts add up to the damage of the whole. With dutyMix, states go in by the
 * hour and `between` by the piece. Lost time is counted where `invalid` says that it lies; without it, it is taken as spread evenly over the record, which makes the
 * rate of a state too low where the masks lie in its own windows: to a third, where they take 40 of the 50 s of a state that fills half of the record.
 *
 * Kept: the rows, with their places. Cost: two searches for each row.
 *
 * @param cycles of a record, with places: from closeResidue
 * @param windows named windows in seconds from the first sample of the count, apart from each other; a name may come again. From segmentStates: states.map(({ state, from, to }) => ({ name: state, from, to }))
 * @param options invalid: the masked spans of the counted channel (torque.invalid), in samples of the count
 * @returns cycles of each state, and those between
 * @throws InputError for a count whose residue is open, cycles in classes, from a table, repeated or extrapolated, or windows that overlap or reach beyond the record, or spans that are not the lost time of the cycles
 * @see segmentStates, damageByState, dutyMix
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 9, 5, 8, 6, 9, 0, 0] });
 * const { states, between } = cyclesByState(closeResidue(countCycles(torque), 'half'), [{ name: 'steady', from: 1, to: 6 }]);
 * states[0].cycles.range // => [4,2]
 * between.range // => [9,9]
 * const curve = curveLibrary.en1993Shear(100);
 * const of = (cycles) => damage(localStress(shearStress(cycles, solidSection(mm(10))), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'detail' })), { curve, meanStress: 'none', residue: 'half' });
 * const mix = dutyMix([{ name: 'steady', damage: of(states[0].cycles), hours: 4000 }], { starts: [{ name: 'start', damage: of(between), contained: 1, perYear: 200 }] });
 * mix.parts.length // => 2
 */
export function cyclesByState<U extends Unit>(cycles: Cycles<U>, windows: readonly NamedWindow[], options: { readonly invalid?: readonly Span[] } = {}): CyclesByState<U> {
  const where = 'cyclesByState';
  if (!isCycles(cycles)) throw new InputError({ where, argument: 'cycles', expected: 'Cycles', given: show(cycles), remedy: 'Close the residue of a count first: closeResidue(count, policy).' });
  checkOptions(where, options, { optional: ['invalid'] });
  const { sampleRate, samples } = clockOf(where, cycles);
  const sorted = checkWindows(where, windows);
  if (sorted.at(-1)!.to > (samples + 0.5) / sampleRate) throw new InputError({ where, argument: 'windows', expected: `within the record of ${samples / sampleRate} s`, given: `${sorted.at(-1)!.name} to ${sorted.at(-1)!.to} s` });
  const rows = new Map<string | null, number[]>([...windows.map((w): [string, number[]] => [w.name, []]), [null, []]]);
  for (let k = 0; k < cycles.at.length; k++) {
    if (cycles.at[k]! < 0 || cycles.fromAt[k]! < 0) throw new InputError({ where, argument: 'cycles', expected: 'with places', given: 'cycles in classes', remedy: "Count with keep: 'cycles'." });
    const window = windowAt(sorted, cycles.at[k]! / sampleRate);
    rows.get(window !== null && window === windowAt(sorted, cycles.fromAt[k]! / sampleRate) ? window.name : null)!.push(k);
  }
  const lostIn = lostTimeIn(where, cycles, options.invalid, samples, sampleRate);
  const part = (name: string | null): Cycles<U> => {
    const own = name === null ? [{ from: 0, to: samples / sampleRate }] : sorted.filter((w) => w.name === name);
    const seconds = own.reduce((sum, w) => sum + w.to - w.from, 0);
    const lostTime = own.reduce((sum, w) => sum + lostIn(w), 0);
    return rowsOf(cycles, rows.get(name)!, { validTime: Math.max(0, seconds - lostTime), lostTime, spread: cycles.lostTime > 0 && options.invalid === undefined }, name === null ? 'Cycles between the states.' : `Cycles within the state ${name}.`);
  };
  return makeResult<CyclesByState<U>>('CyclesByState', { states: Object.freeze([...rows.keys()].filter((n) => n !== null).map((name) => Object.freeze({ name, cycles: part(name) }))), between: part(null) },
    (r) => `Cycles by state: ${[...r.states.map((s) => `${s.name} ${s.cycles.total}`), `between ${r.between.total}`].join(', ')}`);
}

/** Masked seconds of a window: where the spans lie, or spread evenly where they are not stated. */
function lostTimeIn(where: string, cycles: Cycles, invalid: readonly Span[] | undefined, samples: number, sampleRate: number): (window: { readonly from: number; readonly to: number }) => number {
  if (invalid === undefined) return ({ from, to }) => ((to - from) * cycles.lostTime * sampleRate) / samples;
  const spans = maskedSpans(where, cycles, invalid);
  return ({ from, to }) => spans.reduce((sum, s) => sum + Math.max(0, Math.min(to, s.to / sampleRate) - Math.max(from, s.from / sampleRate)), 0);
}

/** Some rows of cycles, with the places that they have in the record; their time is their own. */
function rowsOf<U extends Unit>(cycles: Cycles<U>, rows: readonly number[], { spread, ...time }: { readonly validTime: number; readonly lostTime: number; readonly spread: boolean }, note: string): Cycles<U> {
  const pick = (key: 'from' | 'to' | 'fromAt' | 'at' | 'count'): Float64Array => Float64Array.from(rows, (k) => cycles[key][k]!);
  return withRanges<U>({
    unit: cycles.unit, from: pick('from'), to: pick('to'), fromAt: pick('fromAt'), at: pick('at'), count: pick('count'), ...time, residue: cycles.residue, gate: cycles.gate, sampleRate: cycles.sampleRate, sources: cycles.sources,
    notes: Object.freeze([...cycles.notes, note, ...(spread ? ['Lost time was taken as spread evenly over the record; state invalid, the masked spans of the channel, to count it where it lies.'] : [])]),
  });
}
