import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { countCycles, CycleCounter, fileSumLoss, makeChannel, mergeCounts, slice, type CycleCount } from '../../src/index.js';

const on = (name: string, shaft?: string): CycleCount<'N·m'> => countCycles(makeChannel({ name, unit: 'N·m', sampleRate: 10, values: [0, 4, 1, 5] }), shaft === undefined ? {} : { shaft });

describe('what is merged belongs to one shaft', () => {
  it('also where the first count does not state its own', () => {
    const [a, b, c] = [on('T'), on('T', 'A'), on('T', 'B')];
    const message = 'shaft of count 3 must be "A", as that of count 2, got "B"';
    expect(() => mergeCounts(a, b, c)).toThrow(message);
    expect(() => fileSumLoss([a, b, c], { exponent: 5, residue: 'half' })).toThrow(message);
    expect(() => mergeCounts(mergeCounts(a, b), c)).toThrow('shaft of count 2 must be "A", as the first one\'s, got "B"');
    expect(() => mergeCounts(a, mergeCounts(b, c))).toThrow('got "B"');
  });
  it('and of one name, where one of them does not state it', () => {
    expect(() => mergeCounts(on('T', 'A'), on('U', 'A'), on('T'))).toThrow('channel of count 2 must be "T", as the first one\'s, got "U". If all were measured on one shaft, count each with shaft');
    expect(mergeCounts(on('T', 'A'), on('T'), on('T', 'A')).samples).toBe(12);
  });
  it('however the counts are bracketed: all ways are taken, or none is', () => {
    const piece = fc.tuple(fc.constantFrom('T', 'U'), fc.constantFrom(undefined, 'A', 'B')).map(([name, shaft]) => on(name, shaft));
    const taken = (merge: () => CycleCount): boolean => {
      try {
        return merge().samples > 0;
      } catch {
        return false;
      }
    };
    let merged = 0;
    fc.assert(fc.property(piece, piece, piece, (a, b, c) => {
      const ways = [() => mergeCounts(a, b, c), () => mergeCounts(mergeCounts(a, b), c), () => mergeCounts(a, mergeCounts(b, c))].map(taken);
      expect(new Set(ways).size).toBe(1);
      if (ways[0]) merged++;
    }), { numRuns: 1000, seed: 7 });
    expect(merged).toBeGreaterThan(100);
  });
});

describe('a counter that is fed channels', () => {
  const day = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 3, start: '2026-03-01T08:00:00.000Z', values: Float64Array.from({ length: 600 }, (_, i) => Math.sin(i * i)) });
  const counter = (): CycleCounter<'N·m'> => new CycleCounter({ unit: 'N·m', sampleRate: 3, name: 'T', shaft: 'A', start: day.start });
  const part = (from: number, to: number): typeof day => slice(day, { from, to });
  it('takes the parts of one, also where bare numbers stand between them', () => {
    const { closed, residue } = counter().push(part(0, 50)).push(day.values.slice(150, 300)).push(part(100, 200)).finish();
    const whole = countCycles(day);
    expect([closed, residue]).toEqual([whole.closed, whole.residue]);
  });
  it('refuses another channel, and one that begins before or after the end of what it has', () => {
    const other = makeChannel({ name: 'U', unit: 'N·m', sampleRate: 3, start: day.start, values: [0, 5, 1, 6] });
    expect(() => counter().push(other)).toThrow('channel must be "T", as the counter\'s, got "U". Count it by itself and join the counts with mergeCounts');
    expect(() => new CycleCounter({ unit: 'N·m', sampleRate: 3 }).push(day).push(other)).toThrow('channel must be "T"');
    expect(() => counter().push(part(0, 50)).push(part(40, 100))).toThrow('which is 10.0 s before that end');
    expect(() => counter().push(part(0, 50)).push(part(60, 100))).toThrow('which is 10.0 s after that end');
    expect(() => new CycleCounter({ unit: 'N·m', sampleRate: 3 }).push(part(50, 100)).push(part(0, 50))).toThrow('before that end');
  });
});

describe('what is merged is in time order', () => {
  const from = (start: string | null): CycleCount<'N·m'> => countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, start, values: Float64Array.from({ length: 100 }, (_, i) => Math.sin(i)) }));
  const first = from('2026-01-01T10:00:00Z'), unknown = from(null);
  it('also where a count between states no start: the last known start stands, and what came since takes its time', () => {
    expect(() => mergeCounts(first, unknown, from('2026-01-01T09:00:00Z'))).toThrow('start of count 3 must be after the end of what began with count 1, got 2026-01-01T09:00:00Z');
    expect(() => mergeCounts(first, unknown, first)).toThrow('which is 20.0 s before that end');
    expect(() => mergeCounts(first, unknown, from('2026-01-01T10:00:15Z'))).toThrow('which is 5.00 s before that end');
    expect(mergeCounts(first, unknown, from('2026-01-01T10:00:20Z')).samples).toBe(300);
  });
  it('however the counts are bracketed', () => {
    const late = from('2026-01-01T10:00:15Z');
    expect(() => mergeCounts(mergeCounts(first, unknown), late)).toThrow('before that end');
    expect(() => mergeCounts(first, mergeCounts(unknown, late))).toThrow('before that end');
    expect(mergeCounts(mergeCounts(unknown, first), unknown).samples).toBe(300);
  });
});

describe('what is merged is of one unit', () => {
  it('the compiler and the run time say so', () => {
    const speed = countCycles(makeChannel({ name: 'n', unit: 'rpm', sampleRate: 10, values: [0, 4, 1, 5] })), torque = on('T');
    // @ts-expect-error rpm does not merge with N·m
    expect(() => mergeCounts(torque, speed)).toThrow('unit of count 2 must be N·m');
    // @ts-expect-error nor spread from a list
    expect(() => mergeCounts(...[torque, speed])).toThrow('unit of count 2 must be N·m');
    const known: CycleCount<'N·m'> = mergeCounts(torque, torque);
    const read: readonly CycleCount[] = [torque, torque];
    expect(mergeCounts(...read).samples).toBe(known.samples);
    expect(mergeCounts(torque, read[0]!).unit).toBe('N·m');
  });
});
