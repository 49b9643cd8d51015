import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { curveLibrary, cyclesToFailure, directAmplitude, meanStressFactor, MPa, notchFactor, walkerExponentOfSteel, type MeanStress } from '../../src/index.js';
import { near } from './near.js';

describe('mean stress', () => {
  it('SH-15: Goodman: a spring between 75 and 150 N lasts 7514.577 cycles (Bhandari, Design of Machine Elements, 3rd ed., example 5.15)', () => {
    const section = (Math.PI * 10 ** 3) / 32;
    const [max, min] = [(150 * 500) / section, (75 * 500) / section];
    const ka = 4.51 * 860 ** -0.265;
    const limit = ka * 0.85 * 1.0 * 0.5 * 860;
    const sa = MPa((max - min) / 2);
    const factor = meanStressFactor({ rule: 'goodman', ultimate: MPa(860) }, { kind: 'direct', amplitude: sa, mean: MPa((max + min) / 2) });
    near(sa * factor, MPa(572.2), 1e-4);
    const curve = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(860), enduranceLimit: MPa(limit), fraction: 0.9 });
    near(cyclesToFailure(curve, directAmplitude(sa * factor)), 7514.577171, 1e-8);
  });
  it('SH-25: Walker with the steel estimate of γ, 0.5 giving Smith–Watson–Topper (Dowling, 4th ed., eq. 9.19 and 9.20, coefficients from memory)', () => {
    const cycle = { kind: 'direct', amplitude: MPa(450), mean: MPa(200) } as const;
    const exponent = walkerExponentOfSteel(MPa(1172));
    near(exponent, 0.6474, 1e-9);
    near(450 * meanStressFactor({ rule: 'walker', exponent }, cycle), 512.298437, 1e-6);
    near(450 * meanStressFactor({ rule: 'walker', exponent: 0.5 }, cycle), 540.832691, 1e-6);
    near(meanStressFactor({ rule: 'walker', exponent: 0.5 }, cycle), meanStressFactor({ rule: 'smith-watson-topper' }, cycle), 1e-14);
    const line = curveLibrary.points({ name: '4340', kind: 'direct', measure: 'amplitude', points: [{ stress: MPa(1758 * 2 ** -0.0977), cycles: 1 }, { stress: MPa(1758 * 2e6 ** -0.0977), cycles: 1e6 }], knee: null, beyond: 'same-slope', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 'Dowling, 4th ed.: 4340, σf′ 1758 MPa, b −0.0977' });
    near(cyclesToFailure(line, directAmplitude(MPa(512.298437))), 151353.304, 1e-6);
  });
  const cycle = { kind: 'direct', amplitude: 100, mean: 200 } as const;
  it.each<[MeanStress, number]>([
    ['none', 1],
    [{ rule: 'goodman', ultimate: 800 }, 4 / 3],
    [{ rule: 'gerber', ultimate: 800 }, 16 / 15],
    [{ rule: 'soderberg', yield: 400 }, 2],
    [{ rule: 'asme-elliptic', yield: 400 }, 1 / Math.sqrt(0.75)],
    [{ rule: 'morrow', strength: 1000 }, 1.25],
    [{ rule: 'smith-watson-topper' }, Math.sqrt(3)],
    [{ rule: 'walker', exponent: 1 }, 1],
  ])('%j by hand', (rule, expected) => near(meanStressFactor(rule, cycle), expected, 1e-14));
  it('in shear takes |mean| and the stated equivalence', () => {
    const rule = { rule: 'goodman', ultimate: 800 * Math.sqrt(3), shear: 'von Mises' } as const;
    near(meanStressFactor(rule, { kind: 'shear', amplitude: 100, mean: -200 }), 4 / 3, 1e-14);
    near(meanStressFactor({ ...rule, ultimate: 1600, shear: 'maximum shear' }, { kind: 'shear', amplitude: 100, mean: 200 }), 4 / 3, 1e-14);
    near(meanStressFactor({ ...rule, ultimate: 800, shear: 'given in shear' }, { kind: 'shear', amplitude: 100, mean: 200 }), 4 / 3, 1e-14);
  });
  it('gives no credit for a compressive mean but where the formula holds it', () => {
    for (const rule of [{ rule: 'goodman', ultimate: 800 }, { rule: 'gerber', ultimate: 800 }, { rule: 'asme-elliptic', yield: 400 }] as const) expect(meanStressFactor(rule, { ...cycle, mean: -200 })).toBe(1);
    expect(meanStressFactor({ rule: 'smith-watson-topper' }, { ...cycle, mean: -100 })).toBe(0);
    near(meanStressFactor({ rule: 'smith-watson-topper' }, { ...cycle, mean: -50 }), Math.sqrt(0.5), 1e-14);
  });
  it('never helps when the mean grows, and does nothing at no mean', () => {
    const rule = fc.constantFrom<MeanStress>('none', { rule: 'goodman', ultimate: 900e6 }, { rule: 'gerber', ultimate: 900e6 }, { rule: 'soderberg', yield: 700e6 }, { rule: 'asme-elliptic', yield: 700e6 }, { rule: 'morrow', strength: 1500e6 }, { rule: 'smith-watson-topper' }, { rule: 'walker', exponent: 0.65 });
    fc.assert(fc.property(rule, fc.double({ min: 1e6, max: 3e8, noNaN: true }), fc.double({ min: 0, max: 3e8, noNaN: true }), fc.double({ min: 0, max: 3e8, noNaN: true }), (r, amplitude, mean, more) => {
      const at = (m: number): number => meanStressFactor(r, { kind: 'direct', amplitude, mean: m });
      near(at(0), 1, 1e-12);
      expect(at(mean + more)).toBeGreaterThanOrEqual(at(mean) * (1 - 1e-12));
    }), { numRuns: 1000, seed: 3 });
  });
  it.each([
    [() => meanStressFactor({ rule: 'goodman', ultimate: 100 }, cycle), 'Look at staticMargin'.toLowerCase()],
    [() => meanStressFactor({ rule: 'goodmann', ultimate: 100 } as never, cycle), "meanStress.rule must be one of 'goodman', 'gerber'"],
    [() => meanStressFactor({ rule: 'goodman' } as never, cycle), 'ultimate must be given: it has no default'],
    [() => meanStressFactor({ rule: 'goodman', ultimate: 800 }, { ...cycle, kind: 'shear' }), "meanStress.shear must be one of 'von Mises', 'maximum shear', 'given in shear', got undefined"],
    [() => meanStressFactor({ rule: 'goodman', ultimate: 800, shear: 'von Mises' }, cycle), 'meanStress.shear must be left out for direct stress'],
    [() => meanStressFactor('goodman' as never, cycle), "meanStress must be 'none' or a rule such as"],
    [() => meanStressFactor({ rule: 'walker', exponent: 2 }, cycle), 'meanStress.exponent must be a finite number at least 0 and at most 1'],
    [() => meanStressFactor('none', { ...cycle, amplitude: 0 }), 'amplitude must be a finite number above 0 Pa'],
    [() => walkerExponentOfSteel(0), 'ultimate must be a finite number above 0 Pa'],
  ])('refuses with the way out (%#)', (call, message) => {
    let text = '';
    try { call(); } catch (error) { text = (error as Error).message; }
    expect(text.toLowerCase()).toContain(message.toLowerCase());
  });
});

describe('notchFactor', () => {
  it('says what state the shaft is in', () => {
    expect(notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 'polished, no shoulder' }).state).toBe('smooth');
    expect(notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'detail category 100' }).state).toBe('notched');
    expect(notchFactor({ kind: 'direct', value: 1.3, basis: 'theoretical', source: 'chart' }).state).toBe('notched');
  });
  it.each([
    [{ kind: 'shear', value: 1.2, basis: 'in the curve', source: 'x' }, "value must be 1 where the basis is 'in the curve', got 1.2."],
    [{ kind: 'shear', value: 1.2, basis: 'fatigue', source: '' }, 'source must be a text that a reader can look up'],
    [{ kind: 'torsion', value: 1.2, basis: 'fatigue', source: 'x' }, "kind must be one of 'shear', 'direct'"],
    [{ kind: 'shear', value: Number.NaN, basis: 'fatigue', source: 'x' }, 'value must be a finite number at least 1, got NaN'],
  ])('refuses %j', (data, message) => {
    expect(() => notchFactor(data as never)).toThrow(message);
  });
});
