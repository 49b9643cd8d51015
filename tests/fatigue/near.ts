import { expect } from 'vitest';

/** Expects a number within a relative tolerance of another. */
export function near(actual: number, expected: number, relative: number, what = ''): void {
  const off = expected === 0 ? Math.abs(actual) : Math.abs(actual / expected - 1);
  expect(off <= relative, `${what} ${actual} is not within ${relative} of ${expected} (off by ${off.toExponential(2)})`).toBe(true);
}
