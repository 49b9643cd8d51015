import { describe, expect, test } from 'vitest';
import { mersenne } from 'pure-rand/generator/mersenne';
import { createRandom } from '../../src/index.js';

describe('createRandom', () => {
  test('the generator beneath is MT19937: its ten-thousandth number from seed 5489 is 4123659995 (ISO C++ [rand.predef])', () => {
    const generator = mersenne(5489);
    for (let i = 1; i < 10_000; i++) generator.next();
    expect(generator.next() >>> 0).toBe(4123659995);
  });

  test('the same seed gives the same numbers, another seed gives others', () => {
    const draw = (seed: number): number[] => { const random = createRandom(seed); return [random.uniform(), random.normal(), random.normal(), random.below(1e6)]; };
    expect(draw(7)).toEqual(draw(7));
    expect(draw(7)).not.toEqual(draw(8));
  });

  test('the first numbers of neighbouring seeds are spread evenly and are not alike', () => {
    const n = 4000;
    for (let k = 0; k < 4; k++) {
      const values = Float64Array.from({ length: n }, (_, seed) => {
        const random = createRandom(seed + 1);
        for (let j = 0; j < k; j++) random.uniform();
        return random.uniform() - 0.5;
      });
      let sum = 0, squares = 0, products = 0;
      values.forEach((v, i) => { sum += v; squares += v * v; if (i > 0) products += v * values[i - 1]!; });
      // Standard errors of a uniform's mean, variance and lag-one correlation over n independent draws.
      expect(Math.abs(sum / Math.sqrt(n / 12))).toBeLessThan(4);
      expect(Math.abs((12 * squares) / n - 1)).toBeLessThan(4 * Math.sqrt(0.8 / n));
      expect(Math.abs((12 * products) / Math.sqrt(n))).toBeLessThan(4);
    }
  });

  test('normals have the moments of a standard normal', () => {
    const random = createRandom(3), n = 100_000;
    let m1 = 0, m2 = 0, m4 = 0;
    for (let i = 0; i < n; i++) { const z = random.normal(); m1 += z; m2 += z * z; m4 += z ** 4; }
    expect(Math.abs(m1 / n)).toBeLessThan(4 / Math.sqrt(n));
    expect(Math.abs(m2 / n - 1)).toBeLessThan(4 * Math.sqrt(2 / n));
    expect(Math.abs(m4 / n - 3)).toBeLessThan(4 * Math.sqrt(96 / n));
  });

  test('whole numbers below a count fall evenly', () => {
    const random = createRandom(11), hits = new Float64Array(6);
    for (let i = 0; i < 60_000; i++) { const k = random.below(6); hits[k] = hits[k]! + 1; }
    for (const h of hits) expect(Math.abs(h - 10_000)).toBeLessThan(4 * Math.sqrt(10_000));
  });
});
