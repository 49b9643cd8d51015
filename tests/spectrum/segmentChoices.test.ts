import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeChannel, powerDensity, segmentChoices, type Span } from '../../src/index.js';

const channel = (n: number, invalid: Span[]): Parameters<typeof powerDensity>[0] => makeChannel({ name: 'T', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: n }, (_, i) => Math.sin(i)), invalid });

describe('segmentChoices', () => {
  it('says for every length what powerDensity then finds', () => {
    fc.assert(fc.property(fc.integer({ min: 200, max: 900 }), fc.integer({ min: 0, max: 180 }), fc.integer({ min: 1, max: 60 }), (n, from, length) => {
      const c = channel(n, [{ from, to: from + Math.min(length, n - from - 1), why: 'dropout' }]);
      const { choices, longestRun } = segmentChoices(c, { shortest: 8 });
      expect(choices.at(-1)!.segment * 2).toBeGreaterThan(longestRun);
      for (const row of choices) {
        const p = powerDensity(c, { segment: row.segment });
        expect([row.segments, row.effectiveAverages, row.resolution, row.lower, row.upper]).toEqual([p.segments, p.effectiveAverages, p.enbw, p.confidence.lower, p.confidence.upper]);
        expect(row.used).toBeGreaterThan(0);
        expect(row.used).toBeLessThanOrEqual(1);
      }
    }), { seed: 18, numRuns: 60 });
  });
  it('refuses a shortest length that no run holds', () => {
    expect(() => segmentChoices(channel(100, [{ from: 40, to: 60, why: 'dropout' }]), { shortest: 50 })).toThrow('at most 40, got 50.');
  });
});
