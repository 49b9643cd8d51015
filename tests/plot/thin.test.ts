import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { thin } from '../../src/plot/thin.js';
import { runsBetween, normaliseSpans } from '../../src/record/span.js';

const signal = fc.record({
  values: fc.array(fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e6, max: 1e6 }), { minLength: 1, maxLength: 400 }).map((v) => Float64Array.from(v)),
  cuts: fc.array(fc.tuple(fc.nat(399), fc.integer({ min: 1, max: 40 })), { maxLength: 30 }),
  buckets: fc.integer({ min: 1, max: 60 }),
}).map(({ values, cuts, buckets }) => {
  const spans = normaliseSpans(cuts.filter(([a]) => a < values.length).map(([a, n]) => ({ from: a, to: Math.min(values.length, a + n), why: 'dropout' as const })), values.length);
  return { values, runs: runsBetween(spans, values.length), buckets };
});
const options = { numRuns: 2000, seed: 11 };

describe('thinning for drawing', () => {
  it('keeps a peak of one sample, by hand', () => {
    const values = new Float64Array(1000);
    values[617] = 9;
    values[618] = -4;
    const { index } = thin(values, [{ from: 0, to: 1000 }], 0, 1000, 10);
    expect(Array.from(index).filter((i) => i >= 600 && i < 700)).toEqual([617, 618]);
    expect(index[0]).toBe(0);
    expect(index.at(-1)).toBe(999);
  });
  it('keeps the least and the greatest value of every bucket, and so of the whole', () => {
    fc.assert(fc.property(signal, ({ values, runs, buckets }) => {
      const { index } = thin(values, runs, 0, values.length, buckets);
      const width = values.length / buckets;
      const range = (list: Iterable<number>): Map<number, [number, number]> => {
        const map = new Map<number, [number, number]>();
        for (const i of list) {
          const b = Math.floor(i / width);
          const [low, high] = map.get(b) ?? [Infinity, -Infinity];
          map.set(b, [Math.min(low, values[i]!), Math.max(high, values[i]!)]);
        }
        return map;
      };
      const all = runs.flatMap((r) => Array.from({ length: r.to - r.from }, (_, k) => r.from + k));
      expect(range(index)).toEqual(range(all));
    }), options);
  });
  it('keeps time order, takes valid samples only and at most eight a bucket', () => {
    fc.assert(fc.property(signal, ({ values, runs, buckets }) => {
      const { index } = thin(values, runs, 0, values.length, buckets);
      for (let k = 1; k < index.length; k++) expect(index[k]!).toBeGreaterThan(index[k - 1]!);
      for (const i of index) expect(runs.some((r) => r.from <= i && i < r.to)).toBe(true);
      expect(index.length).toBeLessThanOrEqual(8 * buckets);
    }), options);
  });
  it('never joins two runs, except inside the width of one bucket', () => {
    fc.assert(fc.property(signal, ({ values, runs, buckets }) => {
      const { index, piece } = thin(values, runs, 0, values.length, buckets);
      const width = values.length / buckets;
      for (let k = 1; k < index.length; k++) {
        if (piece[k] !== piece[k - 1] || Math.floor(index[k]! / width) === Math.floor(index[k - 1]! / width)) continue;
        expect(runs.some((r) => r.from <= index[k - 1]! && index[k]! < r.to)).toBe(true);
      }
    }), options);
  });
  it('gives a short signal back whole', () => {
    const { index } = thin(Float64Array.from([1, 1, 1, 2]), [{ from: 0, to: 4 }], 0, 4, 2);
    expect(Array.from(index)).toEqual([0, 1, 2, 3]);
  });
});
