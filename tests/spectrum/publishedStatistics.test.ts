import { describe, expect, it } from 'vitest';
import { lbfFt, lbfIn, makeChannel, rpm, summarise } from '../../src/index.js';
import { leastSquares } from '../../src/numeric/leastSquares.js';

describe('published statistics', () => {
  it.each([1.2, 1000000.2])('NIST StRD univariate NumAcc2 and NumAcc3, first value %d: mean, standard deviation 0.1 (certified; from memory)', (first) => {
    // The first value, then 0.1 below and above it 500 times; decimal data rounded to doubles limit the deviation of NumAcc3 to about 1e-8.
    const values = [first, ...Array.from({ length: 1000 }, (_, i) => Number((first + (i % 2 === 0 ? -0.1 : 0.1)).toFixed(1)))];
    const s = summarise(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values }));
    expect(Math.abs(s.mean / first - 1)).toBeLessThan(1e-14);
    expect(Math.abs(s.deviation / 0.1 - 1)).toBeLessThan(1e-8);
  });
  it('Anscombe I to III: y = 3.00 + 0.500 x for all three, whatever they look like (The American Statistician 27 (1973) 17; printed figures from memory, further digits recomputed)', () => {
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const sets = [[8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68], [9.14, 8.14, 8.74, 8.77, 9.26, 8.1, 6.13, 3.1, 9.13, 7.26, 4.74], [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73]];
    const slope = [0.5000909090909091, 0.5000000000000001, 0.4997272727272729], intercept = [3.0000909090909103, 3.000909090909089, 3.002454545454544];
    sets.forEach((y, k) => {
      const { coefficients } = leastSquares([x.map(() => 1), x], y)!;
      expect(coefficients[0]!).toBeCloseTo(intercept[k]!, 9);
      expect(coefficients[1]!).toBeCloseTo(slope[k]!, 9);
      expect(Math.abs(coefficients[0]! - 3)).toBeLessThan(0.006);
      expect(Math.abs(coefficients[1]! - 0.5)).toBeLessThan(0.0006);
    });
  });
  it('units by their exact definitions (inch 25.4 mm, pound 0.45359237 kg, g 9.80665 m/s²: NIST SP 811; 1 ft·lbf = 1.3558179483314004 N·m found in text)', () => {
    expect(Math.abs(lbfFt(1) / 1.3558179483314004 - 1)).toBeLessThan(1e-14);
    expect(Math.abs(lbfIn(1) / 0.11298482902761668 - 1)).toBeLessThan(1e-14);
    expect(Math.abs(rpm(1) / 0.10471975511965977 - 1)).toBeLessThan(1e-14);
  });
});
