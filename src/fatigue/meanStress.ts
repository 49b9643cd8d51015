import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { StressKind } from './stress.js';

/** How a strength known in tension is turned into one in shear: divided by √3, by 2, or given in shear already. */
export type ShearEquivalence = 'von Mises' | 'maximum shear' | 'given in shear';

/** Factor from a tensile strength to the shear strength. */
export const shearEquivalences: Readonly<Record<ShearEquivalence, number>> = Object.freeze({ 'von Mises': 1 / Math.sqrt(3), 'maximum shear': 0.5, 'given in shear': 1 });

/** A mean-stress rule by name with what it needs. Strengths in Pa; `shear` is needed where the stress is shear. */
export type MeanStress =
  | 'none'
  | { readonly rule: 'goodman' | 'gerber'; readonly ultimate: number; readonly shear?: ShearEquivalence }
  | { readonly rule: 'soderberg' | 'asme-elliptic'; readonly yield: number; readonly shear?: ShearEquivalence }
  | { readonly rule: 'morrow'; readonly strength: number; readonly shear?: ShearEquivalence }
  | { readonly rule: 'smith-watson-topper' }
  | { readonly rule: 'walker'; readonly exponent: number };

const strengthKeys = { goodman: 'ultimate', gerber: 'ultimate', soderberg: 'yield', 'asme-elliptic': 'yield', morrow: 'strength' } as const;
const rules = ['goodman', 'gerber', 'soderberg', 'asme-elliptic', 'morrow', 'smith-watson-topper', 'walker'] as const;

/**
 * Gives the factor from a stress amplitude to the fully reversed amplitude that does the same damage, σar / σa.
 *
 * none 1; Goodman 1 / (1 − σm/Su); Gerber 1 / (1 − (σm/Su)²); Soderberg 1 / (1 − σm/Sy); ASME elliptic
 * 1 / √(1 − (σm/Sy)²); Morrow 1 / (1 − σm/σf′); Smith–Watson–Topper √((σm + σa)/σa); Walker ((σm + σa)/σa)^(1 − γ).
 * In shear |τm| stands for σm, because the sign of a shear has no meaning for the material; strengths known in tension are
 * divided by √3 or 2 as stated. In direct stress a compressive mean earns no credit, but under Smith–Watson–Topper and
 * Walker, whose formulas hold it: there a cycle that stays in compression does no damage.
 *
 * Kept: nothing. Cost: none to speak of.
 *
 * @param meanStress the rule
 * @param cycle kind, amplitude (Pa, above 0) and mean (Pa, signed)
 * @returns the factor; 0 for a cycle that stays in compression under Smith–Watson–Topper or Walker
 * @throws InputError for an unknown rule, a missing strength, a shear cycle without a stated equivalence, or a mean that reaches the strength
 * @see damage
 * @example
 * meanStressFactor({ rule: 'goodman', ultimate: MPa(860) }, { kind: 'direct', amplitude: MPa(100), mean: MPa(430) }) // => 2
 * meanStressFactor({ rule: 'smith-watson-topper' }, { kind: 'shear', amplitude: MPa(50), mean: MPa(-150) }) // => 2
 * @references N. E. Dowling, Mechanical Behavior of Materials, 4th ed., equations 9.15 to 9.20 (Goodman, Morrow, Smith–Watson–Topper, Walker); R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-45 to 6-48 (Soderberg, Goodman, Gerber, ASME elliptic); Dowling's equation numbers from memory.
 */
export function meanStressFactor(meanStress: MeanStress, cycle: { readonly kind: StressKind; readonly amplitude: number; readonly mean: number }): number {
  const where = 'meanStressFactor';
  checkOptions(where, cycle, { required: ['kind', 'amplitude', 'mean'] });
  checkChoice(where, 'kind', cycle.kind, ['shear', 'direct']);
  checkNumber(where, 'amplitude', cycle.amplitude, { above: 0, unit: 'Pa' });
  checkNumber(where, 'mean', cycle.mean, { unit: 'Pa' });
  return equivalentAmplitude(meanStress, cycle.kind, where)(cycle.amplitude, cycle.mean) / cycle.amplitude;
}

/** A function from amplitude and mean (Pa) to the equivalent fully reversed amplitude, its rule checked once. */
export function equivalentAmplitude(meanStress: MeanStress, kind: StressKind, where: string): (amplitude: number, mean: number) => number {
  if (meanStress === 'none') return (amplitude) => amplitude;
  const strength = checkMeanStress(where, meanStress, kind);
  const shear = kind === 'shear';
  /** The mean that counts; a compressive direct one is no credit. */
  const tensile = (mean: number): number => (shear ? Math.abs(mean) : Math.max(0, mean));
  const below = (mean: number): number => {
    const share = tensile(mean) / strength;
    if (share < 1) return share;
    throw new InputError({ where, argument: 'meanStress', expected: `used on means below the strength (${(strength / 1e6).toPrecision(4)} MPa in ${kind})`, given: `a mean of ${(mean / 1e6).toPrecision(4)} MPa`, remedy: 'The part yields or breaks in one load: look at staticMargin first.' });
  };
  switch (meanStress.rule) {
    case 'goodman': case 'soderberg': case 'morrow': return (a, m) => a / (1 - below(m));
    case 'gerber': return (a, m) => a / (1 - below(m) ** 2);
    case 'asme-elliptic': return (a, m) => a / Math.sqrt(1 - below(m) ** 2);
    case 'smith-watson-topper': return walker(0.5, shear);
    case 'walker': return walker(meanStress.exponent, shear);
  }
}

/** σar = σmax^(1 − γ)·σa^γ; nothing where σmax is not tensile. */
function walker(exponent: number, shear: boolean): (amplitude: number, mean: number) => number {
  return (a, m) => {
    const max = (shear ? Math.abs(m) : m) + a;
    return max > 0 ? max ** (1 - exponent) * a ** exponent : 0;
  };
}

/** Checks a rule and gives its strength in the stress kind, Pa (NaN for the rules that need none). */
function checkMeanStress(where: string, meanStress: Exclude<MeanStress, 'none'>, kind: StressKind): number {
  if (typeof meanStress !== 'object' || meanStress === null) {
    throw new InputError({ where, argument: 'meanStress', expected: "'none' or a rule such as { rule: 'goodman', ultimate }", given: show(meanStress) });
  }
  const rule = checkChoice(where, 'meanStress.rule', meanStress.rule, rules);
  if (meanStress.rule === 'walker') checkNumber(where, 'meanStress.exponent', meanStress.exponent, { min: 0, max: 1 });
  if (rule === 'walker' || rule === 'smith-watson-topper') {
    checkOptions(`${where} (meanStress)`, meanStress, { required: rule === 'walker' ? ['rule', 'exponent'] : ['rule'] });
    return Number.NaN;
  }
  const key = strengthKeys[rule];
  checkOptions(`${where} (meanStress)`, meanStress, { required: ['rule', key], optional: ['shear'] });
  const given = meanStress as unknown as Record<string, number> & { shear?: ShearEquivalence };
  const strength = checkNumber(where, `meanStress.${key}`, given[key], { above: 0, unit: 'Pa' });
  if (kind === 'direct') {
    if (given.shear !== undefined) throw new InputError({ where, argument: 'meanStress.shear', expected: 'left out for direct stress', given: show(given.shear) });
    return strength;
  }
  return strength * shearEquivalences[checkChoice(where, 'meanStress.shear', given.shear, Object.keys(shearEquivalences) as ShearEquivalence[])];
}

/**
 * Estimates Walker's exponent of a steel from its tensile strength: γ = 0.8818 − 0.000200·Su (Su in MPa).
 *
 * @param ultimate tensile strength, Pa
 * @returns γ; 0.5 makes Walker's equation the one of Smith, Watson and Topper
 * @throws InputError for a strength that is not above 0
 * @example walkerExponentOfSteel(MPa(1172)) // => 0.6474
 * @references N. E. Dowling, Mechanical Behavior of Materials, 4th ed., equation 9.20; N. E. Dowling, C. A. Calhoun and A. Arcari, Mean stress effects in stress-life fatigue and the Walker equation, Fatigue and Fracture of Engineering Materials and Structures 32 (2009) 163, where the line is fitted; both numbers from memory.
 */
export function walkerExponentOfSteel(ultimate: number): number {
  checkNumber('walkerExponentOfSteel', 'ultimate', ultimate, { above: 0, unit: 'Pa' });
  return 0.8818 - (0.0002 * ultimate) / 1e6;
}
