import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, designHighpass, designLowpass, highpass, lowpass, makeChannel, StreamFilter, type FilterDesign } from '../../src/index.js';
import { close } from './golden.js';

const noise = (n: number): Float64Array => { const rng = createRandom(50); return Float64Array.from({ length: n }, (_, i) => 200 + 0.001 * i + rng.normal()); };
const streamed = (design: FilterDesign, x: Float64Array, blocks: readonly number[], options: object): Float64Array => {
  const filter = new StreamFilter(design, options);
  const parts: Float64Array[] = [];
  let at = 0;
  for (let i = 0; at < x.length; i++) {
    const count = blocks[i % blocks.length]!;
    parts.push(filter.push(x.subarray(at, at + count)));
    at += count;
  }
  parts.push(filter.finish());
  const out = new Float64Array(parts.reduce((n, p) => n + p.length, 0));
  parts.reduce((n, p) => { out.set(p, n); return n + p.length; }, 0);
  return out;
};

describe('StreamFilter', () => {
  const x = noise(100_000);
  const channel = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: x });
  it('causal, block by block, gives the same bytes as at once', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: 0, max: 900 }), { minLength: 1, maxLength: 5 }).filter((b) => b.some((v) => v > 100)), (blocks) => {
      const design = designLowpass({ cutoff: 30, order: 5, sampleRate: 1000 });
      expect(streamed(design, x.subarray(0, 4000), blocks, { zeroPhase: false })).toEqual(lowpass(makeChannel({ ...channel, values: x.slice(0, 4000) }), { cutoff: 30, order: 5, zeroPhase: false }).values);
    }), { seed: 17, numRuns: 30 });
  });
  it.each([
    ['lowpass 30 Hz', designLowpass({ cutoff: 30, sampleRate: 1000 }), lowpass(channel, { cutoff: 30 })],
    ['lowpass 0.5 Hz', designLowpass({ cutoff: 0.5, order: 2, sampleRate: 1000 }), lowpass(channel, { cutoff: 0.5, order: 2 })],
    ['highpass 5 Hz', designHighpass({ cutoff: 5, order: 3, sampleRate: 1000 }), highpass(channel, { cutoff: 5, order: 3 })],
  ] as const)('zero phase, block by block, agrees with at once to 1e-11: %s', (_, design, whole) => {
    for (const blocks of [[100_000], [1, 7, 5000], [33_000]]) close(streamed(design, x, blocks, {}), whole.values, 0, 1e-11 * 300);
  });
  it('needs no more than `delay` samples held back', () => {
    const filter = new StreamFilter(designLowpass({ cutoff: 30, sampleRate: 1000 }));
    let out = 0;
    for (let at = 0; at < x.length; at += 1000) {
      out += filter.push(x.subarray(at, at + 1000)).length;
      expect(at + 1000 - out).toBeLessThanOrEqual(filter.delay);
    }
    expect(out + filter.finish().length).toBe(x.length);
  });
  it('refuses a run too short, a push after finish and what is no design', () => {
    const filter = new StreamFilter(designLowpass({ cutoff: 30, sampleRate: 1000 }));
    filter.push(x.subarray(0, 15));
    expect(() => filter.finish()).toThrow('longer than 15 samples');
    expect(() => filter.push(x)).toThrow('pushed before finish');
    expect(() => new StreamFilter({} as never)).toThrow('a FilterDesign');
    const enough = new StreamFilter(designLowpass({ cutoff: 30, sampleRate: 1000 }));
    enough.push(x.subarray(0, 16));
    close(enough.finish(), lowpass(makeChannel({ ...channel, values: x.slice(0, 16) }), { cutoff: 30 }).values, 0, 1e-10);
  });
});
