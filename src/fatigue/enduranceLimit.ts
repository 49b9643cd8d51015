import { normalQuantile } from '../numeric/distributions.js';
import { checkChoice, checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';

/** How the surface was made. */
export type SurfaceFinish = 'ground' | 'machined or cold-drawn' | 'hot-rolled' | 'as-forged';

/** Shigley's Mechanical Engineering Design, 9th ed., 2011, table 6-2 (p. 288): a (for MPa) and b of kₐ = a·Sutᵇ, equation 6-19. */
const finishes: Readonly<Record<SurfaceFinish, readonly [a: number, b: number]>> = {
  ground: [1.58, -0.085], 'machined or cold-drawn': [4.51, -0.265], 'hot-rolled': [57.7, -0.718], 'as-forged': [272, -0.995],
};

/** Options of enduranceLimit. */
export interface EnduranceOptions {
  /** Tensile strength, Pa. */
  readonly ultimate: number;
  readonly surface: SurfaceFinish;
  readonly loading: 'torsion' | 'bending' | 'axial';
  /** m; not used in axial load. */
  readonly diameter: number;
  /** Does the load turn round the shaft (rotating bending, torsion: true), or bend it in one plane (false: 0.370·d counts)? True by default. */
  readonly rotating?: boolean;
  /** Probability of survival, from 0.5 to 0.999999. */
  readonly reliability: number;
  /** Factors to take instead of the formulas. */
  readonly factors?: { readonly surface?: number; readonly size?: number; readonly load?: number; readonly reliability?: number; readonly other?: number };
}

/** An endurance limit with the factors that made it. */
export interface EnduranceLimit {
  /** Fully reversed amplitude in the stated loading, Pa: shear for torsion. */
  readonly limit: number;
  /** Limit of the rotating-beam specimen, Pa. */
  readonly specimen: number;
  readonly factors: { readonly surface: number; readonly size: number; readonly load: number; readonly reliability: number; readonly other: number };
  readonly source: string;
}

/**
 * Estimates the endurance limit of a steel part: Se = kₐ·k_b·k_c·k_e·k_f·S′e, S′e = 0.5·Sut (700 MPa above Sut = 1400 MPa).
 *
 * kₐ = a·Sutᵇ by surface; k_b = (d/7.62 mm)^−0.107 to 51 mm and 1.51·d^−0.157 to 254 mm (1 in axial load); k_c = 1 in bending,
 * 0.85 axial, 0.59 in torsion; k_e = 1 − 0.08·z of the survival. kₐ is taken as the formula gives it, also above 1.
 *
 * Cost: none.
 *
 * @param options strength, surface, loading, diameter and survival; `factors` states what you know better
 * @returns the limit with every factor
 * @throws InputError for a diameter outside 2.79 to 254 mm without a stated size factor, or a survival outside 0.5 to 0.999999
 * @see curveLibrary, fatigueNotchFactor
 * @example
 * const limit = enduranceLimit({ ultimate: MPa(690), surface: 'machined or cold-drawn', loading: 'torsion', diameter: mm(32), reliability: 0.5 });
 * limit.limit / 1e6 // => 139.274
 * limit.factors.size // => 0.8577
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equation 6-8 (S′e), equations 6-18 to 6-29, tables 6-2 (p. 288) and 6-5 (p. 293); summary on p. 345.
 */
export function enduranceLimit(options: EnduranceOptions): EnduranceLimit {
  const where = 'enduranceLimit';
  checkOptions(where, options, { required: ['ultimate', 'surface', 'loading', 'diameter', 'reliability'], optional: ['rotating', 'factors'] });
  const sut = checkNumber(where, 'ultimate', options.ultimate, { above: 0, unit: 'Pa' }) / 1e6;
  const loading = checkChoice(where, 'loading', options.loading, ['torsion', 'bending', 'axial']);
  const [a, b] = finishes[checkChoice(where, 'surface', options.surface, Object.keys(finishes) as SurfaceFinish[])];
  checkNumber(where, 'diameter', options.diameter, { above: 0, unit: 'm' });
  checkNumber(where, 'reliability', options.reliability, { min: 0.5, max: 0.999999 });
  const given = checkOptions(`${where} (factors)`, options.factors ?? {}, { optional: ['surface', 'size', 'load', 'reliability', 'other'] });
  for (const [key, value] of Object.entries(given)) checkNumber(where, `factors.${key}`, value, { above: 0 });
  const factors = Object.freeze({
    surface: given.surface ?? a * sut ** b,
    size: given.size ?? (loading === 'axial' ? 1 : sizeFactor(options.diameter * (options.rotating === false ? 0.37 : 1))),
    load: given.load ?? { bending: 1, axial: 0.85, torsion: 0.59 }[loading],
    reliability: given.reliability ?? 1 - 0.08 * normalQuantile(options.reliability),
    other: given.other ?? 1,
  });
  const specimen = 1e6 * (sut <= 1400 ? 0.5 * sut : 700);
  const limit = specimen * factors.surface * factors.size * factors.load * factors.reliability * factors.other;
  checkResult(where, 'strength and factors', { limit, factors });
  return makeResult<EnduranceLimit>('EnduranceLimit', { limit, specimen, factors, source: "Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-8 and 6-18 to 6-29, tables 6-2 and 6-5" },
    (e) => `Endurance limit ${(e.limit / 1e6).toPrecision(4)} MPa = ${(e.specimen / 1e6).toPrecision(4)} MPa × surface ${e.factors.surface.toFixed(3)} × size ${e.factors.size.toFixed(3)} × load ${e.factors.load.toFixed(3)} × reliability ${e.factors.reliability.toFixed(3)} × other ${e.factors.other.toFixed(3)}`);
}

/** k_b of a round section. @param diameter m, 2.79 to 254 mm @example sizeFactor(mm(60)) // => 0.79398 */
export function sizeFactor(diameter: number): number {
  const d = diameter * 1000;
  if (d >= 2.79 && d <= 51) return (d / 7.62) ** -0.107;
  if (d > 51 && d <= 254) return 1.51 * d ** -0.157;
  throw new InputError({ where: 'enduranceLimit', argument: 'diameter', expected: 'from 2.79 to 254 mm (equivalent), where the size factor is known', given: `${d.toPrecision(4)} mm`, remedy: 'State factors.size.' });
}
