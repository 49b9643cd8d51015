import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { normalCdf, studentQuantile } from '../numeric/distributions.js';
import type { Random } from '../numeric/random.js';

/** What is known of a quantity's error, as a distribution about the estimate. Exactly one of standard, halfWidth, expanded and resolution is given. */
export interface Uncertainty {
  /** normal: of a certificate or a judgement; t: of a mean of readings with degreesOfFreedom; the others have bounds. Default normal for standard and expanded, rectangular for halfWidth and resolution. */
  readonly distribution?: 'normal' | 't' | 'rectangular' | 'triangular' | 'arcsine';
  /** Standard uncertainty. */
  readonly standard?: number;
  /** Half the distance between the bounds. */
  readonly halfWidth?: number;
  /** Expanded uncertainty, with coverageFactor (2 for the usual 95 %). */
  readonly expanded?: number;
  readonly coverageFactor?: number;
  /** One full step of an indication. */
  readonly resolution?: number;
  /** How well the standard uncertainty is known; infinite where left out. Needed for t. */
  readonly degreesOfFreedom?: number;
  /** The figures are parts of the estimate instead of its unit. Default false. */
  readonly relative?: boolean;
}

/** An estimate with what is known of its error. */
export interface UncertainInput extends Uncertainty {
  readonly value: number;
}

/** An input made plain: its standard uncertainty and how to draw it. */
export interface PreparedInput {
  readonly name: string;
  readonly value: number;
  readonly distribution: NonNullable<Uncertainty['distribution']>;
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
}

const bounded = { rectangular: Math.sqrt(1 / 3), triangular: Math.sqrt(1 / 6), arcsine: Math.sqrt(1 / 2) };

/**
 * Finds the standard uncertainty of an input: a/√3 (rectangular), a/√6 (triangular), a/√2 (arcsine), q/√12 (resolution q), U/k.
 *
 * @references JCGM 100:2008 (GUM), 4.3.7, 4.3.9, F.2.2.1 and H.1.3.4 (from memory).
 */
export function prepareInput(where: string, name: string, input: UncertainInput): PreparedInput {
  checkOptions(`${where}, ${name}`, input, { required: ['value'], optional: ['distribution', 'standard', 'halfWidth', 'expanded', 'coverageFactor', 'resolution', 'degreesOfFreedom', 'relative'] });
  const value = checkNumber(where, `${name}.value`, input.value);
  const given = (['standard', 'halfWidth', 'expanded', 'resolution'] as const).filter((key) => input[key] !== undefined);
  if (given.length !== 1) {
    throw new InputError({ where, argument: name, expected: 'given with one of standard, halfWidth, expanded and resolution', given: given.join(' and ') || 'none of them' });
  }
  const key = given[0]!;
  if (input.relative && value === 0) throw new InputError({ where, argument: `${name}.relative`, expected: 'left out for an estimate of 0, of which no part is anything', given: 'true' });
  const size = checkNumber(where, `${name}.${key}`, input[key], { min: 0 }) * (input.relative ? Math.abs(value) : 1);
  const distribution = checkChoice(where, `${name}.distribution`, input.distribution ?? (key === 'standard' || key === 'expanded' ? 'normal' : 'rectangular'), ['normal', 't', 'rectangular', 'triangular', 'arcsine'] as const);
  if ((input.coverageFactor !== undefined) !== (key === 'expanded')) {
    throw new InputError({ where, argument: `${name}.coverageFactor`, expected: 'given with expanded, and only there', given: key === 'expanded' ? 'nothing' : `beside ${key}` });
  }
  if (key === 'halfWidth' && (distribution === 'normal' || distribution === 't')) throw new InputError({ where, argument: `${name}.distribution`, expected: 'one with bounds (rectangular, triangular, arcsine) for a half-width', given: distribution, remedy: 'Give standard, or expanded with coverageFactor.' });
  if (key === 'resolution' && distribution !== 'rectangular') throw new InputError({ where, argument: `${name}.distribution`, expected: 'rectangular for a resolution', given: distribution });
  if (distribution === 't' && input.degreesOfFreedom === undefined) throw new InputError({ where, argument: `${name}.degreesOfFreedom`, expected: 'given for the distribution t', given: 'nothing' });
  const degreesOfFreedom = input.degreesOfFreedom === undefined ? Infinity : checkNumber(where, `${name}.degreesOfFreedom`, input.degreesOfFreedom, { above: 0 });
  const standardUncertainty = key === 'standard' ? size
    : key === 'expanded' ? size / checkNumber(where, `${name}.coverageFactor`, input.coverageFactor, { above: 0 })
      : key === 'resolution' ? size / Math.sqrt(12) : size * bounded[distribution as keyof typeof bounded];
  return { name, value, distribution, standardUncertainty, degreesOfFreedom };
}

/**
 * Draws one value of an input. A t input is drawn from the scaled and shifted t distribution of its readings.
 *
 * @references JCGM 101:2008, 6.4 (from memory). t: R. W. Bailey, Polar generation of random variates with the t-distribution, Math. Comp. 62 (1994) 779.
 */
export function drawInput(input: PreparedInput, random: Random): number {
  const { value, standardUncertainty: u, distribution } = input;
  if (u === 0) return value;
  switch (distribution) {
    case 'normal': return value + u * random.normal();
    case 'rectangular': return value + (u / bounded.rectangular) * (2 * random.uniform() - 1);
    case 'triangular': return value + (u / bounded.triangular) * (random.uniform() + random.uniform() - 1);
    case 'arcsine': return value + (u / bounded.arcsine) * Math.sin(2 * Math.PI * random.uniform());
    case 't': return value + u * drawStudent(input.degreesOfFreedom, random);
  }
}

function drawStudent(nu: number, random: Random): number {
  for (;;) {
    const a = 2 * random.uniform() - 1;
    const b = 2 * random.uniform() - 1;
    const w = a * a + b * b;
    if (w < 1 && w > 0) return a * Math.sqrt((nu * (w ** (-2 / nu) - 1)) / w);
  }
}

/** The value of an input at a standard normal score z, for inputs that are drawn together. */
export function inputAtScore(input: PreparedInput, z: number): number {
  const { value, standardUncertainty: u, distribution } = input;
  if (distribution === 'normal') return value + u * z;
  const p = Math.min(1 - 1e-16, Math.max(1e-300, normalCdf(z)));
  if (distribution === 't') return value + u * studentQuantile(p, input.degreesOfFreedom);
  const a = u / bounded[distribution];
  if (distribution === 'rectangular') return value + a * (2 * p - 1);
  if (distribution === 'arcsine') return value + a * Math.sin(Math.PI * (p - 0.5));
  return value + a * (p < 0.5 ? Math.sqrt(2 * p) - 1 : 1 - Math.sqrt(2 * (1 - p)));
}
