import { show } from './check.js';
import { InputError } from './errors.js';

/** A unit that a channel may carry, by its printed symbol. `'?'` is a unit that the file did not state. */
export type Unit =
  | '?' | '1' | '%' | 'count' | 'V' | 'mV' | 'mV/V' | 'V/V' | 'strain' | 'µstrain' | 'Pa' | 'kPa' | 'MPa' | 'GPa' | 'psi' | 'ksi' | 'N·m'
  | 'kN·m' | 'MN·m' | 'lbf·in' | 'lbf·ft' | 'N·m/s' | 'rad/s' | 'rpm' | 'deg/s' | 'rad' | 'deg' | 'rev' | 'Hz' | 's' | 'ms' | 'h'
  | 'W' | 'kW' | 'MW' | 'J' | 'kJ' | 'kW·h' | '°C' | 'K' | '°F' | 'A' | 'm' | 'mm' | 'in' | 'm/s' | 'm/s²' | 'N' | 'kN';

/**
 * Every unit a channel may carry: its quantity, and the factor and offset to the SI unit of that quantity
 * (si = value · factor + offset). Exact definitions: inch 25.4 mm, pound 0.453 592 37 kg, standard gravity
 * 9.806 65 m/s² (NIST SP 811, 2008, appendix B).
 */
const table: Readonly<Record<Unit, readonly [quantity: string, factor: number, offset: number]>> = {
  '?': ['not known', 1, 0],
  '1': ['number', 1, 0],
  '%': ['number', 0.01, 0],
  count: ['count', 1, 0],
  V: ['voltage', 1, 0],
  mV: ['voltage', 1e-3, 0],
  'mV/V': ['bridge ratio', 1e-3, 0],
  'V/V': ['bridge ratio', 1, 0],
  strain: ['strain', 1, 0],
  'µstrain': ['strain', 1e-6, 0],
  Pa: ['stress', 1, 0],
  kPa: ['stress', 1e3, 0],
  MPa: ['stress', 1e6, 0],
  GPa: ['stress', 1e9, 0],
  psi: ['stress', 6894.757293168361, 0],
  ksi: ['stress', 6894757.293168361, 0],
  'N·m': ['torque', 1, 0],
  'kN·m': ['torque', 1e3, 0],
  'MN·m': ['torque', 1e6, 0],
  'lbf·in': ['torque', 0.1129848290276167, 0],
  'lbf·ft': ['torque', 1.3558179483314004, 0],
  'N·m/s': ['torque rate', 1, 0],
  'rad/s': ['angular speed', 1, 0],
  rpm: ['angular speed', Math.PI / 30, 0],
  'deg/s': ['angular speed', Math.PI / 180, 0],
  rad: ['angle', 1, 0],
  deg: ['angle', Math.PI / 180, 0],
  rev: ['angle', 2 * Math.PI, 0],
  Hz: ['frequency', 1, 0],
  s: ['time', 1, 0],
  ms: ['time', 1e-3, 0],
  h: ['time', 3600, 0],
  W: ['power', 1, 0],
  kW: ['power', 1e3, 0],
  MW: ['power', 1e6, 0],
  J: ['energy', 1, 0],
  kJ: ['energy', 1e3, 0],
  'kW·h': ['energy', 3.6e6, 0],
  '°C': ['temperature', 1, 273.15],
  K: ['temperature', 1, 0],
  '°F': ['temperature', 5 / 9, 459.67 * 5 / 9],
  A: ['current', 1, 0],
  m: ['length', 1, 0],
  mm: ['length', 1e-3, 0],
  in: ['length', 0.0254, 0],
  'm/s': ['speed', 1, 0],
  'm/s²': ['acceleration', 1, 0],
  N: ['force', 1, 0],
  kN: ['force', 1e3, 0],
};

/** All unit symbols, in the order of the table. */
export const allUnits: readonly Unit[] = Object.freeze(Object.keys(table) as Unit[]);

/** Other spellings met in files, lower case, without spaces. */
const spellings: Readonly<Record<string, Unit>> = {
  nm: 'N·m', 'n.m': 'N·m', 'n*m': 'N·m', 'n-m': 'N·m', knm: 'kN·m', 'kn.m': 'kN·m', 'kn*m': 'kN·m', 'kn-m': 'kN·m', mnm: 'MN·m',
  'n⋅m': 'N·m', 'kn⋅m': 'kN·m', 'lbf.in': 'lbf·in', 'lbf-in': 'lbf·in', 'in-lbf': 'lbf·in', 'in.lbf': 'lbf·in', 'lb-in': 'lbf·in', 'in-lb': 'lbf·in',
  'lbf.ft': 'lbf·ft', 'lbf-ft': 'lbf·ft', 'ft-lbf': 'lbf·ft', 'ft.lbf': 'lbf·ft', 'ft-lb': 'lbf·ft', 'lb-ft': 'lbf·ft',
  'r/min': 'rpm', '1/min': 'rpm', 'min-1': 'rpm', 'min^-1': 'rpm', 'rev/min': 'rpm', 'u/min': 'rpm', 'rad/sec': 'rad/s', 'rads-1': 'rad/s',
  volt: 'V', volts: 'V', 'mvolt': 'mV', millivolts: 'mV', 'v/v': 'V/V', 'mv/v': 'mV/V',
  ustrain: 'µstrain', 'μstrain': 'µstrain', microstrain: 'µstrain', 'um/m': 'µstrain', 'µm/m': 'µstrain', 'μm/m': 'µstrain', 'ue': 'µstrain', 'µε': 'µstrain', 'με': 'µstrain', 'm/m': 'strain',
  'n/mm²': 'MPa', 'n/mm2': 'MPa', 'n/mm^2': 'MPa', counts: 'count', adc: 'count', lsb: 'count', '-': '1', none: '1', percent: '%',
  sec: 's', second: 's', seconds: 's', msec: 'ms', hour: 'h', hours: 'h', degc: '°C', '°c': '°C', c: '°C', celsius: '°C', degf: '°F', '°f': '°F', kelvin: 'K',
  degree: 'deg', degrees: 'deg', '°': 'deg', hertz: 'Hz', watt: 'W', watts: 'W', kwh: 'kW·h', 'm/s2': 'm/s²', 'm/s^2': 'm/s²', amp: 'A', amps: 'A', revs: 'rev', revolutions: 'rev',
};

const bySymbol = new Map<string, Unit>(allUnits.map((unit) => [unit.toLowerCase(), unit]));

/**
 * Reads a unit as files spell it. Symbols that differ only in case (mV and MV, for one) are matched exactly first.
 *
 * @returns the unit, or null where the text is none that is known.
 * @example
 * parseUnit('kNm') // => "kN·m"
 * parseUnit('furlong') // => null
 */
export function parseUnit(text: string): Unit | null {
  const trimmed = text.trim().replace(/\s+/g, '');
  if (Object.hasOwn(table, trimmed)) return trimmed as Unit;
  const lower = trimmed.toLowerCase();
  if (trimmed === 'MNm' || trimmed === 'MN.m' || trimmed === 'MN*m' || trimmed === 'MN-m') return 'MN·m';
  if (/^mn[.*-]?m$/i.test(trimmed) && trimmed[0] === 'm') return null;
  return spellings[lower] ?? (trimmed.length > 1 ? bySymbol.get(lower) : undefined) ?? null;
}

/** The quantity that a unit measures, for example `'torque'`. */
export function quantityOf(unit: Unit): string {
  return table[unit][0];
}

/** Is this text one of the unit symbols? */
export function isUnit(text: unknown): text is Unit {
  return typeof text === 'string' && Object.hasOwn(table, text);
}

/**
 * Factor and offset that turn a value in `from` into a value in `to`: to = from · factor + offset.
 *
 * @throws InputError where the two units measure different quantities.
 * @example
 * unitConversion('kN·m', 'N·m').factor // => 1000
 */
export function unitConversion(from: Unit, to: Unit, where = 'convert'): { readonly factor: number; readonly offset: number } {
  if (!isUnit(to)) {
    throw new InputError({ where, argument: 'unit', expected: `one of ${allUnits.join(', ')}`, given: show(to) });
  }
  const [fromQuantity, fromFactor, fromOffset] = table[from];
  const [toQuantity, toFactor, toOffset] = table[to];
  if (fromQuantity !== toQuantity) {
    const remedy = from === '?' ? 'State the unit of the channel first with assignUnit.' : conversionHint(fromQuantity, toQuantity);
    throw new InputError({ where, argument: 'unit', expected: `a unit of ${fromQuantity} (the channel is in ${from})`, given: `${to}, a unit of ${toQuantity}`, remedy });
  }
  if (fromOffset === 0 && toOffset === 0) return { factor: ratio(fromFactor, toFactor), offset: 0 };
  return { factor: ratio(fromFactor, toFactor), offset: (fromOffset - toOffset) / toFactor };
}

/** Powers of ten divide exactly when the larger stands on top; so 1 kN·m → N·m → kN·m returns the same number. */
function ratio(from: number, to: number): number {
  return from >= to ? from / to : 1 / (to / from);
}

/** Which verb leads from one quantity to another, as a sentence. */
export function conversionHint(from: string, to: string): string | undefined {
  const electrical = ['voltage', 'bridge ratio', 'count', 'strain'];
  if (electrical.includes(from) && to === 'torque') return 'Use toTorque with the gauge and the section to turn a bridge signal into torque.';
  if (from === 'torque' && to === 'stress') return 'Use shearStress with the section to turn torque into stress.';
  if (electrical.includes(from) && to === 'stress') return 'Use toTorque, then shearStress.';
  if (electrical.includes(from) && to === 'strain') return 'Use bridgeStrain with the gauge to turn a bridge signal into strain.';
  return undefined;
}

/** Length in metres from inches. @example inch(2.5) // => 0.0635 */
export function inch(value: number): number {
  return value * 0.0254;
}

/** Stress in pascals from pounds-force per square inch. @example psi(1000) // => 6894757.293 */
export function psi(value: number): number {
  return value * table.psi[1];
}

/** Torque in newton metres from pound-force inches. @example lbfIn(1000) // => 112.984829 */
export function lbfIn(value: number): number {
  return value * table['lbf·in'][1];
}

/** Torque in newton metres from pound-force feet. @example lbfFt(100) // => 135.5817948 */
export function lbfFt(value: number): number {
  return value * table['lbf·ft'][1];
}

/** Stress in pascals from megapascals (N/mm²). @example MPa(80) // => 80000000 */
export function MPa(value: number): number {
  return value * 1e6;
}

/** Elastic modulus in pascals from gigapascals. @example GPa(81) // => 81000000000 */
export function GPa(value: number): number {
  return value * 1e9;
}

/** Length in metres from millimetres. @example mm(90) // => 0.09 */
export function mm(value: number): number {
  return value / 1000;
}

/** Torque in newton metres from kilonewton metres. @example kNm(1.5) // => 1500 */
export function kNm(value: number): number {
  return value * 1000;
}

/** Angular speed in rad/s from revolutions per minute. @example rpm(60) // => 6.283185307 */
export function rpm(value: number): number {
  return (value * Math.PI) / 30;
}
