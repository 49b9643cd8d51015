import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, createRandom, gateCycles, makeChannel, mergeCounts, readCount, scaleCount, writeCount } from '../../src/index.js';

interface Written {
  start: string | null;
  sampleRate: number;
  largestKept: number;
  closed: Record<'from' | 'to' | 'fromAt' | 'at', number[]>;
  largest: Record<'from' | 'to' | 'fromAt' | 'at', number[]>;
  residue: { values: number[]; at: number[] };
  sources: { start: string | null }[];
}

const random = createRandom(1);
const record = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, start: '2024-02-29T08:00:00.000Z', values: Float64Array.from({ length: 500 }, () => 900 * random.normal()) });
const count = countCycles(record);
const classes = countCycles(record, { keep: { edges: { from: -1500, to: 1500, classes: 8 } } });
const edited = (edit: (data: Written) => void, of = count): string => {
  const data = JSON.parse(writeCount(of)) as Written;
  edit(data);
  return JSON.stringify(data);
};
const startAs = (start: string) => (d: Written): void => void (d.start = d.sources[0]!.start = start);

describe('a count that was read', () => {
  it.each<[string, (data: Written) => void, string]>([
    ['a month and a second that are none', startAs('2026-13-45T99:99:99Z'), 'expected an ISO 8601 UTC instant'],
    ['a day that is in no calendar', startAs('2026-02-30T08:00:00Z'), 'expected an ISO 8601 UTC instant'],
    ['a source that ends beyond the calendar', startAs('9999-12-31T23:59:50Z'), 'a source that ends before the year 10000'],
    ['a start that is not that of its first source', (d) => (d.start = '2024-02-29T09:00:00.000Z'), 'the start of the first source'],
    ['a rate that gives no finite time', (d) => (d.sampleRate = 1e-308), 'a finite time'],
    ['a largest cycle far beyond the record', (d) => (d.largest.at[0] = 1e308), 'sample indices below 500 as largest.at'],
    ['a largest cycle before the record', (d) => (d.largest.at[0] = -5), 'sample indices below 500 as largest.at'],
    ['a largest cycle that begins beyond the record', (d) => (d.largest.fromAt[0] = 500), 'sample indices below 500 as largest.fromAt'],
    ['a largest cycle that is none of the closed ones', (d) => (d.largest.from[0] = 9e99), 'one of the closed cycles'],
    ['a largest cycle at a place where none closed', (d) => (d.largest.at[0] = d.residue.at.at(-1)!), 'one of the closed cycles'],
    ['fewer of the largest than it says', (d) => (d.largestKept = 21), 'expected 21, as largestKept and closedCycles say, found 20 largest cycles'],
    ['a cycle that begins after it turned back', (d) => (d.closed.fromAt[0] = 499), 'expected a place before closed.at, found closed.fromAt[0] = 499'],
    ['a residue that stands still', (d) => (d.residue.values[1] = d.residue.values[0]!), 'residue.values[1] ='],
    ['a residue that does not turn', (d) => (d.residue.values[2] = 2 * d.residue.values[1]! - d.residue.values[0]!), 'expected turning points, up and down by turns'],
    ['a cycle whose range is not finite', (d) => ((d.closed.from[0] = 1.7e308), (d.closed.to[0] = -1.7e308)), 'a finite range and mean with closed.from'],
    ['a residue whose range is not finite', (d) => ((d.residue.values[0] = 1.7e308), (d.residue.values[1] = -1.7e308)), 'a finite range to the turning point before it'],
  ])('is refused with %s', (_, edit, message) => {
    expect(() => readCount(edited(edit), 'day.json')).toThrow(message);
    expect(() => readCount(edited(edit), 'day.json')).toThrow('day.json');
  });
  it('in classes is refused where a largest cycle lies neither in them nor among the ones outside', () => {
    expect(readCount(edited(() => undefined, classes))).toEqual(classes);
    expect(() => readCount(edited((d) => (d.largest.to[0] = 9e99), classes))).toThrow('one of the closed cycles');
  });
  it('is taken for every count that the library makes: merged, gated, scaled, in classes, of few values with ties', () => {
    const piece = fc.array(fc.integer({ min: -3, max: 3 }), { minLength: 1, maxLength: 40 });
    fc.assert(fc.property(piece, piece, fc.integer({ min: 0, max: 12 }), fc.integer({ min: 0, max: 12 }), fc.boolean(), (x, y, few, more, inClasses) => {
      const of = (values: number[], largest: number) => countCycles(Float64Array.from(values), { largest, ...(inClasses ? { keep: { edges: [-2, 0, 2] } } : {}) });
      const merged = mergeCounts(of(x, few), of(y, more));
      const made = [merged, scaleCount(merged, 0.1, 'Pa'), ...(inClasses ? [] : [gateCycles(merged, 2), gateCycles(scaleCount(merged, 1 / 3, 'Pa'), 0.5)])];
      for (const one of made) expect(readCount(writeCount(one))).toEqual(one);
      expect(closeResidue(readCount(writeCount(merged)), 'half')).toEqual(closeResidue(merged, 'half'));
    }), { numRuns: 1000, seed: 10 });
  });
});

it('a channel, too, takes no start that is in no calendar', () => {
  expect(() => makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, start: '2026-02-30T08:00:00.000Z', values: [1] })).toThrow('an ISO 8601 UTC instant');
  expect(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, start: '2024-02-29T23:59:59.123456789Z', values: [1] }).start).toBe('2024-02-29T23:59:59.123456789Z');
});
