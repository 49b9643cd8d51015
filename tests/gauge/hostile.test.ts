import { describe, expect, it } from 'vitest';
import { bridgeRatio, bridgeReading, convert, sensitivityFactors, shearModulusOf, shuntResistance, bridgeStrain, checkShunt, correctForTemperature, fitCalibration, fullScaleTorque, hollowSection, makeChannel, shearStressFromStrain, shuntStrain, torqueBudget, torqueFromStrain, toTorque, uncertaintyBudget, type Gauge } from '../../src/index.js';
import { breaches } from '../hostileArguments.js';

const gauge: Gauge = { gaugeFactor: 2.08, activeArms: 4, youngsModulus: 206e9, poissonsRatio: 0.3, gain: 1000, excitation: 5 };
const section = hollowSection(0.09, 0.07);
const bridge = makeChannel({ name: 'bridge', unit: 'V', sampleRate: 10, values: Float64Array.from({ length: 40 }, (_, i) => 0.01 * (i % 3) + (i >= 20 ? -2.5 : 0)) });
const strain = makeChannel({ name: 'strain', unit: 'strain', sampleRate: 10, values: Float64Array.from({ length: 40 }, (_, i) => 1e-6 * i) });
const temperature = makeChannel({ name: 'T', unit: '°C', sampleRate: 5, values: Float64Array.from({ length: 21 }, (_, i) => 20 + i) });
const points = [[0, 0.1], [50, 0.6], [100, 1.1], [50, 0.61], [0, 0.1]].map(([applied, signal]) => ({ applied, signal, direction: 'up' }));
const input = { value: 0.8, standard: 0.001, distribution: 'normal', degreesOfFreedom: 9 };

describe('hostile arguments to the gauge verbs give an InputError with a sentence, or a result of numbers', () => {
  it.each<readonly [string, (...args: never[]) => unknown, readonly unknown[]]>([
    ['fitCalibration', fitCalibration, [points, { unit: 'mV/V' }]],
    ['torqueBudget', torqueBudget, [{
      quantity: 'torque', gauge, section, signal: input, unit: 'V', zero: { value: 0.1, halfWidth: 0.01, distribution: 'triangular' },
      uncertainty: { gaugeFactor: { standard: 0.01, relative: true }, outerDiameter: { halfWidth: 5e-5 }, gain: { expanded: 2, coverageFactor: 2 }, misalignment: { halfWidth: 0.01 } },
      correlations: [{ a: 'gaugeFactor', b: 'gain', coefficient: 0.5 }], coverage: 0.95, draws: 40, seed: 1,
    }]],
    ['torqueBudget of a calibrated chain', torqueBudget, [{ quantity: 'torque', calibration: { slope: 2000, unit: 'mV/V', intercept: 10 }, signal: input, unit: 'mV/V', uncertainty: { slope: { standard: 8 }, linearity: { halfWidth: 5 } }, draws: 40 }]],
    ['uncertaintyBudget with its Monte Carlo', uncertaintyBudget, [{ inputs: { a: { value: 2, standard: 0.1 }, b: { value: 3, standard: 0.1, distribution: 't', degreesOfFreedom: 5 } }, model: (x: Record<string, number>) => x['a']! * x['b']!, correlations: [{ a: 'a', b: 'b', coefficient: 0.5 }], coverage: 0.95, draws: 40, seed: 1, unit: 'N·m', name: 'torque' }]],
    ['checkShunt', checkShunt, [bridge, { gauge, gaugeResistance: 350, shuntResistance: 174650, open: { from: 0, to: 1.9 }, shunted: { from: 2.1, to: 3.9 }, tolerance: 0.005 }]],
    ['correctForTemperature', correctForTemperature, [strain, { temperature, referenceTemperature: 24, gaugeFactorPerKelvin: 1e-4, gaugeFactorSet: 2, gaugeFactor: 2.08, thermalOutput: [-21.8, 1.95] }]],
    ['bridgeReading', bridgeReading, [{ gaugeFactor: 2, poissonsRatio: 0.3, layout: 'two rosettes', misalignment: 0.02, strain: { shear: 1e-3, axial: 1e-4, bending: 1e-4, thermal: 1e-5 } }]],
    ['toTorque', toTorque, [bridge, { gauge, section }]],
    ['bridgeStrain', bridgeStrain, [bridge, gauge]],
    ['torqueFromStrain', torqueFromStrain, [strain, { gauge, section }]],
    ['shearStressFromStrain', shearStressFromStrain, [strain, { gauge }]],
    ['fullScaleTorque', fullScaleTorque, [{ gauge, section, outputVoltage: 10 }]],
    ['bridgeRatio', bridgeRatio, [[1.001, 0.999, 1.001, 0.999]]],
    ['sensitivityFactors', sensitivityFactors, [{ gaugeFactor: 2, activeArms: 4, misalignment: 0.01, transverseSensitivity: 0.01, leads: { resistance: 1, gaugeResistance: 350, wiring: 'full, 4-wire' } }]],
    ['shearModulusOf', (given: Gauge) => shearModulusOf(given), [{ youngsModulus: 206e9, poissonsRatio: 0.3 }]],
    ['toTorque with leads', toTorque, [bridge, { gauge: { ...gauge, leads: { resistance: 1, gaugeResistance: 350, wiring: 'full, 4-wire' } }, section }]],
    ['shuntResistance', shuntResistance, [{ gaugeResistance: 350, bridgeRatio: 0.001 }]],
    ['convert', convert, [bridge, 'mV']],
    ['shuntStrain', shuntStrain, [{ gaugeResistance: 350, shuntResistance: 174650, gaugeFactor: 2, activeArms: 4 }]],
  ])('%s', (_, verb, args) => {
    expect(breaches(verb, args)).toEqual([]);
  });
});

describe('correctForTemperature', () => {
  it('refuses coefficients that run to a pole or turn the sign', () => {
    for (const perKelvin of [-1 / 110, 9e-3]) {
      const hot = makeChannel({ name: 'T', unit: '°C', sampleRate: 5, values: Float64Array.from({ length: 21 }, (_, i) => (perKelvin < 0 ? 130 : -195) + i / 100) });
      expect(() => correctForTemperature(strain, { temperature: hot, referenceTemperature: 20, gaugeFactorPerKelvin: perKelvin })).toThrow('must be such that the sensitivity changes by a factor from 0.5 to 2');
    }
  });
});
