import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import type { Damage } from './damage.js';
import { spaced, twoFigures } from './figures.js';

/** Options of life. */
export interface LifeOptions {
  /** The Miner sum at which the part is used up; 1 by default. */
  readonly criticalSum?: number;
  /** Running hours in a year, for a life in years. */
  readonly hoursPerYear?: number;
}

/** A life from a damage. */
export interface Life {
  /** Running hours; Infinity where no cycle does damage. */
  readonly hours: number;
  /** Years at the stated running hours; null where they were not stated. */
  readonly years: number | null;
  /** The life with two significant figures. */
  readonly text: string;
  readonly criticalSum: number;
  readonly damagePerHour: number;
  /** Warnings a reader must see beside the number, such as `'extrapolated'`. */
  readonly labels: readonly string[];
  readonly notes: readonly string[];
}

/**
 * Turns a damage into a life: hours = critical sum / damage in an hour, if every hour is like the recorded ones. Damages
 * that go on at the same time (torque, and the bending that turns with the shaft) are given as a list; their rates add up.
 *
 * Kept: the rate it rests on. Cost: none.
 *
 * @param damage from damage; or several of one part that act at once
 * @param options critical sum (1 by default) and optionally running hours in a year
 * @returns hours, the text with two significant figures, and labels
 * @throws InputError for a damage without valid time, or a critical sum that is not above 0
 * @see lifeBand for the life with its uncertainty
 * @example
 * const table = cyclesFromTable({ unit: 'Pa', range: [MPa(100)], count: [2e6 / 40], hours: 100 });
 * const done = damage(stressCycles(table, { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
 * life(done, { hoursPerYear: 2000 }).text // => "4 000 h (2.0 years of 2 000 h)"
 */
export function life(damage: Damage | readonly Damage[], options: LifeOptions = {}): Life {
  const where = 'life';
  const parts = checkParts(where, damage);
  checkOptions(where, options, { optional: ['criticalSum', 'hoursPerYear'] });
  const criticalSum = checkNumber(where, 'criticalSum', options.criticalSum ?? 1, { above: 0 });
  if (options.hoursPerYear !== undefined) checkNumber(where, 'hoursPerYear', options.hoursPerYear, { above: 0, max: 8784, unit: 'h' });
  const perHour = parts.reduce((sum, part) => sum + part.perHour, 0);
  const hours = perHour > 0 ? criticalSum / perHour : Number.POSITIVE_INFINITY;
  const years = options.hoursPerYear === undefined ? null : hours / options.hoursPerYear;
  return makeResult<Life>('Life', {
    hours, years, text: lifeText(hours, years, options.hoursPerYear), criticalSum, damagePerHour: perHour, labels: Object.freeze(labelsOf(parts, hours, perHour)), notes: Object.freeze([...new Set(parts.flatMap((part) => part.notes))]),
  }, (l) => `Life ${l.text} at a Miner sum of ${l.criticalSum}${l.labels.length > 0 ? ` (${l.labels.join('; ')})` : ''}`);
}

function checkParts(where: string, damage: Damage | readonly Damage[]): readonly Damage[] {
  const parts: readonly Damage[] = Array.isArray(damage) ? (damage as readonly Damage[]) : [damage as Damage];
  if (parts.length === 0) throw new InputError({ where, argument: 'damage', expected: 'at least one Damage', given: 'none' });
  for (const part of parts) {
    if (kindOf(part) !== 'Damage') throw new InputError({ where, argument: 'damage', expected: 'a Damage', given: show(part), remedy: 'Make one with damage(cycles, options).' });
    if (!(part.hours > 0)) throw new InputError({ where, argument: 'damage', expected: 'from cycles with valid time behind them', given: 'none' });
  }
  return parts;
}

function labelsOf(parts: readonly Damage[], hours: number, perHour: number): string[] {
  const labels: string[] = [];
  if (hours === Number.POSITIVE_INFINITY) labels.push('no damage counted');
  const outside = parts.reduce((sum, part) => sum + (part.outsideTested ?? 0) * part.perHour, 0) / (perHour || 1);
  if (outside > 0.01) labels.push(`extrapolated: ${Number((100 * outside).toPrecision(2))} % of the damage lies outside the tested interval`);
  if (hours < Math.max(...parts.map((part) => part.hours))) labels.push('shorter than the record itself: look at the curve and the notch factor, or at what the part has stood already');
  return labels;
}

/** A life in words: two significant figures, years beside it where they are known. */
export function lifeText(hours: number, years: number | null, hoursPerYear?: number): string {
  if (hours === Number.POSITIVE_INFINITY) return 'no damage counted';
  const inYears = years === null ? '' : ` (${twoFigures(years)} years of ${spaced(String(hoursPerYear))} h)`;
  return `${twoFigures(hours)} h${inYears}`;
}

export { twoFigures };
