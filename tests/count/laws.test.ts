import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, CycleCounter, exceedance, cycleMatrix, fromToMatrix, gateCycles, largestCycles, mergeCounts, rangePairs, scaleCount, simpleRanges, turningPoints, type CycleCount } from '../../src/index.js';
import { records, rowsOf } from './help.js';

/** Three-point rainflow of ASTM E1049-85, 5.4.4, step by step (from memory): rows of [range, mean, count], equal ones added up. */
function threePoint(turns: readonly number[]): number[][] {
  const rows: [number, number, number][] = [];
  const add = (a: number, b: number, count: number): void => void rows.push([Math.abs(a - b), (a + b) / 2, count]);
  const stack: number[] = [];
  for (const point of turns) {
    stack.push(point);
    while (stack.length >= 3) {
      const [a, b, c] = stack.slice(-3) as [number, number, number];
      if (Math.abs(c - b) < Math.abs(b - a)) break;
      if (stack.length === 3) {
        add(a, b, 0.5);
        stack.shift();
      } else {
        add(a, b, 1);
        stack.splice(-3, 2);
      }
    }
  }
  for (let k = 1; k < stack.length; k++) add(stack[k - 1]!, stack[k]!, 0.5);
  return summed(rows);
}

function summed(rows: readonly (readonly number[])[]): number[][] {
  const sums = new Map<string, number[]>();
  for (const [range, mean, count] of rows) {
    const key = `${range} ${mean! + 0}`;
    const row = sums.get(key) ?? [range!, mean! + 0, 0];
    row[2]! += count!;
    sums.set(key, row);
  }
  return [...sums.values()].sort((a, b) => a[0]! - b[0]! || a[1]! - b[1]!);
}

/**
 * Rainflow by definition, O(n²), from the samples themselves and with nothing of the library. A sample is a peak where the nearest different values on both
 * sides are lower (of a plateau its last sample). From each peak look both ways until the signal rises above it; the higher of the two lowest points is its
 * valley. The cycle is closed where that side ends in such a rise (I. Rychlik, A new definition of the rainflow cycle counting method, Int. J. Fatigue 9 (1987)
 * 119–121). Of equal values the later one is the higher. The residue is every turning point in no closed cycle, the ends included.
 */
function byDefinition(x: Float64Array): { closed: number[][]; residue: number[] } {
  const higher = (i: number, j: number): boolean => x[i]! > x[j]! || (x[i] === x[j] && i > j);
  const different = (k: number, step: 1 | -1): number | null => {
    for (let i = k + step; i >= 0 && i < x.length; i += step) if (x[i] !== x[k]) return x[i]!;
    return null;
  };
  const look = (peak: number, step: 1 | -1): { low: number; ends: boolean } => {
    let low = peak;
    for (let i = peak + step; i >= 0 && i < x.length; i += step) {
      if (higher(i, peak)) return { low, ends: true };
      if (higher(low, i) && isTurn(i)) low = i;
    }
    return { low, ends: false };
  };
  const isTurn = (k: number): boolean => {
    if (k + 1 < x.length && x[k + 1] === x[k]) return false;
    const [before, after] = [different(k, -1), different(k, 1)];
    return before === null || after === null || before < x[k]! === after < x[k]!;
  };
  const turns = Array.from(x.keys()).filter(isTurn);
  const closed: number[][] = [];
  for (const k of turns) {
    const [before, after] = [different(k, -1), different(k, 1)];
    if (before === null || after === null || before > x[k]!) continue;
    const left = look(k, -1);
    const right = look(k, 1);
    const side = higher(left.low, right.low) ? left : right;
    if (side.ends) closed.push([Math.min(k, side.low), Math.max(k, side.low)]);
  }
  const paired = new Set(closed.flat());
  return { closed: closed.sort((a, b) => a[1]! - b[1]!), residue: turns.filter((k) => !paired.has(k)) };
}

describe('laws of rainflow', () => {
  it('the three-point count of E1049 is the four-point count with its residue as halves', () => {
    fc.assert(fc.property(records(), (x) => {
      expect(rowsOf(closeResidue(countCycles(x), 'half'))).toEqual(threePoint(Array.from(turningPoints(x).values)));
    }), { numRuns: 10_000, seed: 21 });
  });
  it('pairing and residue are those of the definition, place by place, on 2 000 records and on 1 000 of plateaus, ramps and constants', () => {
    const agree = (x: Float64Array): void => {
      const { closed, residue } = countCycles(x);
      expect({ closed: Array.from(closed.at, (at, k) => [closed.fromAt[k]!, at]), residue: Array.from(residue.at) }).toEqual(byDefinition(x));
      expect(Array.from(residue.values)).toEqual(Array.from(residue.at, (k) => x[k]!));
    };
    fc.assert(fc.property(records(), agree), { numRuns: 2000, seed: 22 });
    const piece = fc.tuple(fc.integer({ min: -2, max: 2 }), fc.constantFrom(-1, 0, 1), fc.integer({ min: 1, max: 8 })).map(([from, slope, length]) => Array.from({ length }, (_, k) => from + slope * k + 0));
    fc.assert(fc.property(fc.array(piece, { minLength: 1, maxLength: 8 }).map((pieces) => Float64Array.from(pieces.flat())), agree), { numRuns: 1000, seed: 27 });
  });
  it('a residue put behind itself closes to the cycles of the repeated record and leaves itself', () => {
    fc.assert(fc.property(records({ whole: true }), (x) => {
      const once = countCycles(x);
      const twice = mergeCounts(once, once);
      const again = mergeCounts(twice, once);
      const rows = (c: CycleCount): number[][] => rowsOf(closeResidue(c, 'drop'));
      const gained = summed([...rows(again), ...rows(twice).map(([r, m, n]) => [r!, m!, -n!])]).filter((row) => row[2] !== 0);
      const repeated = rowsOf(closeResidue(once, 'repeat'));
      if (x.every((v) => v === x[0])) expect(repeated).toEqual([]);
      else expect(gained).toEqual(repeated);
    }), { numRuns: 10_000, seed: 23 });
  });
  it('the count of two records one behind the other holds the closed cycles of both', () => {
    fc.assert(fc.property(records(), records(), (x, y) => {
      const both = countCycles(Float64Array.of(...x, ...y)).closed;
      const pairs = new Set(Array.from(both.at, (at, k) => `${both.fromAt[k]} ${at}`));
      const a = countCycles(x).closed;
      const b = countCycles(y).closed;
      for (let k = 0; k < a.at.length; k++) expect(pairs.has(`${a.fromAt[k]} ${a.at[k]}`)).toBe(true);
      for (let k = 0; k < b.at.length; k++) expect(pairs.has(`${b.fromAt[k]! + x.length} ${b.at[k]! + x.length}`)).toBe(true);
    }), { numRuns: 10_000, seed: 24 });
  });
  it('range pairs are the cycles of rainflow but for the ends: no range pair is larger than the record and their sum of ranges never exceeds half the variation', () => {
    fc.assert(fc.property(records({ whole: true }), (x) => {
      const pairs = rangePairs(x);
      const simple = simpleRanges(x);
      const variation = simple.range.reduce((s, r) => s + r, 0);
      const sum = pairs.range.reduce((s, r, k) => s + r * pairs.count[k]!, 0);
      expect(2 * sum).toBeLessThanOrEqual(variation);
      const closed = rowsOf(closeResidue(countCycles(x), 'drop'));
      const counted = new Map(rowsOf(pairs).map(([r, m, n]) => [`${r} ${m}`, n!]));
      for (const [r, m, n] of closed) expect(counted.get(`${r} ${m}`) ?? 0).toBeGreaterThanOrEqual(n!);
    }), { numRuns: 10_000, seed: 25 });
  });
});

describe('views of a count', () => {
  const history = Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2);
  it('exceedance, matrices and classes hold every cycle', () => {
    fc.assert(fc.property(records(), (x) => {
      const cycles = closeResidue(countCycles(x), 'half');
      const total = cycles.total;
      expect(exceedance(cycles).exceeded.at(-1) ?? 0).toBe(total);
      expect(cycleMatrix(cycles, { rangeEdges: { from: 0, to: 2000, classes: 7 }, meanEdges: { from: -1000, to: 1000, classes: 5 } }).counts.reduce((a, b) => a + b, 0)).toBe(total);
      expect(fromToMatrix(cycles, { edges: [-1000, -1, 0, 0.3, 1000] }).counts.reduce((a, b) => a + b, 0)).toBe(total);
    }), { numRuns: 1000, seed: 26 });
  });
  it('CC-13: invariances of the E1049 history: scaled by 2.5, shifted by 7, turned (identity)', () => {
    const ranges = (x: Float64Array): number[][] => {
      const e = exceedance(closeResidue(countCycles(x), 'half'));
      return Array.from(e.range, (r, k) => [r, e.count[k]!]).reverse();
    };
    const asIs = [[3, 0.5], [4, 1.5], [6, 0.5], [8, 1], [9, 0.5]];
    expect(ranges(history)).toEqual(asIs);
    expect(ranges(history.map((v) => 2.5 * v))).toEqual(asIs.map(([r, n]) => [2.5 * r!, n]));
    expect(ranges(history.map((v) => -v))).toEqual(asIs);
    expect(ranges(history.map((v) => v + 7))).toEqual(asIs);
  });
  it('the largest cycles name the record and the moment, the residue included', () => {
    const count = mergeCounts(countCycles(history), countCycles(history));
    const [first] = largestCycles(count, { residue: 'half', number: 3 });
    expect([first!.range, first!.count, first!.source, first!.at]).toEqual([9, 1, 'signal', 12]);
    const all = closeResidue(count, 'half').range.slice().sort().reverse();
    expect(largestCycles(count, { residue: 'half', number: 20 }).map((c) => c.range)).toEqual(Array.from(all));
    expect(() => largestCycles(count, { residue: 'half', number: 21 })).toThrow('at most 20');
  });
  it.each([
    [() => closeResidue(countCycles(history), 'all' as never), "residue must be one of 'half', 'repeat', 'drop'"],
    [() => closeResidue({} as never, 'half'), 'Make one with countCycles'],
    [() => countCycles(Float64Array.of(1, NaN)), 'value 1 must be a finite number'],
    [() => new CycleCounter({ unit: 'N·m', sampleRate: 1 }).push(Float64Array.of(1, 2, 3, 4, NaN), [{ from: 1, to: 3, why: 'dropout' }]), 'value 4 must be a finite number'],
    [() => countCycles(new Float64Array(0)), 'at least one number'],
    [() => countCycles(history, { keap: 1 } as never), "unknown key 'keap'"],
    [() => countCycles(history, { keep: { edges: [1, 1] } }), 'above 1'],
    [() => countCycles(Float64Array.from({ length: 100 }, (_, i) => i % 2), { most: 10 }), 'Keep a histogram'],
    [() => scaleCount(countCycles(history), -1, 'Pa'), 'turn the sign of the channel'],
    [() => scaleCount(countCycles(history, { keep: { edges: [-1e9, 0, 1e9] } }), 1e300, 'Pa'), 'factor must be a factor that leaves ranges and means finite, got 1e+300'],
    [() => scaleCount(gateCycles(countCycles(history), 1e9), 1e300, 'Pa'), 'factor must be a factor that leaves ranges and means finite, got 1e+300'],
    [() => scaleCount(countCycles(history), 1e308, 'Pa'), 'factor must be a factor that leaves ranges and means finite, got 1e+308'],
    [() => mergeCounts(), 'at least one count'],
    [() => mergeCounts(countCycles(history), countCycles(history, { unit: 'Pa' }) as never), 'unit of count 2'],
    [() => mergeCounts(countCycles(history), countCycles(history, { sampleRate: 2 })), 'Resample to one rate'],
    [() => mergeCounts(countCycles(history), countCycles(history, { keep: { edges: [-9, 9] } })), 'same keep'],
    [() => cycleMatrix(closeResidue(countCycles(history), 'half'), { rangeEdges: [0, 5], meanEdges: [-9, 9] }), 'Widen the edges'],
    [() => simpleRanges(history, { slopes: 'up' as never }), "one of 'both', 'rising', 'falling'"],
  ])('refusals name the way out: %s', (call, message) => {
    expect(call).toThrow(message);
  });
});
