import { describe, expect, it } from 'vitest';
import { checkResult } from '../../src/record/check.js';

describe('checkResult', () => {
  it('gives the result itself where every number is one, or may be infinite', () => {
    const result = { a: 1, list: [2, { b: 3 }], samples: Float64Array.of(1, 2), degreesOfFreedom: Infinity, none: null };
    expect(checkResult('verb', 'points', result, ['degreesOfFreedom'])).toBe(result);
  });
  it.each([[{ a: NaN }, 'a'], [{ lines: [{ share: 1 }, { share: Infinity }] }, 'lines.1.share'], [{ samples: Float64Array.of(1, NaN) }, 'samples.1'], [{ degreesOfFreedom: NaN }, 'degreesOfFreedom']])('refuses %j and names the number that cannot be told', (result, path) => {
    expect(() => checkResult('verb', 'points', result, ['degreesOfFreedom'])).toThrow(`verb: points must be within what double precision can reckon with, got numbers from which ${path} cannot be told. Look for a wrong unit or a slipped power of ten.`);
  });
});
