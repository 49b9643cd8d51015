import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, it } from 'vitest';
import { cubicSpline, evaluateSpline, integralOfSpline, invertSpline } from '../../src/numeric/cubicSpline.js';
import { interpolateAt, sincKernel } from '../../src/numeric/interpolate.js';
import { close } from '../filter/golden.js';

const { splines } = JSON.parse(readFileSync(new URL('../golden/spectrum/splines.json', import.meta.url), 'utf8')) as { splines: { x: number[]; y: number[]; at: number[]; value: number[]; slope: number[]; integral: number[] }[] };

describe('cubicSpline', () => {
  it.each(splines.map((s) => [s.x.length, s] as const))('through %i points equals SciPy CubicSpline: value, slope, integral', (_, s) => {
    const spline = cubicSpline(Float64Array.from(s.x), Float64Array.from(s.y));
    close(evaluateSpline(spline, Float64Array.from(s.at)), s.value, 1e-10, 1e-11);
    close(evaluateSpline(spline, Float64Array.from(s.at), 1), s.slope, 1e-10, 1e-10);
    close(integralOfSpline(spline).y, s.integral, 1e-10, 1e-11);
  });
  it('is exact for a cubic, and its second derivative with it', () => {
    const x = Float64Array.from([0, 0.7, 1.1, 2.5, 3]);
    const spline = cubicSpline(x, x.map((v) => v ** 3 - 2 * v + 1));
    const at = Float64Array.from([-0.5, 0.3, 1, 2, 3.4]);
    close(evaluateSpline(spline, at), at.map((v) => v ** 3 - 2 * v + 1), 1e-11, 1e-11);
    close(evaluateSpline(spline, at, 2), at.map((v) => 6 * v), 1e-9, 1e-9);
  });
  it('of a rising curve is inverted', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: 0.05, max: 3, noNaN: true }), { minLength: 4, maxLength: 30 }), (steps) => {
      let sum = 0;
      const y = Float64Array.from([0, ...steps].map((s) => (sum += s)));
      const theta = { x: Float64Array.from(y, (_, i) => i), y, slope: new Float64Array(y.length).fill(Math.min(...steps)) };
      const at = Float64Array.from({ length: 3 * steps.length - 2 }, (_, i) => (i + 0.5) / 3);
      close(invertSpline(theta, evaluateSpline(theta, at)), at, 1e-9, 1e-9);
    }), { seed: 15, numRuns: 100 });
  });
});

describe('interpolateAt', () => {
  it('reads a band-limited signal anywhere, whole or narrowed', () => {
    const x = Float64Array.from({ length: 400 }, (_, i) => 3 + Math.cos(0.4 * i));
    const places = Float64Array.from({ length: 50 }, (_, i) => 150.123 + 1.37 * i);
    for (const c of [1, 0.5]) {
      const out = new Float64Array(50);
      interpolateAt(sincKernel(32, 10), x, 0, 400, places, () => c, out, 0);
      close(out, places.map((p) => 3 + Math.cos(0.4 * p)), 0, 3e-5);
    }
  });
});
