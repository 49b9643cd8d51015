import { copyFileSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { inspect } from 'node:util';
import { describe, expect, it } from 'vitest';
import { createRandom, describeFile, makeChannel, makeRecording, readRecording, streamChannel, writeRecording, type Channel, type ReadOptions } from '../../src/index.js';
import { rateOf } from '../../src/import/uff58.js';
import { temporaryFolder } from './folder.js';

/**
 * Files written by independent programs (SciPy, h5py, Octave, Python's wave module, and three small writers from the public
 * specifications); tests/golden/import/make_formats.py makes them and truth.json states what they hold, and by which versions.
 */
const folder = fileURLToPath(new URL('../golden/import/', import.meta.url));
const truth = JSON.parse(readFileSync(`${folder}truth.json`, 'utf8')) as { readonly counts: number[]; readonly torque: number[]; readonly speed: number[]; readonly uffSpeed: number[] };
const { write, at } = temporaryFolder();
const read = async (name: string, options?: ReadOptions): Promise<Record<string, Channel>> => Object.fromEntries((await readRecording(folder + name, options)).channels.map((c) => [c.name, c]));
const facts = (c: Channel): unknown[] => [c.unit, c.sampleRate, c.start, c.values.length];
const single = (v: readonly number[]): number[] => Array.from(Float32Array.from(v));

describe('WAV', () => {
  it.each([
    ['pcm8.wav', truth.counts.map((c) => Math.floor(c / 16) / 128)], ['pcm16.wav', truth.counts.map((c) => c / 32768)], ['pcm24.wav', truth.counts.map((c) => c / 32768)],
    ['pcm32.wav', truth.counts.map((c) => c / 32768)], ['float32.wav', truth.torque], ['float64.wav', truth.torque], ['rf64.wav', truth.counts.map((c) => c / 32768)],
  ])('%s is read as parts of full scale', async (name, expected) => {
    const first = (await read(name))['channel 1']!;
    expect(facts(first)).toEqual(['1', 500, null, 60]);
    expect(Array.from(first.values)).toEqual(expected);
  });
  it('is scaled by the calibration file beside it', async () => {
    const { torque, bridge } = await read('calibrated.wav');
    expect(facts(torque!)).toEqual(['N·m', 500, '2026-03-01T08:00:00.250Z', 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
    expect(Array.from(bridge!.values)).toEqual(truth.counts.map((c) => (-c / 32768) * 4 + 0.5));
    expect(torque!.trail[0]!.found).toMatchObject({ calibration: 'calibrated.wav.json', scale: 2048 });
  });
  it.each([
    ['{"channels":[{"name":"a","unit":"V","scale":1}]}', 'expected a calibration of 2 channels'], ['{"channels":[{"name":"a","unit":"Nm","scale":1},{"name":"b","unit":"V","scale":1}]}', 'channels[0].unit must be a known unit'],
    ['{"channels":[{"name":"a","unit":"V","scale":1,"gain":2},{"name":"b","unit":"V","scale":1}]}', "the unknown key 'gain'"], ['{', 'expected a calibration of 2 channels'],
    ['{"channels":[{"name":"a","unit":"V","scale":1},{"name":"b","unit":"V","scale":1}],"start":"today"}', 'must be an ISO 8601 UTC instant'],
  ])('refuses the calibration %s', async (text, message) => {
    const file = at('c.wav');
    copyFileSync(`${folder}calibrated.wav`, file);
    write('c.wav.json', text);
    await expect(readRecording(file)).rejects.toThrow(message);
  });
  it('of more than 4 GiB streams in constant memory', async () => {
    const frames = 2.5e9;
    const file = at('large.wav');
    const head = Buffer.alloc(80);
    head.write('RF64', 0);
    head.write('WAVEds64', 8);
    head.writeUInt32LE(28, 16);
    head.writeBigUInt64LE(BigInt(2 * frames), 28);
    head.write('fmt ', 48);
    [[16, 4], [1, 2], [1, 2], [48000, 4], [96000, 4], [2, 2], [16, 2]].reduce((place, [value, size]) => head.writeUIntLE(value!, place, size!), 52);
    head.write('data', 72);
    head.writeUInt32LE(0xffffffff, 76);
    write('large.wav', head);
    truncateSync(file, 80 + 2 * frames);
    const stream = await streamChannel(file, { channel: 'channel 1', blockLength: 1000 });
    expect([stream.samples, stream.sampleRate]).toEqual([frames, 48000]);
    let seen = 0;
    for await (const { values } of stream) if ((seen += values.length) > 3e6) break;
    expect(seen).toBeGreaterThan(3e6);
    rmSync(file);
  });
  it('refuses what it does not know, by the name of the chunk', async () => {
    const bytes = readFileSync(`${folder}pcm16.wav`);
    const coded = Uint8Array.from(bytes);
    coded[20] = 2;
    await expect(readRecording(write('adpcm.wav', coded))).rejects.toThrow('found samples of format 2 with 16 bits');
    await expect(readRecording(write('cut.wav', bytes.subarray(0, 100)))).rejects.toThrow('found the chunk "data" at byte 44 of 240 bytes in a file of 100');
    await expect(readRecording(write('none.wav', bytes.subarray(0, 36)))).rejects.toThrow("found no chunk 'data'");
  });
});

describe('HDF5', () => {
  it('of h5py with attributes is read with unit, rate and start', async () => {
    const { torque } = await read('plain.h5');
    expect(facts(torque!)).toEqual(['N·m', 500, '2026-03-01T08:00:00.250Z', 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
  });
  it('of h5py, packed, shuffled, big-endian, in groups and in two dimensions', async () => {
    const channels = await read('packed.h5');
    expect(Object.keys(channels)).toEqual(['both 1', 'both 2', 'counts']);
    expect(Array.from(channels['counts']!.values)).toEqual(truth.counts);
    expect(channels['counts']!.unit).toBe('count');
    expect(Array.from(channels['both 1']!.values)).toEqual(truth.torque);
    expect(Array.from(channels['both 2']!.values)).toEqual(truth.speed);
    expect((await describeFile(`${folder}packed.h5`)).notes).toEqual(['title left out: text']);
  });
  it('of h5py with a dataset of time', async () => {
    const { torque, speed } = await read('timed.h5');
    expect([facts(torque!), facts(speed!)]).toEqual([['N·m', 500, null, 60], ['rpm', 500, null, 60]]);
    expect(Array.from(speed!.values)).toEqual(truth.speed);
  });
});

describe('MAT 5', () => {
  it('of SciPy: vectors with time, text left out', async () => {
    const { torque } = await read('plain.mat');
    expect(facts(torque!)).toEqual(['N·m', 500, null, 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
    expect((await describeFile(`${folder}plain.mat`)).notes).toContain('note: text left out');
  });
  it('of SciPy, packed: a matrix of two columns and whole numbers', async () => {
    const channels = await read('packed.mat', { timeUnit: 's' });
    expect(Object.keys(channels)).toEqual(['both 1', 'both 2', 'counts']);
    expect(Array.from(channels['both 2']!.values)).toEqual(truth.speed);
    expect(Array.from(channels['counts']!.values)).toEqual(truth.counts);
  });
  it('of SciPy: structs within structs, with a unit beside the values', async () => {
    const channels = await read('struct.mat');
    expect(Object.keys(channels).sort()).toEqual(['speed', 'values']);
    expect(facts(channels['values']!)).toEqual(['kN·m', 500, null, 60]);
    expect(Array.from(channels['values']!.values)).toEqual(truth.torque);
  });
  it('of Octave, levels 6 and 7', async () => {
    const old = await read('octave6.mat');
    expect(Array.from(old['k']!.values)).toEqual(truth.counts);
    expect(old['k']!.sampleRate).toBe(500);
    const { torque } = await read('octave7.mat');
    expect(facts(torque!)).toEqual(['N·m', 500, null, 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
  });
});

describe('a WAV file cut within its last frame', () => {
  it('is read to the last whole frame, with a note', async () => {
    const bytes = readFileSync(`${folder}pcm16.wav`);
    const data = bytes.indexOf('data');
    const length = bytes.readUInt32LE(data + 4);
    bytes.writeUInt32LE(length - 1, data + 4);
    const file = write('half.wav', bytes.subarray(0, data + 8 + length - 1));
    const whole = (await readRecording(`${folder}pcm16.wav`)).channels[0]!;
    expect((await readRecording(file)).channels[0]!.values).toEqual(whole.values.subarray(0, whole.values.length - 1));
    expect((await describeFile(file)).notes[0]).toMatch(/^the last \d+ bytes? of the samples, which make no whole frame of \d+, left out$/);
  });
});

describe('universal file 58', () => {
  /** A text file of six values at 100 Hz, changed as asked. */
  const changed = async (name: string, change: (lines: string[]) => void): Promise<string> => {
    await writeRecording(makeRecording('r', [makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: [1, 2, 3, 4, 5, 16] })]), at('six.uff'), { encoding: 'ascii', overwrite: true });
    const lines = readFileSync(at('six.uff'), 'latin1').split('\n');
    change(lines);
    return write(name, Buffer.from(lines.join('\n'), 'latin1'));
  };
  const timeLine = (lines: string[]): number => lines.findIndex((line) => line.includes('Time'));
  it('takes time in the unit that its header states, and leaves out a dataset whose unit of time is none', async () => {
    const inMs = await changed('ms.uff', (lines) => {
      const k = timeLine(lines);
      lines[k] = lines[k]!.slice(0, 46) + ' ms'.padEnd(21);
      lines[k - 1] = lines[k - 1]!.replace(/1\.00000E-0?02/i, '1.00000E+01');
    });
    expect(readFileSync(inMs, 'latin1')).toContain('1.00000E+01');
    expect((await readRecording(inMs)).channels[0]!.sampleRate).toBe(100);
    const odd = await changed('turns.uff', (lines) => {
      const k = timeLine(lines);
      lines[k] = lines[k]!.slice(0, 46) + ' turns'.padEnd(21);
    });
    await expect(readRecording(odd)).rejects.toThrow('time in "turns", which is no known unit of time');
  });
  it('refuses more values than its header states, numbers that are not decimal, and a damaged head of binary data', async () => {
    const count = (lines: string[]): void => void (lines[timeLine(lines) - 1] = lines[timeLine(lines) - 1]!.replace(/^(.{10}) {9}6/, '$1         3'));
    await expect(readRecording(await changed('more.uff', count))).rejects.toThrow('3 values, as the header says');
    const last = await changed('hex.uff', (lines) => {
      const k = lines.findIndex((line) => /1\.60+E\+0?01/i.test(line));
      lines[k] = lines[k]!.replace(/1\.60+E\+0?01/i, (cell) => '0x10'.padStart(cell.length));
    });
    await expect(readRecording(last)).rejects.toThrow('"0x10"');
    const bytes = readFileSync(`${folder}binary.uff`);
    const head = bytes.indexOf('58b');
    bytes.write('ab', head + 20);
    await expect(readRecording(write('head.uff', bytes))).rejects.toThrow(/found a head of binary data that says ".*ab.*"/);
  });
  it('as text: single and double precision, even and uneven, other datasets left out', async () => {
    const channels = await read('text.uff');
    expect(Object.keys(channels)).toEqual(['torque double', 'torque single', 'speed stamped', 'speed stamped single']);
    expect(facts(channels['torque double']!)).toEqual(['N·m', 500, null, 60]);
    expect(Array.from(channels['torque double']!.values)).toEqual(truth.torque);
    // E13.5 keeps six digits.
    channels['torque single']!.values.forEach((v, i) => expect(Math.abs(v - truth.torque[i]!)).toBeLessThanOrEqual(0.500001e-5 * 10 ** Math.floor(Math.log10(Math.abs(v) || 1))));
    expect(facts(channels['speed stamped']!)).toEqual(['rpm', 500, null, 60]);
    expect(Array.from(channels['speed stamped']!.values)).toEqual(truth.speed);
    expect((await describeFile(`${folder}text.uff`)).notes).toEqual(['dataset 151 in line 2 left out', 'dataset 58 in line 59 left out: function type 4 is no time response']);
  });
  it('as binary: both byte orders, single and double precision, start from the date and the first abscissa', async () => {
    const channels = await read('binary.uff');
    expect(facts(channels['torque']!)).toEqual(['N·m', 500, '2026-03-01T08:00:00.250Z', 60]);
    expect(Array.from(channels['torque']!.values)).toEqual(truth.torque);
    expect(Array.from(channels['torque big']!.values)).toEqual(truth.torque);
    expect(Array.from(channels['speed']!.values)).toEqual(truth.uffSpeed);
  });
  it('as written is read again with the same values to the last bit, and masked samples as NaN', async () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => Math.sin(i) / 3);
    const run = makeRecording('run', [
      makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 51200, start: '2026-03-01T08:00:00.000Z', values, invalid: [{ from: 5, to: 9, why: 'rail' }] }),
      makeChannel({ name: 'strain', unit: 'µstrain', sampleRate: 3, values: [1, 2] }),
    ]);
    const file = at('run.uff');
    await writeRecording(run, file);
    const [torque, strain] = (await readRecording(file)).channels;
    expect(facts(torque!)).toEqual(['N·m', 51200, '2026-03-01T08:00:00.000Z', 1000]);
    expect(torque!.invalid).toEqual([{ from: 5, to: 9, why: 'not a number' }]);
    expect(Array.from(torque!.values)).toEqual(Array.from(values, (v, i) => (i >= 5 && i < 9 ? NaN : v)));
    expect([strain!.unit, strain!.sampleRate]).toEqual(['µstrain', 3]);
  });
  it('as text is written as the independent writer lays it out, record for record', async () => {
    const file = at('text.uff');
    await writeRecording(makeRecording('made for a test', [makeChannel({ name: 'torque double', unit: 'N·m', sampleRate: 500, values: truth.torque })]), file, { encoding: 'ascii' });
    const own = readFileSync(file, 'latin1').split('\n');
    const other = readFileSync(`${folder}text.uff`, 'latin1').split('\n').slice(4, 4 + own.length);
    const described = [7, 9, 10]; // names of the place and of the quantity are each writer's own
    expect(own.length).toBe(13 + 15 + 2);
    own.slice(0, -1).forEach((line, i) => { if (!described.includes(i)) expect([i, line]).toEqual([i, other[i]]); });
    expect([own[7]!.length, own[9]!.length, own[10]!.length]).toEqual([other[7]!.length, other[9]!.length, other[10]!.length]);
  });
  it('as text gives each value again to 13 digits, whatever its size, and masked samples as NaN', async () => {
    const random = createRandom(58);
    const values = Float64Array.from({ length: 20_003 }, () => (random.uniform() - 0.5) * 10 ** (600 * random.uniform() - 300));
    values.set([0, 1, -1, Number.MAX_VALUE, -Number.MIN_VALUE, Math.PI, 9.9999999999996], 0);
    const run = makeRecording('run', [
      makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 51200, start: '2026-03-01T08:00:00.000Z', values, invalid: [{ from: 8191, to: 8194, why: 'rail' }] }),
      makeChannel({ name: 'oil', unit: '°C', sampleRate: 3, values: [40.5, -40.25, 41] }),
    ]);
    const file = at('digits.uff');
    await writeRecording(run, file, { encoding: 'ascii' });
    expect(Math.max(...readFileSync(file, 'latin1').split('\n').map((l) => l.length))).toBe(80);
    const [torque, oil] = (await readRecording(file)).channels;
    expect([facts(torque!), facts(oil!)]).toEqual([['N·m', 51200, '2026-03-01T08:00:00.000Z', 20_003], ['°C', 3, null, 3]]);
    expect(torque!.invalid).toEqual([{ from: 8191, to: 8194, why: 'not a number' }]);
    expect(Array.from(oil!.values)).toEqual([40.5, -40.25, 41]);
    values.forEach((v, i) => {
      if (i >= 8191 && i < 8194) expect(torque!.values[i]).toBeNaN();
      else if (Math.abs(torque!.values[i]! - v) > 5e-13 * Math.abs(v)) throw new Error(`${v} came back as ${torque!.values[i]}`);
    });
    // What has 13 digits already is written the same way again.
    await writeRecording(makeRecording('run', [torque!, oil!]), at('again.uff'), { encoding: 'ascii' });
    expect(readFileSync(at('again.uff')).equals(readFileSync(file))).toBe(true);
  });
  it('has two encodings, and other formats have none', async () => {
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: [1, 2] })]);
    await writeRecording(run, at('default.uff'));
    await writeRecording(run, at('binary.uff'), { encoding: 'binary' });
    expect(readFileSync(at('default.uff')).equals(readFileSync(at('binary.uff')))).toBe(true);
    await expect(writeRecording(run, at('e.uff'), { encoding: 'text' as never })).rejects.toThrow("encoding must be one of 'ascii', 'binary'");
    await expect(writeRecording(run, at('e.csv'), { encoding: 'ascii' })).rejects.toThrow('encoding must be left out for a format other than .uff, got "ascii"');
  });
  it('holds six digits of the period; a rate that needs more is refused', async () => {
    expect([rateOf(0.002), rateOf(1.95313e-5), rateOf(3.33333e-4), rateOf(1e-3)]).toEqual([500, 51200, 3000, 1000]);
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000.0001, values: [1, 2] })]);
    await expect(writeRecording(run, at('odd.uff'))).rejects.toThrow('dataset 58 holds no more');
  });
  it('refuses a dataset that was cut, by its line', async () => {
    const bytes = readFileSync(`${folder}binary.uff`);
    await expect(readRecording(write('cut.uff', bytes.subarray(0, 1000)))).rejects.toThrow('cut.uff, line 2: expected a complete dataset');
    const text = readFileSync(`${folder}text.uff`);
    await expect(readRecording(write('cut2.uff', text.subarray(0, 1200)))).rejects.toThrow('found a dataset 58 that does not end');
  });
});

describe('ASAM MDF 4', () => {
  it.each(['sorted', 'packed', 'turned', 'listed', 'heads'])('with records in the form %s: bits, byte orders, linear conversion, invalidation bits', async (form) => {
    const channels = await read(`mdf-${form}.mf4`);
    expect(Object.keys(channels)).toEqual(['torque', 'small', 'state', 'speed']);
    const { torque, small, state, speed } = channels;
    expect(facts(torque!)).toEqual(['N·m', 500, '2026-03-01T08:00:00.250Z', 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
    expect(torque!.invalid).toEqual([{ from: 10, to: 14, why: 'invalid in file' }, { from: 40, to: 41, why: 'invalid in file' }]);
    expect(Array.from(small!.values)).toEqual(truth.counts);
    expect(Array.from(state!.values)).toEqual(truth.counts.map((_, i) => i % 8));
    expect([speed!.unit, small!.invalid, speed!.invalid]).toEqual(['rpm', [], [{ from: 59, to: 60, why: 'invalid in file' }]]);
    expect(Array.from(speed!.values)).toEqual(single(truth.speed));
  });
  it('with two groups of their own rates and virtual masters; a local start is no UTC', async () => {
    const { torque, counts } = await read('mdf-two.mf4');
    expect([facts(torque!), facts(counts!)]).toEqual([['N·m', 500, null, 60], ['count', 250, null, 30]]);
    expect(Array.from(counts!.values)).toEqual(truth.counts.slice(0, 30));
    expect((await describeFile(`${folder}mdf-two.mf4`)).notes).toEqual(['the start is in local time, so that it is not known in UTC', 'remark left out: data type 7']);
  });
  it('refuses an unsorted or unfinished file, and names the block', async () => {
    await expect(readRecording(`${folder}mdf-unsorted.mf4`)).rejects.toThrow(/found an unsorted data group \(##DG at byte \d+\)\. Sort the file/);
    const bytes = Uint8Array.from(readFileSync(`${folder}mdf-sorted.mf4`));
    bytes.set(Buffer.from('UnFinMF '));
    await expect(readRecording(write('unfinished.mf4', bytes))).rejects.toThrow('found a file that was not finished (UnFinMF)');
  });
});

describe('Parquet', () => {
  it('of another writer: doubles, single precision, whole numbers, missing values', async () => {
    const { torque, speed, counts } = await read('foreign.parquet');
    expect([facts(torque!), facts(speed!)]).toEqual([['N·m', 500, null, 60], ['rpm', 500, null, 60]]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
    expect(Array.from(speed!.values)).toEqual(truth.speed);
    expect(Array.from(counts!.values)).toEqual(truth.counts.map((c, i) => ([10, 11, 40].includes(i) ? NaN : c)));
    expect(counts!.invalid).toEqual([{ from: 10, to: 12, why: 'not a number' }, { from: 40, to: 41, why: 'not a number' }]);
  });
  it('of another writer, packed, with time stamps of whole microseconds', async () => {
    const { torque } = await read('packed.parquet', { timeZone: 'UTC' });
    expect(facts(torque!)).toEqual(['kN·m', 500, '2026-03-01T08:00:00.250Z', 60]);
    expect(Array.from(torque!.values)).toEqual(truth.torque);
    expect(await describeFile(`${folder}packed.parquet`)).toMatchObject({ rows: 60, sampleRate: 500, start: null, refusals: [] });
  });
});

describe('every format', () => {
  it('is described, gives one channel on request, interpolates and streams', async () => {
    for (const [name, channel] of [['calibrated.wav', 'torque'], ['timed.h5', 'torque'], ['plain.mat', 'torque'], ['binary.uff', 'torque'], ['mdf-sorted.mf4', 'torque']] as const) {
      const description = await describeFile(folder + name);
      expect([description.refusals, description.sampleRate, description.rows]).toEqual([[], 500, 60]);
      expect(description.columns.find((c) => c.name === channel)).toMatchObject({ unit: 'N·m', type: 'number', use: 'channel' });
      const run = await readRecording(folder + name, { columns: [channel], name: 'one' });
      expect([run.name, run.channels.length, run.source!.file]).toEqual(['one', 1, name]);
      await expect(readRecording(folder + name, { columns: ['nothing'] })).rejects.toThrow("columns must be one of '");
      const stream = await streamChannel(folder + name, { channel, blockLength: 7 });
      const values: number[] = [];
      for await (const block of stream) values.push(...block.values);
      expect(values).toEqual(truth.torque);
    }
    const fine = await readRecording(`${folder}mdf-sorted.mf4`, { columns: ['torque'], resampleTo: { sampleRate: 1000 } });
    expect(fine.channels[0]!.values.length).toBe(119);
    expect(fine.channels[0]!.invalid[0]).toEqual({ from: 19, to: 28, why: 'invalid in file' });
  });
  it('is described with its duration, and with the rate of each channel where they differ', async () => {
    const one = await describeFile(`${folder}timed.h5`);
    expect([one.duration, one.columns.map((c) => [c.name, c.sampleRate, c.samples])]).toEqual([0.12, [['speed', 500, 60], ['torque', 500, 60]]]);
    expect(inspect(one)).toContain('60 rows of speed [rpm], torque [N·m], 0.12 s, time from');
    const two = await describeFile(`${folder}mdf-two.mf4`);
    expect([two.sampleRate, two.duration, two.columns.map((c) => [c.name, c.sampleRate, c.samples])]).toEqual([null, 0.12, [['torque', 500, 60], ['counts', 250, 30]]]);
    expect(inspect(two)).toContain('torque [N·m, 500 Hz], counts [count, 250 Hz], 0.12 s');
    const slow = makeChannel({ name: 'oil', unit: '°C', sampleRate: 10, values: [40, 41, 42] });
    const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: truth.torque }), slow]);
    for (const name of ['rates.h5', 'rates.parquet', 'rates.uff', 'rates.csv']) {
      await writeRecording(run, at(name));
      const { duration, columns } = await describeFile(at(name));
      expect([name, duration, columns.map((c) => [c.name, c.sampleRate, c.samples])]).toEqual([name, 0.3, [['torque', 500, 60], ['oil', 10, 3]]]);
    }
  });
  it('is described without a duration where the clock is not known, and with gaps counted where it is', async () => {
    const { duration, columns, refusals } = await describeFile(`${folder}struct.mat`, { columns: ['speed'] });
    expect([duration, columns[0]!.sampleRate, refusals]).toEqual([0.12, 500, []]);
    const open = await describeFile(write('rate.json', JSON.stringify({ torque: [1, 2, 3] })), { pointers: { torque: '/torque' }, sampleRate: 4 });
    expect([open.duration, open.columns.map((c) => [c.use, c.sampleRate, c.samples])]).toEqual([0.75, [['channel', 4, 3]]]);
    const back = await describeFile(write('back.csv', 'time (s),torque (N·m)\n0,1\n0.1,2\n0.2,3\n0.1,3\n0.2,4\n'));
    expect([back.refusals.length, back.duration, back.columns.map((c) => c.sampleRate)]).toEqual([1, null, [null, null]]);
    const gaps = await describeFile(write('gaps.csv', 'time (s),torque (N·m)\n0,1\n0.1,2\n0.2,3\n0.6,3\n0.7,4\n0.8,5\n0.9,4\n'));
    expect([gaps.rows, gaps.duration, gaps.columns.map((c) => [c.use, c.samples])]).toEqual([7, 1, [['time', null], ['channel', 10]]]);
  });
  it('is known by its first bytes, not by its name', async () => {
    const file = at('misnamed.csv');
    writeFileSync(file, readFileSync(`${folder}plain.mat`));
    expect((await describeFile(file)).format).toBe('MAT 5');
  });
});
