import type { Channel } from '../record/Channel.js';
import { checkChoice, checkOptions } from '../record/check.js';
import { coveredSamples } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { withRanges, type WeighedCycle } from './closeResidue.js';
import type { Cycles, ResiduePolicy } from './CycleCount.js';
import { readSignal, turnsOf, type Signal } from './turningPoints.js';

/**
 * Counts simple ranges: every range between successive turning points, without pairing.
 *
 * With `'both'` slopes each range is half a cycle; with one slope alone each is one cycle. Small ripples break large
 * ranges up, so this count is no basis for a life; it is here for comparison with records that were counted this way.
 *
 * Cost: one pass.
 *
 * @param signal a channel, or bare numbers (unit '1', 1 Hz)
 * @param options slopes 'both' (default), 'rising' or 'falling'
 * @returns cycles in time order; masked spans are bridged
 * @throws InputError where nothing valid is there, or for another slope
 * @see countCycles rangePairs
 * @example
 * simpleRanges(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)).range // => [3,4,8,6,4,7,8,6]
 * simpleRanges(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)).total // => 4
 * @references ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, 5.3, from memory.
 */
export function simpleRanges<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: { readonly slopes?: 'both' | 'rising' | 'falling' } = {}): Cycles<U> {
  const where = 'simpleRanges';
  checkOptions(where, options, { optional: ['slopes'] });
  const slopes = checkChoice(where, 'slopes', options.slopes ?? 'both', ['both', 'rising', 'falling']);
  const source = readSignal<U>(where, signal);
  const { values, at } = turnsOf(source.values, source.runs);
  const rows: WeighedCycle[] = [];
  for (let k = 1; k < values.length; k++) {
    const from = values[k - 1]!;
    const to = values[k]!;
    if (slopes === 'both' || (slopes === 'rising') === to > from) rows.push({ from, to, fromAt: at[k - 1]!, at: at[k]!, count: slopes === 'both' ? 0.5 : 1 });
  }
  return cyclesOf(source, rows, slopes === 'both' ? 'half' : 'drop', `Simple-range count of ${slopes === 'both' ? 'rising and falling ranges, half a cycle each' : `${slopes} ranges, one cycle each`}; not rainflow.`);
}

/**
 * Counts range pairs: a range is a cycle where the next one is at least as large, forward and then backward over what is left.
 *
 * Its cycles are those of rainflow but for what rainflow counts as halves at the ends of a record.
 *
 * Cost: one pass.
 *
 * @param signal a channel, or bare numbers (unit '1', 1 Hz)
 * @param options last: how a single range that remains is counted, 'half' (default), 'full' or 'drop'; the practice leaves it open
 * @returns cycles in the order in which they were counted; masked spans are bridged
 * @throws InputError where nothing valid is there, or for another choice
 * @see countCycles simpleRanges
 * @example
 * rangePairs(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)).range // => [3,4,8,6]
 * @references ASTM E1049-85 (2017), Standard practices for cycle counting in fatigue analysis, 5.4.3 (clause number from memory).
 */
export function rangePairs<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: { readonly last?: 'half' | 'full' | 'drop' } = {}): Cycles<U> {
  const where = 'rangePairs';
  checkOptions(where, options, { optional: ['last'] });
  const last = checkChoice(where, 'last', options.last ?? 'half', ['half', 'full', 'drop']);
  const source = readSignal<U>(where, signal);
  const turns = turnsOf(source.values, source.runs);
  const forward = pairUp(Array.from(turns.values, (value, k) => ({ value, at: turns.at[k]! })));
  const backward = pairUp([...forward.left].reverse());
  const rows = [...forward.pairs, ...backward.pairs.map((c) => ({ ...c, from: c.to, to: c.from }))];
  const left = backward.left;
  let note = 'Range-pair count.';
  if (left.length === 2) {
    const [to, from] = left as [Point, Point];
    if (last !== 'drop') rows.push({ from: from.value, to: to.value, fromAt: Math.min(from.at, to.at), at: Math.max(from.at, to.at), count: last === 'half' ? 0.5 : 1 });
    note += ` One range of ${Math.abs(from.value - to.value)} ${source.unit} remained and was ${last === 'drop' ? 'left out' : `counted as a ${last} cycle`}.`;
  }
  return cyclesOf(source, rows, last === 'half' ? 'half' : 'drop', note);
}

interface Point {
  readonly value: number;
  readonly at: number;
}

/** Counts the earlier of two ranges where the later is not smaller, and takes both its points out. */
function pairUp(points: readonly Point[]): { readonly pairs: WeighedCycle[]; readonly left: readonly Point[] } {
  const stack: Point[] = [];
  const pairs: WeighedCycle[] = [];
  for (const point of points) {
    stack.push(point);
    while (stack.length >= 3) {
      const [a, b, c] = stack.slice(-3) as [Point, Point, Point];
      if (Math.abs(c.value - b.value) < Math.abs(b.value - a.value)) break;
      pairs.push({ from: a.value, to: b.value, fromAt: Math.min(a.at, b.at), at: Math.max(a.at, b.at), count: 1 });
      stack.splice(-3, 2);
    }
  }
  return { pairs, left: stack };
}

function cyclesOf<U extends Unit>({ unit, values, runs, channel }: Signal<U>, rows: readonly WeighedCycle[], residue: ResiduePolicy, note: string): Cycles<U> {
  const sampleRate = channel?.sampleRate ?? 1;
  const valid = coveredSamples(runs);
  const column = (key: keyof WeighedCycle): Float64Array => Float64Array.from(rows, (row) => row[key]);
  return withRanges({
    unit, from: column('from'), to: column('to'), fromAt: column('fromAt'), at: column('at'), count: column('count'), residue, gate: 0,
    sampleRate, validTime: valid / sampleRate, lostTime: (values.length - valid) / sampleRate,
    sources: Object.freeze([Object.freeze({ name: channel?.name ?? 'signal', shaft: null, start: channel?.start ?? null, from: 0, samples: values.length, trail: channel?.trail ?? [] })]),
    notes: Object.freeze([note]),
  });
}
