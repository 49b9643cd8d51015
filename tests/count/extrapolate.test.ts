import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, createRandom, exceedance, extrapolateTail, mergeCounts, repeatCount, type Cycles } from '../../src/index.js';
import { paretoFit } from '../../src/count/extrapolateTail.js';
import { records, rowsOf } from './help.js';

describe('a record repeated', () => {
  it('has the cycles of the record put behind itself so often', () => {
    fc.assert(fc.property(records({ whole: true }), fc.integer({ min: 1, max: 5 }), (x, times) => {
      const count = countCycles(x);
      const merged = mergeCounts(...Array.from({ length: times }, () => count));
      const repeated = repeatCount(count, times);
      expect(rowsOf(repeated)).toEqual(rowsOf(closeResidue(merged, 'half')));
      expect(repeated.validTime).toBe(merged.validTime);
    }), { numRuns: 2000, seed: 61 });
  });
  it('is refused for no whole number of times', () => {
    expect(() => repeatCount(countCycles(Float64Array.of(0, 1)), 1.5)).toThrow('times must be a whole number');
  });
});

/** Peaks of a given distribution between zeros, one a second. */
function waves(n: number, seed: number, peak: (u: number) => number): Cycles<'1'> {
  const random = createRandom(seed);
  for (let k = 0; k < 50; k++) random.uniform();
  return closeResidue(countCycles(Float64Array.from({ length: 2 * n }, (_, i) => (i % 2 === 0 ? 0 : peak(random.uniform()))), { sampleRate: 2 }), 'half');
}

describe('the tail beyond a record', () => {
  it('is found for exponential, short and long tails (generalised Pareto, own samples of known truth)', () => {
    for (const shape of [-0.3, 0, 0.2]) {
      const random = createRandom(11);
      for (let k = 0; k < 50; k++) random.uniform();
      const fits = Array.from({ length: 40 }, () => paretoFit(Float64Array.from({ length: 1000 }, () => {
        const p = 1 - random.uniform();
        return shape === 0 ? -3 * Math.log(p) : (3 * (p ** -shape - 1)) / shape;
      }).sort(), new Float64Array(1000).fill(1)));
      const mean = (f: (x: { shape: number; scale: number }) => number): number => fits.reduce((s, x) => s + f(x), 0) / fits.length;
      expect(Math.abs(mean((f) => f.shape) - shape)).toBeLessThan(0.03);
      expect(Math.abs(mean((f) => f.scale) / 3 - 1)).toBeLessThan(0.03);
    }
  });
  // Measured over 300 samples each, 200 of 2000 waves above the threshold, ten times the time: exponential 89 %, Weibull 89 %, bounded 90 %, heavy 86 %.
  const laws: readonly (readonly [string, (u: number) => number])[] = [
    ['exponential', (u) => -Math.log(1 - u)], ['Weibull', (u) => Math.sqrt(-Math.log(1 - u))], ['bounded', (u) => 1 - (1 - u) ** 0.3], ['heavy', (u) => ((1 - u) ** -0.2 - 1) / 0.2]];
  /** Of so many samples, the share whose 90 % interval holds the range expected once in ten times the time. */
  const coverage = (quantile: (u: number) => number, above: number, samples: number): number => {
    const n = 2000, truth = quantile(1 - 1 / (10 * n));
    const held = Array.from({ length: samples }, (_, s) => {
      const { low, high } = extrapolateTail(waves(n, 7919 * (s + 1), quantile), { threshold: quantile(1 - above), seconds: 10 * n, cap: null, draws: 100 }).largestInterval;
      return low <= truth && truth <= high;
    });
    return held.filter(Boolean).length / samples;
  };
  it('holds the range expected once in ten times the time 85 to 95 % of the time, over tails that are exponential, Weibull, bounded and heavy', () => {
    const each = laws.map(([, quantile]) => coverage(quantile, 0.1, 75));
    const mean = each.reduce((sum, c) => sum + c / each.length, 0);
    expect(mean).toBeGreaterThanOrEqual(0.85);
    expect(mean).toBeLessThanOrEqual(0.95);
    // The standard error of one law's 75 samples is 3.5 %: three of them.
    each.forEach((c, k) => expect(Math.abs(c - 0.9), laws[k]![0]).toBeLessThan(0.105));
  });
  it('knows nothing of a threshold set too low: with 30 % of the waves of a Weibull law above it, the interval holds the truth half the time, as its docstring says', () => {
    expect(coverage(laws[1]![1], 0.3, 60)).toBeLessThan(0.7);
  });
  it('keeps the number of cycles and the damage of a longer record of the same duty', () => {
    const peak = (u: number): number => Math.sqrt(-2 * Math.log(1 - u));
    const short = waves(3000, 5, peak);
    const long = waves(60_000, 6, peak);
    const { cycles, notes } = extrapolateTail(short, { threshold: 2, seconds: 60_000, cap: null });
    const damage = (c: Cycles): number => c.range.reduce((s, r, k) => s + c.count[k]! * r ** 5, 0);
    expect(cycles.total / long.total).toBeCloseTo(1, 2);
    expect(Math.abs(damage(cycles) / damage(long) - 1)).toBeLessThan(0.12);
    expect(notes.some((n) => n.includes('No physical cap'))).toBe(true);
    expect(exceedance(cycles).range[0]!).toBeGreaterThan(exceedance(short).range[0]!);
    // A third of all waves is no tail: fitted to them (1.5), it ends at 3.66 where 4.03 was recorded, and the notes say both (3.70 before half cycles weighed half).
    const low = extrapolateTail(short, { threshold: 1.5, seconds: 60_000, cap: null }).notes.join('\n');
    expect(low).toContain('The fitted tail ends at 3.66 1, below the largest recorded range (4.03)');
    expect(low).toContain('32 % of all cycles lie above the threshold');
    expect(notes.join('\n')).not.toContain('Try a higher threshold');
  });
  it('weighs each row by its count: rows that stand for several cycles fit as those cycles listed one by one', () => {
    const rising = Float64Array.from({ length: 30 }, (_, k) => 0.3 * (k + 1) ** 1.5);
    const often = Float64Array.from(rising, (_, k) => 1 + ((7 * k) % 4));
    const listed = Float64Array.from(Array.from(rising).flatMap((y, k) => Array<number>(often[k]!).fill(y)));
    const fit = paretoFit(rising, often), one = paretoFit(listed, new Float64Array(listed.length).fill(1));
    expect(fit.shape).toBeCloseTo(one.shape, 10);
    expect(fit.scale).toBeCloseTo(one.scale, 10);
    expect(Math.abs(fit.shape - paretoFit(rising, new Float64Array(30).fill(1)).shape)).toBeGreaterThan(0.01);
    // Two halves of one range are that range once.
    const halves = paretoFit(Float64Array.from(Array.from(rising).flatMap((y) => [y, y])), new Float64Array(60).fill(0.5));
    expect(halves.shape).toBeCloseTo(paretoFit(rising, new Float64Array(30).fill(1)).shape, 10);
  });
  it('of a record repeated is that of the record', () => {
    const random = createRandom(3);
    for (let k = 0; k < 50; k++) random.uniform();
    const count = countCycles(Float64Array.from({ length: 4000 }, (_, i) => (i % 2 === 0 ? 0 : -Math.log(1 - random.uniform()))));
    const options = { threshold: 2, seconds: 1e6, cap: null };
    const once = extrapolateTail(closeResidue(count, 'half'), options), ten = extrapolateTail(repeatCount(count, 10), options);
    expect(ten.shape).toBeCloseTo(once.shape, 1);
    expect(ten.largest / once.largest).toBeCloseTo(1, 1);
  });
  it('refuses ranges above the threshold that are kept in classes, which once were fitted row by row (damage times nine)', () => {
    const random = createRandom(12345);
    for (let k = 0; k < 50; k++) random.uniform();
    const x = Float64Array.from({ length: 40_000 }, (_, i) => (i % 2 === 0 ? 0 : 20 - 10 * Math.log(1 - random.uniform())));
    const seconds = 400_000, of = (keep: 'cycles' | { edges: { from: number; to: number; classes: number } }): Cycles => closeResidue(countCycles(x, { keep }), 'half');
    const damage = (c: Cycles): number => c.range.reduce((s, r, k) => s + c.count[k]! * r ** 5, 0);
    const exact = of('cycles'), classes = of({ edges: { from: -1, to: 301, classes: 151 } });
    expect(Math.abs(damage(extrapolateTail(exact, { threshold: 40.5, seconds, cap: null }).cycles) / damage(exact) / 10 - 1)).toBeLessThan(0.05);
    expect(() => extrapolateTail(classes, { threshold: 40.5, seconds, cap: null })).toThrow("stand for more than one cycle each (classes). Count with keep: 'cycles'");
  });
  it('refuses one range that comes again and again, whose tail once was infinite', () => {
    const starts = closeResidue(countCycles(Float64Array.from({ length: 81 }, (_, i) => (i % 2 === 0 ? 0 : 1000))), 'half');
    expect(() => extrapolateTail(starts, { threshold: 500, seconds: 1e4, cap: null })).toThrow('of 1 different range above 500');
    const nearly = closeResidue(countCycles(Float64Array.from({ length: 81 }, (_, i) => (i % 2 === 0 ? 0 : 1000 + (i % 4) * 1e-10))), 'half');
    expect(() => extrapolateTail(nearly, { threshold: 500, seconds: 1e4, cap: null })).toThrow('of 1 different range above 500');
  });
  it('does not go beyond the cap', () => {
    const short = waves(2000, 5, (u) => -Math.log(1 - u));
    const cap = exceedance(short).range[0]! + 0.1;
    const { cycles, largest } = extrapolateTail(short, { threshold: 1.5, seconds: 1e6, cap });
    expect(largest).toBe(cap);
    expect(cycles.range.reduce((a, b) => Math.max(a, b), 0)).toBeCloseTo(cap, 12);
  });
  it.each([
    [{ threshold: 1.5, seconds: 1e4 }, 'cap must be given'],
    [{ threshold: 50, seconds: 1e4, cap: null }, 'at least 20 cycles'],
    [{ threshold: 1.5, seconds: 10, cap: null }, 'seconds'],
    [{ threshold: 1.5, seconds: 1e4, cap: 2 }, 'more through than the cap says'],
  ])('refuses %j', (options, message) => {
    expect(() => extrapolateTail(waves(500, 5, (u) => -Math.log(1 - u)), options as never)).toThrow(message);
  });
});
