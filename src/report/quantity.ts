import { isUnit, parseUnit, quantityOf, unitConversion, type Unit } from '../record/units.js';

/** The SI unit in which this library computes each quantity that a job file may state. */
const si: Readonly<Record<string, Unit>> = {
  length: 'm', stress: 'Pa', torque: 'N·m', 'angular speed': 'rad/s', frequency: 'Hz', time: 's', voltage: 'V', 'bridge ratio': 'V/V', temperature: 'K', angle: 'rad', strain: 'strain',
};

/** A quantity as a reader would write it, by quantity, for error messages and the schema. */
export const quantityExamples: Readonly<Record<string, string>> = Object.freeze({
  length: '90 mm', stress: '355 MPa', torque: '4.5 kN·m', 'angular speed': '1480 rpm', frequency: '100 Hz', time: '12.5 s', voltage: '5 V', 'bridge ratio': '2 mV/V', temperature: '20 °C', angle: '45 deg', strain: '500 µstrain',
});

const shape = /^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S.*?)\s*$/;

/**
 * Reads a number with its unit, such as `"90 mm"`, into SI.
 *
 * @param quantity what it must measure, for example `'length'`
 * @returns the SI number, or null where the text is no such quantity
 * @example
 * parseQuantity('90 mm', 'length') // => 0.09
 * parseQuantity('90', 'length') // => null
 */
export function parseQuantity(text: string, quantity: string): number | null {
  const match = shape.exec(text);
  const target = si[quantity];
  if (!match || !target) return null;
  const unit = isUnit(match[2]) ? match[2] : parseUnit(match[2]!);
  if (unit === null || quantityOf(unit) !== quantity) return null;
  const { factor, offset } = unitConversion(unit, target);
  const value = Number(match[1]) * factor + offset;
  return Number.isFinite(value) ? value : null;
}
