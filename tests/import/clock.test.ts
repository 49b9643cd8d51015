import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, describeFile, readRecording, readRecordings, streamChannel, type ReadOptions } from '../../src/index.js';
import { ClockFitter } from '../../src/numeric/clockFitter.js';
import { roundRate } from '../../src/numeric/roundRate.js';
import { interpolateInTime } from '../../src/import/interpolate.js';
import { temporaryFolder } from './folder.js';

const { write } = temporaryFolder();
const csv = (name: string, times: readonly (number | string)[], values: readonly (number | string)[] = times.map((_, i) => i)): string =>
  write(name, `time (s),torque (N·m)\n${times.map((t, i) => `${t},${values[i]}`).join('\n')}\n`);
const found = async (file: string, options?: ReadOptions): Promise<Record<string, unknown>> => (await readRecording(file, options)).channels[0]!.trail[0]!.found as Record<string, unknown>;

describe('a clock fitted to stamps', () => {
  const fit = (stamps: readonly number[]): ReturnType<ClockFitter['finish']> => {
    const fitter = new ClockFitter();
    fitter.push(stamps);
    return fitter.finish();
  };
  it('finds rate, lost samples and jitter of stamps with random jitter up to a fifth of a period and random gaps', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1e9 }), fc.constantFrom(0.5, 10, 100, 1200, 19200, 51200), (seed, rate) => {
      const random = createRandom(seed);
      const truth: number[] = [];
      for (let i = 0, k = 0; i < 600; i++) {
        truth.push(k);
        k += random.uniform() < 0.02 ? 2 + Math.floor(random.uniform() * 40) : 1;
      }
      const report = fit(truth.map((k) => 17.25 + (k + 0.2 * (2 * random.uniform() - 1)) / rate));
      expect(report.offClock).toBeNull();
      const laid = report.pieces.flatMap((p) => Array.from({ length: p.rows }, (_, i) => p.sample + i));
      expect(laid).toEqual(truth.map((k) => k - truth[0]!));
      expect(report.fittedRate / rate - 1).toBeLessThan(1e-4);
      expect(report.sampleRate).toBe(rate);
      expect(report.maxJitter * rate).toBeLessThan(0.25);
    }), { numRuns: 300, seed: 3 });
  });
  it('does not depend on the pieces in which the stamps come', () => {
    const stamps = Array.from({ length: 2000 }, (_, i) => (i + (i > 700 ? 12 : 0)) / 300);
    const whole = fit(stamps);
    const fitter = new ClockFitter();
    for (let i = 0; i < stamps.length; i += 77) fitter.push(stamps, i, Math.min(stamps.length, i + 77));
    expect(fitter.finish()).toEqual(whole);
  });
  it('is given the roundest rate that the stamps do not contradict', () => {
    expect(roundRate(1999.99999997, 2e6, 0.2)).toBe(2000);
    expect(roundRate(100.0042, 35000, 0.1)).toBe(100.004);
    expect(roundRate(1 / 0.003, 1e4, 0.1)).toBe(1 / 0.003);
    expect(roundRate(333.3334, 10, 0.001)).toBe(1 / 0.003);
    expect(roundRate(48.0000001, 4, 0.001)).toBe(48);
    expect(roundRate(123.456789, 1e15, 0.1)).toBe(123.456789);
  });
});

describe('reading with time stamps', () => {
  it('snaps stamps that were rounded when written', async () => {
    const file = csv('rounded.csv', Array.from({ length: 3000 }, (_, i) => (i / 3000).toFixed(5)));
    expect(await found(file)).toMatchObject({ sampleRate: 3000, gaps: 0, samples: 3000 });
  });
  it('masks the samples that are missing, and puts no number there', async () => {
    const file = csv('gap.csv', [0, 0.01, 0.02, 0.05, 0.06]);
    const [torque] = (await readRecording(file)).channels;
    expect(Array.from(torque!.values)).toEqual([0, 1, 2, NaN, NaN, 3, 4]);
    expect(torque!.invalid).toEqual([{ from: 3, to: 5, why: 'clock gap' }]);
    expect(torque!.trail[0]!.found).toMatchObject({ rows: 5, samples: 7, gaps: 1, lostSamples: 2, notANumber: 0 });
  });
  it('keeps apart a missing value and a missing row', async () => {
    const [torque] = (await readRecording(csv('both.csv', [0, 0.01, 0.03, 0.04], [1, '', 3, 4]))).channels;
    expect(torque!.invalid).toEqual([{ from: 1, to: 2, why: 'not a number' }, { from: 2, to: 3, why: 'clock gap' }]);
  });
  it('refuses time that falls back, and does what the message says', async () => {
    const file = csv('back.csv', [0, 0.1, 0.2, 0, 0.1, 0.2, 0.3]);
    await expect(readRecording(file)).rejects.toThrow("back.csv, line 5: expected time that only rises, found time falling back from 0.2 s to 0 s. If the file holds 2 recordings one after another, read one with splitWhere: 'time falls back' and block: 1, or all with readRecordings");
    expect((await describeFile(file)).refusals[0]).toContain('time falling back');
    await expect(readRecording(file, { splitWhere: 'time falls back' })).rejects.toThrow('block must be from 1 to 2');
    const second = await readRecording(file, { splitWhere: 'time falls back', block: 2 });
    expect(Array.from(second.channels[0]!.values)).toEqual([3, 4, 5, 6]);
    const all = await readRecordings(file, { splitWhere: 'time falls back' });
    expect(all.map((r) => [r.name, r.channels[0]!.values.length])).toEqual([['back.csv, block 1', 3], ['back.csv, block 2', 4]]);
    expect((await readRecording(file, { sampleRate: 10 })).channels[0]!.values.length).toBe(7);
    await expect(readRecording(file, { splitWhere: 'time falls back', block: 3 })).rejects.toThrow('block must be at most 2');
  });
  it('splits where a column changes and where a pause is long', async () => {
    const file = write('shift.csv', 'time (s),run,torque (N·m)\n0,7,1\n0.1,7,2\n0.2,8,3\n0.3,8,4\n9.0,8,5\n9.1,8,6\n');
    const byColumn = await readRecordings(file, { splitWhere: { columnChanges: 'run' } });
    expect(byColumn.map((r) => r.channels.map((c) => c.name))).toEqual([['torque'], ['torque']]);
    expect((byColumn[1]!.channels[0]!.trail[0]!.found as { splitValue: number }).splitValue).toBe(8);
    const byPause = await readRecordings(file, { columns: ['torque'], splitWhere: { gapLongerThan: 1 } });
    expect(byPause.map((r) => Array.from(r.channels[0]!.values))).toEqual([[1, 2, 3, 4], [5, 6]]);
  });
  it('refuses doubled stamps, and does each thing that the message offers', async () => {
    const file = csv('twice.csv', ['0.00', '0.01', '0.02', '0.02', '0.04', '0.05']);
    await expect(readRecording(file)).rejects.toThrow("twice.csv, line 5: expected a new time in every row, found the stamp 0.02 s twice. State onDoubledStamp: 'nearest free sample'");
    expect(Array.from((await readRecording(file, { onDoubledStamp: 'nearest free sample' })).channels[0]!.values)).toEqual([0, 1, 2, 3, 4, 5]);
    expect(Array.from((await readRecording(file, { onDoubledStamp: 'keep first' })).channels[0]!.values)).toEqual([0, 1, 2, NaN, 4, 5]);
    expect(Array.from((await readRecording(file, { onDoubledStamp: 'keep last' })).channels[0]!.values)).toEqual([0, 1, 3, NaN, 4, 5]);
    const early = csv('early.csv', ['0.00', '0.01', '0.03', '0.03', '0.04', '0.05']);
    expect(Array.from((await readRecording(early, { onDoubledStamp: 'nearest free sample' })).channels[0]!.values)).toEqual([0, 1, 2, 3, 4, 5]);
  });
  it('refuses stamps off a uniform clock, and interpolates when told', async () => {
    const times = [0, 0.013, 0.019, 0.032, 0.047, 0.05, 0.064, 0.2];
    const file = csv('angle.csv', times, times.map((t) => 3 + 10 * t));
    await expect(readRecording(file)).rejects.toThrow('expected stamps on a uniform clock, found intervals from 0.003 s to 0.136 s');
    await expect(readRecording(file)).rejects.toThrow('resampleTo: { sampleRate: ');
    const [torque] = (await readRecording(file, { resampleTo: { sampleRate: 100, maxGap: 0.1 } })).channels;
    expect(torque!.values.length).toBe(21);
    for (let i = 0; i <= 6; i++) expect(torque!.values[i]).toBeCloseTo(3 + i / 10, 12);
    expect(torque!.invalid).toEqual([{ from: 7, to: 20, why: 'clock gap' }]);
    expect(torque!.values[20]).toBe(5);
    expect(torque!.trail[0]!.found).toMatchObject({ clock: 'interpolated linearly in time', maxGap: 0.1, longestInterval: 0.136 });
  });
  it('refuses a record that is nearly all gap', async () => {
    const file = csv('sparse.csv', [0, 0.01, 0.02, 0.03, 500, 500.01]);
    await expect(readRecording(file)).rejects.toThrow('Split it with splitWhere: { gapLongerThan: 0.2 } and block: 1.');
    expect((await readRecording(file, { splitWhere: { gapLongerThan: 0.2 }, block: 2 })).channels[0]!.values.length).toBe(2);
  });
  it('asks for the unit of time where both readings are likely', async () => {
    const file = write('unit.csv', 'time,torque (N·m)\n0,1\n0.5,2\n1,3\n');
    await expect(readRecording(file)).rejects.toThrow("State timeUnit: 's' or timeUnit: 'ms'.");
    expect((await readRecording(file, { timeUnit: 'ms' })).channels[0]!.sampleRate).toBe(2000);
    expect((await readRecording(file, { timeUnit: 's' })).channels[0]!.sampleRate).toBe(2);
  });
  it('refuses a missing stamp with its line', async () => {
    await expect(readRecording(csv('nostamp.csv', [0, '', 0.02, 0.03]))).rejects.toThrow('nostamp.csv, line 3: expected a time in every row, found a missing time stamp.');
  });
  it('keeps a date-time without zone from posing as UTC', async () => {
    const file = write('local.csv', 'Date,torque (N·m)\n2026-03-01 08:00:00.000,1\n2026-03-01 08:00:00.500,2\n2026-03-01 08:00:01.000,3\n');
    const [torque] = (await readRecording(file)).channels;
    expect(torque!.start).toBeNull();
    expect(torque!.sampleRate).toBe(2);
    expect((torque!.trail[0]!.found as { note: string }).note).toContain('state timeZone');
    expect((await readRecording(file, { timeZone: '-05:30' })).channels[0]!.start).toBe('2026-03-01T13:30:00.000Z');
  });
  it('streams the same samples, gaps and start as it reads', async () => {
    const random = createRandom(5);
    const times: string[] = [];
    for (let i = 0, k = 0; i < 4000; i++, k += random.uniform() < 0.01 ? 1 + Math.floor(random.uniform() * 300) : 1) times.push((1772352000 + k / 200).toFixed(3));
    const file = csv('long.csv', times, times.map((_, i) => (i % 50 === 7 ? '' : i / 7)));
    const [whole] = (await readRecording(file)).channels;
    const stream = await streamChannel(file, { channel: 'torque', blockLength: 333 });
    expect([stream.sampleRate, stream.start, stream.samples]).toEqual([200, whole!.start, whole!.values.length]);
    expect(whole!.start).toBe('2026-03-01T08:00:00.000Z');
    const values: number[] = [];
    const masked = new Set<number>();
    for await (const block of stream) {
      for (const s of block.invalid) for (let i = s.from; i < s.to; i++) masked.add(block.from + i);
      values.push(...block.values);
    }
    expect(values).toEqual(Array.from(whole!.values));
    expect(masked.size).toBe(whole!.invalid.reduce((n, s) => n + s.to - s.from, 0));
  });
});

describe('interpolation in time', () => {
  it('returns a straight line exactly, and a given sample at its own time', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: 0.001, max: 0.3, noNaN: true }), { minLength: 2, maxLength: 50 }), (steps) => {
      const times = Float64Array.from(steps, ((t) => (d: number) => (t += d))(0));
      const { values, gaps } = interpolateInTime(times, times.map((t) => 2 - 3 * t), 50, Infinity);
      expect(gaps).toEqual([]);
      expect(values.length).toBe(Math.floor((times.at(-1)! - times[0]!) * 50 + 1e-9) + 1);
      values.forEach((v, i) => expect(v).toBeCloseTo(2 - 3 * (times[0]! + i / 50), 9));
    }), { numRuns: 100, seed: 4 });
  });
});
