import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { checkActiveArms, strainOfRatio, type Gauge } from './Gauge.js';

/** What a shunt resistor across one arm simulates. */
export interface Shunt {
  /** Bridge output per supply, V/V; its size: which sign shows depends on the arm. */
  readonly bridgeRatio: number;
  /** Strain of each active arm that gives the same output, exactly; its size. */
  readonly strain: number;
  /** The same by the common straight-line formula R / (N K (R + Rs)), for comparison. */
  readonly strainLinear: number;
  readonly notes: readonly string[];
}

/** Options of shuntStrain. */
export interface ShuntOptions {
  /** Resistance of each arm, Ω. */
  readonly gaugeResistance: number;
  /** Resistor connected across one arm, Ω. */
  readonly shuntResistance: number;
  readonly gaugeFactor: number;
  readonly activeArms: Gauge['activeArms'];
}

/**
 * Finds the strain that a shunt resistor across one arm simulates, by exact bridge algebra.
 *
 * The shunted arm falls to R Rs / (R + Rs), so that the output is r = R / (4 Rs + 2 R) of the supply. With N active arms
 * in tension–compression pairs ε = 4 r / (N K); for one active arm ε = R / (K (R + Rs)). Shunting an arm simulates
 * compression of that arm; both results are sizes.
 *
 * @param options gaugeResistance and shuntResistance in Ω, gaugeFactor, activeArms (1, 2 or 4)
 * @returns bridge ratio in V/V, the exact strain per active arm, and the straight-line value
 * @throws InputError for a resistance or gauge factor that is not above 0
 * @see shuntResistance, bridgeStrain
 * @example
 * shuntStrain({ gaugeResistance: 350, shuntResistance: 174650, gaugeFactor: 2, activeArms: 4 }).strain // => 0.00025025025
 * @references Wheatstone algebra of one shunted arm; the straight-line form is that of common shunt-calibration tables.
 */
export function shuntStrain(options: ShuntOptions): Shunt {
  const where = 'shuntStrain';
  checkOptions(where, options, { required: ['gaugeResistance', 'shuntResistance', 'gaugeFactor', 'activeArms'] });
  const R = checkNumber(where, 'gaugeResistance', options.gaugeResistance, { above: 0, unit: 'Ω' });
  const Rs = checkNumber(where, 'shuntResistance', options.shuntResistance, { above: 0, unit: 'Ω' });
  const K = checkNumber(where, 'gaugeFactor', options.gaugeFactor, { above: 0 });
  checkActiveArms(where, options.activeArms);
  const bridgeRatio = R / (4 * Rs + 2 * R);
  const strain = Math.abs(strainOfRatio(-bridgeRatio, options));
  const strainLinear = R / (options.activeArms * K * (R + Rs));
  const notes = options.activeArms === 1 ? [] : [`The straight-line formula gives ${(100 * (strainLinear / strain - 1)).toPrecision(2)} % against the exact strain.`];
  return makeResult('Shunt', checkResult(where, 'options', { bridgeRatio, strain, strainLinear, notes: Object.freeze(notes) }),
    (r) => `Shunt ${Rs} Ω on ${R} Ω: ${(r.bridgeRatio * 1000).toPrecision(5)} mV/V, ${(r.strain * 1e6).toPrecision(5)} µm/m per active arm`);
}

/**
 * Finds the shunt resistor that gives a wanted output on a bridge of equal arms: Rs = R / (4 r) − R / 2.
 *
 * @param options gaugeResistance in Ω; bridgeRatio r, output per supply in V/V, above 0 and below 0.5
 * @returns Ω
 * @throws InputError for a ratio that one shunted arm cannot reach, or beyond double precision
 * @see shuntStrain
 * @example
 * shuntResistance({ gaugeResistance: 350, bridgeRatio: 0.001 }) // => 87325
 */
export function shuntResistance(options: { readonly gaugeResistance: number; readonly bridgeRatio: number }): number {
  const where = 'shuntResistance';
  checkOptions(where, options, { required: ['gaugeResistance', 'bridgeRatio'] });
  const R = checkNumber(where, 'gaugeResistance', options.gaugeResistance, { above: 0, unit: 'Ω' });
  const r = checkNumber(where, 'bridgeRatio', options.bridgeRatio, { above: 0, unit: 'V/V' });
  if (r >= 0.5) throw new InputError({ where, argument: 'bridgeRatio', expected: 'below 0.5 V/V, which a short circuit gives', given: `${r} V/V` });
  return checkResult(where, 'options', { shuntResistance: R / (4 * r) - R / 2 }).shuntResistance;
}
