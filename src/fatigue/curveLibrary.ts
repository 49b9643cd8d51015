import { normalCdf } from '../numeric/distributions.js';
import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { lifeCurve, type LifeCurve } from './LifeCurve.js';
import type { StressKind } from './stress.js';

/**
 * DNV-RP-C203 (editions 2010 to 2021), table 2-1, S-N curves in air: m₁, log₁₀ a₁ (N ≤ 10⁷) of log₁₀ N = log₁₀ a − m·log₁₀ Δσ (MPa), slope 5 beyond,
 * mean minus two standard deviations. From memory, no reprint of these editions was seen; every row's two branches meet at 10⁷ within 0.04 % of the limit it prints.
 */
const dnvRows: Readonly<Record<string, readonly [slope: number, logA: number]>> = {
  B1: [4, 15.117], B2: [4, 14.885], C: [3, 12.592], C1: [3, 12.449], C2: [3, 12.301], D: [3, 12.164], E: [3, 12.010], F: [3, 11.855],
  F1: [3, 11.699], F3: [3, 11.546], G: [3, 11.398], W1: [3, 11.261], W2: [3, 11.107], W3: [3, 10.970],
};

/** The classes that were found again, see bs7608Rows. */
const bs7608Found: readonly string[] = ['B', 'C', 'D'];
/**
 * BS 7608:1993, table of S-N constants (its number is not known; the same numbers in BS 5400-10:1980, table 8): C₀, m and the standard deviation SD of log₁₀ N in N = C₀·10^(−d·SD)/Sᵐ (MPa). Classes B, C
 * and D found again, with their design constants and strengths, in a class society's guidance on fatigue of hulls of 2020; the others from memory.
 */
const bs7608Rows: Readonly<Record<string, readonly [constant: number, slope: number, deviation: number]>> = {
  B: [2.343e15, 4, 0.1821], C: [1.082e14, 3.5, 0.2041], D: [3.988e12, 3, 0.2095], E: [3.289e12, 3, 0.2509], F: [1.726e12, 3, 0.2183],
  F2: [1.231e12, 3, 0.2279], G: [0.566e12, 3, 0.1793], W: [0.368e12, 3, 0.1846],
};

/**
 * ISO 19902:2007, table 16.11-1, representative S-N curves in air, other joints: m₁, log₁₀ k₁ (N ≤ 10⁷) of log₁₀ N = log₁₀ k − m·log₁₀ S (MPa), slope 5 beyond. k₁ from memory. It is borne out by
 * the branches of the same table for protected joints in seawater, found in a reprint (ckunte.net, S-N curves, 2014): the second is the one in air and meets
 * k₁ at 10⁷, the first lies 0.40 below k₁ in every row (a factor of 2.5 on life).
 */
const iso19902Rows: Readonly<Record<string, readonly [slope: number, logK: number]>> = {
  B: [4, 15.01], C: [3.5, 13.63], D: [3, 12.18], E: [3, 12.02], F: [3, 11.80], F2: [3, 11.63], G: [3, 11.40], W1: [3, 10.97],
};

/**
 * EN 1993-1-9 direct stress range of a detail category: m = 3 through the category at 2·10⁶, m = 5 from 5·10⁶ (0.737 of the
 * category), cut-off at 10⁸ (0.405 of it).
 *
 * @param category detail category Δσ_C, MPa, as the code prints it
 * @param materialFactor γ_Mf, divides the strength; 1 by default
 * @example curveLibrary.en1993Direct(71).kneeStress / 1e6 // => 28.73
 * @references EN 1993-1-9:2005 + AC:2009, clause 7.1(2) and (3), figure 7.1; from memory. An edition of 2025 exists, whose curves were not looked at.
 */
function en1993Direct(category: number, materialFactor = 1): LifeCurve<'range', 'direct'> {
  const factor = factorText('en1993Direct', category, materialFactor);
  return lifeCurve({
    name: `EN 1993-1-9 direct ${category}${factor}`, kind: 'direct', measure: 'range', through: { stress: (category * 1e6) / materialFactor, cycles: 2e6 }, slope: 3,
    bend: { cycles: 5e6, slope: 5 }, knee: 1e8, beyond: 'cut-off', ratio: null, survival: 0.95, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it',
    source: 'EN 1993-1-9:2005 + AC:2009, clause 7.1 and figure 7.1 (75 % confidence of 95 % survival); from memory',
  });
}

/**
 * EN 1993-1-9 shear stress range: m = 5 through the category at 2·10⁶, cut-off at 10⁸ (0.457 of the category).
 *
 * @param category detail category Δτ_C, MPa (the code has 100 and 80)
 * @param materialFactor γ_Mf, divides the strength; 1 by default
 * @example curveLibrary.en1993Shear(100, 1.15).kneeStress / 1e6 // => 39.77
 * @references EN 1993-1-9:2005 + AC:2009, clause 7.1(2), figure 7.2; from memory. An edition of 2025 exists, whose curves were not looked at.
 */
function en1993Shear(category: number, materialFactor = 1): LifeCurve<'range', 'shear'> {
  const factor = factorText('en1993Shear', category, materialFactor);
  return lifeCurve({
    name: `EN 1993-1-9 shear ${category}${factor}`, kind: 'shear', measure: 'range', through: { stress: (category * 1e6) / materialFactor, cycles: 2e6 }, slope: 5,
    knee: 1e8, beyond: 'cut-off', ratio: null, survival: 0.95, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it',
    source: 'EN 1993-1-9:2005 + AC:2009, clause 7.1 and figure 7.2 (75 % confidence of 95 % survival); from memory',
  });
}

/**
 * DNV-RP-C203 curve in air: log N = log a₁ − m₁·log S to 10⁷, slope 5 beyond without a cut-off.
 *
 * @param detail class, from B1 to W3
 * @param thickness optional: plate thickness and reference thickness in m and the exponent k; the strength falls by (t/t_ref)ᵏ where t is above t_ref
 * @example cyclesToFailure(curveLibrary.dnvAir('D'), directRange(MPa(100))) // => 1458814.26
 * @references DNV-RP-C203, editions 2010 to 2021, section 2.4, table 2-1, equation 2.4.3; from memory. The edition of October 2024 has other curves B1 to C2 (C of slope 3.5, a knee at 5·10⁶).
 */
function dnvAir(detail: string, thickness?: { readonly actual: number; readonly reference: number; readonly exponent: number }): LifeCurve<'range', 'direct'> {
  const [slope, logA] = row('dnvAir', dnvRows, detail);
  let factor = 1;
  if (thickness) {
    checkOptions('dnvAir', thickness, { required: ['actual', 'reference', 'exponent'] });
    checkNumber('dnvAir', 'thickness.actual', thickness.actual, { above: 0, unit: 'm' });
    checkNumber('dnvAir', 'thickness.reference', thickness.reference, { above: 0, unit: 'm' });
    checkNumber('dnvAir', 'thickness.exponent', thickness.exponent, { min: 0, max: 1 });
    factor = Math.max(1, thickness.actual / thickness.reference) ** thickness.exponent;
  }
  return lifeCurve({
    name: `DNV-RP-C203 air ${detail}${factor === 1 ? '' : `, thickness factor ${factor.toFixed(3)}`}`, kind: 'direct', measure: 'range', through: { stress: strengthAt(logA, slope, 7) / factor, cycles: 1e7 }, slope,
    knee: 1e7, beyond: 'reduced-slope', slopeBeyond: 5, ratio: null, survival: normalCdf(2), deviation: 0.2, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it',
    source: 'DNV-RP-C203, editions 2010 to 2021, table 2-1 (mean minus two standard deviations of 0.20); from memory',
  });
}

/**
 * IIW shear stress range: k = 5 through the class at 2·10⁶, limit at 10⁸.
 *
 * @param fat FAT class, MPa, up to 100 (100: parent metal and full-penetration welds; 80: fillet welds)
 * @example curveLibrary.iiwShear(80).kneeStress / 1e6 // => 36.58
 * @references A. Hobbacher, Recommendations for Fatigue Design of Welded Joints and Components, IIW-1823-07, 2008, section 3.2, figure (3.2)-3; from memory.
 */
function iiwShear(fat: number): LifeCurve<'range', 'shear'> {
  checkFat('iiwShear', fat, 100);
  return lifeCurve({
    name: `IIW shear FAT ${fat}`, kind: 'shear', measure: 'range', through: { stress: fat * 1e6, cycles: 2e6 }, slope: 5, knee: 1e8, beyond: 'cut-off',
    ratio: null, survival: 0.95, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it', source: 'A. Hobbacher, IIW Recommendations, IIW-1823-07, 2008, section 3.2, shear resistance curves; from memory',
  });
}

/**
 * IIW direct stress range: m = 3 through the class at 2·10⁶, knee at 10⁷, m = 5 beyond under variable amplitude.
 *
 * @param fat FAT class, MPa, up to 125: parent metal above it has a slope of 5
 * @example curveLibrary.iiwDirect(90).slopeBeyond // => 5
 * @references A. Hobbacher, Recommendations for Fatigue Design of Welded Joints and Components, IIW-1823-07, 2008, section 3.2, figure (3.2)-1, and 5 beyond the knee under variable amplitude (22 under constant); from memory.
 */
function iiwDirect(fat: number): LifeCurve<'range', 'direct'> {
  checkFat('iiwDirect', fat, 125);
  return lifeCurve({
    name: `IIW direct FAT ${fat}`, kind: 'direct', measure: 'range', through: { stress: fat * 1e6, cycles: 2e6 }, slope: 3, knee: 1e7, beyond: 'reduced-slope',
    ratio: null, survival: 0.95, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it', source: 'A. Hobbacher, IIW Recommendations, IIW-1823-07, 2008, section 3.2, direct stress, variable amplitude; from memory',
  });
}

/**
 * BS 7608 class: N = C₀·10^(−d·SD)/Sᵐ to 10⁷, slope m + 2 beyond.
 *
 * @param detail class, from B to W
 * @param standardDeviations d, how many standard deviations below the mean line (2 for design, 0 for the mean)
 * @example stressAtLife(curveLibrary.bs7608('F', 2), 1e7).value / 1e6 // => 39.8
 * @references BS 7608:1993, table of S-N constants; BS 5400-10:1980, table 8; B, C and D found again in a class society's guidance of 2020, the others from memory.
 */
function bs7608(detail: string, standardDeviations: number): LifeCurve<'range', 'direct'> {
  const [constant, slope, deviation] = row('bs7608', bs7608Rows, detail);
  checkNumber('bs7608', 'standardDeviations', standardDeviations, { min: 0, max: 4 });
  return lifeCurve({
    name: `BS 7608 class ${detail}, mean − ${standardDeviations} SD`, kind: 'direct', measure: 'range', slope,
    through: { stress: strengthAt(Math.log10(constant) - standardDeviations * deviation, slope, 7), cycles: 1e7 }, knee: 1e7, beyond: 'reduced-slope', slopeBeyond: slope + 2,
    ratio: null, survival: normalCdf(standardDeviations), deviation, tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it', source: `BS 7608:1993, table of S-N constants (BS 5400-10:1980, table 8); ${bs7608Found.includes(detail) ? "found again in a class society's guidance of 2020" : 'from memory'}`,
  });
}

/**
 * ISO 19902 curve in air for joints other than tubular: slope m₁ to 10⁷, 5 beyond.
 *
 * @param detail class, from B to W1
 * @example curveLibrary.iso19902('D').kneeStress / 1e6 // => 53.29
 * @references ISO 19902:2007, clause 16.11, table 16.11-1; first branch from memory, borne out by the branches for seawater in a reprint (ckunte.net, S-N curves, 2014).
 */
function iso19902(detail: string): LifeCurve<'range', 'direct'> {
  const [slope, logK] = row('iso19902', iso19902Rows, detail);
  return lifeCurve({
    name: `ISO 19902 air ${detail}`, kind: 'direct', measure: 'range', through: { stress: strengthAt(logK, slope, 7), cycles: 1e7 }, slope, knee: 1e7, beyond: 'reduced-slope',
    slopeBeyond: 5, ratio: null, survival: normalCdf(2), tested: null, notch: 'in the curve', specimen: 'welded or plain detail as the class describes it', source: 'ISO 19902:2007, table 16.11-1, S-N curves in air; from memory, borne out by a reprint of the curves in seawater',
  });
}

/** What curveLibrary.synthetic takes. Stresses in Pa. */
export interface SyntheticOptions<K extends StressKind = StressKind> {
  readonly kind: K;
  /** Tensile strength Sut of the material, Pa. */
  readonly ultimate: number;
  /** Endurance limit of the part in this kind of stress, fully reversed, after every Marin factor, Pa. */
  readonly enduranceLimit: number;
  /** Share of the strength that lasts 10³ cycles; by default 1.06 − 4.1·10⁻⁴·Sut + 1.5·10⁻⁷·Sut² (Sut in MPa), for 490 to 1400 MPa. */
  readonly fraction?: number;
  /** Shear strength as a share of Sut, for shear only; 0.67 by default. */
  readonly shearStrength?: number;
  /** Survival that the curve stands for: 0.5 by default, the reliability of the endurance limit where a factor for it was put in. */
  readonly survival?: number;
}

/**
 * Synthetic curve of a steel part, fully reversed amplitude: a line from f·Su at 10³ cycles to the endurance limit at 10⁶,
 * S = a·Nᵇ with a = (f·Su)²/Se and b = −log₁₀(f·Su/Se)/3; Su = Sut in direct stress, 0.67·Sut in shear.
 *
 * @returns a mean curve, or one of the stated survival
 * @throws InputError for a strength at 10³ cycles that is not above the endurance limit, or no f where the formula does not reach
 * @see enduranceLimit
 * @example cyclesToFailure(curveLibrary.synthetic({ kind: 'direct', ultimate: psi(90e3), enduranceLimit: psi(45e3), fraction: 0.86 }), directAmplitude(psi(55e3))) // => 77614
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-13 to 6-16 and 6-54; the fit of f from a later edition (11th, 2020), number of its equation not known, from memory.
 */
function synthetic<const K extends StressKind>(options: SyntheticOptions<K>): LifeCurve<'amplitude', K> {
  const where = 'curveLibrary.synthetic';
  checkOptions(where, options, { required: ['kind', 'ultimate', 'enduranceLimit'], optional: ['fraction', 'shearStrength', 'survival'] });
  checkChoice(where, 'kind', options.kind, ['shear', 'direct']);
  checkNumber(where, 'ultimate', options.ultimate, { above: 0, unit: 'Pa' });
  const mega = options.ultimate / 1e6;
  if (options.fraction === undefined && (mega < 490 || mega > 1400)) {
    throw new InputError({ where, argument: 'fraction', expected: 'given where the tensile strength lies outside 490 to 1400 MPa', given: `${mega.toPrecision(4)} MPa and no fraction` });
  }
  const fraction = options.fraction ?? 1.06 - 4.1e-4 * mega + 1.5e-7 * mega * mega;
  checkNumber(where, 'fraction', fraction, { above: 0, max: 1 });
  const share = options.kind === 'shear' ? options.shearStrength ?? 0.67 : 1;
  checkNumber(where, 'shearStrength', share, { above: 0, max: 1 });
  const high = fraction * share * options.ultimate;
  checkNumber(where, 'enduranceLimit', options.enduranceLimit, { above: 0, below: high, unit: 'Pa' });
  return lifeCurve({
    name: `synthetic ${options.kind}, Sut ${mega.toPrecision(4)} MPa, limit ${(options.enduranceLimit / 1e6).toPrecision(4)} MPa`, kind: options.kind, measure: 'amplitude',
    through: { stress: options.enduranceLimit, cycles: 1e6 }, slope: 3 / Math.log10(high / options.enduranceLimit), knee: 1e6, beyond: 'reduced-slope', ratio: -1, survival: options.survival ?? 0.5,
    tested: { from: 1e3, to: 1e6 }, notch: 'in the stress', specimen: 'size and surface as in the endurance limit',
    source: `Budynas and Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-13 to 6-16, f = ${fraction.toFixed(3)}${options.kind === 'shear' ? `, Ssu = ${share}·Sut` : ''}`,
  });
}

/** What curveLibrary.points takes besides two points. */
export type PointsOptions<M extends 'range' | 'amplitude', K extends StressKind> = Omit<Parameters<typeof lifeCurve<M, K>>[0], 'through' | 'slope' | 'bend'> & {
  /** Two or three points in order of rising cycles and falling stress; the middle one is the bend. */
  readonly points: readonly { readonly stress: number; readonly cycles: number }[];
};

const pointsKeys = ['name', 'kind', 'measure', 'knee', 'beyond', 'slopeBeyond', 'ratio', 'survival', 'deviation', 'tested', 'notch', 'specimen', 'source'];

/**
 * Curve through two or three points of your own.
 *
 * @throws InputError for fewer than two or more than three points, or points that do not fall
 * @see fitLifeCurve for scattered tests
 * @example
 * const curve = curveLibrary.points({ name: 'mine', kind: 'shear', measure: 'amplitude', points: [{ stress: MPa(300), cycles: 1e4 }, { stress: MPa(150), cycles: 1e6 }], knee: 1e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 'own tests' });
 * curve.slope // => 6.643856
 */
function points<const M extends 'range' | 'amplitude', const K extends StressKind>(options: PointsOptions<M, K>): LifeCurve<M, K> {
  const where = 'curveLibrary.points';
  const { points: list, ...rest } = checkOptions(where, options, { required: ['points'], optional: pointsKeys });
  if (!Array.isArray(list) || list.length < 2 || list.length > 3) throw new InputError({ where, argument: 'points', expected: 'two or three points', given: show(list), remedy: 'Use fitLifeCurve for scattered tests.' });
  list.forEach((point, i) => {
    checkOptions(`${where} (points)`, point, { required: ['stress', 'cycles'] });
    checkNumber(where, `points[${i}].stress`, point.stress, { above: 0, unit: 'Pa' });
    checkNumber(where, `points[${i}].cycles`, point.cycles, { above: 0, unit: 'cycles' });
  });
  const slopes = list.slice(1).map((point, i) => {
    const before = list[i]!;
    if (!(point.cycles > before.cycles && point.stress < before.stress)) {
      throw new InputError({ where, argument: 'points', expected: 'in order of rising cycles and falling stress', given: `${before.stress} Pa at ${before.cycles}, then ${point.stress} Pa at ${point.cycles}` });
    }
    return Math.log(point.cycles / before.cycles) / Math.log(before.stress / point.stress);
  });
  return lifeCurve<M, K>({ ...rest, through: list[0]!, slope: slopes[0]!, bend: slopes.length === 2 ? { cycles: list[1]!.cycles, slope: slopes[1]! } : null } as Parameters<typeof lifeCurve<M, K>>[0]);
}

/** EN 1993-1-9:2005, figure 7.1: detail categories Δσ_C that it prints for direct stress, MPa; the classes of IIW-1823-07, 2008, figure (3.2)-1, use the same steps. From memory. */
const categories = [160, 140, 125, 112, 100, 90, 80, 71, 63, 56, 50, 45, 40, 36];

/**
 * Lists every published row of the library as a curve, for a table or a choice: BS 7608 at two standard deviations,
 * EN 1993-1-9 without a material factor.
 *
 * @example curveLibrary.list().filter((curve) => curve.kind === 'shear').map((curve) => curve.name) // => ["EN 1993-1-9 shear 100","EN 1993-1-9 shear 80","IIW shear FAT 100","IIW shear FAT 80"]
 */
function list(): readonly LifeCurve[] {
  return [
    ...categories.map((category) => en1993Direct(category)), ...[100, 80].map((category) => en1993Shear(category)), ...Object.keys(dnvRows).map((detail) => dnvAir(detail)),
    ...categories.filter((fat) => fat <= 125).map(iiwDirect), ...[100, 80].map(iiwShear), ...Object.keys(bs7608Rows).map((detail) => bs7608(detail, 2)), ...Object.keys(iso19902Rows).map(iso19902),
  ];
}

/** Published and synthetic stress–life curves, each with its source and edition. */
export const curveLibrary: {
  readonly en1993Direct: (category: number, materialFactor?: number) => LifeCurve<'range', 'direct'>;
  readonly en1993Shear: (category: number, materialFactor?: number) => LifeCurve<'range', 'shear'>;
  readonly dnvAir: (detail: string, thickness?: { readonly actual: number; readonly reference: number; readonly exponent: number }) => LifeCurve<'range', 'direct'>;
  readonly iiwShear: (fat: number) => LifeCurve<'range', 'shear'>;
  readonly iiwDirect: (fat: number) => LifeCurve<'range', 'direct'>;
  readonly bs7608: (detail: string, standardDeviations: number) => LifeCurve<'range', 'direct'>;
  readonly iso19902: (detail: string) => LifeCurve<'range', 'direct'>;
  readonly list: () => readonly LifeCurve[];
  readonly synthetic: <const K extends StressKind>(options: SyntheticOptions<K>) => LifeCurve<'amplitude', K>;
  readonly points: <const M extends 'range' | 'amplitude', const K extends StressKind>(options: PointsOptions<M, K>) => LifeCurve<M, K>;
} = Object.freeze({ en1993Direct, en1993Shear, dnvAir, iiwShear, iiwDirect, bs7608, iso19902, list, synthetic, points });

/** Stress in Pa that lasts 10^logCycles, from log₁₀ N = logConstant − slope·log₁₀(S in MPa). */
function strengthAt(logConstant: number, slope: number, logCycles: number): number {
  return 10 ** ((logConstant - logCycles) / slope) * 1e6;
}

/** The class as a number of MPa, not of Pa. */
function checkFat(where: string, fat: number, most: number): void {
  checkNumber(`curveLibrary.${where}`, 'fat', fat, { above: 0, max: most, unit: 'MPa' });
}

function factorText(where: string, category: number, factor: number): string {
  checkNumber(where, 'category', category, { above: 0, max: 1000, unit: 'MPa' });
  checkNumber(where, 'materialFactor', factor, { above: 0 });
  return factor === 1 ? '' : `, γMf ${factor}`;
}

function row<T>(where: string, rows: Readonly<Record<string, T>>, detail: string): T {
  if (Object.hasOwn(rows, detail)) return rows[detail]!;
  throw new InputError({ where: `curveLibrary.${where}`, argument: 'detail', expected: `one of ${Object.keys(rows).join(', ')}`, given: show(detail) });
}
