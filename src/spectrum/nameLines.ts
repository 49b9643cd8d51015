import { checkList, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { DriveOrder } from './driveOrders.js';
import type { SpectralLine } from './findLines.js';

/** What nameLines takes. */
export interface NameLinesOptions {
  /** Speed of the reference shaft over the record, rad/s: a number, or its least and greatest where it varied. */
  readonly speed: number | { readonly least: number; readonly greatest: number };
  /** Orders with their names, from driveOrders. */
  readonly orders: readonly DriveOrder[];
  /** How many multiples of every order are looked for, default 3. */
  readonly multiples?: number;
  /** Frequency of the supply, Hz; its 1st, 2nd and 6th multiples are looked for. */
  readonly lineFrequency?: number;
  /** Output frequency of a drive, Hz; its 1st, 2nd, 6th and 12th multiples are looked for. */
  readonly driveFrequency?: number;
  /** Natural frequencies, Hz, from torsionalModes or fitRingDown. */
  readonly natural?: readonly number[];
  /** Hz by which a line may be off its name, beyond its own bounds. No default: the resolution of the spectrum is a good choice. */
  readonly tolerance: number;
}

/** What a line may be. */
export interface LineName {
  readonly name: string;
  readonly kind: 'order' | 'electrical' | 'natural';
  /** Where it should lie, Hz. */
  readonly expected: number;
  /** Line less expected, Hz. */
  readonly off: number;
}

/** A line with what it may be, the nearest first; none: not known. */
export interface NamedLine extends SpectralLine {
  readonly names: readonly LineName[];
  /** May it be of more than one kind? Then only another speed tells: an order moves with it, a supply or natural frequency stays. */
  readonly ambiguous: boolean;
}

interface Candidate {
  readonly name: string;
  readonly kind: LineName['kind'];
  readonly low: number;
  readonly high: number;
}

/** Everything that a line may be. */
function candidates(o: NameLinesOptions, least: number, greatest: number, multiples: number): Candidate[] {
  const list: Candidate[] = [];
  const times = (k: number): string => (k === 1 ? '' : `, ${k}×`);
  for (const { order, name } of o.orders) {
    for (let k = 1; k <= multiples; k++) list.push({ name: name + times(k), kind: 'order', low: (k * order * least) / (2 * Math.PI), high: (k * order * greatest) / (2 * Math.PI) });
  }
  const electrical = (frequency: number | undefined, what: string, factors: readonly number[]): void => {
    if (frequency !== undefined) for (const k of factors) list.push({ name: what + times(k), kind: 'electrical', low: k * frequency, high: k * frequency });
  };
  electrical(o.lineFrequency, 'supply', [1, 2, 6]);
  electrical(o.driveFrequency, 'drive output', [1, 2, 6, 12]);
  (o.natural ?? []).forEach((f, i) => list.push({ name: `natural frequency ${i + 1}`, kind: 'natural', low: f, high: f }));
  return list;
}

/**
 * Says what each line of a spectrum may be: an order of a shaft, an electrical frequency, a natural frequency.
 *
 * Definition: a name fits where order·speed/2π (or the fixed frequency) lies within the line's own bounds widened by the tolerance. Where names of two kinds fit, the line is ambiguous and says so: at one speed nothing
 * tells an order from a fixed frequency that happens to lie there.
 *
 * @param lines from findLines
 * @param options speed (rad/s), orders, tolerance (Hz); multiples (default 3), lineFrequency, driveFrequency, natural (Hz)
 * @returns the lines with their names
 * @throws InputError for a speed or frequency that is not above 0, or no orders
 * @see findLines, driveOrders, speedMap
 * @example
 * const rng = createRandom(1);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 40000 }, (_, i) => 10 * Math.sin(2 * Math.PI * 0.0992 * i) + 5 * Math.sin(2 * Math.PI * 0.1 * i) + rng.normal()) });
 * const lines = findLines(powerDensity(T, { segment: 8000 }));
 * const named = nameLines(lines, { speed: rpm(1488), orders: driveOrders({ pump: { blades: 4 } }), lineFrequency: 50, tolerance: 0.2 });
 * named.map((l) => l.names[0].name) // => ["pump: blade pass","supply, 2×"]
 */
export function nameLines(lines: readonly SpectralLine[], options: NameLinesOptions): readonly NamedLine[] {
  const where = 'nameLines';
  if (!Array.isArray(lines)) throw new InputError({ where, argument: 'lines', expected: 'a list of lines', given: show(lines), remedy: 'Make one with findLines.' });
  checkOptions(where, options, { required: ['speed', 'orders', 'tolerance'], optional: ['multiples', 'lineFrequency', 'driveFrequency', 'natural'] });
  const range = typeof options.speed === 'number' ? { least: options.speed, greatest: options.speed } : checkOptions(where, options.speed, { required: ['least', 'greatest'] });
  const least = checkNumber(where, 'speed', range.least, { above: 0, unit: 'rad/s' });
  const greatest = checkNumber(where, 'speed.greatest', range.greatest, { min: least, unit: 'rad/s' });
  const tolerance = checkNumber(where, 'tolerance', options.tolerance, { min: 0, unit: 'Hz' });
  const multiples = checkNumber(where, 'multiples', options.multiples ?? 3, { integer: true, min: 1 });
  lines.forEach((line, i) => { for (const key of ['frequency', 'frequencyLow', 'frequencyHigh'] as const) checkNumber(where, `${key} of lines[${i}]`, line?.[key], { unit: 'Hz' }); });
  checkList(where, 'orders', options.orders, 'a list of orders with names', 'Make one with driveOrders.').forEach((o, i) => checkNumber(where, `orders[${i}].order`, o?.order, { above: 0 }));
  for (const key of ['lineFrequency', 'driveFrequency'] as const) if (options[key] !== undefined) checkNumber(where, key, options[key], { above: 0, unit: 'Hz' });
  if (options.natural !== undefined && !Array.isArray(options.natural)) throw new InputError({ where, argument: 'natural', expected: 'a list of frequencies', given: show(options.natural) });
  for (const f of options.natural ?? []) checkNumber(where, 'natural', f, { above: 0, unit: 'Hz' });
  const all = candidates(options, least, greatest, multiples);
  return Object.freeze(lines.map((line): NamedLine => {
    const names = all
      .filter((c) => line.frequencyHigh >= c.low - tolerance && line.frequencyLow <= c.high + tolerance)
      .map((c) => ({ name: c.name, kind: c.kind, expected: (c.low + c.high) / 2, off: line.frequency - Math.min(Math.max(line.frequency, c.low), c.high) }))
      .sort((a, b) => Math.abs(a.off) - Math.abs(b.off));
    return Object.freeze({ ...line, names: Object.freeze(names), ambiguous: new Set(names.map((n) => n.kind)).size > 1 });
  }));
}
