import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, curveLibrary, cyclesToFailure, directAmplitude, directRange, fitLifeCurve, MPa, shiftSurvival, type FatigueTest } from '../../src/index.js';
import { toleranceFactor } from '../../src/numeric/toleranceFactor.js';
import { near } from './near.js';

interface Golden {
  readonly tests: readonly (readonly [number, number, boolean])[];
  readonly censored: { readonly intercept: number; readonly slope: number; readonly deviation: number };
  readonly failuresOnly: { readonly intercept: number; readonly slope: number; readonly slopeError: number };
  readonly toleranceFactors: readonly (readonly [number, number, number, number])[];
}
const golden = JSON.parse(readFileSync(new URL('../golden/fatigue/fit.json', import.meta.url), 'utf8')) as Golden;
const options = { name: 'steel', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'own tests', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 } as const;
const tests: FatigueTest[] = golden.tests.map(([stress, cycles, runout]) => ({ stress, cycles, runout }));

describe('fitLifeCurve', () => {
  it('SH-24: six tests on 4340: b −0.0945, A 1587, σf′ 1695 (Dowling, 4th ed., example 9.1)', () => {
    const fit = fitLifeCurve([948, 834, 703, 631, 579, 524].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130, 43860, 132150][i]! })), options);
    const b = -1 / fit.slope;
    near(b, -0.0945, 6e-4);
    const A = 10 ** (fit.intercept / fit.slope) / 1e6;
    near(A, 1587, 6e-4);
    near(A / 2 ** b, 1695, 6e-4);
    expect(fit.curve.tested).toEqual({ from: 222, to: 132150 });
    expect(fit.curve.specimen).toBe(null);
  });
  it('is SciPy’s maximum likelihood with runouts, σ raised by r/(r − 2) (golden)', () => {
    const fit = fitLifeCurve(tests, options);
    expect(fit.runouts).toBe(tests.filter((t) => t.runout).length);
    expect(fit.runouts).toBeGreaterThan(2);
    near(fit.slope, -golden.censored.slope, 1e-6);
    near(fit.intercept, golden.censored.intercept, 1e-6);
    near(fit.deviation, golden.censored.deviation * Math.sqrt(fit.failures / (fit.failures - 2)), 1e-6);
  });
  it('is SciPy’s least squares without runouts (golden)', () => {
    const fit = fitLifeCurve(tests.filter((t) => !t.runout), options);
    near(fit.slope, -golden.failuresOnly.slope, 1e-8);
    near(fit.intercept, golden.failuresOnly.intercept, 1e-8);
    near(fit.slopeError, golden.failuresOnly.slopeError, 1e-6);
  });
  it('runouts lengthen the life they stand for, and do not pass for failures', () => {
    const as = (runout: boolean): number => cyclesToFailure(fitLifeCurve(tests.map((t) => ({ ...t, runout: runout && t.runout === true })), options).median, directAmplitude(MPa(185)));
    expect(as(true)).toBeGreaterThan(as(false));
  });
  it('has the tolerance factors of the noncentral t (golden), 2.911 for ten values at 95/95 (Lieberman 1958, from memory)', () => {
    for (const [p, confidence, n, k] of golden.toleranceFactors) near(1 + toleranceFactor(p, confidence, 1 / n, n - 1), 1 + k, 1e-8);
    expect(Math.abs(toleranceFactor(0.95, 0.95, 0.1, 9) - 2.911)).toBeLessThan(0.001);
  });
  it('puts the design curve the factor times the deviation below the median, and the bands about it', () => {
    const fit = fitLifeCurve(tests, options);
    const s = directAmplitude(MPa(250));
    near(Math.log10(cyclesToFailure(fit.median, s) / cyclesToFailure(fit.curve, s)), fit.factor * fit.deviation, 1e-9);
    for (let k = 0; k < fit.band.stress.length; k++) {
      expect(fit.band.low[k]!).toBeLessThan(fit.band.median[k]!);
      expect(fit.band.high[k]!).toBeGreaterThan(fit.band.median[k]!);
      expect(fit.band.tolerance[k]!).toBeLessThan(fit.band.median[k]!);
    }
    near(fit.band.median[7]!, cyclesToFailure(fit.median, directAmplitude(fit.band.stress[7]!)), 1e-9);
  });
  it('covers: the 90 % tolerance limit with 90 % confidence lies below the true point in 90 % of 300 simulated test series', () => {
    const random = createRandom(8);
    let below = 0;
    for (let k = 0; k < 300; k++) {
      const series = [320, 280, 240, 200].flatMap((s) => [0, 1, 2].map(() => ({ stress: MPa(s), cycles: 10 ** (18 - 5 * Math.log10(s) + 0.2 * random.normal()) })));
      const fit = fitLifeCurve(series, { ...options, survival: 0.9, confidence: 0.9 });
      const middle = fit.curve.through.stress;
      if (cyclesToFailure(fit.curve, directAmplitude(middle)) < 10 ** (18 - 5 * Math.log10(middle / 1e6) - 1.2815516 * 0.2)) below++;
    }
    expect(below / 300).toBeGreaterThan(0.848);
    expect(below / 300).toBeLessThan(0.952);
  });
  it('does not depend on the unit: stresses ten times as high give the same slope and scatter', () => {
    fc.assert(fc.property(fc.double({ min: 0.01, max: 100, noNaN: true }), (factor) => {
      const a = fitLifeCurve(tests.slice(0, 15), { ...options, confidence: 0.5 });
      const b = fitLifeCurve(tests.slice(0, 15).map((t) => ({ ...t, stress: t.stress * factor })), { ...options, confidence: 0.5 });
      near(b.slope, a.slope, 1e-7);
      near(b.deviation, a.deviation, 1e-7);
    }), { numRuns: 10, seed: 9 });
  });
  it.each([
    [() => fitLifeCurve(tests.slice(0, 3), options), 'tests must be at least four failures, got 3. Take a published curve from curveLibrary.'],
    [() => fitLifeCurve(tests.slice(0, 5), options), 'tests must be failures at two stresses or more'],
    [() => fitLifeCurve([1, 2, 3, 4, 5].map((s) => ({ stress: s * 1e8, cycles: s * 1e5 + s * s })), options), 'a line that rises with a slope of'],
    [() => fitLifeCurve(tests, { ...options, survival: 1 }), 'survival must be a finite number above 0 and below 1'],
    [() => fitLifeCurve([{ stress: -1, cycles: 1 }], options), 'tests[0].stress must be a finite number above 0 Pa'],
    [() => fitLifeCurve('x' as never, options), 'tests must be a list of tests'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});

describe('shiftSurvival', () => {
  it('leads from the design class of BS 7608 to its mean line and back', () => {
    const mean = curveLibrary.bs7608('D', 0);
    const design = curveLibrary.bs7608('D', 2);
    near(cyclesToFailure(shiftSurvival(mean, 0.97725), directRange(MPa(80))), cyclesToFailure(design, directRange(MPa(80))), 1e-4);
    near(cyclesToFailure(shiftSurvival(shiftSurvival(design, 0.9), design.survival!), directRange(MPa(30))), cyclesToFailure(design, directRange(MPa(30))), 1e-9);
    near(shiftSurvival(mean, 0.9).kneeStress, mean.kneeStress, 1e-12);
  });
  it('refuses a curve that states no scatter', () => {
    expect(() => shiftSurvival(curveLibrary.en1993Shear(100), 0.5)).toThrow('EN 1993-1-9 shear 100, without a deviation');
  });
});
