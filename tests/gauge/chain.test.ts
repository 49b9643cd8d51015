import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bridgeRatio, bridgeReading, bridgeStrain, checkShunt, correctForTemperature, createRandom, GPa, makeChannel, markInvalid, replay, sensitivityFactors, solidSection, toTorque, torqueBudget, type BridgeLayout, type Gauge } from '../../src/index.js';

const close = (actual: number, expected: number, relative: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.abs(expected));
const steel = { gaugeFactor: 2, poissonsRatio: 0.3 } as const;
const layouts: BridgeLayout[] = ['two rosettes', 'one rosette pair', 'half', 'opposite singles', 'quarter'];

describe('bridgeRatio', () => {
  it.each([
    [[1.001, 0.999, 1.001, 0.999], 0.001], [[1.0015999999999998, 0.9996, 1.0015999999999998, 0.9996], 0.0009994003597841297],
    [[1.0004, 1.0004, 0.9996, 0.9996], 0], [[1.0007, 1.0007, 1.0007, 1.0007], 0],
  ])('of %j is exact (cases bridge-torsion, -temp, -bending-only, -axial-only: closed forms)', (arms, expected) => {
    expect(Math.abs(bridgeRatio(arms) - expected)).toBeLessThan(1e-15);
  });
  it('refuses what is no bridge', () => {
    expect(() => bridgeRatio([1, 1, 1])).toThrow('arms.length');
    expect(() => bridgeRatio([1, 1, 0, 1])).toThrow('arms[2] must be a finite number above 0');
  });
});

describe('bridgeReading', () => {
  it('loses cos 2β to misalignment (case misalign-cos2: Mohr circle, exact)', () => {
    const table = [[0.5, -0.015230484360873042], [1, -0.06091729809042379], [2, -0.24359497401758023], [3, -0.547810463172671], [4, -0.9731931258429638], [5, -1.519224698779198], [10, -6.030737921409157]] as const;
    for (const [degrees, percent] of table) {
      const reading = bridgeReading({ ...steel, layout: 'two rosettes', misalignment: (degrees * Math.PI) / 180, strain: { shear: 1e-6 } });
      expect(Math.abs(100 * reading.error! - percent)).toBeLessThan(1e-7);
      expect(100 * (sensitivityFactors({ gaugeFactor: 2, activeArms: 4, misalignment: (degrees * Math.PI) / 180 }).misalignment - 1)).toBeCloseTo(percent, 10);
    }
  });
  it('takes thrust for torsion when turned by 2° (case misalign-axial-cross: exact)', () => {
    const reading = bridgeReading({ ...steel, layout: 'one rosette pair', misalignment: (2 * Math.PI) / 180, strain: { shear: 0.001, axial: 0.0002 } });
    expect(Math.abs(reading.strain - reading.nonlinearity - 0.0004897136835431757)).toBeLessThan(1e-12);
    close(reading.perAxial, -0.65 * Math.sin((4 * Math.PI) / 180), 1e-6);
    expect(reading.notes[0]).toContain('Thrust shows');
  });
  it('of aligned full and half bridges shows neither thrust, bending nor temperature to first order; singles show what they must', () => {
    for (const layout of layouts) {
      const r = bridgeReading({ ...steel, layout, strain: { shear: 0.0005 } });
      close(r.perHalfShear, 1, 1e-6);
      const [axial, bending, thermal] = layout === 'quarter' ? [0.35, 0.35, 1] : layout === 'opposite singles' ? [0.35, 0, 1] : [0, 0, 0];
      expect(r.perAxial).toBeCloseTo(axial, 5);
      expect(r.perBending).toBeCloseTo(bending, 5);
      expect(r.perThermal).toBeCloseTo(thermal, 5);
    }
  });
  it('of a full bridge under pure torsion is linear; of a quarter bridge it is short by K ε / 2', () => {
    fc.assert(fc.property(fc.double({ min: 1e-5, max: 0.004, noNaN: true }), (shear) => {
      expect(Math.abs(bridgeReading({ ...steel, layout: 'two rosettes', strain: { shear } }).error!)).toBeLessThan(1e-9);
      close(bridgeReading({ ...steel, layout: 'quarter', strain: { shear } }).error!, -(2 * (shear / 2)) / 2, 0.01);
    }), { seed: 2, numRuns: 100 });
  });
  it('refuses unknown layouts', () => {
    expect(() => bridgeReading({ ...steel, layout: 'ring' as never, strain: { shear: 0 } })).toThrow("layout must be one of 'two rosettes'");
  });
});

describe('sensitivity factors', () => {
  it('of lead wires are those of a series resistance (cases lead-3wire-120 and -350: computed)', () => {
    const of = (gaugeResistance: number): number => sensitivityFactors({ gaugeFactor: 2, activeArms: 1, leads: { resistance: 1, gaugeResistance, wiring: 'quarter, 3-wire' } }).leads;
    close(of(120), 0.9917355371900827, 1e-12);
    close(of(350), 0.9971509971509972, 1e-12);
    expect(sensitivityFactors({ gaugeFactor: 2, activeArms: 4, leads: { resistance: 1, gaugeResistance: 350, wiring: 'full, 4-wire' } }).leads).toBeCloseTo(350 / 352, 14);
  });
  it('of transverse sensitivity in shear agree with (1 − Kt)/(1 − 0.285 Kt) (relation from memory, evaluated)', () => {
    [[0.005, 0.9964198983551561], [0.01, 0.9928295642581357], [-0.02, 1.0142189519737497]].forEach(([transverseSensitivity, ratio]) => close(sensitivityFactors({ gaugeFactor: 2, activeArms: 4, transverseSensitivity: transverseSensitivity! }).transverse, ratio!, 1e-12));
  });
  it('raise strain and torque alike, and the budget too', () => {
    const gauge: Gauge = { gaugeFactor: 2, activeArms: 4, shearModulus: GPa(80), misalignment: 0.05, transverseSensitivity: 0.01, leads: { resistance: 2, gaugeResistance: 350, wiring: 'full, 4-wire' } };
    const bridge = makeChannel({ name: 'b', unit: 'mV/V', sampleRate: 1, values: [1] });
    const keep = (350 / 354) * (0.99 / (1 - 0.00285)) * Math.cos(0.1);
    close(bridgeStrain(bridge, gauge).values[0]!, 0.0005 / keep, 1e-12);
    const torque = toTorque(bridge, { gauge, section: solidSection(0.05) }).values[0]!;
    close(torque, (2 * 80e9 * 0.0005 * Math.PI * 0.05 ** 3) / 16 / keep, 1e-12);
    close(torqueBudget({ quantity: 'torque', gauge, section: solidSection(0.05), signal: { value: 1, standard: 0 }, unit: 'mV/V', uncertainty: { gaugeFactor: { standard: 0.01 } }, draws: 0 }).value, torque, 1e-12);
  });
  it('refuse wiring that is not that of the bridge', () => {
    expect(() => bridgeStrain(makeChannel({ name: 'b', unit: 'mV/V', sampleRate: 1, values: [1] }), { gaugeFactor: 2, activeArms: 4, leads: { resistance: 1, gaugeResistance: 350, wiring: 'quarter, 3-wire' } })).toThrow('that of a bridge of 4 active arms');
  });
});

describe('checkShunt', () => {
  const gauge: Gauge = { gaugeFactor: 2, activeArms: 4, gain: 1000, excitation: 5, shearModulus: GPa(80) };
  const record = (gain: number) => {
    const random = createRandom(3);
    return makeChannel({ name: 'b', unit: 'V', sampleRate: 100, values: Float64Array.from({ length: 2000 }, (_, i) => 0.3 + (i >= 1000 ? -0.0005005005005005005 * gain * 5 : 0) + 0.001 * random.normal()) });
  };
  const options = { gauge, gaugeResistance: 350, shuntResistance: 174650, open: { from: 0, to: 9 }, shunted: { from: 11, to: 20 }, tolerance: 0.005 };
  it('finds the expected step by exact algebra, and a wrong gain', () => {
    const right = checkShunt(record(1000), options);
    close(right.expected, 2.5025025025, 1e-9);
    expect(right.withinTolerance).toBe(true);
    expect(Math.abs(right.measured - right.expected)).toBeLessThan(4 * right.standardError);
    const wrong = checkShunt(record(1030), options);
    expect(wrong.error).toBeCloseTo(0.03, 3);
    expect(wrong.correction).toBeCloseTo(1 / 1.03, 3);
    expect(wrong.notes[0]).toContain('3.0 % off');
  });
  it('reads valid samples only, and says when there was no step', () => {
    const c = record(1000);
    const spoilt = markInvalid(c, [{ from: 1500, to: 1600, why: 'dropout' }]);
    expect(checkShunt(spoilt, options).withinTolerance).toBe(true);
    expect(checkShunt(c, { ...options, shunted: { from: 5, to: 10 } }).notes[0]).toContain('was the resistor connected?');
    expect(() => checkShunt(markInvalid(c, [{ from: 1000, to: 2000, why: 'dropout' }]), options)).toThrow('a window with valid samples');
    expect(() => checkShunt(c, { ...options, tolerance: undefined } as never)).toThrow('tolerance must be given');
  });
});

describe('correctForTemperature', () => {
  const temperature = makeChannel({ name: 'T', unit: '°C', sampleRate: 1, values: [0, 24, 50, 75, 100] });
  it('takes thermal output off at the gauge factor set, then puts the gauge factor right (case thermal-output-poly: coefficients invented, form published)', () => {
    const strain = makeChannel({ name: 'e', unit: 'µstrain', sampleRate: 1, values: [500, 500, 500, 500, 500] });
    const done = correctForTemperature(strain, { temperature, referenceTemperature: 24, gaugeFactorPerKelvin: 0.012 / 100, gaugeFactorSet: 2, gaugeFactor: 2.08, thermalOutput: [-21.8, 1.95, -0.0436, 0.000203, -1.46e-7] });
    [503.1799274217438, 478.2266993230769, 487.7450623286116, 515.8611090988535, 547.3161688478003].forEach((v, i) => close(done.values[i]!, v, 1e-12));
    expect(replay(strain, done.trail, [temperature])).toEqual(done);
  });
  it('changes nothing at the reference temperature, and is the ratio of the two coefficients elsewhere', () => {
    const torque = makeChannel({ name: 'M', unit: 'N·m', sampleRate: 1, values: [100, 100, 100, 100, 100] });
    const done = correctForTemperature(torque, { temperature, referenceTemperature: 24, gaugeFactorPerKelvin: 1e-4, shearModulusPerKelvin: -2.5e-4 });
    expect(done.values[1]).toBe(100);
    close(done.values[4]!, (100 * (1 - 2.5e-4 * 76)) / (1 + 1e-4 * 76), 1e-14);
  });
  it('refuses terms that the quantity does not have', () => {
    const torque = makeChannel({ name: 'M', unit: 'N·m', sampleRate: 1, values: [1] });
    const strain = makeChannel({ name: 'e', unit: 'strain', sampleRate: 1, values: [1] });
    expect(() => correctForTemperature(torque, { temperature, referenceTemperature: 24, thermalOutput: [1] })).toThrow('A full torsion bridge cancels it');
    expect(() => correctForTemperature(strain, { temperature, referenceTemperature: 24, shearModulusPerKelvin: 1e-4 })).toThrow('left out for strain');
    expect(() => correctForTemperature(strain, { temperature, referenceTemperature: 24, gaugeFactorSet: 2 })).toThrow('gaugeFactor must be');
    // @ts-expect-error volts are corrected nowhere
    expect(() => correctForTemperature(makeChannel({ name: 'v', unit: 'V', sampleRate: 1, values: [1] }), { temperature, referenceTemperature: 24 })).toThrow('Turn the signal into strain or torque first.');
  });
});
