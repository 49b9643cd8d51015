import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { checkWindows, clockOf, windowAt, type NamedWindow } from '../count/namedWindows.js';
import type { Damage } from './damage.js';
import { twoFigures } from './figures.js';

/** Damage in equal steps of time. */
export interface DamageByTime {
  /** Seconds from the first sample of the count; one more than there are steps. */
  readonly edges: Float64Array;
  readonly damage: Float64Array;
  readonly cycles: Float64Array;
  /** Damage of rows without a place in time (classes of a histogram). */
  readonly unplaced: number;
}

/**
 * Puts damage on the time axis: each cycle counts at the sample where it turns back.
 *
 * A large cycle that spans the record counts at one place, where its last turning point lies.
 *
 * Kept: the sum. Cost: one pass over the cycles.
 *
 * @param damage from damage
 * @param options every, the length of a step in seconds; the last step may be shorter
 * @returns damage and cycles of each step
 * @throws InputError for a step that is not above 0 or makes more than a million steps, or cycles that come from a table, or were repeated, extrapolated or picked by state
 * @see damageByState, damage
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 900, 100, 900, 0, 0, 0, 0] });
 * const cycles = localStress(shearStress(countCycles(torque), solidSection(mm(20))), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'detail' }));
 * const done = damage(cycles, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * damageByTime(done, { every: 4 }).cycles // => [1.5,0.5]
 */
export function damageByTime(damage: Damage, options: { readonly every: number }): DamageByTime {
  const where = 'damageByTime';
  checkDamageResult(where, damage);
  checkOptions(where, options, { required: ['every'] });
  const { sampleRate, samples } = clockOf(where, damage.cycles);
  const steps = Math.ceil(samples / sampleRate / checkNumber(where, 'every', options.every, { above: 0, unit: 's' }) - 1e-9);
  checkNumber(where, 'every', options.every, { min: samples / sampleRate / 1e6, unit: 's' });
  const edges = Float64Array.from({ length: steps + 1 }, (_, k) => Math.min(k * options.every, samples / sampleRate));
  const sum = new Float64Array(steps), cycles = new Float64Array(steps);
  let unplaced = 0;
  for (let i = 0; i < damage.damage.length; i++) {
    const at = damage.cycles.at[i]!;
    if (at < 0) {
      unplaced += damage.damage[i]!;
      continue;
    }
    const k = Math.min(steps - 1, Math.floor(at / sampleRate / options.every));
    sum[k]! += damage.damage[i]!;
    cycles[k]! += damage.cycles.count[i]!;
  }
  return makeResult<DamageByTime>('DamageByTime', { edges, damage: sum, cycles, unplaced }, (d) => `Damage in ${d.damage.length} steps of time, ${twoFigures(d.damage.reduce((a, b) => Math.max(a, b), 0))} at the most`);
}

/** Damage of one state, over all its windows. */
export interface StateDamage {
  readonly name: string;
  readonly damage: number;
  /** Of the whole damage. */
  readonly share: number;
  readonly cycles: number;
  /** Hours in the state, masked time included. */
  readonly hours: number;
  /** Damage in an hour of it. */
  readonly perHour: number;
}

/**
 * Sums damage by state: each cycle belongs to the state in which it turns back. What lies in no window is the state
 * `'between'`. To give the cycles from state to state by the piece, part them with cyclesByState.
 *
 * Kept: the sum. Cost: one search for each cycle.
 *
 * @param damage from damage
 * @param windows named windows in seconds from the first sample of the count, not overlapping; a name may come again
 * @returns one row for each name, in the order of first appearance, `'between'` last
 * @throws InputError for windows that overlap or end before they begin, or cycles that come from a table, or were repeated, extrapolated or picked by state
 * @see cyclesByState, damageByTime, lifeBand
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 900, 100, 900, 0, 0, 0, 0] });
 * const cycles = localStress(shearStress(countCycles(torque), solidSection(mm(20))), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'detail' }));
 * const done = damage(cycles, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * damageByState(done, [{ name: 'run', from: 0, to: 4 }]).map((state) => state.cycles) // => [1.5,0.5]
 */
export function damageByState(damage: Damage, windows: readonly NamedWindow[]): readonly StateDamage[] {
  const where = 'damageByState';
  checkDamageResult(where, damage);
  const { sampleRate, samples } = clockOf(where, damage.cycles);
  const sorted = checkWindows(where, windows);
  const names = [...new Set([...windows.map((w) => w.name), 'between'])];
  const rows = names.map((name) => ({ name, damage: 0, cycles: 0, seconds: sorted.filter((w) => w.name === name).reduce((s, w) => s + w.to - w.from, 0) }));
  const index = new Map(names.map((name, k) => [name, k]));
  const between = rows.at(-1)!;
  between.seconds = Math.max(0, samples / sampleRate - rows.reduce((s, r) => s + r.seconds, 0));
  for (let i = 0; i < damage.damage.length; i++) {
    const window = windowAt(sorted, damage.cycles.at[i]! / sampleRate);
    const row = window ? rows[index.get(window.name)!]! : between;
    row.damage += damage.damage[i]!;
    row.cycles += damage.cycles.count[i]!;
  }
  return Object.freeze(rows.filter((row) => row.name !== 'between' || row.seconds > 0 || row.cycles > 0).map((row) => Object.freeze({
    name: row.name, damage: row.damage, share: damage.total > 0 ? row.damage / damage.total : 0, cycles: row.cycles, hours: row.seconds / 3600, perHour: row.seconds > 0 ? (row.damage * 3600) / row.seconds : 0,
  })));
}

function checkDamageResult(where: string, damage: unknown): void {
  if (kindOf(damage) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(damage), remedy: 'Make one with damage(cycles, options).' });
}
