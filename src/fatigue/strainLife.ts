import { checkNumber, checkOptions, checkResult, checkText } from '../record/check.js';
import { makeResult } from '../record/result.js';
import type { ResiduePolicy } from '../count/CycleCount.js';
import { twoFigures } from './figures.js';
import { checkStressCycles, closedBy, type StressCycles } from './StressCycles.js';

/** Cyclic and strain-life constants of a material. Stresses in Pa. */
export interface StrainLifeMaterial {
  readonly elasticModulus: number;
  /** K′ and n′ of the cyclic curve εa = σa/E + (σa/K′)^(1/n′). */
  readonly cyclicStrength: number;
  readonly cyclicHardening: number;
  /** σf′ and b. */
  readonly fatigueStrength: number;
  readonly strengthExponent: number;
  /** εf′ and c. */
  readonly fatigueDuctility: number;
  readonly ductilityExponent: number;
  readonly source: string;
}

/**
 * Estimates strain-life constants of an unalloyed or low-alloy steel from its tensile strength: σf′ = 1.5·Su, b = −0.087,
 * εf′ = 0.59·ψ, c = −0.58, K′ = 1.65·Su, n′ = 0.15; ψ = 1 up to Su/E = 0.003, 1.375 − 125·Su/E above.
 *
 * Cost: none.
 *
 * @param options ultimate and elastic modulus, Pa
 * @returns the constants, marked as an estimate
 * @throws InputError for a strength for which ψ falls to 0
 * @see strainLifeDamage
 * @example estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) }).fatigueDuctility // => 0.56542
 * @references A. Bäumel and T. Seeger, Materials Data for Cyclic Loading, Supplement 1, 1990, uniform material law for unalloyed and low-alloy steels, as written above; from memory, number of its table not known.
 */
export function estimateStrainLife(options: { readonly ultimate: number; readonly elasticModulus: number }): StrainLifeMaterial {
  const where = 'estimateStrainLife';
  checkOptions(where, options, { required: ['ultimate', 'elasticModulus'] });
  const E = checkNumber(where, 'elasticModulus', options.elasticModulus, { above: 0, unit: 'Pa' });
  const su = checkNumber(where, 'ultimate', options.ultimate, { above: 0, below: 0.011 * E, unit: 'Pa' });
  const psi = su / E <= 0.003 ? 1 : 1.375 - (125 * su) / E;
  return Object.freeze({
    elasticModulus: E, cyclicStrength: 1.65 * su, cyclicHardening: 0.15, fatigueStrength: 1.5 * su, strengthExponent: -0.087, fatigueDuctility: 0.59 * psi, ductilityExponent: -0.58,
    source: `estimated from a tensile strength of ${(su / 1e6).toPrecision(4)} MPa (uniform material law of Bäumel and Seeger; from memory)`,
  });
}

/** What one elastic amplitude does in a notch that may yield. */
export interface StrainCycle {
  /** True stress amplitude, Pa. */
  readonly stress: number;
  readonly strain: number;
  /** Cycles to a crack. */
  readonly cycles: number;
}

/**
 * Follows one fully reversed elastic stress amplitude into the plastic range after Neuber, σa·εa = Sa²/E on the cyclic
 * curve, and reads its life from εa = σf′/E·(2N)^b + εf′·(2N)^c.
 *
 * Cost: a few Newton steps.
 *
 * @param amplitude elastic local amplitude of direct or von Mises equivalent stress, Pa
 * @param material the constants
 * @returns true stress and strain amplitude, and cycles
 * @throws InputError for an amplitude that is not above 0
 * @see strainLifeDamage
 * @example
 * const steel = estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) });
 * const cycle = neuberCycle(MPa(900), steel);
 * cycle.stress * cycle.strain * 210e9 / MPa(900) ** 2 // => 1.000000
 * @references H. Neuber, Journal of Applied Mechanics 28 (1961) 544; S. S. Manson and L. F. Coffin, 1953 and 1954. School knowledge.
 */
export function neuberCycle(amplitude: number, material: StrainLifeMaterial): StrainCycle {
  const where = 'neuberCycle';
  checkNumber(where, 'amplitude', amplitude, { above: 0, unit: 'Pa' });
  return checkResult(where, 'amplitude and material', cycleOf(amplitude, checkMaterial(where, material)));
}

/** The constants themselves. @throws InputError where one is left out or of the wrong sign. */
function checkMaterial(where: string, material: StrainLifeMaterial): StrainLifeMaterial {
  checkOptions(`${where} (material)`, material, { required: ['elasticModulus', 'cyclicStrength', 'cyclicHardening', 'fatigueStrength', 'strengthExponent', 'fatigueDuctility', 'ductilityExponent', 'source'] });
  for (const key of ['elasticModulus', 'cyclicStrength', 'cyclicHardening', 'fatigueStrength', 'fatigueDuctility'] as const) checkNumber(where, `material.${key}`, material[key], { above: 0 });
  for (const key of ['strengthExponent', 'ductilityExponent'] as const) checkNumber(where, `material.${key}`, material[key], { below: 0 });
  checkText(where, 'material.source', material.source);
  return material;
}

/** neuberCycle without the checks. */
function cycleOf(amplitude: number, material: StrainLifeMaterial): StrainCycle {
  const { elasticModulus: E, cyclicStrength: K, cyclicHardening: n, fatigueStrength: s, strengthExponent: b, fatigueDuctility: e, ductilityExponent: c } = material;
  // Both equations are convex in logarithms, so Newton's method from the stated side comes down to the root and never passes it.
  const target = Math.log((amplitude * amplitude) / E);
  const logStress = newton(Math.log(amplitude), (u) => {
    const x = Math.exp(u);
    const elastic = x / E, plastic = (x / K) ** (1 / n);
    return { value: u + Math.log(elastic + plastic) - target, slope: 1 + (elastic + plastic / n) / (elastic + plastic) };
  });
  const stress = Math.exp(logStress);
  const strain = stress / E + (stress / K) ** (1 / n);
  const logReversals = newton(Math.max(Math.log((strain * E) / s) / b, Math.log(strain / e) / c), (v) => {
    const elastic = (s / E) * Math.exp(b * v), plastic = e * Math.exp(c * v);
    return { value: Math.log((elastic + plastic) / strain), slope: (b * elastic + c * plastic) / (elastic + plastic) };
  });
  const reversals = Math.exp(logReversals);
  return { stress, strain, cycles: reversals / 2 };
}

/** The damage of a count by local strain, beside the one by stress. */
export interface StrainLifeDamage {
  readonly total: number;
  readonly perHour: number;
  readonly damage: Float64Array;
  /** Largest strain amplitude, and the life of that cycle alone; Infinity where it lasts beyond every number. */
  readonly largest: StrainCycle;
  /** Share of the damage from cycles that yield (plastic strain above a tenth of the elastic). */
  readonly plasticShare: number;
  readonly notes: readonly string[];
}

/**
 * Sums the damage of local cycles by strain life, for loads so high that a stress–life curve does not hold: Neuber's rule
 * for each cycle, shear taken as √3·τ of direct stress (von Mises). Mean stress is left out.
 *
 * Kept: damage of every row. Cost: some Newton steps for each row.
 *
 * @param cycles local stress cycles; the notch should be the theoretical factor
 * @param options material constants and residue policy
 * @returns damage to a crack, with the largest cycle
 * @throws InputError for nominal stress
 * @see damage, staticMargin
 * @example
 * const local = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(1200)], count: [10], hours: 1 }), { basis: 'local', kind: 'direct', source: 'by hand' });
 * const steel = estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) });
 * 10 / strainLifeDamage(local, { material: steel, residue: 'half' }).total / neuberCycle(MPa(600), steel).cycles // => 1.00000
 * @references As in neuberCycle.
 */
export function strainLifeDamage(cycles: StressCycles<'local'>, options: { readonly material: StrainLifeMaterial; readonly residue: ResiduePolicy }): StrainLifeDamage {
  const where = 'strainLifeDamage';
  checkStressCycles(where, cycles, 'local');
  checkOptions(where, options, { required: ['material', 'residue'] });
  const material = checkMaterial(where, options.material);
  const rows = closedBy(where, cycles.cycles, options.residue);
  const factor = 0.5 * cycles.factor * (cycles.kind === 'shear' ? Math.sqrt(3) : 1);
  const damage = new Float64Array(rows.range.length);
  let total = 0, plastic = 0, largest: StrainCycle = { stress: 0, strain: 0, cycles: Infinity };
  for (let i = 0; i < damage.length; i++) {
    if (!(rows.range[i]! > 0)) continue;
    const cycle = cycleOf(rows.range[i]! * factor, material);
    damage[i] = rows.count[i]! / cycle.cycles;
    total += damage[i]!;
    if (cycle.strain > (1.1 * cycle.stress) / material.elasticModulus) plastic += damage[i]!;
    if (cycle.strain > largest.strain) largest = cycle;
  }
  checkResult(where, 'cycles and material', { total, largest }, ['cycles']);
  return makeResult<StrainLifeDamage>('StrainLifeDamage', {
    total, perHour: rows.validTime > 0 ? (total * 3600) / rows.validTime : 0, damage, largest: Object.freeze({ ...largest }), plasticShare: total > 0 ? plastic / total : 0,
    notes: Object.freeze(['mean stress left out', `material: ${material.source}`, ...(cycles.kind === 'shear' ? ['shear taken as √3·τ of direct stress (von Mises)'] : [])]),
  }, (d) => `Strain-life damage ${twoFigures(d.total)}; largest strain amplitude ${(100 * d.largest.strain).toPrecision(3)} %, ${(100 * d.plasticShare).toPrecision(2)} % from cycles that yield`);
}

/** Newton's method from a side from which it does not overshoot. */
function newton(start: number, at: (x: number) => { readonly value: number; readonly slope: number }): number {
  let x = start;
  for (let i = 0; i < 100; i++) {
    const { value, slope } = at(x);
    const step = value / slope;
    x -= step;
    if (Math.abs(step) < 1e-14 * Math.max(1, Math.abs(x))) break;
  }
  return x;
}
