import { describe, expect, it } from 'vitest';
import { lognormalMeans } from '../../src/numeric/lognormalMeans.js';
import { createRandom } from '../../src/numeric/random.js';

const at = (rising: Float64Array, p: number): number => rising[Math.floor(p * rising.length)]!;

describe('lognormalMeans', () => {
  it('of equal values are that value, without any spread', () => {
    expect(Array.from(lognormalMeans(Float64Array.of(3, 3, 3, 3), 100, createRandom(1))).every((m) => Math.abs(m - 3) < 1e-12)).toBe(true);
  });
  it('has the spread of Student’s t where the values differ little: 1.8946 standard errors at 95 % of eight', () => {
    const values = Float64Array.of(99.7, 100.4, 100.1, 99.2, 100.9, 99.9, 100.3, 99.5);
    const deviation = Math.sqrt(values.reduce((sum, v) => sum + (v - 100) ** 2, 0) / 7);
    const drawn = lognormalMeans(values, 200_000, createRandom(2));
    for (const p of [0.05, 0.95]) expect((at(drawn, p) - 100) / (deviation / Math.sqrt(8)) / (p < 0.5 ? -1.8946 : 1.8946)).toBeCloseTo(1, 1);
  });
  it('holds the mean of a lognormal distribution of deviation 1 in 90 % of 1000 samples of eight', () => {
    const random = createRandom(3);
    let held = 0;
    for (let k = 0; k < 1000; k++) {
      const drawn = lognormalMeans(Float64Array.from({ length: 8 }, () => Math.exp(random.normal())), 400, random);
      if (at(drawn, 0.05) <= Math.exp(0.5) && Math.exp(0.5) <= at(drawn, 0.95)) held++;
    }
    expect(held / 1000).toBeGreaterThan(0.87);
    expect(held / 1000).toBeLessThan(0.93);
  });
  it('counts alike values as fewer: the spread of two of them, their variance raised by 7/4 (AR(1) of 0.6)', () => {
    const values = Float64Array.of(99.7, 100.4, 100.1, 99.2, 100.9, 99.9, 100.3, 99.5);
    const width = (independent?: number): number => {
      const drawn = lognormalMeans(values, 100_000, createRandom(2), independent);
      return at(drawn, 0.95) - at(drawn, 0.05);
    };
    expect(width(2) / width()).toBeCloseTo(Math.sqrt((8 / 2) * (7 / 4)), 2);
    expect(width(8)).toBe(width());
  });
  it('takes values of 0, goes with their scale, and is not below 0', () => {
    const values = Float64Array.of(0, 0, 1, 2, 0, 3, 1, 0);
    const drawn = lognormalMeans(values, 1000, createRandom(4));
    const scaled = lognormalMeans(values.map((v) => 1e-9 * v), 1000, createRandom(4));
    expect(drawn[0]).toBeGreaterThanOrEqual(0);
    expect(Number.isFinite(drawn[999]!)).toBe(true);
    drawn.forEach((d, k) => expect(Math.abs(scaled[k]! - 1e-9 * d)).toBeLessThanOrEqual(1e-9 * (1e-9 * d + 1e-12)));
  });
});
