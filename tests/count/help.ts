import fc from 'fast-check';
import type { CycleCount, Cycles } from '../../src/index.js';

/** Short random records: whole numbers with many ties, quantised steps, or arbitrary reals. */
export function records(options: { whole?: boolean } = {}): fc.Arbitrary<Float64Array> {
  const whole = fc.array(fc.integer({ min: -4, max: 4 }), { minLength: 1, maxLength: 60 });
  const wide = fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 1, maxLength: 60 });
  const real = fc.array(fc.double({ min: -4, max: 4, noNaN: true }), { minLength: 1, maxLength: 60 });
  return fc.oneof(...(options.whole ? [whole, wide] : [whole, wide, real])).map((list) => Float64Array.from(list, (v) => v + 0));
}

/** A way to cut a record into up to five pieces, none of them empty. */
export function cutAt(): fc.Arbitrary<(x: Float64Array) => Float64Array[]> {
  return fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 4 }).map((shares) => (x: Float64Array) => {
    const cuts = [...new Set([0, ...shares.map((s) => Math.floor(s * x.length)).sort((a, b) => a - b), x.length])];
    return cuts.slice(1).map((to, k) => x.slice(cuts[k]!, to));
  });
}

/** Everything in a count that is a number, for a comparison bit for bit. */
export function numbersOf(count: CycleCount): object {
  const { closed, residue, histogram, samples, validSamples, lostTime, validTime, closedCycles, largestKept } = count;
  return {
    closed, residue, histogram, samples, validSamples, lostTime, validTime, closedCycles, largestKept,
    largest: count.largest.map(({ range, mean, from, to, fromAt, at }) => [range, mean, from, to, fromAt, at]),
  };
}

/** Rows of [range, mean, count], sorted, equal range and mean added up. */
export function rowsOf(cycles: Cycles): number[][] {
  const sums = new Map<string, number[]>();
  for (let k = 0; k < cycles.range.length; k++) {
    const key = `${cycles.range[k]} ${cycles.mean[k]! + 0}`;
    const row = sums.get(key) ?? [cycles.range[k]!, cycles.mean[k]! + 0, 0];
    row[2]! += cycles.count[k]!;
    sums.set(key, row);
  }
  return [...sums.values()].sort((a, b) => a[0]! - b[0]! || a[1]! - b[1]!);
}

/** Rows of [range, count], sorted. */
export function byRange(cycles: Cycles): number[][] {
  const sums = new Map<number, number>();
  for (let k = 0; k < cycles.range.length; k++) sums.set(cycles.range[k]!, (sums.get(cycles.range[k]!) ?? 0) + cycles.count[k]!);
  return [...sums].sort((a, b) => a[0] - b[0]);
}
