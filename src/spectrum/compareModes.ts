import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Estimate } from './fitRingDown.js';

/** One way to a mode: its name, and what it found. */
export interface ModeReading {
  readonly from: string;
  readonly frequency: Estimate;
  readonly dampingRatio: Estimate;
}

/** Two readings of one mode against each other. */
export interface ModeAgreement {
  readonly a: string;
  readonly b: string;
  /** Differences (b − a) and how many combined standard errors they are. */
  readonly frequencyDifference: number;
  readonly frequencyErrors: number;
  readonly dampingDifference: number;
  readonly dampingErrors: number;
  /** Both differences within three combined standard errors. */
  readonly agree: boolean;
}

/** Readings of one mode by several ways, and where they agree. */
export interface ModeComparison {
  readonly readings: readonly ModeReading[];
  readonly pairs: readonly ModeAgreement[];
  readonly agree: boolean;
  readonly notes: readonly string[];
}

/**
 * Sets readings of one mode by different ways (ring-down, sweep, running record, computation) against each other: differences in
 * combined standard errors √(u₁² + u₂²).
 *
 * @param readings two or more, for example a mode of fitRingDown, a fitSweep and a fitAmbient
 * @returns every pair with its verdict
 * @throws InputError for fewer than two readings, or one without standard errors
 * @see fitRingDown, fitSweep, fitAmbient
 * @example
 * const e = (value, standardError) => ({ value, standardError, low: value - standardError, high: value + standardError });
 * compareModes([{ from: 'ring-down', frequency: e(8.44, 0.01), dampingRatio: e(0.007, 0.0005) }, { from: 'sweep', frequency: e(8.45, 0.01), dampingRatio: e(0.012, 0.0005) }]).agree // => false
 * @references JCGM 100:2008, 5.1.2 (combined standard uncertainty of a difference).
 */
export function compareModes(readings: readonly ModeReading[]): ModeComparison {
  const where = 'compareModes';
  if (!Array.isArray(readings) || readings.length < 2) throw new InputError({ where, argument: 'readings', expected: 'two or more', given: String(readings?.length) });
  readings.forEach((r, k) => {
    if (typeof r?.from !== 'string' || r.from === '') throw new InputError({ where, argument: `readings[${k}].from`, expected: 'the name of the way', given: show(r?.from) });
    for (const key of ['frequency', 'dampingRatio'] as const) {
      checkNumber(where, `readings[${k}].${key}.value`, r[key]?.value, { min: 0 });
      checkNumber(where, `readings[${k}].${key}.standardError`, r[key].standardError, { above: 0 });
    }
  });
  const pairs = readings.flatMap((a, i) => readings.slice(i + 1).map((b) => pair(a, b)));
  const apart = pairs.filter((p) => !p.agree);
  const notes = apart.map((p) => `${p.a} and ${p.b} differ by ${Math.max(p.frequencyErrors, p.dampingErrors).toPrecision(2)} combined standard errors: amplitude, temperature or load may change the mode, or one way does not hold here.`);
  return makeResult('ModeComparison', { readings: Object.freeze([...readings]), pairs: Object.freeze(pairs), agree: apart.length === 0, notes: Object.freeze(notes) },
    (c) => `Modes by ${c.readings.map((r) => r.from).join(', ')}: ${c.agree ? 'they agree' : `${c.pairs.filter((p) => !p.agree).length} of ${c.pairs.length} pairs do not agree`}`);
}

function pair(a: ModeReading, b: ModeReading): ModeAgreement {
  const against = (x: Estimate, y: Estimate): { difference: number; errors: number } => ({ difference: y.value - x.value, errors: Math.abs(y.value - x.value) / Math.hypot(x.standardError, y.standardError) });
  const f = against(a.frequency, b.frequency);
  const d = against(a.dampingRatio, b.dampingRatio);
  return Object.freeze({ a: a.from, b: b.from, frequencyDifference: f.difference, frequencyErrors: f.errors, dampingDifference: d.difference, dampingErrors: d.errors, agree: f.errors <= 3 && d.errors <= 3 });
}
