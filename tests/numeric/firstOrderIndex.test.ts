import { describe, expect, it } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { firstOrderIndex, ranks } from '../../src/numeric/firstOrderIndex.js';

describe('firstOrderIndex', () => {
  it('is a² / Σ a² of a linear sum, and 0 within noise for an input that does nothing', () => {
    const random = createRandom(4);
    const n = 20000, a = [1, 2, 0];
    const x = a.map(() => Float64Array.from({ length: n }, () => random.normal()));
    const y = Float64Array.from({ length: n }, (_, i) => a.reduce((sum, c, k) => sum + c * x[k]![i]!, 0));
    const found = firstOrderIndex(y, x);
    expect(Math.abs(found[0]! - 0.2)).toBeLessThan(0.02);
    expect(Math.abs(found[1]! - 0.8)).toBeLessThan(0.02);
    expect(found[2]!).toBeLessThan(0.003);
  });
  it('sees no single effect in a pure interplay, and nothing where nothing varies', () => {
    const random = createRandom(5);
    const x = [0, 1].map(() => Float64Array.from({ length: 20000 }, () => random.normal()));
    for (const share of firstOrderIndex(Float64Array.from(x[0]!, (v, i) => v * x[1]![i]!), x)) expect(share).toBeLessThan(0.01);
    expect(Array.from(firstOrderIndex(new Float64Array(200).fill(3), [x[0]!.slice(0, 200)]))).toEqual([0]);
  });
  it('ranks have ties at their middle', () => {
    expect(Array.from(ranks(Float64Array.of(2, 2, 2, 0, Infinity)))).toEqual([2, 2, 2, 0, 4]);
  });
});
