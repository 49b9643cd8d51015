import { describe, expect, it } from 'vitest';
import { createRandom, findFaults, makeChannel, markInvalid, zeroStability, type Channel } from '../../src/index.js';
import { leastSquares } from '../../src/numeric/leastSquares.js';
import { momentsOf, standardDeviation } from '../../src/numeric/moments.js';

const close = (actual: number, expected: number, relative: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.abs(expected));
const rest = (values: ArrayLike<number>, sampleRate = 1): Channel<'N·m'> => makeChannel({ name: 'zero', unit: 'N·m', sampleRate, values });

describe('zeroStability', () => {
  it('agrees with the nine-point data set of NBS Monograph 140 (in W. J. Riley, NIST SP 1065): 91.22945, 115.8082; 85.95287; 74.78849', () => {
    const s = zeroStability(rest([892, 809, 823, 798, 671, 644, 883, 903, 677]), { window: { from: 0, to: 9 }, averages: [1, 2] });
    [91.22944974074983, 115.80821070488338].forEach((v, i) => close(s.allan[i]!, v, 1e-9));
    [91.22944974074983, 85.952869837681].forEach((v, i) => close(s.overlapping[i]!, v, 1e-9));
    [91.22944974074983, 74.78849343314786].forEach((v, i) => close(s.modified[i]!, v, 1e-9));
  });
  it('falls with 1/√τ for white noise and rises with τ for drift, and finds where the two meet', () => {
    const random = createRandom(3);
    const white = zeroStability(rest(Float64Array.from({ length: 100_000 }, () => 2 * random.normal()), 100), { window: { from: 0, to: 1000 } });
    white.overlapping.slice(0, 10).forEach((v, i) => close(v, 2 / Math.sqrt(2 ** i), 0.1));
    const drift = zeroStability(rest(Float64Array.from({ length: 1000 }, (_, i) => 0.5 * i)), { window: { from: 0, to: 1000 } });
    drift.overlapping.forEach((v, i) => close(v, (0.5 * 2 ** i) / Math.SQRT2, 1e-9));
    const both = zeroStability(rest(Float64Array.from({ length: 100_000 }, (_, i) => 2 * random.normal() + 1e-4 * i), 100), { window: { from: 0, to: 1000 } });
    expect(both.bestTime).toBeGreaterThan(2);
    expect(both.bestTime).toBeLessThan(32);
    expect(both.notes[0]).toContain('Take zeros often rather than long.');
  });
  it('refuses masked samples in the window and averages beyond a third of it', () => {
    const c = markInvalid(rest(new Float64Array(100)), [{ from: 50, to: 51, why: 'spike' }]);
    expect(() => zeroStability(c, { window: { from: 0, to: 100 } })).toThrow('without masked samples');
    expect(() => zeroStability(c, { window: { from: 0, to: 30 }, averages: [11] })).toThrow('at most 10 s');
    expect(() => zeroStability(c, { window: { from: 0, to: 2 } })).toThrow('at least three samples long');
  });
});

describe('coarse quantisation', () => {
  it.each([[12, 0.0048828125, 0.001409546555638735], [16, 0.00030517578125, 8.809665972742093e-5], [24, 1.1920928955078125e-6, 3.44127577060238e-7]])('of %d bits over 20 V is told with the error of Bennett (Bell Syst. Tech. J. 27 (1948) 446; case quant-noise, figures from memory, recomputed)', (bits, quantum, error) => {
    const q = 20 / 2 ** bits;
    expect(q).toBe(quantum);
    const random = createRandom(5);
    const c = makeChannel({ name: 'V', unit: 'V', sampleRate: 100, values: Float64Array.from({ length: 5000 }, () => q * Math.round(6 * random.normal())) });
    const note = findFaults(c, { spike: false }).notes.find((n) => n.includes('coarse quantisation'))!;
    expect(note).toContain(`steps of ${q.toPrecision(3)}: coarse quantisation, with an error of ${error.toPrecision(2)} (a step / √12)`);
  });
  it('of a sine rounded to halves is told within a few per cent of what rounding did: 0.14 for 0.14072 (case quant-measured: computed, exact for its 200 samples)', () => {
    const sine = (n: number): Float64Array => Float64Array.from({ length: n }, (_, i) => 10 * Math.sin(0.13283689867187287 * i));
    const halves = (x: Float64Array): Float64Array => x.map((v) => Math.round(2 * v) / 2);
    const rounding = momentsOf(halves(sine(200)).map((v, i) => (v - sine(200)[i]!) ** 2)).mean;
    close(Math.sqrt(rounding), 0.14071578940979892, 1e-12);
    close(Math.sqrt(rounding), 0.14433756729740646, 0.03);
    const note = findFaults(rest(halves(sine(1200)), 100), { spike: false, held: false, rail: false }).notes.find((n) => n.includes('coarse quantisation'))!;
    expect(note).toContain('spans only 40 steps of 0.500: coarse quantisation, with an error of 0.14 (a step / √12)');
  });
  it('is told where the record spans few steps', () => {
    const random = createRandom(4);
    const c = rest(Float64Array.from({ length: 5000 }, () => 0.5 * Math.round(8 * random.normal())), 100);
    expect(findFaults(c, { spike: false }).notes.some((n) => n.includes('coarse quantisation, with an error of 0.14 (a step / √12)'))).toBe(true);
    expect(findFaults(rest(Float64Array.from({ length: 5000 }, () => random.normal()), 100), { spike: false }).notes).toEqual([]);
  });
});

describe('the least-squares and moment kernels that zero and calibration stand on', () => {
  it('agree with the certified load-cell curve of NIST StRD Pontius, ill-scaled as it is', () => {
    const x = [1, 2].flatMap(() => Array.from({ length: 20 }, (_, i) => 150_000 * (i + 1)));
    const y = [
      0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
      0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.983, 1.0915, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
    ];
    const fit = leastSquares([x.map(() => 1), x, x.map((v) => v * v)], y)!;
    [0.000673565789473684, 7.32059160401003e-7, -3.16081871345029e-15].forEach((v, i) => close(fit.coefficients[i]!, v, 1e-9));
    [0.000107938612033077, 1.57817399981659e-10, 4.86652849992036e-17].forEach((v, i) => close(Math.sqrt(fit.covariance[i]![i]!), v, 1e-9));
    close(fit.deviation, 0.000205177424076185, 1e-9);
  });
  it.each([[1.2, 1.1, 1.3, 1e-12], [1000000.2, 1000000.1, 1000000.3, 1e-8]])('agree with the certified mean and deviation of NIST StRD NumAcc2 and NumAcc3 (%d; from memory, recomputed)', (first, low, high, tolerance) => {
    const values = [first, ...Array.from({ length: 1000 }, (_, i) => (i % 2 === 0 ? low : high))];
    const m = momentsOf(values);
    close(m.mean, first, 1e-14);
    close(standardDeviation(m), 0.1, tolerance);
    let r = 0;
    for (let i = 1; i < values.length; i++) r += (values[i]! - m.mean) * (values[i - 1]! - m.mean);
    close(r / m.squares, -0.999, Math.max(tolerance, 1e-8));
  });
});
