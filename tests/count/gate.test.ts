import { inspect } from 'node:util';
import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, curveLibrary, cyclesByState, damage, fileSumLoss, gateCycles, localStress, makeChannel, mergeCounts, notchFactor, poolCounts, repeatCount, scaleCount, shearStress, solidSection,
  type CycleCount,
} from '../../src/index.js';

const count = countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 4, -6, 8, -2, 2, -10, 6, -4, 3, 0] }));
const gated = gateCycles(count, 9);

describe('a gate leaves its trace', () => {
  it('in the count, its readable line and its notes; the larger of two stands, none is 0', () => {
    expect(count.gate).toBe(0);
    expect(gated.gate).toBe(9);
    expect(gateCycles(gated, 5).gate).toBe(9);
    expect(gateCycles(gateCycles(count, 5), 9)).toEqual(gated);
    expect(gated.notes).toContain('Ranges below a gate of 9 N·m were left out.');
    expect(gateCycles(count, 0)).toEqual(count);
    expect(inspect(gated)).toContain('gate 9 N·m');
  });
  it('in the cycles, by every way from a count to cycles, and scaled with the ranges', () => {
    expect(closeResidue(gated, 'half').gate).toBe(9);
    expect(repeatCount(gated, 3).gate).toBe(9);
    expect(closeResidue(scaleCount(gated, 100, 'Pa'), 'half').gate).toBe(900);
    expect(cyclesByState(closeResidue(gated, 'half'), [{ name: 'all', from: 0, to: 11 }]).states[0]!.cycles.gate).toBe(9);
    const pool = (a: CycleCount<'N·m'>) => poolCounts([{ shaft: 'a', count: a }, { shaft: 'b', count: gated }], 'half').pooled;
    expect(pool(gated).gate).toBe(9);
    expect(pool(gated).notes.join(' ')).toContain('Ranges below a gate of 9 N·m were left out.');
    expect(pool(count).gate).toBe(9);
    expect(pool(count).notes.join(' ')).toContain('gates that differ: a 0, b 9 N·m');
  });
  it('in the notes of the damage', () => {
    const done = damage(localStress(shearStress(gated, solidSection(0.01)), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 't' })), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
    expect(done.cycles.gate).toBe(9);
    expect(done.notes).toContain('Ranges below a gate of 9 N·m were left out.');
  });
  it('and keeps a count from being merged, for what would close across the pieces is gone', () => {
    const message = 'count 1 must be without a gate, got one gated at 9 N·m. Merge the counts as they were counted and gate the whole';
    expect(() => mergeCounts(gated, count)).toThrow(message);
    expect(() => mergeCounts(gated, gated)).toThrow(message);
    expect(() => mergeCounts(count, gated)).toThrow('count 2 must be without a gate');
    expect(() => fileSumLoss([count, gated], { exponent: 5, residue: 'half' })).toThrow('count 2 must be without a gate');
    expect(mergeCounts(gated)).toEqual(gated);
  });
});
