import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  bridgeStrain, convert, fullScaleTorque, GPa, hollowSection, makeChannel, mm, replay, shearModulusOf, shearStressFromStrain, shuntResistance, shuntStrain, solidSection, toTorque,
  torqueFromStrain, validRuns, type BridgeUnit, type Channel, type Gauge,
} from '../../src/index.js';

const close = (actual: number, expected: number, relative: number): void => expect(Math.abs(actual - expected) / Math.abs(expected)).toBeLessThanOrEqual(relative);
const one = <U extends BridgeUnit>(unit: U, value: number): Channel<U> => makeChannel({ name: 'bridge', unit, sampleRate: 1000, values: [value] });
const steel: Gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.3 };

describe('sections', () => {
  it('give J, W and area by their closed forms', () => {
    const tube = hollowSection(mm(24), mm(20));
    close(tube.polarSecondMoment, 1.6864069364470012e-8, 1e-12); // case sg-tube-24-20, computed
    close(tube.polarModulus, tube.polarSecondMoment / 0.012, 1e-15);
    close(tube.area, Math.PI * (0.012 ** 2 - 0.01 ** 2), 1e-15);
    close(solidSection(0.05).polarModulus, (Math.PI * 0.05 ** 3) / 16, 1e-15);
  });
  it('carry 1.829 kN·m at 2° twist on 1.5 m of 60/40 mm (Beer and Johnston, Mechanics of Materials, example 3.02; published figure from memory, recomputed 1834.284)', () => {
    const torque = (GPa(77.2) * hollowSection(0.06, 0.04).polarSecondMoment * ((2 * Math.PI) / 180)) / 1.5;
    close(torque, 1834.284254987644, 1e-12);
    expect(Math.abs(torque - 1829)).toBeLessThan(8);
    const twist = ((70e6 / 0.02) * 1.5) / GPa(77.2);
    close((twist * 180) / Math.PI, 3.8964098762135, 1e-12);
  });
  it.each([[() => solidSection(0), 'diameter must be a finite number above 0 m'], [() => hollowSection(0.05, 0.05), 'above 0 m and below 0.05 m'], [() => hollowSection(0.05, -0.01), 'innerDiameter'], [() => solidSection(Number.NaN), 'got NaN m']])('refuse what is no shaft (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});

describe('numbers in another unit', () => {
  it('are refused with the way to write them: a shaft of 90 m, a steel of 206 Pa', () => {
    expect(() => solidSection(90)).toThrow('solidSection: diameter must be a diameter in m, at most 5 m, got 90 m. Write mm(90) if it is in millimetres.');
    expect(() => hollowSection(90, 70)).toThrow('Write mm(90)');
    expect(solidSection(5).outerDiameter).toBe(5);
    const gauge: Gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: 206, poissonsRatio: 0.3 };
    expect(() => shearModulusOf(gauge)).toThrow('youngsModulus must be a modulus in Pa, at least 1000000 Pa, got 206 Pa. Write GPa(206) if it is in GPa.');
    expect(() => shearModulusOf({ gaugeFactor: 2, activeArms: 4, shearModulus: 79_300 })).toThrow('Write MPa(79300) if it is in MPa.');
    expect(shearModulusOf({ gaugeFactor: 2, activeArms: 4, shearModulus: 1e6 })).toBe(1e6);
  });
});

describe('bridge to strain and torque', () => {
  it('agrees with closed formulas for a solid shaft (cases sg-solid-50 and sg-ship-400, computed)', () => {
    const bridge = one('mV/V', 1);
    close(bridgeStrain(bridge, steel).values[0]!, 0.0005, 1e-12);
    close(toTorque(bridge, { gauge: steel, section: solidSection(0.05) }).values[0]!, 1954.0555267220168, 1e-12);
    const ship: Gauge = { gaugeFactor: 2.07, activeArms: 4, youngsModulus: 212592000000, poissonsRatio: 0.29 };
    close(bridgeStrain(one('mV/V', 0.35), ship).values[0]!, 0.00016908212560386474, 1e-12);
    close(toTorque(one('mV/V', 0.35), { gauge: ship, section: solidSection(0.4) }).values[0]!, 350158.5782783755, 1e-12);
    close(shearModulusOf(ship), 82.4e9, 1e-12);
  });
  it('agrees with the tube torque cell (case sg-tube-24-20: inputs of an open tutorial problem, answers computed)', () => {
    const gauge: Gauge = { gaugeFactor: 2.125, activeArms: 4, shearModulus: GPa(82), gain: 1, excitation: 10 };
    const section = hollowSection(0.024, 0.02);
    close(toTorque(one('V', 0.0046100321789958225), { gauge, section }).values[0]!, 50, 1e-9);
    close(bridgeStrain(one('V', 0.0046100321789958225), gauge).values[0]!, 0.00021694269077627402, 1e-9);
    close(toTorque(one('V', 0.010625), { gauge, section }).values[0]!, 115.23780732387841, 1e-9);
  });
  it('agrees by hand for counts: 5000 counts at 1000 counts/V, gain 500, supply 5 V is 2 mV/V', () => {
    const gauge: Gauge = { ...steel, countsPerVolt: 1000, gain: 500, excitation: 5 };
    close(bridgeStrain(one('count', 5000), gauge).values[0]!, 0.001, 1e-14);
    const step = toTorque(one('count', 5000), { gauge, section: solidSection(0.05) });
    close(step.values[0]!, 2 * 1954.0555267220168, 1e-12);
    const found = step.trail.at(-1)!.found as { torquePerUnit: number; chain: { what: string; divideBy: number }[] };
    close(found.torquePerUnit * 5000, step.values[0]!, 1e-14);
    expect(found.chain.map((f) => f.divideBy)).toEqual([1000, 500, 5]);
  });
  it('gives the same torque whichever unit the signal is in, and in one step or two', () => {
    const gauge: Gauge = { ...steel, countsPerVolt: 3276.8, gain: 400, excitation: 5 };
    const section = hollowSection(0.09, 0.07);
    fc.assert(fc.property(fc.double({ min: -10, max: 10, noNaN: true }), fc.constantFrom(1, 2, 4), fc.constantFrom(1, -1), (volts, arms, polarity) => {
      const g = { ...gauge, activeArms: arms, polarity } as Gauge;
      const expected = toTorque(one('V', volts), { gauge: g, section }).values[0]!;
      const near = (other: Channel<'N·m'>): void => expect(Math.abs(other.values[0]! - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected) + 1e-9);
      near(toTorque(one('mV', volts * 1000), { gauge: g, section }));
      near(toTorque(one('count', volts * 3276.8), { gauge: g, section }));
      near(toTorque(one('V/V', volts / 2000), { gauge: g, section }));
      near(toTorque(one('mV/V', volts / 2), { gauge: g, section }));
      const strain = bridgeStrain(one('V', volts), g);
      near(torqueFromStrain(strain, { gauge: g, section }));
      near(toTorque(convert(strain, 'µstrain'), { gauge: g, section }));
      const stress = shearStressFromStrain(strain, { gauge: g });
      expect(Math.abs(stress.values[0]! * section.polarModulus - expected)).toBeLessThanOrEqual(1e-12 * Math.abs(expected) + 1e-9);
    }), { seed: 3, numRuns: 200 });
  });
  it('is exact for a single gauge: its output K ε / (4 + 2 K ε) leads back to ε', () => {
    const quarter: Gauge = { ...steel, activeArms: 1 };
    for (const strain of [0.002, -0.002, 0.0005]) {
      const arm = 1 + 2 * strain;
      const ratio = arm / (arm + 1) - 1 / 2;
      close(bridgeStrain(one('V/V', ratio), quarter).values[0]!, strain, 1e-10);
    }
  });
  it('keeps masks and clock, turns masked samples too, and replays', () => {
    const raw = makeChannel({ name: 'bridge', unit: 'mV/V', sampleRate: 500, values: [0.1, 0.2, 0.3], invalid: [{ from: 1, to: 2, why: 'dropout' }], start: '2026-03-01T08:00:00.000Z' });
    const torque = toTorque(raw, { gauge: steel, section: solidSection(0.05) });
    expect(torque.invalid).toEqual(raw.invalid);
    expect(torque.start).toBe(raw.start);
    expect(validRuns(torque).length).toBe(2);
    close(torque.values[1]!, 0.2 * 1954.0555267220168, 1e-12);
    expect(replay(raw, torque.trail)).toEqual(torque);
  });
  it('takes a calibration in its own unit only', () => {
    const raw = one('mV', 2);
    expect(toTorque(raw, { calibration: { slope: 10, unit: 'mV', intercept: 5 } }).values[0]).toBe(25);
    expect(() => toTorque(raw, { calibration: { slope: 10, unit: 'V' } })).toThrow("Convert the channel to 'V' first.");
    expect(() => toTorque(raw, { calibration: { slope: 0, unit: 'mV' } })).toThrow('other than 0');
    expect(() => toTorque(raw, { calibration: { slope: 1, unit: 'mV' }, gauge: steel, section: solidSection(1) } as never)).toThrow('either gauge and section or calibration');
  });
  it('does not compile for a torque or an unknown unit, and is refused at run time too', () => {
    const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1] });
    const unknown = makeChannel({ name: 'x', unit: '?', sampleRate: 1, values: [1] });
    const section = solidSection(0.05);
    // @ts-expect-error torque is no bridge signal
    expect(() => toTorque(torque, { gauge: steel, section })).toThrow('unit of T must be count or V or mV or V/V or mV/V or strain');
    // @ts-expect-error nor is a channel whose unit is not known
    expect(() => bridgeStrain(unknown, steel)).toThrow('assignUnit');
    // @ts-expect-error volts are no strain
    expect(() => torqueFromStrain(one('V', 1), { gauge: steel, section })).toThrow('bridgeStrain first');
    // @ts-expect-error volts are no strain
    expect(() => shearStressFromStrain(one('V', 1), { gauge: steel })).toThrow('bridgeStrain first');
  });
  it.each<[Partial<Gauge>, string]>([
    [{ gaugeFactor: 0 }, 'gaugeFactor must be a finite number above 0'],
    [{ activeArms: 3 as never }, 'activeArms must be one of 1, 2, 4'],
    [{ activeArms: undefined as never }, 'activeArms must be given'],
    [{ gain: undefined, excitation: 5 }, 'Say gain: 1 for a signal that was not amplified.'],
    [{ gain: 1 }, 'excitation must be given for a signal in V'],
    [{ gain: 1, excitation: 5, shearModulus: GPa(80) }, 'the only elastic constant'],
    [{ gain: 1, excitation: 5, poissonsRatio: undefined }, 'got youngsModulus only'],
    [{ gain: 1, excitation: 5, poissonsRatio: 0.5 }, 'poissonsRatio must be a finite number above -1 and below 0.5'],
    [{ polarity: 2 as never }, 'polarity'],
    [{ gageFactor: 2 } as never, "Did you mean 'gaugeFactor'?"],
  ])('refuses the gauge %j', (part, message) => {
    expect(() => toTorque(one('V', 1), { gauge: { ...steel, ...part }, section: solidSection(0.05) })).toThrow(message);
  });
  it('refuses a section that is none', () => {
    expect(() => toTorque(one('mV/V', 1), { gauge: steel, section: 0.05 as never })).toThrow('Make one with solidSection or hollowSection.');
    expect(() => toTorque(one('mV/V', 1), { gauge: steel } as never)).toThrow('section must be given');
  });
});

describe('full scale', () => {
  it('agrees with the closed formula (case sg-fullscale-2, computed)', () => {
    const gauge: Gauge = { gaugeFactor: 2, activeArms: 4, youngsModulus: GPa(207), poissonsRatio: 0.28, gain: 1000, excitation: 2.5 };
    const full = fullScaleTorque({ gauge, section: hollowSection(0.075, 0.055), outputVoltage: 10 });
    close(full.strain, 0.002, 1e-12);
    close(full.torque, 19043.57381159053, 1e-12);
    close(full.torquePerVolt * 10, full.torque, 1e-14);
    expect(full.notes[0]).toContain('2000 µm/m');
    expect(() => fullScaleTorque({ gauge, section: solidSection(0.05), outputVoltage: 0 })).toThrow('outputVoltage must be a finite number above 0 V');
  });
});

describe('shunt', () => {
  const exact = (R: number, Rs: number): number => {
    const arm = (R * Rs) / (R + Rs);
    return Math.abs(arm / (arm + R) - 1 / 2);
  };
  it.each([[120, 11880, 0.005, 0.002512562814070352], [350, 174650, 0.001, 0.0005005005005005005]])('of %d Ω by %d Ω across a single gauge simulates the tabulated strain (11 880 Ω found in a bridge-input manual, 174 650 Ω from memory)', (R, Rs, strain, ratio) => {
    const shunt = shuntStrain({ gaugeResistance: R, shuntResistance: Rs, gaugeFactor: 2, activeArms: 1 });
    close(shunt.strain, strain, 1e-10);
    close(shunt.bridgeRatio, ratio, 1e-10);
    close(shunt.bridgeRatio, exact(R, Rs), 1e-9);
  });
  it('across one arm of a full bridge agrees with exact algebra (cases shunt-f-350-174650 and shunt-f-1000-499500, computed)', () => {
    const a = shuntStrain({ gaugeResistance: 350, shuntResistance: 174650, gaugeFactor: 2, activeArms: 4 });
    close(a.bridgeRatio, 0.0005005005005005005, 1e-10);
    close(a.strain, 0.00025025025025025025, 1e-10);
    close(a.strainLinear, 0.00025, 1e-10);
    const strain = (value: number): Channel<'strain'> => makeChannel({ name: 's', unit: 'strain', sampleRate: 1, values: [value] });
    close(torqueFromStrain(strain(a.strain), { gauge: steel, section: solidSection(0.05) }).values[0]!, 978.0057691301386, 1e-10);
    const b = shuntStrain({ gaugeResistance: 1000, shuntResistance: 499500, gaugeFactor: 2.1, activeArms: 4 });
    close(b.bridgeRatio, 0.0005, 1e-10);
    close(b.strain, 0.0002380952380952381, 1e-10);
    close(b.strainLinear, 0.00023785738071452358, 1e-10);
    const gauge: Gauge = { gaugeFactor: 2.1, activeArms: 4, youngsModulus: GPa(206), poissonsRatio: 0.29 };
    close(torqueFromStrain(strain(b.strain), { gauge, section: hollowSection(0.09, 0.07) }).values[0]!, 3450.713722289267, 1e-10);
  });
  it('resistor for a wanted output is the inverse (case shunt-R-for-mVV, computed)', () => {
    [[0.5, 174825], [1, 87325], [1.5, 58158.33333333333], [2, 43575]].forEach(([mV, ohm]) => close(shuntResistance({ gaugeResistance: 350, bridgeRatio: mV! / 1000 }), ohm!, 1e-12));
    fc.assert(fc.property(fc.double({ min: 100, max: 5000, noNaN: true }), fc.double({ min: 1e-5, max: 0.4, noNaN: true }), (R, r) => {
      close(shuntStrain({ gaugeResistance: R, shuntResistance: shuntResistance({ gaugeResistance: R, bridgeRatio: r }), gaugeFactor: 2, activeArms: 4 }).bridgeRatio, r, 1e-12);
    }), { seed: 4, numRuns: 200 });
    expect(() => shuntResistance({ gaugeResistance: 350, bridgeRatio: 0.5 })).toThrow('which a short circuit gives');
    expect(() => shuntStrain({ gaugeResistance: 350, shuntResistance: 0, gaugeFactor: 2, activeArms: 4 })).toThrow('shuntResistance must be a finite number above 0 Ω');
  });
});
