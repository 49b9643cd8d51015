import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { StressKind } from './stress.js';

/** How a section is loaded. */
export type Loading = 'torsion' | 'bending' | 'axial';

/** A theoretical (elastic) stress concentration factor with its formula and source. */
export interface StressConcentration {
  readonly kind: StressKind;
  readonly loading: Loading;
  /** Largest stress over the nominal stress of the net section, at least 1. */
  readonly value: number;
  /** What the nominal stress is taken on. */
  readonly nominal: string;
  /** Notch root radius, m; null where the formula has none. */
  readonly radius: number | null;
  readonly geometry: 'shoulder' | 'groove' | 'hole' | 'keyway';
  readonly source: string;
  readonly notes: readonly string[];
}

/** Polynomial coefficients of one range of h/r: K = C₁ + C₂·(2h/D) + C₃·(2h/D)² + C₄·(2h/D)³, each Cᵢ = a + b·√(h/r) + c·(h/r). */
type Fit = { readonly least: number; readonly most: number; readonly rows: readonly (readonly [a: number, b: number, c: number])[] };

/**
 * Pilkey and Pilkey, Peterson's Stress Concentration Factors, 3rd ed., charts 3.4 (axial), 3.11 (bending) and 3.12 (torsion); coefficients found in a public
 * calculator page (amesweb.info) that drops the minus signs, which are put back so that C₁ + … + C₄ is about 1 as 2h/D → 1. The polynomials of Roark's
 * Formulas for Stress and Strain, 7th ed., table 17.1, agree within 3 %.
 */
const shoulderFits: Readonly<Record<Loading, readonly Fit[]>> = {
  torsion: [{ least: 0.25, most: 4, rows: [[0.905, 0.783, -0.075], [-0.437, -1.969, 0.553], [1.557, 1.073, -0.578], [-1.061, 0.171, 0.086]] }],
  bending: [
    { least: 0.1, most: 2, rows: [[0.947, 1.206, -0.131], [0.022, -3.405, 0.915], [0.869, 1.777, -0.555], [-0.810, 0.422, -0.260]] },
    { least: 2, most: 20, rows: [[1.232, 0.832, -0.008], [-3.813, 0.968, -0.260], [7.423, -4.868, 0.869], [-3.839, 3.070, -0.600]] },
  ],
  axial: [
    { least: 0.1, most: 2, rows: [[0.926, 1.157, -0.099], [0.012, -3.036, 0.961], [-0.302, 3.977, -1.744], [0.365, -2.098, 0.878]] },
    { least: 2, most: 20, rows: [[1.200, 0.860, -0.022], [-1.805, -0.346, -0.038], [2.198, -0.486, 0.165], [-0.593, -0.028, -0.106]] },
  ],
};

/** The same book, 3rd ed., charts 2.41 (bending) and 2.47 (torsion) of the U-shaped groove, the same polynomial; found in the same way. */
const grooveFits: Readonly<Record<'torsion' | 'bending', readonly Fit[]>> = {
  torsion: [
    { least: 0.25, most: 2, rows: [[0.966, 1.056, -0.022], [-0.192, -4.037, 0.674], [0.808, 5.321, -1.231], [-0.567, -2.364, 0.566]] },
    { least: 2, most: 50, rows: [[1.089, 0.924, 0.018], [-1.504, -2.141, -0.047], [2.486, 2.289, 0.091], [-1.056, -1.104, -0.059]] },
  ],
  bending: [
    { least: 0.25, most: 2, rows: [[0.594, 2.958, -0.520], [0.422, -10.545, 2.692], [0.501, 14.375, -4.486], [-0.613, -6.573, 2.177]] },
    { least: 2, most: 50, rows: [[0.965, 1.926, 0], [-2.773, -4.414, -0.017], [4.785, 4.681, 0.096], [-1.995, -2.241, -0.074]] },
  ],
};

/** A shaft shoulder. Lengths in m. */
export interface ShoulderOptions {
  readonly largeDiameter: number;
  readonly smallDiameter: number;
  readonly radius: number;
  /** Torsion by default. */
  readonly loading?: Loading;
  /** Whose formula; Peterson's by default. */
  readonly after?: 'Peterson' | 'DIN 743-2';
}

/**
 * Gives the stress concentration of a shoulder fillet: K = C₁ + C₂·(2h/D) + C₃·(2h/D)² + C₄·(2h/D)³, Cᵢ = a + b·√(h/r) + c·h/r,
 * h = (D − d)/2, on the nominal stress of the small diameter.
 *
 * Cost: none.
 *
 * @param options diameters and fillet radius in m, loading (torsion by default), and whose formula (Peterson's by default)
 * @returns the factor with its source; shear for torsion, direct else
 * @throws InputError outside the range of the fit (h/r from 0.25 to 4 in torsion, 0.1 to 20 else); no value is extrapolated
 * @see fatigueNotchFactor
 * @example
 * shoulderKts({ largeDiameter: inch(1.65), smallDiameter: inch(1.1), radius: inch(0.11) }).value // => 1.412576
 * shoulderKts({ largeDiameter: inch(1.65), smallDiameter: inch(1.1), radius: inch(0.11), loading: 'bending' }).value // => 1.743008
 * @references W. D. Pilkey and D. F. Pilkey, Peterson's Stress Concentration Factors, 3rd ed., 2008, charts 3.4, 3.11 and 3.12; DIN 743-2:2012, form number of a shoulder: α = 1 + 1/√(A·r/t + 2B·r/d·(1 + 2r/d)² + C·(r/t)³·d/D), from memory, number of the equation not known.
 */
export function shoulderKts(options: ShoulderOptions): StressConcentration {
  const where = 'shoulderKts';
  checkOptions(where, options, { required: ['largeDiameter', 'smallDiameter', 'radius'], optional: ['loading', 'after'] });
  const loading = checkChoice(where, 'loading', options.loading ?? 'torsion', ['torsion', 'bending', 'axial']);
  const after = checkChoice(where, 'after', options.after ?? 'Peterson', ['Peterson', 'DIN 743-2']);
  const D = checkNumber(where, 'largeDiameter', options.largeDiameter, { above: 0, unit: 'm' });
  const d = checkNumber(where, 'smallDiameter', options.smallDiameter, { above: 0, below: D, unit: 'm' });
  const r = checkNumber(where, 'radius', options.radius, { above: 0, unit: 'm' });
  const base = { geometry: 'shoulder', loading, radius: r, nominal: 'net section of the small diameter' } as const;
  if (after === 'Peterson') return concentration({ ...base, value: evaluate(where, shoulderFits[loading], D, (D - d) / 2, r), source: `Peterson's Stress Concentration Factors, 3rd ed., chart ${{ axial: '3.4', bending: '3.11', torsion: '3.12' }[loading]}, shoulder fillet` });
  const t = (D - d) / 2;
  // DIN 743-2:2012, A, B and C of the form number of a shoulder, written out above; from memory.
  const [A, B, C] = { torsion: [3.4, 19, 1], bending: [0.62, 5.8, 0.2], axial: [0.62, 3.5, 0] }[loading] as [number, number, number];
  const value = 1 + 1 / Math.sqrt((A * r) / t + ((2 * B * r) / d) * (1 + (2 * r) / d) ** 2 + (C * (r / t) ** 3 * d) / D);
  return concentration({ ...base, value, source: 'DIN 743-2:2012, form number of a shoulder; from memory' });
}

/** A U-shaped groove around a solid shaft. Lengths in m. */
export interface GrooveOptions {
  /** Diameter outside the groove. */
  readonly diameter: number;
  readonly depth: number;
  readonly radius: number;
  /** Torsion by default. */
  readonly loading?: 'torsion' | 'bending';
}

/**
 * Gives the stress concentration of a U-shaped groove, by the polynomial of shoulderKts with its own coefficients, on the
 * nominal stress of the groove's ground (d = D − 2h).
 *
 * Cost: none.
 *
 * @param options diameter, depth h and root radius r in m, loading
 * @returns the factor with its source
 * @throws InputError for a depth that leaves no shaft, or h/r outside 0.25 to 50
 * @see shoulderKts
 * @example grooveKts({ diameter: mm(50), depth: mm(2.5), radius: mm(2.5) }).value // => 1.691115
 * @references W. D. Pilkey and D. F. Pilkey, Peterson's Stress Concentration Factors, 3rd ed., 2008, charts 2.41 and 2.47. A shallow semicircular groove tends to exactly 2 in torsion.
 */
export function grooveKts(options: GrooveOptions): StressConcentration {
  const where = 'grooveKts';
  checkOptions(where, options, { required: ['diameter', 'depth', 'radius'], optional: ['loading'] });
  const loading = checkChoice(where, 'loading', options.loading ?? 'torsion', ['torsion', 'bending']);
  const D = checkNumber(where, 'diameter', options.diameter, { above: 0, unit: 'm' });
  const h = checkNumber(where, 'depth', options.depth, { above: 0, below: D / 2, unit: 'm' });
  const r = checkNumber(where, 'radius', options.radius, { above: 0, unit: 'm' });
  return concentration({
    geometry: 'groove', loading, radius: r, nominal: 'net section in the groove', value: evaluate(where, grooveFits[loading], D, h, r),
    source: `Peterson's Stress Concentration Factors, 3rd ed., chart ${loading === 'torsion' ? '2.47' : '2.41'}, U-shaped groove`,
  });
}

/** A radial hole through a solid or hollow shaft. Lengths in m. */
export interface HoleOptions {
  readonly outerDiameter: number;
  /** 0 for a solid shaft. */
  readonly innerDiameter: number;
  readonly holeDiameter: number;
  /**
   * The hole's edge is in uniaxial stress K·τ. `'maximum shear'` states its maximum shear, K/2 (Peterson's Kts);
   * `'von Mises'` the shear that is as severe, K/√3.
   */
  readonly equivalence: 'maximum shear' | 'von Mises';
}

/**
 * Gives the stress concentration of a radial hole in torsion: σmax = K·τ on the gross section,
 * K = 4 + C₂·(2r/D) + C₃·(2r/D)² + C₄·(2r/D)³ with C₂ … C₄ square in d/D; the shear factor is K/2 or K/√3.
 *
 * Cost: none.
 *
 * @param options diameters of shaft, bore and hole in m, and the equivalence
 * @returns the shear factor; a note states K
 * @throws InputError for a hole wider than 0.4 of the shaft, or a bore wider than 0.8
 * @see shoulderKts
 * @example holeKts({ outerDiameter: mm(50), innerDiameter: 0, holeDiameter: mm(5), equivalence: 'maximum shear' }).value // => 1.82997
 * @references W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., table 17.1, radial hole in a circular shaft, after Jessop, Snell and Allison, 1959; coefficients found in a public calculator page.
 */
export function holeKts(options: HoleOptions): StressConcentration {
  const where = 'holeKts';
  checkOptions(where, options, { required: ['outerDiameter', 'innerDiameter', 'holeDiameter', 'equivalence'] });
  const D = checkNumber(where, 'outerDiameter', options.outerDiameter, { above: 0, unit: 'm' });
  const bore = checkNumber(where, 'innerDiameter', options.innerDiameter, { min: 0, max: 0.8 * D, unit: 'm' }) / D;
  const x = checkNumber(where, 'holeDiameter', options.holeDiameter, { above: 0, max: 0.4 * D, unit: 'm' }) / D;
  const equivalence = checkChoice(where, 'equivalence', options.equivalence, ['maximum shear', 'von Mises']);
  // Roark's Formulas for Stress and Strain, 7th ed., table 17.1, radial hole in torsion: C₂, C₃ and C₄, each square in d/D.
  const K = 4 + (-6.793 + 1.133 * bore - 0.126 * bore ** 2) * x + (38.382 - 7.242 * bore + 6.495 * bore ** 2) * x ** 2 + (-44.576 - 7.428 * bore + 58.656 * bore ** 2) * x ** 3;
  return concentration({
    geometry: 'hole', loading: 'torsion', radius: options.holeDiameter / 2, nominal: 'gross section, hole left out', value: K / (equivalence === 'von Mises' ? Math.sqrt(3) : 2),
    source: "Roark's Formulas for Stress and Strain, 7th ed., table 17.1, radial hole in torsion", notes: [`the hole's edge carries a direct stress of ${K.toFixed(3)} times the nominal shear stress; stated as shear by ${equivalence}`],
  });
}

/** An end-milled keyway of the usual proportions (width d/4, depth d/8). Lengths in m. */
export interface KeywayOptions {
  readonly diameter: number;
  /** Fillet radius at the bottom of the keyway. */
  readonly radius: number;
  /** Torsion by default. */
  readonly loading?: 'torsion' | 'bending';
  /** Is the torque carried by the key at this place, or does the keyway lie empty? In torsion only. */
  readonly key?: 'empty' | 'carries the torque';
}

/**
 * Gives the stress concentration at the bottom fillet of an end-milled keyway: in torsion
 * 1.953 + 0.1434·x − 0.0021·x², in bending 1.426 + 0.1643·x − 0.0019·x², x = 0.1·d/r, on the gross section.
 *
 * The end of the keyway at the surface bears less over the whole range: 3.4·τ, uniaxial, in torsion (1.7 as maximum shear, 1.96 after von Mises), 1.6 in bending.
 *
 * With a key that carries the torque the factor is higher; the value 3.0 at r/d = 0.02 is published, and the formula is
 * scaled to it, which a note says.
 *
 * Cost: none.
 *
 * @param options diameter and fillet radius in m, loading, and for torsion whether a key carries the torque
 * @returns the factor with its source
 * @throws InputError for r/d outside 0.005 to 0.07 (torsion) or 0.04 (bending), or torsion without `key`
 * @see shoulderKts
 * @example
 * keywayKts({ diameter: mm(50), radius: mm(1), key: 'empty' }).value // => 2.6175
 * keywayKts({ diameter: mm(50), radius: mm(1), key: 'carries the torque' }).value // => 3
 * @references W. D. Pilkey and D. F. Pilkey, Peterson's Stress Concentration Factors, 3rd ed., 2008, charts 5.1 and 5.2, after M. M. Leven 1949, from memory, the coefficients and the values at the surface found again in a public transcription; R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, section 7-4, p. 373 (3.0 with the key, 2.14 in bending, at r/d = 0.02).
 */
export function keywayKts(options: KeywayOptions): StressConcentration {
  const where = 'keywayKts';
  checkOptions(where, options, { required: ['diameter', 'radius'], optional: ['loading', 'key'] });
  const loading = checkChoice(where, 'loading', options.loading ?? 'torsion', ['torsion', 'bending']);
  const d = checkNumber(where, 'diameter', options.diameter, { above: 0, unit: 'm' });
  const r = checkNumber(where, 'radius', options.radius, { min: 0.005 * d * (1 - 1e-9), max: (loading === 'torsion' ? 0.07 : 0.04) * d * (1 + 1e-9), unit: 'm' });
  const x = (0.1 * d) / r;
  const base = { geometry: 'keyway', loading, radius: r, nominal: 'gross section, keyway left out', source: "Peterson's Stress Concentration Factors, 3rd ed., charts 5.1 and 5.2, end-milled keyway of width d/4 and depth d/8; from memory, found again in a transcription" } as const;
  if (loading === 'bending') return concentration({ ...base, value: 1.426 + 0.1643 * x - 0.0019 * x ** 2 });
  const empty = 1.953 + 0.1434 * x - 0.0021 * x ** 2;
  if (checkChoice(where, 'key', options.key, ['empty', 'carries the torque']) === 'empty') return concentration({ ...base, value: empty });
  return concentration({ ...base, value: (empty * 3) / 2.6175, notes: ['with the key: the formula of the empty keyway scaled so that it gives the published 3.0 at r/d = 0.02'] });
}

function evaluate(where: string, fits: readonly Fit[], D: number, h: number, r: number): number {
  const s = h / r;
  const slack = 1e-9;
  const fit = fits.find((f) => s >= f.least * (1 - slack) && s <= f.most * (1 + slack));
  if (!fit) {
    throw new InputError({ where, argument: 'radius', expected: `such that depth / radius lies from ${fits[0]!.least} to ${fits.at(-1)!.most}, where the formula is fitted`, given: `a depth / radius of ${s.toPrecision(4)}`, remedy: 'Take the factor from a chart or a finite-element model and state it with notchFactor.' });
  }
  const x = (2 * h) / D;
  return fit.rows.reduce((sum, [a, b, c], power) => sum + (a + b * Math.sqrt(s) + c * s) * x ** power, 0);
}

function concentration(data: Omit<StressConcentration, 'kind' | 'notes'> & { readonly notes?: readonly string[] }): StressConcentration {
  if (!(data.value >= 1)) throw new InputError({ where: `${data.geometry}Kts`, argument: 'geometry', expected: 'within the reach of the formula (a factor of at least 1)', given: `a factor of ${data.value.toPrecision(4)}` });
  return makeResult<StressConcentration>('StressConcentration', { ...data, kind: data.loading === 'torsion' ? 'shear' : 'direct', notes: Object.freeze([...(data.notes ?? [])]) },
    (c) => `Stress concentration ${c.value.toPrecision(4)} of a ${c.geometry} in ${c.loading} (${c.source})`);
}
