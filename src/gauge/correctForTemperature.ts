import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { readerOf } from '../record/readerOf.js';
import { quantityOf, unitConversion } from '../record/units.js';
import type { StrainUnit } from './Gauge.js';

/** How the sensitivity depends on temperature. */
export interface TemperatureCorrection {
  /** At the gauge. */
  readonly temperature: Channel<'°C' | 'K' | '°F'>;
  /** °C at which gauge factor and modulus hold. */
  readonly referenceTemperature: number;
  /** Relative change of the gauge factor per K; about +1e-4 for constantan foil. Default 0. */
  readonly gaugeFactorPerKelvin?: number;
  /** Relative change of the shear modulus per K; about −2.5e-4 for steel. For torque and stress. Default 0. */
  readonly shearModulusPerKelvin?: number;
  /** Thermal output of a single gauge, µm/m: polynomial in °C, lowest power first, as on its data sheet, at the gauge factor set. For strain. */
  readonly thermalOutput?: readonly number[];
  /** Gauge factor that the chain was set to, and the true one at the reference temperature, where they differ. */
  readonly gaugeFactorSet?: number;
  readonly gaugeFactor?: number;
}

type CorrectedUnit = StrainUnit | 'N·m' | 'kN·m' | 'Pa' | 'MPa';

const where = 'correctForTemperature';
const units = ['strain', 'µstrain', 'N·m', 'kN·m', 'Pa', 'MPa'] as const;

const operation = defineOperation<TemperatureCorrection>(where, (channel, options) => {
  checkOptions(where, options, { required: ['temperature', 'referenceTemperature'], optional: ['gaugeFactorPerKelvin', 'shearModulusPerKelvin', 'thermalOutput', 'gaugeFactorSet', 'gaugeFactor'] });
  checkChannel(where, channel, units, 'Turn the signal into strain or torque first.');
  const temperature = checkChannel(where, options.temperature, ['°C', 'K', '°F'] as const);
  const reference = checkNumber(where, 'referenceTemperature', options.referenceTemperature, { above: -273.15, unit: '°C' });
  const perK = checkNumber(where, 'gaugeFactorPerKelvin', options.gaugeFactorPerKelvin ?? 0, { above: -0.01, below: 0.01, unit: '1/K' });
  const perG = checkNumber(where, 'shearModulusPerKelvin', options.shearModulusPerKelvin ?? 0, { above: -0.01, below: 0.01, unit: '1/K' });
  const isStrain = quantityOf(channel.unit) === 'strain';
  if (isStrain && perG !== 0) throw new InputError({ where, argument: 'shearModulusPerKelvin', expected: 'left out for strain, which does not depend on it', given: show(perG) });
  const output = thermalPolynomial(options.thermalOutput, isStrain, channel.unit);
  const set = ratioOfFactors(options);
  const { factor, offset } = unitConversion(temperature.unit, '°C', where);
  const read = readerOf(where, temperature, 'temperature', channel.start);
  const values = new Float64Array(channel.values.length);
  let least = Number.POSITIVE_INFINITY, most = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const T = read(i / channel.sampleRate) * factor + offset;
    const byTemperature = (1 + perG * (T - reference)) / (1 + perK * (T - reference));
    // Beyond that the straight line of the coefficients runs towards its pole, or turns the sign.
    if (!(byTemperature >= 0.5 && byTemperature <= 2)) {
      throw new InputError({ where, argument: 'gaugeFactorPerKelvin, shearModulusPerKelvin', expected: 'such that the sensitivity changes by a factor from 0.5 to 2', given: `a factor of ${byTemperature.toPrecision(3)} at ${T.toPrecision(4)} °C`, remedy: 'Check both, and the unit of the temperature.' });
    }
    const scale = set * byTemperature;
    values[i] = (channel.values[i]! - output(T)) * scale;
    least = Math.min(least, scale);
    most = Math.max(most, scale);
  }
  return { values, found: { leastFactor: least, mostFactor: most } };
});

function ratioOfFactors(options: TemperatureCorrection): number {
  if (options.gaugeFactorSet === undefined && options.gaugeFactor === undefined) return 1;
  return checkNumber(where, 'gaugeFactorSet', options.gaugeFactorSet, { above: 0 }) / checkNumber(where, 'gaugeFactor', options.gaugeFactor, { above: 0 });
}

function thermalPolynomial(coefficients: readonly number[] | undefined, isStrain: boolean, unit: string): (T: number) => number {
  if (coefficients === undefined) return () => 0;
  if (!isStrain) throw new InputError({ where, argument: 'thermalOutput', expected: 'left out but for strain', given: show(coefficients), remedy: 'A full torsion bridge cancels it; what is left is part of the zero model.' });
  if (!Array.isArray(coefficients) || coefficients.length === 0) throw new InputError({ where, argument: 'thermalOutput', expected: 'coefficients, lowest power first', given: show(coefficients) });
  coefficients.forEach((c, k) => checkNumber(where, `thermalOutput[${k}]`, c));
  const perUnit = unit === 'strain' ? 1e-6 : 1;
  return (T) => perUnit * coefficients.reduceRight((sum, c) => sum * T + c, 0);
}

/**
 * Corrects strain, stress or torque for the temperature at the gauge: (value − thermal output) · (Kset/K) · (1 + αG ΔT) / (1 + αK ΔT).
 *
 * Take the zero off first: this scales what it is given. Thermal output is taken off at the gauge factor set, then the gauge factor is put right. For a full torsion bridge
 * leave thermal output out: it cancels, and its remainder belongs to the temperature term of the zero.
 *
 * Kept: clock, masks; masked samples are turned too. Temperature is read by straight lines between its valid samples. Cost: one pass.
 *
 * @param channel in strain, µstrain, N·m, kN·m, Pa or MPa
 * @param options temperature, referenceTemperature (°C); gaugeFactorPerKelvin, shearModulusPerKelvin (1/K), thermalOutput (µm/m), gaugeFactorSet with gaugeFactor
 * @returns the corrected channel; the step tells the least and the largest factor
 * @throws InputError for another unit, a factor of temperature beyond 0.5 to 2, a temperature that does not cover the record, or a term that the quantity does not have
 * @see fitZero, toTorque
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1000, 1000] });
 * const temperature = makeChannel({ name: 'temperature', unit: '°C', sampleRate: 1, values: [20, 60] });
 * correctForTemperature(T, { temperature, referenceTemperature: 20, gaugeFactorPerKelvin: 1e-4, shearModulusPerKelvin: -2.5e-4 }).values[1] // => 986.0558
 * @references Form of the correction as printed on foil strain-gauge data sheets; modulus of steel −2.5e-4/K: common practice, no source.
 */
export function correctForTemperature<U extends CorrectedUnit>(channel: Channel<U>, options: TemperatureCorrection): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
