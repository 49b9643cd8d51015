import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { closeResidue } from '../count/closeResidue.js';
import { isCycleCount } from '../count/CycleCount.js';
import { checkStressCycles, type StressCycles } from './StressCycles.js';

/** IACS UR M68, Rev. 2 2015 / Rev. 3 2021, table 1: shaft features with the factor C_K of M68.5's τ_C; the first three found in a class society's rules (naval ships, 2023) that print the same table, the others from memory. */
export const shaftFeatures: Readonly<Record<ShaftFeature, number>> = Object.freeze({
  'straight or flange': 1, 'shrink fit': 1, 'keyway, tapered': 0.6, 'keyway, cylindrical': 0.45, 'radial hole': 0.5, 'longitudinal slot': 0.3, 'thrust collar': 0.85,
  'propeller shaft, flange or keyless': 0.55, 'propeller shaft, keyed': 0.55, 'propeller shaft, forward part': 0.8,
});

/** A feature of a propulsion shaft that the rule gives a factor for. */
export type ShaftFeature = 'straight or flange' | 'shrink fit' | 'keyway, tapered' | 'keyway, cylindrical' | 'radial hole' | 'longitudinal slot' | 'thrust collar'
  | 'propeller shaft, flange or keyless' | 'propeller shaft, keyed' | 'propeller shaft, forward part';

/** For what the factor of a feature holds; from memory. */
const conditions: Readonly<Partial<Record<ShaftFeature, string>>> = {
  'keyway, tapered': 'a keyway is not to be used where a speed range is barred', 'keyway, cylindrical': 'a keyway is not to be used where a speed range is barred',
  'radial hole': 'C_K holds for a hole up to 0.3 of the outer diameter',
  'longitudinal slot': 'C_K holds for a slot shorter than 0.8 and wider than 0.1 of the outer diameter, its ends rounded, in a bore below 0.7 of it; else C_K = 1.45/scf, scf the largest principal stress over √3 of the nominal shear',
};

/** Options of vibrationLimits. */
export interface VibrationLimitOptions {
  /** Minimum tensile strength σ_B, Pa. */
  readonly tensileStrength: number;
  /** Alloy steel counts up to 800 MPa on intermediate shafts; carbon and carbon-manganese steel, and every propeller shaft, up to 600 MPa. */
  readonly steel: 'carbon' | 'alloy';
  /** Outer diameter, m. */
  readonly diameter: number;
  /** A feature of the rule's table, or C_K itself. */
  readonly feature: ShaftFeature | number;
  /** Which shaft it is; only with a C_K of your own, where the table does not say it. Alloy steel then needs it. */
  readonly shaft?: 'intermediate' | 'propeller';
  /** Speed over rated speed, each above 0 and below 1.05. */
  readonly speedRatios: readonly number[];
}

/** Permissible torsional vibration stress, as half-range of nominal shear stress. */
export interface VibrationLimits {
  readonly basis: 'nominal';
  readonly speedRatio: Float64Array;
  /** For continuous running at each ratio, Pa. */
  readonly continuous: Float64Array;
  /** Ratios below 0.8 and the limit for passing through them, Pa. */
  readonly transient: { readonly speedRatio: Float64Array; readonly limit: Float64Array };
  readonly shaftFactor: number;
  readonly sizeFactor: number;
  /** Tensile strength that counted, Pa. */
  readonly tensileStrength: number;
  readonly notes: readonly string[];
}

/**
 * Gives the permissible torsional vibration stress of a propulsion shaft, on the nominal half-range:
 * τ_C = (σ_B + 160)/18·C_K·C_D·(3 − 2λ²) for λ < 0.9, the factor 1.38 in place of the bracket for 0.9 ≤ λ < 1.05;
 * for passing through, λ < 0.8: τ_T = 1.7·τ_C/√C_K. MPa; C_D = 0.35 + 0.93·d^−0.2 with d in mm.
 *
 * Cost: none.
 *
 * @param options tensile strength (Pa), steel, diameter (m), feature or C_K (then, for alloy steel, which shaft), speed ratios λ
 * @returns the limits, in Pa, of the nominal half-range: no stress raiser belongs in what is compared to them
 * @throws InputError for a ratio outside 0 to 1.05, an unknown feature, or a C_K of alloy steel without the shaft
 * @see vibrationUtilisation, barredSpeedRange
 * @example
 * const limits = vibrationLimits({ tensileStrength: MPa(600), steel: 'carbon', diameter: mm(250), feature: 'straight or flange', speedRatios: [0.6, 1] });
 * limits.continuous[0] / 1e6 // => 63.3669773
 * limits.transient.limit[0] / 1e6 // => 107.723861
 * @references IACS UR M68, Dimensions of propulsion shafts and their permissible torsional vibration stresses, Rev. 2 2015 / Rev. 3 2021, M68.5 and table 1. Found in a class society's rules for naval ships of 2023: C_D, the nominal half-range without stress raisers, C_K of flange, shrink fit and tapered keyway; the formulas of τ_C and τ_T, the other C_K, their conditions and the caps on σ_B from memory.
 */
export function vibrationLimits(options: VibrationLimitOptions): VibrationLimits {
  const where = 'vibrationLimits';
  checkOptions(where, options, { required: ['tensileStrength', 'steel', 'diameter', 'feature', 'speedRatios'], optional: ['shaft'] });
  const given = checkNumber(where, 'tensileStrength', options.tensileStrength, { above: 0, unit: 'Pa' });
  const steel = checkChoice(where, 'steel', options.steel, ['carbon', 'alloy']);
  const d = checkNumber(where, 'diameter', options.diameter, { above: 0, unit: 'm' }) * 1000;
  const shaftFactor = typeof options.feature === 'number' ? checkNumber(where, 'feature', options.feature, { above: 0, max: 1 })
    : shaftFeatures[checkChoice(where, 'feature', options.feature, Object.keys(shaftFeatures) as ShaftFeature[])];
  if (!Array.isArray(options.speedRatios) || options.speedRatios.length === 0) throw new InputError({ where, argument: 'speedRatios', expected: 'at least one speed ratio', given: show(options.speedRatios) });
  options.speedRatios.forEach((ratio, i) => checkNumber(where, `speedRatios[${i}]`, ratio, { above: 0, below: 1.05 }));
  const shaft = shaftOf(where, options);
  const cap = steel === 'alloy' && shaft === 'intermediate' ? 800e6 : 600e6;
  const tensileStrength = Math.min(given, cap);
  const sizeFactor = 0.35 + 0.93 * d ** -0.2;
  const limit = (ratio: number): number => ((tensileStrength + 160e6) / 18) * shaftFactor * sizeFactor * (ratio < 0.9 ? 3 - 2 * ratio * ratio : 1.38);
  const below = options.speedRatios.filter((ratio) => ratio < 0.8);
  const condition = typeof options.feature === 'string' ? conditions[options.feature] : undefined;
  const notes = ['limits of the rule itself: the classification society decides', ...(condition ? [`${condition} (from memory)`] : []), ...(given > cap ? [`the tensile strength counts only up to ${cap / 1e6} MPa`] : [])];
  return makeResult<VibrationLimits>('VibrationLimits', {
    basis: 'nominal', speedRatio: Float64Array.from(options.speedRatios), continuous: Float64Array.from(options.speedRatios, limit),
    transient: Object.freeze({ speedRatio: Float64Array.from(below), limit: Float64Array.from(below, (ratio) => (1.7 * limit(ratio)) / Math.sqrt(shaftFactor)) }),
    shaftFactor, sizeFactor, tensileStrength, notes: Object.freeze(notes),
  }, (v) => `Vibration limits: C_K ${v.shaftFactor}, C_D ${v.sizeFactor.toFixed(4)}; continuous ${(Math.min(...v.continuous) / 1e6).toPrecision(4)} to ${(Math.max(...v.continuous) / 1e6).toPrecision(4)} MPa half-range`);
}

/** Which shaft it is: as the table has the feature, or as stated beside a C_K; null where carbon steel counts alike on all. */
function shaftOf(where: string, { feature, shaft, steel }: VibrationLimitOptions): 'intermediate' | 'propeller' | null {
  if (typeof feature === 'number' && shaft === undefined) {
    if (steel === 'carbon') return null;
    throw new InputError({ where, argument: 'shaft', expected: "'intermediate' or 'propeller' where alloy steel has a C_K of its own", given: 'nothing', remedy: 'Alloy steel counts up to 800 MPa on an intermediate shaft, up to 600 MPa on a propeller shaft.' });
  }
  if (typeof feature === 'number') return checkChoice<'intermediate' | 'propeller'>(where, 'shaft', shaft, ['intermediate', 'propeller']);
  if (shaft !== undefined) throw new InputError({ where, argument: 'shaft', expected: 'left out where the feature is one of the table, which says it', given: show(shaft) });
  return feature.startsWith('propeller shaft') ? 'propeller' : 'intermediate';
}

/** How far the measured vibration uses the limit at one speed. */
export interface VibrationUtilisation {
  /** Largest nominal half-range, Pa. */
  readonly halfRange: number;
  readonly limit: number;
  readonly utilisation: number;
  readonly speedRatio: number;
  readonly running: 'continuous' | 'transient';
}

/**
 * Compares the largest nominal half-range of a count with the limit at a speed.
 *
 * Cost: one pass over the cycles.
 *
 * @param cycles nominal shear cycles of a record at one speed (take the steady torque's own start and stop out of it)
 * @param options the limits, which must hold the speed ratio, and whether the speed is held or passed through
 * @returns half-range, limit and their quotient
 * @throws InputError for local stress, a ratio that the limits do not hold, or passing at a ratio of 0.8 and more
 * @see vibrationLimits
 * @example
 * const limits = vibrationLimits({ tensileStrength: MPa(500), steel: 'carbon', diameter: mm(300), feature: 1, speedRatios: [0.7] });
 * const cycles = shearStress(cyclesFromTable({ unit: 'N·m', range: [kNm(300)], count: [1], hours: 1 }), solidSection(mm(300)));
 * vibrationUtilisation(cycles, { limits, speedRatio: 0.7, running: 'continuous' }).utilisation // => 0.590244
 */
export function vibrationUtilisation(cycles: StressCycles<'nominal', 'shear'>, options: { readonly limits: VibrationLimits; readonly speedRatio: number; readonly running: 'continuous' | 'transient' }): VibrationUtilisation {
  const where = 'vibrationUtilisation';
  checkStressCycles(where, cycles, 'nominal');
  if (cycles.kind !== 'shear') throw new InputError({ where, argument: 'cycles', expected: 'cycles of shear stress', given: `${cycles.kind} stress` });
  checkOptions(where, options, { required: ['limits', 'speedRatio', 'running'] });
  if (kindOf(options.limits) !== 'VibrationLimits') throw new InputError({ where, argument: 'limits', expected: 'a result of vibrationLimits', given: show(options.limits) });
  const running = checkChoice(where, 'running', options.running, ['continuous', 'transient']);
  const side = running === 'continuous' ? { speedRatio: options.limits.speedRatio, limit: options.limits.continuous } : options.limits.transient;
  const at = side.speedRatio.indexOf(checkNumber(where, 'speedRatio', options.speedRatio, { above: 0 }));
  if (at < 0) throw new InputError({ where, argument: 'speedRatio', expected: `one of the ratios of the limits (${Array.from(side.speedRatio).join(', ') || 'none below 0.8'})`, given: String(options.speedRatio) });
  const rows = isCycleCount(cycles.cycles) ? closeResidue(cycles.cycles, 'half') : cycles.cycles;
  let range = 0;
  for (let i = 0; i < rows.range.length; i++) if (rows.range[i]! > range) range = rows.range[i]!;
  const halfRange = 0.5 * range * cycles.factor;
  const limit = side.limit[at]!;
  return makeResult<VibrationUtilisation>('VibrationUtilisation', { halfRange, limit, utilisation: halfRange / limit, speedRatio: options.speedRatio, running },
    (u) => `Vibration ${(u.halfRange / 1e6).toPrecision(4)} MPa half-range, ${(100 * u.utilisation).toPrecision(3)} % of the ${u.running} limit at a speed ratio of ${u.speedRatio}`);
}

/** Speeds that must not be held. */
export interface BarredRange {
  /** rad/s. */
  readonly from: number;
  readonly to: number;
}

/**
 * Gives the barred speed range about a critical speed whose stress passes the continuous limit:
 * 16·n_c/(18 − λ_c) ≤ n ≤ (18 − λ_c)·n_c/16.
 *
 * Cost: none.
 *
 * @param options critical and rated speed, rad/s
 * @returns the range, rad/s
 * @throws InputError for speeds that are not above 0, or a critical speed of 0.8 of the rated one and more, where no range may be barred
 * @see vibrationLimits
 * @example
 * const barred = barredSpeedRange({ criticalSpeed: rpm(60), ratedSpeed: rpm(120) });
 * barred.from / rpm(1) // => 54.857
 * barred.to / rpm(1) // => 65.625
 * @references IACS UR M68, Rev. 2 2015, M68.6.3; from memory.
 */
export function barredSpeedRange(options: { readonly criticalSpeed: number; readonly ratedSpeed: number }): BarredRange {
  const where = 'barredSpeedRange';
  checkOptions(where, options, { required: ['criticalSpeed', 'ratedSpeed'] });
  const rated = checkNumber(where, 'ratedSpeed', options.ratedSpeed, { above: 0, unit: 'rad/s' });
  const critical = checkNumber(where, 'criticalSpeed', options.criticalSpeed, { above: 0, below: 0.8 * rated, unit: 'rad/s' });
  const rest = 18 - critical / rated;
  return Object.freeze({ from: (16 * critical) / rest, to: (rest * critical) / 16 });
}

/**
 * Gives the least diameter of a propulsion shaft: d = F·k·∛(p/n₀ · 1/(1 − Q⁴) · 560/(σ_B + 160)), p in kW, n₀ in rpm, σ_B in MPa, d in mm.
 *
 * Cost: none.
 *
 * @param options power (W), rated speed (rad/s), tensile strength (Pa), F (95 turbine or electric drive or slip coupling, 100 other diesel), k of the feature (1.0 flange or shrink fit, 1.10 keyway, radial hole or thrust collar, 1.20 slot, 1.22 keyless or 1.26 keyed propeller shaft, 1.15 its forward part), bore over outer diameter Q (0 up to 0.4); σ_B counts up to 760 MPa for carbon, 800 MPa for alloy steel and 600 MPa for propeller shafts: give what counts
 * @returns m
 * @throws InputError for values that are not above 0, or Q outside 0 to 1
 * @see vibrationLimits
 * @example leastShaftDiameter({ power: 1e7, ratedSpeed: rpm(120), tensileStrength: MPa(560), driveFactor: 100, featureFactor: 1, boreRatio: 0 }) // => 0.401690
 * @references IACS UR M68, Rev. 2 2015 / Rev. 3 2021, M68.3 and M68.4; from memory (the caps on σ_B found in a class society's rules of 2008).
 */
export function leastShaftDiameter(options: { readonly power: number; readonly ratedSpeed: number; readonly tensileStrength: number; readonly driveFactor: number; readonly featureFactor: number; readonly boreRatio: number }): number {
  const where = 'leastShaftDiameter';
  checkOptions(where, options, { required: ['power', 'ratedSpeed', 'tensileStrength', 'driveFactor', 'featureFactor', 'boreRatio'] });
  for (const key of ['power', 'ratedSpeed', 'tensileStrength', 'driveFactor', 'featureFactor'] as const) checkNumber(where, key, options[key], { above: 0 });
  checkNumber(where, 'boreRatio', options.boreRatio, { min: 0, below: 1 });
  const speed = (options.ratedSpeed * 30) / Math.PI;
  const strength = (160 + options.tensileStrength / 1e6) / 560;
  return checkNumber(where, 'diameter that follows', (options.driveFactor * options.featureFactor * Math.cbrt(options.power / 1000 / speed / (1 - options.boreRatio ** 4) / strength)) / 1000, { unit: 'm' });
}
