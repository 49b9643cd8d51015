import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { describeFile, readRecording, readRecordings } from '../../src/index.js';

/** Open measured data beside the repository, with licence and known facts in their SOURCE.md; the tests skip where it is absent. */
const data = fileURLToPath(new URL('../../../shared/data/', import.meta.url));
const here = existsSync(data);
const mean = (x: Float64Array): number => x.reduce((s, v) => s + v, 0) / x.length;

describe.skipIf(!here)('open data: pitch moment of a treadmill (csu-hmc/pitch-moment-compensation, Apache-2.0); skipped where ../shared/data is absent', () => {
  // Known facts: 35 002 rows, 0/1/1/3 doubled stamps, mean belt speed 1.1996, 1.1995, 1.9986, 1.9991 m/s.
  it.each([['RandomSlowSpeed1', 0, 1.1996], ['RandomSlowSpeed2', 1, 1.1995], ['RandomFastSpeed1', 1, 1.9986], ['RandomFastSpeed2', 3, 1.9991]])('%s is read, with its %i doubled stamps refused until told', async (name, doubled, speed) => {
    const file = `${data}treadmill_pitch_moment/${name}.txt`;
    if (doubled > 0) await expect(readRecording(file)).rejects.toThrow(/line \d+: expected a new time in every row/);
    const run = await readRecording(file, { onDoubledStamp: 'nearest free sample' });
    const [moment, belt] = run.channels;
    expect(run.channels.map((c) => [c.name, c.unit, c.values.length, c.invalid.length])).toEqual([['Pitch Moment', 'N·m', 35002, 0], ['Belt Velocity', 'm/s', 35002, 0]]);
    expect(moment!.trail[0]!.found).toMatchObject({ doubledStamps: doubled, gaps: 0, rows: 35002 });
    expect(moment!.sampleRate).toBeCloseTo(100, 1);
    expect(mean(belt!.values)).toBeCloseTo(speed, 3);
  });
  it.each(['LICENSE.txt', 'README.upstream.md', 'SOURCE.md'])('%s is no recording, and is refused as such', async (name) => {
    await expect(readRecording(`${data}treadmill_pitch_moment/${name}`)).rejects.toThrow('expected a table of numbers below at most one header, found no row of numbers.');
  });
});

describe.skipIf(!here)('open data: unfastening torque (Al Assadi et al. 2022, CC BY 4.0, converted); skipped where ../shared/data is absent', () => {
  const folder = `${data}unfastening_torque/`;
  const file = `${folder}unfastening_torque.csv.gz`;
  it('is refused step by step, each message leading to the next, until it is read', async () => {
    await expect(readRecording(file)).rejects.toThrow("If the file holds 1210 recordings one after another, read one with splitWhere: 'time falls back' and block: 1");
    expect((await describeFile(file, { splitWhere: 'time falls back' })).blocks).toBe(1210);
    await expect(readRecording(file, { splitWhere: 'time falls back', block: 1 })).rejects.toThrow('Interpolate linearly in time with resampleTo');
    const first = await readRecording(file, { splitWhere: 'time falls back', block: 1, resampleTo: { sampleRate: 100 } });
    expect(first.channels.map((c) => [c.name, c.unit, c.sampleRate, c.values.length])).toEqual([['cycle', '?', 100, 383], ['angle', 'deg', 100, 383], ['torque', 'N·m', 100, 383]]);
  });
  it('has 1210 recordings of 379 545 rows in all, between −11.289 and 1.193 N·m', async () => {
    await expect(readRecordings(file, { splitWhere: 'time falls back', resampleTo: { sampleRate: 1000 } })).rejects.toThrow('expected a new time in every row');
    const all = await readRecordings(file, { splitWhere: 'time falls back', resampleTo: { sampleRate: 1000 }, onDoubledStamp: 'keep first', columns: ['torque'] });
    expect(all.length).toBe(1210);
    expect(all.reduce((n, r) => n + (r.channels[0]!.trail[0]!.found as { rows: number }).rows, 0)).toBe(379545);
    let low = Infinity, high = -Infinity;
    for (const r of all) for (const v of r.channels[0]!.values) {
      if (v < low) low = v;
      if (v > high) high = v;
    }
    // Stamps have whole milliseconds, so that every row falls on a sample of 1000 Hz and the extremes are kept.
    expect([low, high]).toEqual([-11.289, 1.193]);
  });
  it('the table of cycles is refused for its text, then for its times, then read as rows', async () => {
    const cycles = `${folder}cycles.csv`;
    await expect(readRecording(cycles)).rejects.toThrow(/line 2, column 3: expected numbers, found text in the columns program, source, label, result\. Read the others with columns: \[/);
    await expect(readRecording(cycles, { columns: ['torque_min', 'n'] })).rejects.toThrow('or give sampleRate (Hz) if all rows are evenly spaced');
    const table = await readRecording(cycles, { columns: ['torque_min', 'n'], sampleRate: 1 });
    expect(table.channels.map((c) => [c.name, c.unit, c.values.length])).toEqual([['torque_min', 'N·m', 1210], ['n', '?', 1210]]);
    expect(table.channels[1]!.values.reduce((a, b) => a + b)).toBe(379545);
  });
  it('a raw JSON file is refused with the arrays it holds, and read by pointers to them', async () => {
    const raw = `${folder}raw_examples/Cycle_9626.json`;
    await expect(readRecording(raw)).rejects.toThrow('/tightening steps/0/graph/torque values (');
    const graph = '/tightening steps/0/graph/';
    const pointers = { 'time (s)': `${graph}time values`, 'angle (deg)': `${graph}angle values`, 'torque (N·m)': `${graph}torque values` };
    await expect(readRecording(raw, { pointers })).rejects.toThrow('resampleTo');
    const run = await readRecording(raw, { pointers, resampleTo: { sampleRate: 500 } });
    expect(run.channels.map((c) => [c.name, c.unit])).toEqual([['angle', 'deg'], ['torque', 'N·m']]);
  });
});
