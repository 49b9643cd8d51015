import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeCycles } from '../count/CycleCount.js';
import type { ResiduePolicy } from '../count/CycleCount.js';
import { checkStressCycles, closedBy, makeStressCycles, type StressCycles } from './StressCycles.js';

/**
 * Gives the equivalent direct stress after von Mises: σ' = √(σ² + 3τ²), for amplitudes or for means.
 *
 * Cost: none.
 *
 * @param stress direct and shear part at one point, Pa
 * @returns Pa
 * @throws InputError for numbers that are not finite
 * @see fatigueSafety, combineCycles
 * @example equivalentStress({ direct: MPa(60), shear: MPa(40) }) / 1e6 // => 91.6515
 * @references R. von Mises, 1913. School knowledge.
 */
export function equivalentStress(stress: { readonly direct: number; readonly shear: number }): number {
  checkOptions('equivalentStress', stress, { required: ['direct', 'shear'] });
  checkNumber('equivalentStress', 'direct', stress.direct, { unit: 'Pa' });
  checkNumber('equivalentStress', 'shear', stress.shear, { unit: 'Pa' });
  return checkNumber('equivalentStress', 'equivalent stress', Math.hypot(stress.direct, Math.sqrt(3) * stress.shear), { unit: 'Pa' });
}

/**
 * Compares amplitudes of bending and torsion in phase with the limits of each alone, after Gough and Pollard: the ellipse
 * (σ/σe)² + (τ/τe)² for ductile smooth parts, the arc (τ/τe)² + (b − 1)·(σ/σe)² + (2 − b)·σ/σe with b = σe/τe for notched or
 * brittle ones, b at most 2: beyond that the arc bulges so that more bending would be less severe. 1 is the limit. The utilisation is the factor by which both amplitudes are divided to reach it.
 *
 * Cost: none.
 *
 * @param options amplitudes and the fully reversed limits of each kind alone, Pa, and the shape
 * @returns the utilisation; above 1 the part does not last for ever
 * @throws InputError for amplitudes below 0, limits that are not above 0, or the arc with a direct limit of more than twice the shear limit
 * @see equivalentStress
 * @example
 * goughPollard({ direct: MPa(60), shear: MPa(80), directLimit: MPa(100), shearLimit: MPa(100), shape: 'ellipse' }) // => 1
 * goughPollard({ direct: MPa(100), shear: 0, directLimit: MPa(200), shearLimit: MPa(120), shape: 'arc' }) // => 0.5
 * @references H. J. Gough and H. V. Pollard, The strength of metals under combined alternating stresses, Proceedings of the Institution of Mechanical Engineers 131 (1935) 3 (ellipse); H. J. Gough, Engineering steels under combined cyclic and static stresses, Journal of Applied Mechanics 17 (1950) 113 (arc); formulas as written above, from memory, numbers of their equations not known.
 */
export function goughPollard(options: { readonly direct: number; readonly shear: number; readonly directLimit: number; readonly shearLimit: number; readonly shape: 'ellipse' | 'arc' }): number {
  const where = 'goughPollard';
  checkOptions(where, options, { required: ['direct', 'shear', 'directLimit', 'shearLimit', 'shape'] });
  const s = checkNumber(where, 'direct', options.direct, { min: 0, unit: 'Pa' }) / checkNumber(where, 'directLimit', options.directLimit, { above: 0, unit: 'Pa' });
  const t = checkNumber(where, 'shear', options.shear, { min: 0, unit: 'Pa' }) / checkNumber(where, 'shearLimit', options.shearLimit, { above: 0, unit: 'Pa' });
  const finite = (utilisation: number): number => checkNumber(where, 'utilisation that follows', utilisation);
  if (checkChoice(where, 'shape', options.shape, ['ellipse', 'arc']) === 'ellipse') return finite(Math.hypot(s, t));
  const b = options.directLimit / options.shearLimit;
  if (b > 2) throw new InputError({ where, argument: 'directLimit / shearLimit', expected: 'at most 2 for the arc', given: b.toPrecision(4), remedy: "Look at the two limits (notch factors on one of them only?), or take shape: 'ellipse'." });
  const square = t * t + (b - 1) * s * s;
  const linear = (2 - b) * s;
  return finite((linear + Math.sqrt(linear * linear + 4 * square)) / 2);
}

/** What acts beside the torque, as local direct stress in Pa. */
export interface BesideTorque {
  /** Amplitude of bending that turns with the shaft: reversed once in a revolution. */
  readonly rotatingBending?: number;
  /** Steady direct stress: bending that does not turn relative to the shaft, and axial load. */
  readonly steady?: number;
}

/**
 * Joins every cycle of torque with rotating bending and steady direct stress into a cycle of equivalent direct stress:
 * σ'a = √(σb² + 3τa²), σ'm = √(σs² + 3τm²), σs = 0 in compression, which earns no credit.
 *
 * Each torque cycle is taken to meet the full bending amplitude in phase: an upper bound for that cycle. The revolutions
 * between the torque cycles do damage of their own; add them with rotatingBendingCycles as a second damage.
 *
 * Kept: count, place and time of every cycle. Cost: one pass.
 *
 * @param cycles local shear cycles
 * @param options what acts beside the torque, and the residue policy by which the count is closed, or was
 * @returns local cycles of equivalent direct stress, for a curve of direct stress
 * @throws InputError for nominal stress, direct stress, a negative bending amplitude, or another residue policy than the cycles were closed by
 * @see criticalPlane for the record itself, damage
 * @example
 * const shear = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(80)], mean: [MPa(100)], count: [5], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
 * combineCycles(shear, { rotatingBending: MPa(60), residue: 'half' }).cycles.range[0] / 2e6 // => 91.6515
 * @references R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th ed., 2011, equations 7-5 and 7-6.
 */
export function combineCycles(cycles: StressCycles<'local', 'shear'>, options: BesideTorque & { readonly residue: ResiduePolicy }): StressCycles<'local', 'direct'> & { readonly cycles: ReturnType<typeof makeCycles> } {
  const where = 'combineCycles';
  checkStressCycles(where, cycles, 'local');
  if (cycles.kind !== 'shear') throw new InputError({ where, argument: 'cycles', expected: 'cycles of shear stress', given: `${cycles.kind} stress` });
  checkOptions(where, options, { required: ['residue'], optional: ['rotatingBending', 'steady'] });
  const bending = checkNumber(where, 'rotatingBending', options.rotatingBending ?? 0, { min: 0, unit: 'Pa' });
  const steady = checkNumber(where, 'steady', options.steady ?? 0, { unit: 'Pa' });
  const rows = closedBy(where, cycles.cycles, options.residue);
  const range = rows.range.map((r) => 2 * equivalentStress({ direct: bending, shear: 0.5 * r * cycles.factor }));
  const mean = rows.mean.map((m) => equivalentStress({ direct: Math.max(0, steady), shear: m * cycles.factor }));
  for (let i = 0; i < range.length; i++) checkNumber(where, 'joined stress', range[i]! + mean[i]!, { unit: 'Pa' });
  const joined = makeCycles<'Pa'>({
    ...rows, unit: 'Pa', range, mean, from: range.map((r, i) => mean[i]! - r / 2), to: range.map((r, i) => mean[i]! + r / 2),
    notes: Object.freeze([...rows.notes, 'each torque cycle is joined with the full bending amplitude in phase (upper bound); bending between the torque cycles is not in this count']),
  });
  const source = `von Mises of local shear with rotating bending ${(bending / 1e6).toPrecision(4)} MPa and steady ${(steady / 1e6).toPrecision(4)} MPa`;
  return makeStressCycles('local', 'direct', joined, [{ step: 'stated', factor: 1, source }], cycles.notch) as StressCycles<'local', 'direct'> & { readonly cycles: typeof joined };
}
