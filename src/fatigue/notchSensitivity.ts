import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { notchFactor, type NotchFactor } from './notchFactor.js';
import type { StressConcentration } from './stressConcentration.js';
import type { StressKind } from './stress.js';

/** Whose notch sensitivity: Neuber as Shigley fits it, Neuber as Dowling does (direct stress only), or Peterson. */
export type SensitivityMethod = 'Neuber, Shigley' | 'Neuber, Dowling' | 'Peterson';

const methods: readonly SensitivityMethod[] = ['Neuber, Shigley', 'Neuber, Dowling', 'Peterson'];
/** Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-35a (direct) and 6-35b (shear), p. 296: √a in √inch as a cubic in Sut in kpsi. */
const shigleyRoots: Readonly<Record<StressKind, readonly number[]>> = { direct: [0.246, -3.08e-3, 1.51e-5, -2.67e-8], shear: [0.190, -2.51e-3, 1.35e-5, -2.67e-8] };
const kpsi = 6.894757293168361e6;

/** Options of notchSensitivity. */
export interface SensitivityOptions {
  readonly method: SensitivityMethod;
  readonly kind: StressKind;
  /** Tensile strength of the steel, Pa. */
  readonly ultimate: number;
  /** Notch root radius, m. */
  readonly radius: number;
}

/**
 * Gives the notch sensitivity q of a steel, Kf = 1 + q·(Kt − 1).
 *
 * Neuber: q = 1/(1 + √(a/r)), √a a cubic in the tensile strength (Shigley), or log₁₀ a = −(Su − 134)/586 in mm and MPa (Dowling);
 * Peterson: q = 1/(1 + α/r), α = 0.025·(2070/Su)^1.8 mm, 0.6 of it in torsion.
 *
 * Cost: none.
 *
 * @returns q between 0 and 1
 * @throws InputError for strengths outside 340 to 1725 MPa (Shigley; 50 to 250 kpsi) or below 550 MPa (Peterson), or Dowling's Neuber constant in shear
 * @see fatigueNotchFactor
 * @example notchSensitivity({ method: 'Peterson', kind: 'shear', ultimate: MPa(900), radius: mm(2) }) // => 0.967504
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-34, 6-35a and 6-35b (pp. 296 and 346); N. E. Dowling, Mechanical Behavior of Materials, 4th ed., 2012, section 10.3 (Peterson's and Neuber's constants, as written above; from memory, numbers of the equations not known).
 */
export function notchSensitivity(options: SensitivityOptions): number {
  const where = 'notchSensitivity';
  checkOptions(where, options, { required: ['method', 'kind', 'ultimate', 'radius'] });
  const { method, kind } = options;
  checkChoice(where, 'method', method, methods);
  checkChoice(where, 'kind', kind, ['shear', 'direct']);
  const r = checkNumber(where, 'radius', options.radius, { above: 0, unit: 'm' }) * 1000;
  const bounds = method === 'Neuber, Shigley' ? { min: 340e6, max: 1725e6 } : { min: method === 'Peterson' ? 550e6 : 340e6, max: 2500e6 };
  const su = checkNumber(where, 'ultimate', options.ultimate, { ...bounds, unit: 'Pa' });
  if (method === 'Peterson') return 1 / (1 + ((kind === 'shear' ? 0.6 : 1) * 0.025 * (2070e6 / su) ** 1.8) / r);
  if (method === 'Neuber, Shigley') return 1 / (1 + neuberRoot(kind, su) / Math.sqrt(r));
  if (kind === 'shear') throw new InputError({ where, argument: 'method', expected: "'Neuber, Shigley' or 'Peterson' in shear", given: `'${method}'` });
  return 1 / (1 + Math.sqrt(10 ** (-(su / 1e6 - 134) / 586) / r));
}

/** Neuber's √a in √mm from the tensile strength in Pa, as Shigley fits it. @example neuberRoot('direct', psi(100e3)) // => 0.31398 */
export function neuberRoot(kind: StressKind, ultimate: number): number {
  const s = ultimate / kpsi;
  return shigleyRoots[kind].reduce((sum, c, power) => sum + c * s ** power, 0) * Math.sqrt(25.4);
}

/** Heywood's √a·Sut in √mm·MPa. */
const heywood = { hole: 174, shoulder: 139, groove: 104 } as const;

/** Options of fatigueNotchFactor. */
export interface FatigueNotchOptions {
  readonly method: SensitivityMethod | 'Heywood';
  /** Tensile strength of the steel, Pa. */
  readonly ultimate: number;
}

/**
 * Turns a theoretical stress concentration into a fatigue notch factor: Kf = 1 + q·(Kt − 1), or after Heywood
 * Kf = Kt / (1 + 2·(Kt − 1)/Kt·√(a/r)) with √a = 174, 139 or 104 √mm·MPa over Sut for a hole, a shoulder or a groove.
 *
 * Cost: none.
 *
 * @param concentration from shoulderKts, grooveKts, holeKts or keywayKts
 * @param options method and tensile strength
 * @returns a notch factor for localStress, with method and source in words
 * @throws InputError for Heywood on a keyway, or as notchSensitivity refuses
 * @see notchSensitivity, localStress
 * @example
 * const shoulder = shoulderKts({ largeDiameter: mm(75), smallDiameter: mm(60), radius: mm(3) });
 * fatigueNotchFactor(shoulder, { method: 'Peterson', ultimate: MPa(700) }).value // => 1.5697
 * @references Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-32 and 6-78, table 6-15 (Heywood); others as in notchSensitivity.
 */
export function fatigueNotchFactor(concentration: StressConcentration, options: FatigueNotchOptions): NotchFactor {
  const where = 'fatigueNotchFactor';
  if (kindOf(concentration) !== 'StressConcentration') throw new InputError({ where, argument: 'concentration', expected: 'a StressConcentration', given: show(concentration), remedy: 'Make one with shoulderKts, grooveKts, holeKts or keywayKts.' });
  checkOptions(where, options, { required: ['method', 'ultimate'] });
  const { value: Kt, radius, geometry, kind } = concentration;
  checkChoice(where, 'method', options.method, [...methods, 'Heywood']);
  if (radius === null) throw new InputError({ where, argument: 'concentration', expected: 'one with a root radius', given: 'none' });
  const source = `${options.method} at Kt = ${Kt.toPrecision(4)}: ${concentration.source}`;
  if (options.method === 'Heywood') {
    if (geometry === 'keyway') throw new InputError({ where, argument: 'method', expected: 'another than Heywood for a keyway', given: "'Heywood'" });
    return notchFactor({ kind, value: heywoodFactor(Kt, heywood[geometry] / (checkNumber(where, 'ultimate', options.ultimate, { above: 0, unit: 'Pa' }) / 1e6), radius), basis: 'fatigue', source });
  }
  const q = notchSensitivity({ method: options.method, kind, ultimate: options.ultimate, radius });
  return notchFactor({ kind, value: 1 + q * (Kt - 1), basis: 'fatigue', source });
}

/** Heywood's Kf from Kt, √a in √mm and the root radius in m. */
export function heywoodFactor(Kt: number, rootA: number, radius: number): number {
  return Kt / (1 + ((2 * (Kt - 1)) / Kt) * (rootA / Math.sqrt(radius * 1000)));
}
