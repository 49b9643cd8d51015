import { checkChoice, checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { quantityOf, unitConversion, type Unit } from '../record/units.js';

/**
 * A strain-gauge bridge on a shaft, its amplifier and the elastic constants of the shaft under it. SI.
 *
 * The elastic constants are the shear modulus, or Young's modulus and Poisson's ratio: G = E / (2 (1 + ν)). What the
 * signal does not need may be left out: a channel in mV/V needs neither gain nor excitation.
 */
export interface Gauge {
  /** Resistance change per strain; about 2 for metal foil. */
  readonly gaugeFactor: number;
  /** Arms that see the torsion strain: 4 for a full torsion bridge (two gauges at +45°, two at −45°), 2 for a half bridge, 1 for a single gauge at 45°. */
  readonly activeArms: 1 | 2 | 4;
  /** G of the shaft, Pa. */
  readonly shearModulus?: number;
  /** E of the shaft, Pa; together with poissonsRatio. */
  readonly youngsModulus?: number;
  /** ν of the shaft; together with youngsModulus. */
  readonly poissonsRatio?: number;
  /** Amplifier output over bridge output, V/V; 1 for a signal that was not amplified. Needed for counts, V and mV. */
  readonly gain?: number;
  /** Bridge supply, V. Needed for counts, V and mV. */
  readonly excitation?: number;
  /** Counts of the converter per volt of amplifier output. Needed for counts. */
  readonly countsPerVolt?: number;
  /** −1 where the bridge reads negative for positive torque. Default 1. */
  readonly polarity?: 1 | -1;
  /** Angle by which all gauges are turned away from ±45°, rad: the bridge then reads cos 2β of the strain. Default 0. */
  readonly misalignment?: number;
  /** Kt of the gauges, as a part (0.01 for 1 %): in pure shear they read (1 − Kt) / (1 − 0.285 Kt) of the strain. Default 0. */
  readonly transverseSensitivity?: number;
  /** Lead wires between bridge and amplifier; left out where supply and signal are sensed at the bridge, or the amplifier sits at the shaft. */
  readonly leads?: Leads;
}

/** Lead wires that weaken the signal. */
export interface Leads {
  /** Ω of each lead. */
  readonly resistance: number;
  /** Ω of each gauge. */
  readonly gaugeResistance: number;
  /** In a quarter bridge one lead (3-wire) or two (2-wire) lie in the arm; in a half bridge one in each active arm; in a full bridge two in the supply. */
  readonly wiring: 'quarter, 2-wire' | 'quarter, 3-wire' | 'half, 3-wire' | 'full, 4-wire';
}

/** Units of a bridge signal before it is strain. */
export type BridgeUnit = 'count' | 'V' | 'mV' | 'V/V' | 'mV/V';

/** Units of strain. */
export type StrainUnit = 'strain' | 'µstrain';

/** Every unit of a bridge signal. */
export const bridgeUnits: readonly BridgeUnit[] = Object.freeze(['count', 'V', 'mV', 'V/V', 'mV/V'] as const);

/** Every unit of strain. */
export const strainUnits: readonly StrainUnit[] = Object.freeze(['strain', 'µstrain'] as const);

/** The number of active arms itself, if a bridge can have it. */
export function checkActiveArms(where: string, arms: unknown): Gauge['activeArms'] {
  if (arms === 1 || arms === 2 || arms === 4) return arms;
  throw new InputError({ where, argument: 'activeArms', expected: 'one of 1, 2, 4', given: show(arms) });
}

/** The gauge itself. @throws InputError for an unknown key, a missing one or a number out of bounds */
export function checkGauge(where: string, gauge: Gauge): Gauge {
  const place = `${where}, gauge`;
  checkOptions(place, gauge, {
    required: ['gaugeFactor', 'activeArms'],
    optional: ['shearModulus', 'youngsModulus', 'poissonsRatio', 'gain', 'excitation', 'countsPerVolt', 'polarity', 'misalignment', 'transverseSensitivity', 'leads'],
  });
  checkActiveArms(place, gauge.activeArms);
  checkSensitivity(place, gauge);
  checkNumber(place, 'gaugeFactor', gauge.gaugeFactor, { above: 0 });
  if (gauge.polarity !== undefined) checkChoice(place, 'polarity', String(gauge.polarity), ['1', '-1']);
  for (const [key, unit] of [['gain', 'V/V'], ['excitation', 'V'], ['countsPerVolt', 'counts/V']] as const) {
    if (gauge[key] !== undefined) checkNumber(place, key, gauge[key], { above: 0, unit });
  }
  return gauge;
}

function checkSensitivity(place: string, gauge: Gauge): void {
  if (gauge.misalignment !== undefined) checkNumber(place, 'misalignment', gauge.misalignment, { above: -Math.PI / 4, below: Math.PI / 4, unit: 'rad' });
  if (gauge.transverseSensitivity !== undefined) checkNumber(place, 'transverseSensitivity', gauge.transverseSensitivity, { above: -0.5, below: 0.5 });
  if (gauge.leads === undefined) return;
  checkOptions(`${place}, leads`, gauge.leads, { required: ['resistance', 'gaugeResistance', 'wiring'] });
  checkNumber(place, 'leads.resistance', gauge.leads.resistance, { min: 0, unit: 'Ω' });
  checkNumber(place, 'leads.gaugeResistance', gauge.leads.gaugeResistance, { above: 0, unit: 'Ω' });
  const wiring = checkChoice(place, 'leads.wiring', gauge.leads.wiring, ['quarter, 2-wire', 'quarter, 3-wire', 'half, 3-wire', 'full, 4-wire'] as const);
  const arms = wiring.startsWith('quarter') ? 1 : wiring.startsWith('half') ? 2 : 4;
  if (gauge.activeArms !== arms) throw new InputError({ where: place, argument: 'leads.wiring', expected: `that of a bridge of ${gauge.activeArms} active arm${gauge.activeArms === 1 ? '' : 's'}`, given: wiring });
}

/** What strainOfRatio needs of a gauge. */
export type BridgeOnly = Pick<Gauge, 'gaugeFactor' | 'activeArms' | 'misalignment' | 'transverseSensitivity' | 'leads'>;

/** Parts of the ideal sensitivity that a real bridge keeps; their product multiplies the gauge factor. */
export interface SensitivityFactors {
  readonly leads: number;
  readonly transverse: number;
  readonly misalignment: number;
}

/**
 * The parts of the ideal sensitivity that lead wires, transverse sensitivity and misalignment leave.
 *
 * Leads: R / (R + n RL), with n = 1 lead in the arm (3-wire) or 2 (2-wire; full bridge: both in the supply). Transverse: (1 − Kt) / (1 − ν0 Kt) in pure shear, ν0 = 0.285 of
 * the calibration beam. Misalignment β: cos 2β.
 *
 * @throws InputError for a gauge that is none
 * @example
 * sensitivityFactors({ gaugeFactor: 2, activeArms: 1, leads: { resistance: 1, gaugeResistance: 120, wiring: 'quarter, 3-wire' } }).leads // => 0.9917355
 * @references J. W. Dally and W. F. Riley, Experimental Stress Analysis; A. L. Window, Strain Gauge Technology (both from memory).
 */
export function sensitivityFactors(gauge: BridgeOnly): SensitivityFactors {
  return checkResult('sensitivityFactors', 'gauge', factorsOf(checkGauge('sensitivityFactors', gauge)));
}

function factorsOf(gauge: BridgeOnly): SensitivityFactors {
  const { leads, transverseSensitivity: Kt = 0, misalignment = 0 } = gauge;
  const inSeries = leads?.wiring === 'quarter, 2-wire' || leads?.wiring === 'full, 4-wire' ? 2 : 1;
  return Object.freeze({
    leads: leads ? leads.gaugeResistance / (leads.gaugeResistance + inSeries * leads.resistance) : 1,
    transverse: (1 - Kt) / (1 - 0.285 * Kt), misalignment: Math.cos(2 * misalignment),
  });
}

/** Gauge factor times all sensitivity factors. */
export function effectiveGaugeFactor(gauge: BridgeOnly): number {
  const { leads, transverse, misalignment } = factorsOf(gauge);
  return gauge.gaugeFactor * leads * transverse * misalignment;
}

/**
 * The shear modulus of the shaft under the gauge, Pa: as given, or E / (2 (1 + ν)).
 *
 * @throws InputError where it follows from nothing, is given twice, or is so small that it stands in GPa or MPa
 * @example
 * shearModulusOf({ gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.3 }) // => 79615384615.38
 */
export function shearModulusOf(gauge: Gauge, where: string = 'shearModulusOf'): number {
  if (typeof gauge !== 'object' || gauge === null) throw new InputError({ where, argument: 'gauge', expected: 'a gauge', given: show(gauge) });
  const { shearModulus, youngsModulus, poissonsRatio } = gauge;
  const place = `${where}, gauge`;
  if (shearModulus !== undefined) {
    if (youngsModulus !== undefined || poissonsRatio !== undefined) {
      throw new InputError({ where: place, argument: 'shearModulus', expected: 'the only elastic constant where it is given', given: 'youngsModulus or poissonsRatio beside it', remedy: 'Leave one of the two statements out.' });
    }
    return checkModulus(place, 'shearModulus', shearModulus);
  }
  if (youngsModulus === undefined || poissonsRatio === undefined) {
    throw new InputError({ where: place, argument: 'shearModulus', expected: 'given, or youngsModulus and poissonsRatio in its place', given: youngsModulus === undefined ? (poissonsRatio === undefined ? 'none of them' : 'poissonsRatio only') : 'youngsModulus only' });
  }
  checkModulus(place, 'youngsModulus', youngsModulus);
  checkNumber(place, 'poissonsRatio', poissonsRatio, { above: -1, below: 0.5 });
  return youngsModulus / (2 * (1 + poissonsRatio));
}

/** Below that of any solid a shaft is made of, Pa; a smaller number stands in GPa or MPa. */
const softest = 1e6;

function checkModulus(place: string, argument: string, modulus: unknown): number {
  const given = checkNumber(place, argument, modulus, { above: 0, unit: 'Pa' });
  if (given >= softest) return given;
  throw new InputError({ where: place, argument, expected: `a modulus in Pa, at least ${softest} Pa`, given: `${given} Pa`, remedy: `Write ${given < 1000 ? 'GPa' : 'MPa'}(${given}) if it is in ${given < 1000 ? 'GPa' : 'MPa'}.` });
}

/** One factor of the chain from signal to bridge ratio, for the trail. */
export interface ChainFactor {
  readonly what: string;
  readonly divideBy: number;
}

/** What one unit of the signal is as a bridge ratio (V of bridge output per V of supply), and by which factors. */
export function ratioPerUnit(where: string, gauge: Gauge, unit: Unit): { readonly ratio: number; readonly chain: readonly ChainFactor[] } {
  const place = `${where}, gauge`;
  if (quantityOf(unit) === 'bridge ratio') return { ratio: unitConversion(unit, 'V/V', where).factor, chain: [] };
  const need = (key: 'gain' | 'excitation' | 'countsPerVolt', what: string): ChainFactor => {
    const value = gauge[key];
    if (value === undefined) throw new InputError({ where: place, argument: key, expected: `given for a signal in ${unit}`, given: 'nothing', ...(key === 'gain' ? { remedy: 'Say gain: 1 for a signal that was not amplified.' } : {}) });
    return { what, divideBy: value };
  };
  const chain: ChainFactor[] = [];
  if (unit === 'count') chain.push(need('countsPerVolt', 'counts per volt'));
  if (unit === 'mV') chain.push({ what: 'millivolts per volt of signal', divideBy: 1000 });
  chain.push(need('gain', 'amplifier gain'), need('excitation', 'bridge supply, V'));
  return { ratio: chain.reduce((r, f) => r / f.divideBy, 1), chain };
}

/** Gauge strain per bridge ratio near balance: 4 / (N K). */
export function strainPerRatio(gauge: BridgeOnly): number {
  return 4 / (gauge.activeArms * effectiveGaugeFactor(gauge));
}

/**
 * Gauge strain from the bridge ratio r = output / supply, exactly.
 *
 * Two or four active arms in tension–compression pairs: ε = 4 r / (N K), linear. One active arm: ε = 4 r / (K (1 − 2 r)). K is the gauge factor times the
 * sensitivity factors of the bridge.
 *
 * @example
 * strainOfRatio(0.001, { gaugeFactor: 2, activeArms: 4 }) // => 0.0005
 * @references Wheatstone algebra: r = R1/(R1+R2) − R4/(R3+R4) with R = R0 (1 + K ε) in the active arms.
 */
export function strainOfRatio(ratio: number, gauge: BridgeOnly): number {
  const linear = ratio * strainPerRatio(gauge);
  return gauge.activeArms === 1 ? linear / (1 - 2 * ratio) : linear;
}
