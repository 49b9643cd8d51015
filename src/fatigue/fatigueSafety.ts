import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { ruleName } from './names.js';

/** The criteria that fatigueSafety knows. */
export type FatigueCriterion = 'goodman' | 'gerber' | 'asme-elliptic' | 'soderberg';

/** Options of fatigueSafety. Stresses in Pa, equivalent direct stress (see equivalentStress). */
export interface FatigueSafetyOptions {
  readonly criterion: FatigueCriterion;
  readonly amplitude: number;
  readonly mean: number;
  /** Fully reversed strength at the wanted life, after notch and Marin factors. */
  readonly endurance: number;
  /** Tensile strength, for Goodman and Gerber. */
  readonly ultimate?: number;
  /** Yield strength, for Soderberg and the ASME ellipse. */
  readonly yield?: number;
}

/** A factor of safety against unlimited cycles of one amplitude and mean. */
export interface FatigueSafety {
  /** The factor by which amplitude and mean may grow together. */
  readonly factor: number;
  readonly criterion: FatigueCriterion;
}

/**
 * Gives the factor of safety n of one constant amplitude and mean that grow together: Goodman n·σa/Se + n·σm/Su = 1;
 * Gerber n·σa/Se + (n·σm/Su)² = 1; ASME ellipse (n·σa/Se)² + (n·σm/Sy)² = 1; Soderberg n·σa/Se + n·σm/Sy = 1.
 * A compressive mean earns no credit.
 *
 * Cost: none.
 *
 * @param options criterion, stresses and strengths
 * @returns the factor; below 1 the part does not last
 * @throws InputError for an amplitude below 0, both stresses 0, or the strength that the criterion needs left out
 * @see equivalentStress, staticMargin
 * @example
 * fatigueSafety({ criterion: 'goodman', amplitude: MPa(100), mean: MPa(100), endurance: MPa(200), ultimate: MPa(800) }).factor // => 1.6
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 6-45 to 6-48 (pp. 305 and 306, no credit for a compressive mean on p. 305), tables 6-6 to 6-8 and, for a shaft, equations 7-7 to 7-14.
 */
export function fatigueSafety(options: FatigueSafetyOptions): FatigueSafety {
  const where = 'fatigueSafety';
  checkOptions(where, options, { required: ['criterion', 'amplitude', 'mean', 'endurance'], optional: ['ultimate', 'yield'] });
  const criterion = checkChoice(where, 'criterion', options.criterion, ['goodman', 'gerber', 'asme-elliptic', 'soderberg']);
  const onUltimate = criterion === 'goodman' || criterion === 'gerber';
  const strength = checkNumber(where, onUltimate ? 'ultimate' : 'yield', onUltimate ? options.ultimate : options.yield, { above: 0, unit: 'Pa' });
  const a = checkNumber(where, 'amplitude', options.amplitude, { min: 0, unit: 'Pa' }) / checkNumber(where, 'endurance', options.endurance, { above: 0, unit: 'Pa' });
  const m = Math.max(0, checkNumber(where, 'mean', options.mean, { unit: 'Pa' })) / strength;
  checkNumber(where, 'amplitude and mean', a + m, { above: 0 });
  const factor = criterion === 'gerber' ? 2 / (a + Math.sqrt(a * a + 4 * m * m)) : criterion === 'asme-elliptic' ? 1 / Math.hypot(a, m) : 1 / (a + m);
  return makeResult<FatigueSafety>('FatigueSafety', { factor, criterion }, (s) => `Factor of safety ${s.factor.toPrecision(3)} after ${ruleName(s.criterion)}`);
}
