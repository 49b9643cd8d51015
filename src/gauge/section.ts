import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';

/** A circular shaft section with what torsion needs of it. SI. */
export interface ShaftSection {
  /** m. */
  readonly outerDiameter: number;
  /** m; 0 for a solid shaft. */
  readonly innerDiameter: number;
  /** m². */
  readonly area: number;
  /** J = π (D⁴ − d⁴) / 32, m⁴. */
  readonly polarSecondMoment: number;
  /** W = J / (D / 2), m³: shear stress at the surface = torque / W. */
  readonly polarModulus: number;
}

/**
 * Describes a solid round section: J = π D⁴ / 32, W = π D³ / 16.
 *
 * @param diameter m, above 0 (use mm(…) or inch(…))
 * @returns the section, with area, J and W
 * @throws InputError for a diameter that is not above 0, or is above 5 m: then it stands in millimetres
 * @see hollowSection
 * @example
 * solidSection(mm(50)).polarModulus // => 2.454369e-5
 */
export function solidSection(diameter: number): ShaftSection {
  checkDiameter('solidSection', 'diameter', diameter);
  return makeSection(diameter, 0);
}

/**
 * Describes a hollow round section: J = π (D⁴ − d⁴) / 32, W = 2 J / D.
 *
 * @param outerDiameter m, above 0
 * @param innerDiameter m, above 0 and below the outer diameter
 * @returns the section, with area, J and W
 * @throws InputError for diameters that make no tube, or above 5 m: then they stand in millimetres
 * @see solidSection
 * @example
 * hollowSection(mm(24), mm(20)).polarSecondMoment // => 1.6864069e-8
 */
export function hollowSection(outerDiameter: number, innerDiameter: number): ShaftSection {
  checkDiameter('hollowSection', 'outerDiameter', outerDiameter);
  checkNumber('hollowSection', 'innerDiameter', innerDiameter, { above: 0, below: outerDiameter, unit: 'm' });
  return makeSection(outerDiameter, innerDiameter);
}

/** The section anew from its two diameters, so that a section read back from JSON is as good as a fresh one. */
export function checkSection(where: string, section: unknown): ShaftSection {
  const given = section as Partial<ShaftSection> | null | undefined;
  if (typeof given !== 'object' || given === null || given.outerDiameter === undefined) {
    throw new InputError({ where, argument: 'section', expected: 'a shaft section', given: show(section), remedy: 'Make one with solidSection or hollowSection.' });
  }
  const outer = checkDiameter(where, 'section.outerDiameter', given.outerDiameter);
  return makeSection(outer, checkNumber(where, 'section.innerDiameter', given.innerDiameter ?? 0, { min: 0, below: outer, unit: 'm' }));
}

/** No shaft is thicker, m; a larger number stands in another unit. */
const thickest = 5;

function checkDiameter(where: string, argument: string, diameter: unknown): number {
  const given = checkNumber(where, argument, diameter, { above: 0, unit: 'm' });
  if (given <= thickest) return given;
  throw new InputError({ where, argument, expected: `a diameter in m, at most ${thickest} m`, given: `${given} m`, remedy: `Write mm(${given}) if it is in millimetres.` });
}

function makeSection(outer: number, inner: number): ShaftSection {
  const polarSecondMoment = (Math.PI / 32) * (outer ** 4 - inner ** 4);
  return makeResult('ShaftSection', {
    outerDiameter: outer, innerDiameter: inner, area: (Math.PI / 4) * (outer ** 2 - inner ** 2),
    polarSecondMoment, polarModulus: (2 * polarSecondMoment) / outer,
  }, (s) => `${s.innerDiameter === 0 ? `Solid shaft ${millimetres(outer)} mm` : `Hollow shaft ${millimetres(outer)}/${millimetres(inner)} mm`}: J ${s.polarSecondMoment.toPrecision(4)} m⁴, W ${s.polarModulus.toPrecision(4)} m³`);
}

function millimetres(metres: number): number {
  return Number((metres * 1000).toPrecision(6));
}
