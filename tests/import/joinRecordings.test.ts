import { describe, expect, it } from 'vitest';
import { countCycles, joinRecordings, makeChannel, makeRecording, pick, type Recording } from '../../src/index.js';

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
