import { checkNumber, checkOptions, checkResult, checkText, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { createRandom } from '../numeric/random.js';
import type { Damage } from './damage.js';
import { checkCertainty, dirichlet } from './lifeInputs.js';
import { lifeText } from './life.js';
import { branchesOf } from './LifeCurve.js';
import { continuationName, meanStressName } from './names.js';

/** A running state: the damage of a record of it, and the hours of a year spent in it. */
export interface DutyState {
  readonly name: string;
  readonly damage: Damage;
  /** Hours in a year. */
  readonly hours: number;
}

/** Starts (or stops, trips, barring: whatever is counted by the piece). */
export interface DutyStarts {
  readonly name: string;
  /** Damage of a record that holds them. */
  readonly damage: Damage;
  /** How many of them the record holds, at least 1. */
  readonly contained: number;
  /** How many a year has. */
  readonly perYear: number;
}

/** Options of dutyMix. */
export interface DutyOptions {
  readonly starts?: readonly DutyStarts[];
  /** How sure the shares of the hours are: the sum of the Dirichlet parameters, as if so many independent hours had been looked at, 0.1 to 10⁶. Left out: exact. One state has no shares that could be unsure. */
  readonly certainty?: number;
  /** Miner's sum at failure, 1 unless told. */
  readonly criticalSum?: number;
  /** 2000 unless told. */
  readonly draws?: number;
  /** 1 unless told. */
  readonly seed?: number;
  /** Of the interval, 0.9 unless told. */
  readonly level?: number;
}

/** What a part of the duty contributes. */
export interface DutyPart {
  readonly name: string;
  /** Hours or pieces in a year. */
  readonly amount: number;
  readonly per: 'hour' | 'piece';
  /** Damage in an hour, or by the piece. */
  readonly rate: number;
  readonly damagePerYear: number;
  /** Of the whole. */
  readonly share: number;
}

/** The damage of a year of mixed duty. */
export interface DutyMix {
  readonly damagePerYear: number;
  readonly years: number;
  readonly hoursPerYear: number;
  readonly text: string;
  /** Quantiles of damage per year over the uncertainty of the shares; null where they are exact. */
  readonly interval: { readonly level: number; readonly low: number; readonly high: number } | null;
  /** Largest contribution first. */
  readonly parts: readonly DutyPart[];
  readonly notes: readonly string[];
}

/**
 * Mixes states to the damage of a year: Σ hours·(damage in an hour) + Σ pieces·(damage by the piece). Starts are counted by
 * the piece, so that their number and the running hours can change independently.
 *
 * The cycles that run from one state to another (from standstill to load and back) lie in no record of a single state, and they
 * are often the largest: give them by the piece, as the damage of what cyclesByState finds between the states, or of a record from before the start to after the stop. What that
 * latter also holds of running hours is then counted twice, on the safe side; a short one keeps that small.
 *
 * The shares of the running hours may be uncertain: they are drawn from a Dirichlet distribution about the stated ones,
 * with the total of hours kept.
 *
 * Kept: what each part contributes. Cost: draws × states.
 *
 * @param states at least one; the hours of all are at most those of a year
 * @param options starts, certainty, critical sum, draws, seed, level
 * @returns damage in a year, life in years, parts and the interval
 * @throws InputError for hours beyond a year, two parts of one name, damages of different curves, rules, continuations or residues, or no damage time
 * @see lifeBand damage
 * @example
 * const curve = curveLibrary.en1993Shear(100);
 * const of = (range, count, hours) => damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(range)], count: [count], hours }), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve, meanStress: 'none', residue: 'half' });
 * const mix = dutyMix([{ name: 'full load', damage: of(100, 200, 1), hours: 3000 }, { name: 'part load', damage: of(80, 200, 1), hours: 2000 }], { starts: [{ name: 'start', damage: of(200, 4, 1), contained: 2, perYear: 100 }] });
 * mix.damagePerYear // => 0.368736
 * mix.parts[0].name // => "full load"
 */
export function dutyMix(states: readonly DutyState[], options: DutyOptions = {}): DutyMix {
  const where = 'dutyMix';
  checkOptions(where, options, { optional: ['starts', 'certainty', 'criticalSum', 'draws', 'seed', 'level'] });
  const starts = options.starts ?? [];
  const criticalSum = checkNumber(where, 'criticalSum', options.criticalSum ?? 1, { above: 0 });
  checkParts(where, states, starts);
  const hoursPerYear = states.reduce((sum, s) => sum + s.hours, 0);
  checkNumber(where, 'hours of all states', hoursPerYear, { above: 0, max: 8784, unit: 'h' });
  const parts = [
    ...states.map((s) => part(s.name, s.hours, 'hour', s.damage.perHour)),
    ...starts.map((s) => part(s.name, s.perYear, 'piece', s.damage.total / s.contained)),
  ];
  const damagePerYear = parts.reduce((sum, p) => sum + p.damagePerYear, 0);
  const years = damagePerYear > 0 ? criticalSum / damagePerYear : Infinity;
  if (options.certainty !== undefined) checkCertainty(where, 'certainty', options.certainty);
  const interval = options.certainty === undefined || states.filter((s) => s.hours > 0).length < 2 ? null : shareInterval(where, states, starts, hoursPerYear, { ...options, certainty: options.certainty });
  return makeResult<DutyMix>('DutyMix', {
    damagePerYear, years, hoursPerYear, text: lifeText(years * hoursPerYear, years, hoursPerYear), interval,
    parts: Object.freeze(parts.map((p) => Object.freeze({ ...p, share: damagePerYear > 0 ? p.damagePerYear / damagePerYear : 0 })).sort((a, b) => b.share - a.share)),
    notes: Object.freeze([
      ...(interval === null ? [options.certainty === undefined ? 'The shares of the hours were taken as exact.' : 'The certainty of the shares moves nothing: one state has all the hours.'] : []),
      ...(starts.length === 0 ? ['No starts were stated by the piece: a record of running hours holds only the starts that happened in it.'] : []),
    ]),
  }, (m) => `DutyMix: damage ${m.damagePerYear.toPrecision(2)} a year, ${m.text}; ${m.parts.map((p) => `${p.name} ${Number((100 * p.share).toPrecision(2))} %`).join(', ')}`);
}

function part(name: string, amount: number, per: 'hour' | 'piece', rate: number): Omit<DutyPart, 'share'> {
  return { name, amount, per, rate, damagePerYear: amount * rate };
}

function checkParts(where: string, states: readonly DutyState[], starts: readonly DutyStarts[]): void {
  if (!Array.isArray(states) || states.length === 0) throw new InputError({ where, argument: 'states', expected: 'at least one state', given: show(states) });
  (states as readonly DutyState[]).forEach((s) => checkOptions(`${where} (states)`, s, { required: ['name', 'damage', 'hours'] }));
  if (!Array.isArray(starts)) throw new InputError({ where, argument: 'starts', expected: 'a list', given: show(starts) });
  (starts as readonly DutyStarts[]).forEach((s) => checkOptions(`${where} (starts)`, s, { required: ['name', 'damage', 'contained', 'perYear'] }));
  const names = new Set<string>();
  const first = states[0]!.damage;
  for (const s of [...states, ...starts]) {
    checkText(where, 'name of a part', s.name, 'a text');
    if (names.has(s.name)) throw new InputError({ where, argument: 'names', expected: 'different', given: `two called ${show(s.name)}` });
    names.add(s.name);
    if (kindOf(s.damage) !== 'Damage') throw new InputError({ where, argument: `damage of ${s.name}`, expected: 'a Damage', given: show(s.damage), remedy: 'Make one with damage(cycles, options).' });
    if (!(s.damage.hours > 0)) throw new InputError({ where, argument: `damage of ${s.name}`, expected: 'from cycles with valid time behind them', given: 'none' });
    const other = otherwise(s.damage, first);
    if (other) throw new InputError({ where, argument: `damage of ${s.name}`, expected: `by the curve, the continuation, the mean-stress rule and the residue of ${states[0]!.name}`, given: other });
  }
  for (const s of states) checkNumber(where, `hours of ${s.name}`, s.hours, { min: 0, max: 8784, unit: 'h' });
  for (const s of starts) {
    checkNumber(where, `contained of ${s.name}`, s.contained, { min: 1, integer: true });
    checkNumber(where, `perYear of ${s.name}`, s.perYear, { min: 0 });
  }
}

/** In which way a damage was summed otherwise than the first; null where it was not. */
function otherwise(damage: Damage, first: Damage): string | null {
  const same = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);
  const reads = ({ curve, continuation }: Damage): unknown => [curve.kind, curve.measure, branchesOf(curve, continuation)];
  if (damage.curve.name !== first.curve.name) return `the curve ${damage.curve.name}`;
  if (damage.continuation !== first.continuation) return `${continuationName(damage.continuation)} below the knee`;
  if (!same(reads(damage), reads(first))) return `another curve of the name ${first.curve.name}`;
  if (!same(damage.meanStress, first.meanStress)) return `the mean-stress rule ${meanStressName(damage.meanStress)}`;
  return damage.residue === first.residue ? null : `the residue '${damage.residue}'`;
}

function shareInterval(where: string, states: readonly DutyState[], starts: readonly DutyStarts[], hours: number, options: DutyOptions & { readonly certainty: number }): DutyMix['interval'] {
  const { certainty } = options;
  const draws = checkNumber(where, 'draws', options.draws ?? 2000, { integer: true, min: 100, max: 1_000_000 });
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const random = createRandom(checkNumber(where, 'seed', options.seed ?? 1, { integer: true }));
  const fixed = starts.reduce((sum, s) => sum + (s.perYear * s.damage.total) / s.contained, 0);
  const middle = states.map((s) => s.hours / hours);
  const sums = Float64Array.from({ length: draws }, () => {
    const shares = dirichlet(middle, certainty, random);
    return fixed + shares.reduce((sum, share, k) => sum + share * hours * states[k]!.damage.perHour, 0);
  }).sort();
  const at = (p: number): number => sums[Math.min(draws - 1, Math.floor(p * draws))]!;
  return checkResult(where, 'certainty', Object.freeze({ level, low: at((1 - level) / 2), high: at((1 + level) / 2) }));
}
