import { checkChoice, checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { logGamma, lowerGamma } from '../numeric/distributions.js';
import { branchesOf, checkCurve, continuations, type Branch, type Continuation, type LifeCurve } from './LifeCurve.js';
import { spectralMoments, type DensityData, type SpectralMoments } from './spectralMoments.js';

/** Methods that turn a spectrum into damage. */
export type SpectralMethod = 'narrow-band' | 'Wirsching–Light' | 'Dirlik' | 'Tovo–Benasciutti' | 'Zhao–Baker';

/** What spectralDamage is told. */
export interface SpectralOptions {
  readonly curve: LifeCurve;
  /** Pa of local stress for one unit of the spectrum's channel; needed unless that is in Pa. */
  readonly factor?: number;
  /** Band, Hz; all but 0 Hz unless told. */
  readonly from?: number;
  readonly to?: number;
  /** Below the knee; the curve's own unless told. */
  readonly continuation?: Continuation;
}

/** Damage of a stationary Gaussian stress, method by method. */
export interface SpectralDamage {
  /** In one hour; null where a method does not hold (see notes). */
  readonly perHour: Readonly<Record<SpectralMethod, number | null>>;
  /** Over the narrow-band damage. */
  readonly ratio: Readonly<Record<SpectralMethod, number | null>>;
  readonly moments: SpectralMoments;
  /** Root mean square of the stress, Pa. */
  readonly deviation: number;
  readonly curve: LifeCurve;
  readonly continuation: Continuation;
  readonly notes: readonly string[];
}

/** Cycles whose amplitude over σ follows Weibull distributions: share, scale and shape of each. */
interface AmplitudeMixture {
  /** Cycles a second. */
  readonly rate: number;
  readonly parts: readonly { readonly share: number; readonly scale: number; readonly shape: number }[];
}

/**
 * Estimates the damage rate of a stationary Gaussian stress from its power density, by five methods beside each other.
 *
 * Each method gives the distribution of cycle amplitudes as a mixture of Weibull distributions (exponential and Rayleigh
 * among them); the damage rate is ν·∫ p(S)/N(S) dS, branch by branch of the curve, in closed form with incomplete gamma
 * functions. Wirsching–Light is a factor on narrow-band damage for one slope and is left out for a curve with several.
 * The means of the cycles do not enter. A torque with starts, load steps or lines is not Gaussian: count it instead.
 *
 * Kept: the moments. Cost: one pass over the density.
 *
 * @param density a power density of local stress, or of a quantity that `factor` turns into local stress
 * @param options curve (no default), factor, band and continuation
 * @returns damage in an hour by method, null where a method does not hold
 * @throws InputError for a density that is not evenly spaced or holds no power in the band, or a missing factor
 * @see spectralMoments damage powerDensity
 * @example
 * const curve = lifeCurve({ name: 'F3', kind: 'direct', measure: 'range', through: { stress: MPa(1), cycles: 10 ** 12.164 }, slope: 3, knee: null, beyond: 'same-slope', ratio: null, survival: null, tested: null, notch: 'in the curve', source: 'by hand' });
 * const band = Float64Array.from({ length: 101 }, (_, k) => (k > 0 ? 1e12 : 0));
 * const result = spectralDamage({ frequency: band.map((_, k) => k), density: band, of: 'Pa' }, { curve });
 * result.ratio['Dirlik'] // => 0.80
 * @references JCSS Probabilistic Model Code, part 3.12 (its edition not known), appendices B1 (narrow-band) and B2 (Zhao and Baker 1990); T. Dirlik, Application of computers in fatigue analysis, Warwick 1985, and
 * D. Benasciutti and R. Tovo, Spectral methods for lifetime prediction under wide-band stationary random processes, Int. J. Fatigue 27 (2005) 867, and
 * P. H. Wirsching and M. C. Light, Fatigue under wide band random stresses, J. Struct. Div. ASCE 106 (1980) 1593: from memory, its constants found again in a public note on spectral methods; those of Dirlik and of Tovo and Benasciutti were not; the formulas stand beside the code of each, and the numbers of their equations in these three sources are not known.
 */
export function spectralDamage(density: DensityData, options: SpectralOptions): SpectralDamage {
  const where = 'spectralDamage';
  checkOptions(where, options, { required: ['curve'], optional: ['factor', 'from', 'to', 'continuation'] });
  const curve = checkCurve(where, options.curve);
  const continuation = checkChoice(where, 'continuation', options.continuation ?? curve.beyond, continuations);
  const factor = factorOf(where, density?.of, options.factor);
  const moments = spectralMoments(density, { ...(options.from === undefined ? {} : { from: options.from }), ...(options.to === undefined ? {} : { to: options.to }) });
  const deviation = Math.sqrt(moments.m0) * factor;
  const branches = branchesOf(curve, continuation);
  const perAmplitude = deviation * (curve.measure === 'range' ? 2 : 1);
  const notes = ['A stationary Gaussian stress is assumed; the means of the cycles do not enter.'];
  const hourly = (mixture: AmplitudeMixture): number => 3600 * mixture.rate * mixture.parts.reduce((sum, part) => sum + part.share * damageOfPart(part, perAmplitude, branches), 0);
  const narrow = hourly(narrowBand(moments));
  const slope = singleSlope(branches);
  if (slope === null) notes.push('Wirsching–Light holds for one slope and was left out: the curve has several.');
  const baker = zhaoBaker(moments);
  if (baker === null) notes.push('Zhao–Baker does not hold for a spectrum this broad and was left out.');
  const dirlikCycles = dirlik(moments);
  if (dirlikCycles.parts.some((part) => part.share < 0)) notes.push('Dirlik gave a negative share: the spectrum lies outside what the formula was fitted to.');
  const perHour: Record<SpectralMethod, number | null> = {
    'narrow-band': narrow, 'Wirsching–Light': slope === null ? null : narrow * wirschingLight(moments, slope), Dirlik: hourly(dirlikCycles),
    'Tovo–Benasciutti': hourly(tovoBenasciutti(moments)), 'Zhao–Baker': baker && hourly(baker),
  };
  checkResult(where, 'density, factor and curve', perHour);
  const ratio = Object.fromEntries(Object.entries(perHour).map(([method, value]) => [method, value === null || !(narrow > 0) ? null : value / narrow])) as Record<SpectralMethod, number | null>;
  return makeResult<SpectralDamage>('SpectralDamage', {
    perHour: Object.freeze(perHour), ratio: Object.freeze(ratio), moments, deviation, curve, continuation, notes: Object.freeze(notes),
  }, (d) => `SpectralDamage per hour: ${Object.entries(d.perHour).map(([method, value]) => `${method} ${value === null ? 'left out' : value.toPrecision(3)}`).join(', ')} (${d.curve.name})`);
}

function factorOf(where: string, of: Unit | undefined, factor: number | undefined): number {
  if (factor !== undefined) return checkNumber(where, 'factor', factor, { above: 0, unit: 'Pa per unit' });
  if (of === 'Pa') return 1;
  throw new InputError({ where, argument: 'factor', expected: `given for a density of ${show(of)}: Pa of local stress per unit of the channel`, given: 'nothing', remedy: 'Multiply the factor of shearStress by the notch factor, or take the density of a stress channel.' });
}

/** Σ over the branches of ∫ (S/S₁)ᵐ/N₁ p(S) dS for one Weibull part; S = perAmplitude·z. */
function damageOfPart({ scale, shape }: AmplitudeMixture['parts'][number], perAmplitude: number, branches: readonly Branch[]): number {
  let sum = 0;
  let top = Infinity;
  for (const branch of branches) {
    const s = 1 + branch.slope / shape;
    const below = (stress: number): number => (stress === Infinity ? 1 : stress <= 0 ? 0 : lowerGamma(s, (stress / (perAmplitude * scale)) ** shape));
    sum += (((perAmplitude * scale) / branch.stress) ** branch.slope / branch.cycles) * Math.exp(logGamma(s)) * (below(top) - below(branch.least));
    top = branch.least;
  }
  return sum;
}

/** The slope where all branches have the same one, else null. */
function singleSlope(branches: readonly Branch[]): number | null {
  const [first] = branches;
  const single = branches.every((b) => b.slope === first!.slope) && branches.at(-1)!.least === 0;
  return single ? first!.slope : null;
}

/** Below this 1 − α₂ the fitted formulae are differences of nearly equal numbers; the narrow-band case differs from them by less than 10⁻⁵ there. */
const narrowest = 1e-6;

/** Rayleigh amplitudes at the rate of upward zero crossings: p(z) = z·exp(−z²/2). JCSS Probabilistic Model Code, part 3.12, appendix B1. */
export function narrowBand({ crossings }: SpectralMoments): AmplitudeMixture {
  return { rate: crossings, parts: [{ share: 1, scale: Math.SQRT2, shape: 2 }] };
}

/** λ = a + (1 − a)(1 − ε)ᵇ, a = 0.926 − 0.033 m, b = 1.587 m − 2.323, ε = √(1 − α₂²): a factor on narrow-band damage. Wirsching and Light 1980; number of the equation not known. */
export function wirschingLight({ alpha2 }: SpectralMoments, m: number): number {
  const a = 0.926 - 0.033 * m;
  return a + (1 - a) * (1 - Math.sqrt(Math.max(0, 1 - alpha2 * alpha2))) ** (1.587 * m - 2.323);
}

/**
 * An exponential and two Rayleigh parts at the rate of peaks: p(z) = D₁/Q·exp(−z/Q) + D₂·z/R²·exp(−z²/(2R²)) + D₃·z·exp(−z²/2), z the amplitude over √m₀,
 * x = (m₁/m₀)·√(m₂/m₄), D₁ = 2(x − α₂²)/(1 + α₂²), R = (α₂ − x − D₁²)/(1 − α₂ − D₁ + D₁²), D₂ = (1 − α₂ − D₁ + D₁²)/(1 − R), D₃ = 1 − D₁ − D₂,
 * Q = 1.25(α₂ − D₃ − D₂·R)/D₁. For α₂ → 1 it is the narrow-band case, where the formula is 0/0. Dirlik 1985; number of the equation not known.
 */
export function dirlik(moments: SpectralMoments): AmplitudeMixture {
  const { m0, m1, m2, m4, alpha2: g, peaks } = moments;
  if (1 - g < narrowest) return narrowBand(moments);
  const x = (m1 / m0) * Math.sqrt(m2 / m4);
  const d1 = (2 * (x - g * g)) / (1 + g * g);
  const r = (g - x - d1 * d1) / (1 - g - d1 + d1 * d1);
  const d2 = (1 - g - d1 + d1 * d1) / (1 - r);
  const d3 = 1 - d1 - d2;
  const q = (1.25 * (g - d3 - d2 * r)) / d1;
  return { rate: peaks, parts: [{ share: d1, scale: q, shape: 1 }, { share: d2, scale: Math.SQRT2 * Math.abs(r), shape: 2 }, { share: d3, scale: Math.SQRT2, shape: 2 }] };
}

/** b of the level-crossing count, 1 − b of the simple-range count; b is fitted (tovoWeight). */
export function tovoBenasciutti(moments: SpectralMoments): AmplitudeMixture {
  const { peaks, alpha2 } = moments;
  const b = tovoWeight(moments);
  return { rate: peaks, parts: [{ share: b * alpha2, scale: Math.SQRT2, shape: 2 }, { share: 1 - b, scale: Math.SQRT2 * alpha2, shape: 2 }] };
}

/** b = (α₁ − α₂)·[1.112·(1 + α₁α₂ − α₁ − α₂)·e^{2.11 α₂} + α₁ − α₂] / (α₂ − 1)²; 1 for α₂ → 1. Benasciutti and Tovo 2005; number of the equation not known. */
export function tovoWeight({ alpha1, alpha2 }: SpectralMoments): number {
  if (1 - alpha2 < narrowest) return 1;
  const d = alpha1 - alpha2;
  return Math.min(1, (d * (1.112 * (1 + alpha1 * alpha2 - (alpha1 + alpha2)) * Math.exp(2.11 * alpha2) + d)) / (alpha2 - 1) ** 2);
}

/**
 * A Weibull and a Rayleigh part at the rate of peaks, w·Weibull(b, a) + (1 − w)·Rayleigh, weighed so that the mean range is that of a Gaussian process; null where no weight in 0 … 1 does it:
 * b = 1.1 for α₂ < 0.9, else 1.1 + 9(α₂ − 0.9), a = (8 − 7α₂)^(−1/b), w = (1 − α₂)/(1 − √(2/π)·Γ(1 + 1/b)·a). JCSS Probabilistic Model Code, part 3.12, appendix B2.
 */
export function zhaoBaker({ alpha2, peaks }: SpectralMoments): AmplitudeMixture | null {
  const shape = alpha2 < 0.9 ? 1.1 : 1.1 + 9 * (alpha2 - 0.9);
  const scale = (8 - 7 * alpha2) ** (-1 / shape);
  const weight = (1 - alpha2) / (1 - Math.sqrt(2 / Math.PI) * Math.exp(logGamma(1 + 1 / shape)) * scale);
  if (!(weight >= 0 && weight <= 1)) return null;
  return { rate: peaks, parts: [{ share: weight, scale, shape }, { share: 1 - weight, scale: Math.SQRT2, shape: 2 }] };
}
