import { describe, expect, it } from 'vitest';
import { theilSen } from '../../src/clean/theilSen.js';

describe('line by medians of slopes', () => {
  it('of 0, 1, 1 has the slope 0.5 and the joint intercept 0 (SciPy test suite, theilslopes([0, 1, 1]); found in text)', () => {
    expect(theilSen([0, 1, 2], [0, 1, 1])).toMatchObject({ slope: 0.5, intercept: 0, pairs: 3 });
  });
  it('of the third set of Anscombe follows the ten points and not the eleventh (The American Statistician 27 (1973) 17; recomputed)', () => {
    const line = theilSen([10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5], [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73])!;
    expect(line.slope).toBeCloseTo(0.3455555555555555, 12);
    // The joint intercept, the median of y − slope·x, lies within rounding of the data of the clean line's 4.0.
    expect(Math.abs(line.intercept - 4)).toBeLessThan(0.02);
  });
});
