import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, CycleCounter, gateCycles, hysteresisFilter, makeChannel, mergeCounts, scaleCount, turningPoints, type CycleCount } from '../../src/index.js';
import { byRange, cutAt, numbersOf, records, rowsOf } from './help.js';

const e1049 = Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2);

describe('rainflow count', () => {
  it('CC-01: gives the table of E1049 for a record that does not repeat (ASTM E1049-85, 5.4.4 and Fig. 6; from memory)', () => {
    const cycles = closeResidue(countCycles(e1049), 'half');
    expect(rowsOf(cycles)).toEqual([[3, -0.5, 0.5], [4, -1, 0.5], [4, 1, 1], [6, 1, 0.5], [8, 0, 0.5], [8, 1, 0.5], [9, 0.5, 0.5]]);
    expect(byRange(cycles)).toEqual([[3, 0.5], [4, 1.5], [6, 0.5], [8, 1], [9, 0.5]]);
    expect(cycles.total).toBe(4);
  });
  it('CC-02: gives the table of E1049 for a repeating history (ASTM E1049-85, 5.4.5 and Fig. 7; same table in Dowling, ch. 9; from memory)', () => {
    expect(rowsOf(closeResidue(countCycles(e1049), 'repeat'))).toEqual([[3, -0.5, 1], [4, 1, 1], [7, 0.5, 1], [9, 0.5, 1]]);
  });
  it('CC-07: closes one cycle of the E1049 history and leaves seven points (rule of Amzallag et al. 1994; own computation)', () => {
    const count = countCycles(e1049);
    expect(rowsOf(closeResidue(count, 'drop'))).toEqual([[4, 1, 1]]);
    expect(Array.from(count.residue.values)).toEqual([-2, 1, -3, 5, -4, 4, -2]);
    expect(Array.from(count.residue.at)).toEqual([0, 1, 2, 3, 6, 7, 8]);
  });
  it('CC-09: finds the hidden large cycle of a stress-time block (Budynas & Nisbett, Shigley, 9th ed., 2011, p. 322, table to Fig. 6-33; found text, order of points rebuilt)', () => {
    const count = countCycles(Float64Array.of(80, 40, 60, -60, -20, -40));
    expect(rowsOf(closeResidue(count, 'repeat'))).toEqual([[20, -30, 1], [20, 50, 1], [140, 10, 1]]);
  });
  it('CC-10: agrees with a history done by hand (own construction)', () => {
    const count = countCycles(Float64Array.of(0, 4, -6, 8, -2, 2, -10, 6, -4, 3, 0));
    expect(Array.from(count.residue.values)).toEqual([0, 4, -6, 8, -10, 6, -4, 3, 0]);
    expect(rowsOf(closeResidue(count, 'drop'))).toEqual([[4, 0, 1]]);
    expect(rowsOf(closeResidue(count, 'repeat'))).toEqual([[3, 1.5, 1], [4, 0, 1], [8, 0, 1], [12, 0, 1], [18, -1, 1]]);
    expect(rowsOf(closeResidue(count, 'half'))).toEqual([[3, 1.5, 0.5], [4, 0, 1], [4, 2, 0.5], [7, -0.5, 0.5], [10, -1, 0.5], [10, 1, 0.5], [14, 1, 0.5], [16, -2, 0.5], [18, -1, 0.5]]);
  });
  it('CC-12: counts n cycles in n periods of a sampled sine (identity)', () => {
    const sine = Float64Array.from({ length: 1200 }, (_, i) => 1.5 + 3 * Math.sin((2 * Math.PI * 25 * i) / 1200));
    const cycles = closeResidue(countCycles(sine), 'repeat');
    expect(cycles.total).toBe(25);
    for (let k = 0; k < 25; k++) {
      expect(cycles.range[k]).toBeCloseTo(6, 9);
      expect(cycles.mean[k]).toBeCloseTo(1.5, 9);
    }
  });
  it('does not hold back the cycles of a constant amplitude', () => {
    const count = countCycles(Float64Array.from({ length: 1001 }, (_, i) => i % 2));
    expect(count.closedCycles).toBe(499);
    expect(closeResidue(count, 'half').total).toBe(500);
  });
});

describe('turning points', () => {
  it('merge equal neighbours and keep the first and the last', () => {
    const t = turningPoints(Float64Array.of(5, 5, 5, 7, 7, 6, 8, 9, 9));
    expect([Array.from(t.values), Array.from(t.at)]).toEqual([[5, 7, 6, 9], [2, 4, 5, 8]]);
  });
  it('of one point or a constant are one point', () => {
    expect(Array.from(turningPoints(Float64Array.of(4)).values)).toEqual([4]);
    expect(Array.from(turningPoints(Float64Array.of(4, 4, 4)).at)).toEqual([2]);
  });
  it('on both sides of a masked span join', () => {
    const c = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [0, 1, 2, 99, 99, 3, 1], invalid: [{ from: 3, to: 5, why: 'dropout' }] });
    expect(Array.from(turningPoints(c).values)).toEqual([0, 3, 1]);
    const count = countCycles(c);
    expect([count.validTime, count.lostTime, count.samples]).toEqual([0.5, 0.2, 7]);
    expect(count.notes[0]).toContain('bridged');
  });
});

describe('merge', () => {
  it('of pieces is the count of the whole, bit for bit, on 10 000 records cut at random places', () => {
    fc.assert(fc.property(records(), cutAt(), (x, cuts) => {
      const pieces = cuts(x).map((piece) => countCycles(piece));
      expect(numbersOf(mergeCounts(...pieces))).toEqual(numbersOf(countCycles(x)));
    }), { numRuns: 10_000, seed: 11 });
  });
  it('is associative', () => {
    fc.assert(fc.property(records(), records(), records(), (x, y, z) => {
      const [a, b, c] = [x, y, z].map((r) => countCycles(r)) as [CycleCount<'1'>, CycleCount<'1'>, CycleCount<'1'>];
      const left = numbersOf(mergeCounts(mergeCounts(a, b), c));
      expect(numbersOf(mergeCounts(a, mergeCounts(b, c)))).toEqual(left);
      expect(numbersOf(mergeCounts(a, b, c))).toEqual(left);
    }), { numRuns: 10_000, seed: 12 });
  });
});

describe('a counter fed block by block', () => {
  it('gives the count of the whole, with masks and in classes too', () => {
    fc.assert(fc.property(records(), cutAt(), fc.boolean(), (x, cuts, inClasses) => {
      const keep = inClasses ? { edges: { from: -3, to: 3, classes: 12 } } : 'cycles';
      const counter = new CycleCounter({ unit: '1', sampleRate: 1, keep });
      for (const piece of cuts(x)) counter.push(piece);
      expect(numbersOf(counter.finish())).toEqual(numbersOf(countCycles(x, { keep })));
    }), { numRuns: 10_000, seed: 13 });
  });
});

describe('laws of the count', () => {
  it('twice the closed ranges and the residue ranges are the total variation', () => {
    fc.assert(fc.property(records({ whole: true }), (x) => {
      const count = countCycles(x);
      let sum = 0;
      for (let k = 0; k < count.closed.at.length; k++) sum += 2 * Math.abs(count.closed.from[k]! - count.closed.to[k]!);
      for (let k = 1; k < count.residue.at.length; k++) sum += Math.abs(count.residue.values[k]! - count.residue.values[k - 1]!);
      let variation = 0;
      for (let i = 1; i < x.length; i++) variation += Math.abs(x[i]! - x[i - 1]!);
      expect(sum).toBe(variation);
    }), { numRuns: 10_000, seed: 14 });
  });
  it('scaling the signal scales the count', () => {
    fc.assert(fc.property(records(), (x) => {
      expect(numbersOf(countCycles(x.map((v) => v * 4)))).toEqual(numbersOf(scaleCount(countCycles(x), 4, '1')));
    }), { numRuns: 10_000, seed: 15 });
  });
  it('turning the sign turns the means and keeps ranges and counts, under every residue policy', () => {
    fc.assert(fc.property(records(), fc.constantFrom('half', 'repeat', 'drop'), (x, policy) => {
      const turned = rowsOf(closeResidue(countCycles(x.map((v) => -v)), policy as 'half')).map(([r, m, n]) => [r, -m! + 0, n]).sort((a, b) => a[0]! - b[0]! || a[1]! - b[1]!);
      expect(turned).toEqual(rowsOf(closeResidue(countCycles(x), policy as 'half')));
    }), { numRuns: 10_000, seed: 16 });
  });
  it('a gate before the count is the same gate after it', () => {
    fc.assert(fc.property(records(), fc.constantFrom(0, 0.5, 1, 1.3, 2, 3, 9), (x, gate) => {
      const before = hysteresisFilter(x, gate);
      const after = gateCycles(countCycles(x), gate);
      if (before.values.length === 0) {
        expect([after.closedCycles, after.residue.values.length]).toEqual([0, 0]);
        return;
      }
      const count = countCycles(before.values);
      const at = (k: Float64Array): number[] => Array.from(k, (i) => before.at[i]!);
      expect(after.closed.from).toEqual(count.closed.from);
      expect(after.closed.to).toEqual(count.closed.to);
      expect(after.residue.values).toEqual(count.residue.values);
      expect([Array.from(after.closed.at), Array.from(after.closed.fromAt), Array.from(after.residue.at)]).toEqual([at(count.closed.at), at(count.closed.fromAt), at(count.residue.at)]);
    }), { numRuns: 10_000, seed: 17 });
  });
});
