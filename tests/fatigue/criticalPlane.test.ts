import { describe, expect, it } from 'vitest';
import { countCycles, criticalPlane, curveLibrary, damage, findleyFactor, lifeCurve, localStress, makeChannel, MPa, notchFactor, rpm, stressCycles, type Channel, type CriticalPlaneOptions } from '../../src/index.js';
import { rangeMaximum } from '../../src/numeric/rangeMaximum.js';
import { createRandom } from '../../src/numeric/random.js';
import { near } from './near.js';

const curve = lifeCurve({ name: 'reversed shear', kind: 'shear', measure: 'amplitude', through: { stress: MPa(150), cycles: 1e6 }, slope: 6, knee: null, beyond: 'same-slope', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
const notch = { shear: notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 'smooth' }), direct: notchFactor({ kind: 'direct', value: 1, basis: 'fatigue', source: 'smooth' }) };
const rate = 1000, n = 8000;
const sine = (amplitude: number, frequency: number, mean = 0, phase = 0): Channel<'Pa'> => makeChannel({ name: 'tau', unit: 'Pa', sampleRate: rate, values: Float64Array.from({ length: n }, (_, i) => MPa(mean + amplitude * Math.cos((2 * Math.PI * frequency * i) / rate + phase))) });
const k = 0.3;
const base: CriticalPlaneOptions = { rotatingBending: 0, speed: 2 * Math.PI * 10, notch, sensitivity: k, curve, residue: 'half', planes: 180 };

describe('criticalPlane', () => {
  it('gives pure reversed torsion the damage of the torsion curve itself', () => {
    const tau = sine(120, 12.5);
    const plain = damage(localStress(stressCycles(countCycles(tau), { basis: 'nominal', kind: 'shear', source: 't' }), notch.shear), { curve, meanStress: 'none', residue: 'half' });
    const found = criticalPlane(tau, base);
    near(Math.max(...found.damage), plain.total, 0.005);
    near(damage(found.cycles, { curve, meanStress: 'none', residue: 'half' }).total, Math.max(...found.damage), 1e-12);
    near(Math.abs(Math.tan(2 * found.worst)), k, 0.06);
  });
  it('gives reversed bending σ/2·(k + √(1 + k²)) as its severity (closed form)', () => {
    const found = criticalPlane(sine(0, 1), { ...base, rotatingBending: MPa(200) });
    const expected = (100 * (k + Math.hypot(1, k))) / Math.hypot(1, k);
    const top = Math.max(...(found.cycles.cycles as { range: Float64Array }).range) / 2e6;
    near(top, expected, 0.002);
  });
  it('agrees with the limits from which k was taken: bending at its limit is as severe as torsion at its own', () => {
    const sensitivity = findleyFactor({ direct: MPa(260), shear: MPa(160) });
    const bending = criticalPlane(sine(0, 1), { ...base, sensitivity, rotatingBending: MPa(260) });
    near(Math.max(...(bending.cycles.cycles as { range: Float64Array }).range) / 2e6, 160, 0.002);
    near(findleyFactor({ direct: MPa(300), shear: MPa(300 / Math.sqrt(3)) }), 0.1566, 1e-3);
  });
  it('sees that in-phase torsion and bending are worse than either, and that a steady torque in bending matters by its mean', () => {
    const both = Math.max(...criticalPlane(sine(80, 10), { ...base, rotatingBending: MPa(120) }).damage);
    expect(both).toBeGreaterThan(Math.max(...criticalPlane(sine(80, 10), base).damage));
    expect(both).toBeGreaterThan(Math.max(...criticalPlane(sine(0, 10), { ...base, rotatingBending: MPa(120) }).damage));
    const steady = makeChannel({ name: 'tau', unit: 'Pa', sampleRate: rate, values: new Float64Array(n).fill(MPa(100)) });
    expect(Math.max(...criticalPlane(steady, { ...base, rotatingBending: MPa(120) }).damage)).toBeGreaterThan(Math.max(...criticalPlane(sine(0, 1), { ...base, rotatingBending: MPa(120) }).damage));
  });
  describe('of a record that repeats', () => {
    const repeated: CriticalPlaneOptions = { ...base, steady: MPa(150), residue: 'repeat', planes: 90 };
    const record = (points: readonly number[]): Channel<'Pa'> => makeChannel({ name: 'tau', unit: 'Pa', sampleRate: rate, values: Float64Array.from(points, MPa) });
    const ramp = (from: number, to: number): number[] => Array.from({ length: 101 }, (_, i) => from + ((to - from) * i) / 100);
    /** Largest severity of the planes by Findley's formula itself: one cycle between the extremes. */
    const severest = (tau: readonly number[], steady: number): number => Math.max(...Array.from({ length: 90 }, (_, p) => {
      const a = (p * Math.PI) / 90;
      const shear = tau.map((t) => t * Math.cos(2 * a) - 0.5 * steady * Math.sin(2 * a)), normal = tau.map((t) => steady * Math.cos(a) ** 2 + t * Math.sin(2 * a));
      return ((Math.max(...shear) - Math.min(...shear)) / 2 + k * Math.max(0, ...normal)) / Math.hypot(1, k);
    }));
    it('the largest cycle meets the largest normal stress of the record, whichever way the record runs (once 143.7 for 156.5 MPa)', () => {
      for (const points of [ramp(-10, 200), ramp(200, -10), [...ramp(50, 200), ...ramp(200, -10), ...ramp(-10, 40)]]) {
        const { cycles } = criticalPlane(record(points), repeated);
        near(Math.max(...(cycles.cycles as { range: Float64Array }).range) / 2e6, severest(points, 150), 1e-9);
      }
    });
    it('the damage of every plane is the same wherever the record begins', () => {
      const random = createRandom(5);
      for (let trial = 0; trial < 20; trial++) {
        const points = Float64Array.from({ length: 40 }, () => 150 * random.normal());
        const whole = criticalPlane(record([...points]), repeated);
        const shift = 1 + random.below(39);
        const turned = criticalPlane(record([...points.slice(shift), ...points.slice(0, shift)]), repeated);
        whole.damage.forEach((d, p) => near(turned.damage[p]!, d, 1e-9));
      }
    });
  });
  it('takes the speed from a channel as from a number', () => {
    const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: rate, values: new Float64Array(n).fill(2 * Math.PI * 10) });
    expect(criticalPlane(sine(80, 10), { ...base, rotatingBending: MPa(120), speed, planes: 12 }).damage).toEqual(criticalPlane(sine(80, 10), { ...base, rotatingBending: MPa(120), planes: 12 }).damage);
  });
  it.each([
    [() => criticalPlane(sine(1, 1), { ...base, rotatingBending: MPa(1), speed: rpm(60 * 100) }), 'sample rate must be at least 16 samples in a revolution (1600 Hz), got 1000 Hz'],
    [() => criticalPlane(sine(1, 1), { ...base, curve: curveLibrary.en1993Shear(100) }), 'curve must be of fully reversed shear (R = −1), got one for every R'],
    [() => criticalPlane(sine(1, 1), { ...base, speed: makeChannel({ name: 'w', unit: 'rad/s', sampleRate: 10, values: [1, 2] }) }), 'speed must be on the clock of tau'],
    [() => findleyFactor({ direct: 3, shear: 1 }), 'direct / shear must be above 1 and at most 2, got 3.000'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});

describe('rangeMaximum', () => {
  it('is the largest between two indices, by a slow twin', () => {
    const random = createRandom(3);
    const values = Float64Array.from({ length: 137 }, () => random.normal());
    const tree = rangeMaximum(values);
    for (let q = 0; q < 500; q++) {
      const a = random.below(137), b = a + random.below(137 - a);
      expect(tree.between(a, b)).toBe(Math.max(...values.subarray(a, b + 1)));
    }
  });
});
