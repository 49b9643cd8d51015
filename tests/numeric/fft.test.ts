import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fftPlan } from '../../src/numeric/fft.js';
import { createRandom } from '../../src/numeric/random.js';
import { interpolateRun, sincTable } from '../../src/numeric/interpolate.js';
import { runningMedian } from '../../src/numeric/runningMedian.js';
import { besselI0, windowSamples, windowTransform, type WindowChoice } from '../../src/numeric/window.js';
import { squareRoot, multiply } from '../../src/numeric/complex.js';
import { close } from '../filter/golden.js';
import { golden } from '../spectrum/golden.js';

const random = (n: number, seed: number): Float64Array => { const rng = createRandom(seed); return Float64Array.from({ length: 2 * n }, () => rng.normal()); };

describe('fftPlan', () => {
  it('gives the sum of the definition (slow twin), for every size from 1 to 64', () => {
    for (let n = 1; n <= 64; n++) {
      const x = random(n, n);
      const twin = new Float64Array(2 * n);
      for (let k = 0; k < n; k++) for (let m = 0; m < n; m++) {
        const a = (-2 * Math.PI * ((k * m) % n)) / n, c = Math.cos(a), s = Math.sin(a);
        twin[2 * k]! += x[2 * m]! * c - x[2 * m + 1]! * s;
        twin[2 * k + 1]! += x[2 * m]! * s + x[2 * m + 1]! * c;
      }
      const out = new Float64Array(2 * n);
      fftPlan(n).forward(out, x);
      close(out, twin, 0, 1e-12 * n);
    }
  });
  it('goes there and back, keeps the energy, and shifts as theory says, at any size', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 3000 }), (n) => {
      const x = random(n, n), X = new Float64Array(2 * n), back = new Float64Array(2 * n);
      fftPlan(n).forward(X, x);
      fftPlan(n).inverse(back, X);
      const consumed = x.slice(), scratch = new Float64Array(2 * n);
      expect(fftPlan(n).consume(consumed, scratch)).toEqual(X);
      close(back, x, 0, 1e-12);
      const energy = (v: Float64Array): number => v.reduce((s, a) => s + a * a, 0);
      expect(energy(X) / n / energy(x)).toBeCloseTo(1, 11);
    }), { seed: 8, numRuns: 60 });
  });
  it('keeps plans, and forgets the oldest beyond 16', () => {
    const first = fftPlan(5001);
    expect(fftPlan(5001)).toBe(first);
    for (let n = 0; n < 20; n++) fftPlan(5003 + 2 * n);
    expect(fftPlan(5001)).not.toBe(first);
  });
});

describe('windows', () => {
  const choice = (name: string): WindowChoice => (name.startsWith('kaiser') ? { kaiser: Number(name.slice(7)) } : name as WindowChoice);
  it.each(Object.entries(golden.windows))('%s equals SciPy, periodic and symmetric', (name, lengths) => {
    for (const [m, { periodic, symmetric }] of Object.entries(lengths)) {
      close(windowSamples(choice(name), Number(m), 'periodic'), periodic, 0, 1e-12);
      close(windowSamples(choice(name), Number(m), 'symmetric'), symmetric, 0, 1e-12);
    }
  });
  it('have the transform that the closed form says (slow twin: the sum over the samples)', () => {
    for (const window of ['rectangular', 'hann', 'hamming', 'blackman', 'exact blackman', 'blackman-harris', 'flat-top', 'flat-top 1987'] as const) {
      for (const n of [16, 97, 512]) {
        const w = windowSamples(window, n, 'periodic');
        const total = w.reduce((a, b) => a + b, 0);
        for (const x of [0, 0.25, -0.5, 1, 1.3, -2, 3.7, 5]) {
          let re = 0, im = 0;
          w.forEach((v, i) => { re += v * Math.cos((2 * Math.PI * x * i) / n); im += v * Math.sin((2 * Math.PI * x * i) / n); });
          expect(windowTransform(window, n, x)).toBeCloseTo(Math.hypot(re, im) / total, 11);
        }
      }
    }
  });
  it('I0 agrees with Abramowitz and Stegun, table 9.8 (from memory): I0(1) = 1.2660658778', () => {
    expect(besselI0(0)).toBe(1);
    expect(besselI0(1)).toBeCloseTo(1.2660658778, 10);
    expect(besselI0(8.6) / 750.46120).toBeCloseTo(1, 3);
  });
});

describe('small helpers', () => {
  it('squareRoot squares back', () => {
    fc.assert(fc.property(fc.double({ min: -1e3, max: 1e3, noNaN: true }), fc.double({ min: -1e3, max: 1e3, noNaN: true }), (re, im) => {
      const r = squareRoot({ re, im });
      const back = multiply(r, r);
      expect(r.re).toBeGreaterThanOrEqual(0);
      expect(Math.hypot(back.re - re, back.im - im)).toBeLessThanOrEqual(1e-13 * Math.hypot(re, im) + 1e-300);
    }), { seed: 9, numRuns: 300 });
  });
  it('runningMedian over a window of the whole run still works', () => {
    const out = new Float64Array(4);
    runningMedian(Float64Array.from([9, 1, 5, 3]), out, 0, 4, 7);
    expect(Array.from(out)).toEqual([9, 5, 3, 3]);
  });
  it('interpolateRun gives a constant exactly and a sample itself', () => {
    const table = sincTable(3, 8, 1, 8);
    const out = new Float64Array(28);
    interpolateRun(table, { first: 0, step: 1, count: 28 }, new Float64Array(10).fill(4), 0, 10, out, 0);
    close(out, new Float64Array(28).fill(4), 1e-14);
  });
});
