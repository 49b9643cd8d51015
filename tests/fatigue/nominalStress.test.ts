import { describe, expect, it } from 'vitest';
import { combineCycles, curveLibrary, cyclesFromTable, damage, hollowSection, localStress, makeChannel, mm, MPa, nominalStress, notchFactor, rotatingBendingCycles, rpm, shearStress, solidSection } from '../../src/index.js';
import { near } from './near.js';

describe('nominalStress', () => {
  it('is school knowledge on a solid and a hollow shaft', () => {
    const solid = nominalStress(solidSection(mm(50)), { torque: 1000, bending: -800, axial: 2e4 });
    near(solid.shear, 16000 / (Math.PI * 0.05 ** 3), 1e-13);
    near(solid.bending, (-32 * 800) / (Math.PI * 0.05 ** 3), 1e-13);
    near(solid.axial, 2e4 / ((Math.PI / 4) * 0.05 ** 2), 1e-13);
    const tube = nominalStress(hollowSection(mm(60), mm(40)), { bending: 500 });
    near(tube.bending, (500 * 0.03) / ((Math.PI / 64) * (0.06 ** 4 - 0.04 ** 4)), 1e-13);
    expect(tube.shear).toBe(0);
  });
  it('refuses a load that is not finite', () => {
    expect(() => nominalStress(solidSection(mm(50)), { torque: Number.NaN })).toThrow('torque must be a finite number in N·m');
    expect(() => nominalStress({} as never, {})).toThrow('section must be a shaft section');
  });
});

describe('rotatingBendingCycles', () => {
  it('counts a revolution as a cycle, masked speed left out', () => {
    const values = new Float64Array(1000).fill(2 * Math.PI * 5);
    values.fill(Number.NaN, 100, 300);
    const cycles = rotatingBendingCycles({ amplitude: MPa(30), steady: MPa(5), speed: makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 100, values }) });
    near(cycles.cycles.total, 5 * 8, 1e-12);
    near(cycles.cycles.validTime, 8, 1e-12);
    expect(cycles.cycles.mean[0]).toBe(MPa(5));
  });
  it('adds to the torque: both damages stand beside each other on the same notch', () => {
    const torque = localStress(shearStress(cyclesFromTable({ unit: 'N·m', range: [4000], count: [10], hours: 1 }), solidSection(mm(50))), notchFactor({ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' }));
    const curve = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(700), enduranceLimit: MPa(150) });
    const bending = localStress(rotatingBendingCycles({ amplitude: MPa(120), speed: { constant: rpm(900), hours: 1 } }), notchFactor({ kind: 'direct', value: 1.6, basis: 'fatigue', source: 't' }));
    const options = { curve, meanStress: 'none', residue: 'half' } as const;
    const joined = damage(combineCycles(torque, { rotatingBending: 1.6 * MPa(120), residue: 'half' }), options).perHour;
    expect(damage(bending, options).perHour).toBeGreaterThan(0);
    expect(joined).toBeGreaterThan(damage(combineCycles(torque, { residue: 'half' }), options).perHour);
  });
  it.each([
    [() => rotatingBendingCycles({ amplitude: 0, speed: { constant: 1, hours: 1 } }), 'amplitude must be a finite number above 0 Pa'],
    [() => rotatingBendingCycles({ amplitude: 1, speed: { constant: 0, hours: 1 } }), 'got a shaft at rest'],
    [() => rotatingBendingCycles({ amplitude: 1, speed: makeChannel({ name: 'n', unit: 'rpm', sampleRate: 1, values: [1] }) as never }), 'unit of n must be rad/s, got rpm'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
