import { existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allUnits, convert, describeFile, faults, makeChannel, makeRecording, readRecording, streamChannel, writeRecording, type Channel, type Recording, type Span } from '../../src/index.js';
import { temporaryFolder } from './folder.js';

const { path, at } = temporaryFolder();
const endings = ['.parquet', '.h5', '.csv', '.csv.gz'] as const;

const bits = (values: Float64Array): readonly string[] => Array.from(values, (v) => (Object.is(v, -0) ? '-0' : String(v)));

const span = (n: number): fc.Arbitrary<Span> => fc.tuple(fc.nat(n - 1), fc.nat(5), fc.constantFrom(...faults)).map(([from, more, why]) => ({ from, to: Math.min(n, from + 1 + more), why }));
const channel = (name: string): fc.Arbitrary<Channel> => fc.array(fc.double(), { minLength: 1, maxLength: 60 }).chain((values) => fc.record({
  unit: fc.constantFrom(...allUnits), sampleRate: fc.double({ min: 1e-3, max: 1e6, noNaN: true }), start: fc.constantFrom(null, '2026-03-01T08:00:00.000Z', '1999-12-31T23:59:59.123456789Z'),
  invalid: fc.array(span(values.length), { maxLength: 3 }),
}).map((rest) => makeChannel({ name, values: Float64Array.from(values), ...rest })));
const recording: fc.Arbitrary<Recording> = fc.tuple(fc.uniqueArray(fc.constantFrom('torque', 'Torque', 'speed, measured', 'a "quoted" name', 'µε (gauge)', "it's", 'line\nbreak', 'time'), { minLength: 1, maxLength: 4 }), fc.string({ minLength: 1 }))
  .chain(([names, title]) => fc.tuple(...names.map(channel)).map((channels) => makeRecording(title, channels)));

const same = (read: Recording, written: Recording): void => {
  expect(read.name).toBe(written.name);
  expect(read.channels.length).toBe(written.channels.length);
  written.channels.forEach((c, i) => {
    const r = read.channels[i]!;
    expect([r.name, r.unit, r.sampleRate, r.start, r.invalid]).toEqual([c.name, c.unit, c.sampleRate, c.start, c.invalid]);
    expect(bits(r.values)).toEqual(bits(c.values));
    expect((r.trail[0]!.found as { earlier: unknown }).earlier).toEqual(JSON.parse(JSON.stringify(c.trail)));
  });
};

describe.each(endings)('what is written as %s', (ending) => {
  it('is read again with the same values to the last bit, units, rates, starts, masks, names and trails', async () => {
    let n = 0;
    await fc.assert(fc.asyncProperty(recording, async (written) => {
      const file = at(`run ${n++}${ending}`);
      await writeRecording(written, file);
      const read = await readRecording(file);
      same(read, written);
      expect(read.source!.sha256).toMatch(/^[0-9a-f]{64}$/);
    }), { numRuns: 40, seed: 11 });
  });
  it('streams as the same values and masks, whatever the length of a block', async () => {
    const values = Float64Array.from({ length: 5000 }, (_, i) => (i % 97 === 3 ? NaN : Math.sin(i) * i));
    const written = makeRecording('run', [
      makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values, invalid: [{ from: 10, to: 700, why: 'dropout' }, { from: 4998, to: 5000, why: 'rail' }] }),
      makeChannel({ name: 'temperature', unit: '°C', sampleRate: 10, values: [20, 21, 22] }),
    ]);
    const file = at(`stream${ending}`);
    await writeRecording(written, file);
    for (const [index, blockLength] of [[0, 64], [0, 4096], [0, 100_000], [1, 2]] as const) {
      const c = written.channels[index]!;
      const stream = await streamChannel(file, { channel: c.name, blockLength });
      expect([stream.name, stream.unit, stream.sampleRate, stream.samples]).toEqual([c.name, c.unit, c.sampleRate, c.values.length]);
      const parts: number[] = [];
      const masked: number[] = [];
      for await (const block of stream) {
        expect(block.from).toBe(parts.length);
        expect(block.values.length).toBeLessThanOrEqual(blockLength);
        for (const s of block.invalid) for (let i = s.from; i < s.to; i++) masked.push(block.from + i);
        parts.push(...block.values);
      }
      expect(bits(Float64Array.from(parts))).toEqual(bits(c.values));
      expect(masked).toEqual(c.invalid.flatMap((s) => Array.from({ length: s.to - s.from }, (_, i) => s.from + i)));
    }
  });
  it('is described without reading its values', async () => {
    const written = makeRecording('run 7', [makeChannel({ name: 'torque', unit: 'kN·m', sampleRate: 500, start: '2026-03-01T08:00:00.000Z', values: [1, 2, 3] })]);
    const file = at(`described${ending}`);
    await writeRecording(written, file);
    expect(await describeFile(file)).toMatchObject({ rows: 3, sampleRate: 500, samples: 3, start: '2026-03-01T08:00:00.000Z', refusals: [], columns: [{ name: 'torque', unit: 'kN·m', use: 'channel' }] });
  });
  it('gives one channel on request, and refuses options that the file answers itself', async () => {
    const file = at(`described${ending}`);
    expect((await readRecording(file, { columns: ['torque'], name: 'other' })).name).toBe('other');
    await expect(readRecording(file, { columns: ['torqe'] })).rejects.toThrow("Did you mean 'torque'?");
    await expect(readRecording(file, { sampleRate: 100 })).rejects.toThrow('sampleRate must be left out for a file that writeRecording wrote');
  });
  it('never replaces a file unasked, and leaves none behind when it fails', async () => {
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: [1] })]);
    const file = at(`once${ending}`);
    await writeRecording(run, file);
    await expect(writeRecording(run, file)).rejects.toThrow('which is there already. Choose another name, or state overwrite: true.');
    await writeRecording(run, file, { overwrite: true });
    await expect(writeRecording(run, at(`nowhere/x${ending}`))).rejects.toThrow('in a folder that is there');
    expect(readdirSync(path).filter((f) => f.includes('partial'))).toEqual([]);
    expect(existsSync(at('nowhere'))).toBe(false);
  });
  it('is refused in one sentence when it was cut', async () => {
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 3000 }, (_, i) => Math.sqrt(i)) })]);
    const file = at(`whole${ending}`);
    await writeRecording(run, file);
    const bytes = readFileSync(file);
    for (const part of [0.3, 0.6, 0.9]) {
      const cut = at(`cut${ending}`);
      writeFileSync(cut, bytes.subarray(0, Math.floor(bytes.length * part)));
      await expect(readRecording(cut)).rejects.toMatchObject({ name: 'FormatError', file: `cut${ending}` });
    }
  });
});

describe('CSV as written', () => {
  it('is one comment line, a header and plain numbers that any program reads', async () => {
    const torque = convert(makeChannel({ name: 'torque', unit: 'kN·m', sampleRate: 4, values: [0.001, -0.002, 0.1] }), 'N·m');
    const file = at('plain.csv');
    await writeRecording(makeRecording('run', [torque, makeChannel({ name: 'speed', unit: 'rpm', sampleRate: 4, values: [10, 20, 30] }), makeChannel({ name: 'oil', unit: '°C', sampleRate: 1, values: [40] })]), file);
    const lines = readFileSync(file, 'utf8').split('\n');
    expect(lines[0]).toMatch(/^# quillshaft recording \{"quillshaft":1,/);
    expect(lines.slice(1)).toEqual(['time (s),torque (N·m),speed (rpm),time of oil (s),oil (°C)', '0,1,10,0,40', '0.25,-2,20,,', '0.5,100,30,,', '']);
  });
  it('packs with gzip where the name says so', async () => {
    const file = at('packed.csv.gz');
    await writeRecording(makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 4, values: new Float64Array(1000) })]), file);
    expect(gunzipSync(readFileSync(file)).toString()).toMatch(/^# quillshaft recording /);
    expect(statSync(file).size).toBeLessThan(4000);
  });
  it('refuses another ending and something that is no recording', async () => {
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 4, values: [1] })]);
    await expect(writeRecording(run, at('run.doc'))).rejects.toThrow('file must be a name that ends in .parquet, .h5, .uff, .csv, .csv.gz');
    await expect(writeRecording(run.channels[0] as never, at('run.csv'))).rejects.toThrow('recording must be a Recording');
    await expect(writeRecording(run, at('run.csv'), { overwite: true } as never)).rejects.toThrow("Did you mean 'overwrite'?");
  });
});
