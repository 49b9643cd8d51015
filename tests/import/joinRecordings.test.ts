import { describe, expect, it } from 'vitest';
import { countCycles, joinRecordings, makeChannel, makeRecording, pick, readRecording, type Recording } from '../../src/index.js';
import { temporaryFolder } from './folder.js';

const piece = (values: number[], start: string | null = null, rate = 10): Recording => makeRecording('piece', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: rate, values, start })]);

describe('joinRecordings', () => {
  it('lays files without a start edge to edge, masks moved along', () => {
    const joined = pick(joinRecordings([piece([0, 5]), piece([Number.NaN, 1])]), 'torque');
    expect(Array.from(joined.values)).toEqual([0, 5, Number.NaN, 1]);
    expect(joined.invalid).toEqual([{ from: 2, to: 3, why: 'not a number' }]);
    expect((joined.trail[0]!.found as { files: { seconds: number }[] }).files.map((f) => f.seconds)).toEqual([0, 0.2]);
  });
  it('masks the pause between two files that state their start, and counts over it', () => {
    const joined = pick(joinRecordings([piece([0, 5, 3], '2026-03-01T08:00:00.000Z'), piece([4, -2], '2026-03-01T08:00:00.500Z')]), 'torque');
    expect(joined.values.length).toBe(7);
    expect(joined.invalid).toEqual([{ from: 3, to: 5, why: 'clock gap' }]);
    expect(joined.start).toBe('2026-03-01T08:00:00.000Z');
    expect(Array.from(countCycles(joined).residue.values)).toEqual([0, 5, -2]);
  });
  describe('places files without a start by their time columns, which go on from file to file', () => {
    const folder = temporaryFolder();
    const noise = (i: number): number => Math.round(1000 * Math.sin(1.7 * i * i));
    /** A file whose rows are n tenths of a second from a second on; each its own numbers. */
    const file = (name: string, from: number, n = 10, stamp = (s: number): string => s.toFixed(3)): Promise<Recording> =>
      readRecording(folder.write(name, `time [s],torque [N·m]\n${Array.from({ length: n }, (_, i) => `${stamp(from + i / 10)},${noise(10 * from + i)}`).join('\n')}\n`));
    const found = (joined: Recording): Record<string, unknown> => pick(joined, 'torque').trail[0]!.found as Record<string, unknown>;
    it('edge to edge where one begins as the other ends, with the pause masked where a file is missing', async () => {
      const [a, b, c] = [await file('a.csv', 0), await file('b.csv', 1), await file('c.csv', 2)];
      const joined = joinRecordings([a, b, c]);
      expect(Array.from(pick(joined, 'torque').values)).toEqual(Array.from({ length: 30 }, (_, i) => noise(i)));
      expect(found(joined)).toMatchObject({ pauses: 0, timed: true, placedBy: 'time column' });
      const gap = pick(joinRecordings([a, c]), 'torque');
      expect(gap.invalid).toEqual([{ from: 10, to: 20, why: 'clock gap' }]);
      expect(gap.start).toBe(null);
      expect((gap.trail[0]!.found as { pauses: number }).pauses).toBe(1);
    });
    it('also by date-times whose zone nobody states', async () => {
      const stamp = (s: number): string => `2026-03-01 08:00:${s.toFixed(3).padStart(6, '0')}`;
      const [a, b] = [await file('da.csv', 10, 10, stamp), await file('db.csv', 12, 10, stamp)];
      expect(pick(joinRecordings([a, b]), 'torque').invalid).toEqual([{ from: 10, to: 20, why: 'clock gap' }]);
      expect(() => joinRecordings([b, a])).toThrow('da.csv must be one that begins after the end of db.csv');
    });
    it('refuses the wrong order, an overlap and a copy with both names and the way out', async () => {
      const [a, b, copy] = [await file('a.csv', 0), await file('b.csv', 1), await file('copy.csv', 0)];
      const half = await file('half.csv', 0.5);
      expect(() => joinRecordings([b, a])).toThrow('a.csv must be one that begins after the end of b.csv, got time from 0 s in its time column, which is 2.00 s before that end. Give the files in time order, each stretch of time once. Where');
      expect(() => joinRecordings([a, half])).toThrow('half.csv must be one that begins after the end of a.csv');
      expect(() => joinRecordings([a, b, copy])).toThrow('copy.csv must be one that begins after the end of b.csv');
      expect(() => joinRecordings([a, copy])).toThrow('copy.csv must be one with samples of its own, got the very samples of a.csv. Name each file once');
    });
    it('not where the time of each file begins anew: they are laid edge to edge', async () => {
      const [a, b] = [await file('a.csv', 0), await readRecording(folder.write('anew.csv', `time [s],torque [N·m]\n${Array.from({ length: 10 }, (_, i) => `${(i / 10).toFixed(3)},${i * i}`).join('\n')}\n`))];
      expect(found(joinRecordings([a, b]))).toMatchObject({ pauses: 0, timed: false, placedBy: 'edge to edge' });
    });
  });
  it('refuses a copy where no time tells, but not rest that is rest', () => {
    expect(() => joinRecordings([piece([1, 2]), piece([3, 4]), piece([1, 2])])).toThrow('got the very samples of piece');
    expect(pick(joinRecordings([piece([0, 0]), piece([0, 0])]), 'torque').values.length).toBe(4);
  });
  it('gives a single recording back as it is', () => {
    const one = piece([1, 2]);
    expect(joinRecordings([one])).toBe(one);
  });
  it.each<[() => unknown, string]>([
    [() => joinRecordings([]), 'at least one recording'],
    [() => joinRecordings([piece([1]), piece([1], null, 20)]), 'with the channels of piece'],
    [() => joinRecordings([piece([1], '2026-03-01T08:00:00.000Z'), piece([1])]), 'with a start time'],
    [() => joinRecordings([piece([1, 2, 3], '2026-03-01T08:00:00.000Z'), piece([1], '2026-03-01T08:00:00.100Z')]), 'before that end'],
    [() => joinRecordings([piece([1, 2], '2026-03-01T08:00:00.000Z'), piece([1], '2026-03-01T09:00:00.000Z')]), 'mergeCounts'],
  ])('refuses with the way out (%#)', (call, message) => expect(call).toThrow(message));
});
