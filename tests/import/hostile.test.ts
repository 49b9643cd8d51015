import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { createRandom, FormatError, InputError, makeChannel, makeRecording, readRecording, writeRecording, type Random, type ReadOptions, type Recording } from '../../src/index.js';
import { allocated, type Taken } from './allocated.js';
import { temporaryFolder } from './folder.js';

/**
 * Files are damaged in seeded ways; each must give a result or a typed error, and take no more memory than four times the
 * file's size and that of the numbers it gave, counted in bytes asked for (let go again or not), and half a megabyte for the
 * parser's own buffers.
 */
const golden = fileURLToPath(new URL('../golden/import/', import.meta.url));
const { at, write } = temporaryFolder();
const perFormat = 1000;

const csv = `time (s);torque (N·m);speed (rpm)\n${Array.from({ length: 40 }, (_, i) => `${i / 100};${(i * 7) % 13}.5;${i}`).join('\n')}\n`;
const seeds: readonly (readonly [format: string, files: readonly string[]])[] = [
  ['text', ['csv', 'tsv', 'csv.gz']], ['CSV of writeRecording', ['run.csv', 'run.csv.gz']], ['JSON', ['json']], ['WAV', ['pcm16.wav', 'pcm24.wav', 'float32.wav', 'rf64.wav']], ['universal file 58', ['text.uff', 'binary.uff']], ['MAT 5', ['plain.mat', 'packed.mat', 'struct.mat', 'octave7.mat']],
  ['ASAM MDF 4', ['mdf-sorted.mf4', 'mdf-packed.mf4', 'mdf-turned.mf4', 'mdf-heads.mf4', 'mdf-two.mf4']], ['HDF5', ['plain.h5', 'packed.h5', 'timed.h5', 'run.h5']], ['Parquet', ['run.parquet', 'foreign.parquet']],
];

/** One seeded damage: bits flipped, bytes set to telling values, a piece cut out, doubled or filled, or the end cut off. */
function damage(bytes: Uint8Array, random: Random): Uint8Array {
  const out = Uint8Array.from(bytes);
  const telling = [0, 1, 0x7f, 0x80, 0xff, 0x2d, 0x20];
  switch (random.below(6)) {
    case 0: for (let k = 0; k <= random.below(4); k++) out[random.below(out.length)]! ^= 1 << random.below(8); return out;
    case 1: for (let k = 0; k <= random.below(4); k++) out[random.below(out.length)] = telling[random.below(telling.length)]!; return out;
    case 2: return out.subarray(0, random.below(out.length));
    case 3: {
      const from = random.below(out.length);
      const length = 1 + random.below(16);
      return Uint8Array.from([...out.subarray(0, from), ...out.subarray(from + length)]);
    }
    case 4: {
      const from = random.below(out.length);
      return Uint8Array.from([...out.subarray(0, from), ...out.subarray(from, from + 1 + random.below(64)), ...out.subarray(from)]);
    }
    default: {
      // A whole field of four or eight bytes takes a value of the kind that breaks sums of sizes.
      const from = 4 * random.below(Math.max(1, out.length >> 2));
      const value = [0xffffffff, 0x7fffffff, 0x80000000, 0x10000, random.below(2 ** 31)][random.below(5)]!;
      new DataView(out.buffer).setUint32(Math.min(from, out.length - 4), value, true);
      return out;
    }
  }
}

const run = makeRecording('run', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: 200 }, (_, i) => (i * 37) % 101) })]);
const json = JSON.stringify({ run: { time: Array.from({ length: 40 }, (_, i) => i / 100), torque: Array.from({ length: 40 }, (_, i) => (i * 7) % 13) } });
const made: Readonly<Record<string, string | Uint8Array>> = { csv, tsv: csv.replaceAll(';', '\t'), 'csv.gz': gzipSync(csv), json };
const options: Readonly<Record<string, ReadOptions>> = { json: { pointers: { 'time (s)': '/run/time', torque: '/run/torque' } }, 'packed.mat': { timeUnit: 's' } };

/** The bytes of a sound file by its name. */
async function soundFile(name: string): Promise<Uint8Array> {
  const content = made[name];
  if (content !== undefined) return Buffer.from(content);
  if (!name.startsWith('run.')) return readFileSync(golden + name);
  if (!existsSync(at(name))) await writeRecording(run, at(name));
  return readFileSync(at(name));
}

const floor = 1 << 19;

describe.each(seeds)('damaged files: %s', (format, files) => {
  it(`give a result or a typed error in ${perFormat} seeded cases, within four times their size`, async () => {
    const random = createRandom(format.length * 1009 + 7);
    const sound = await Promise.all(files.map(soundFile));
    const peak = process.resourceUsage().maxRSS;
    let read = 0;
    for (let k = 0; k < perFormat; k++) {
      const name = files[k % files.length]!;
      const bad = damage(sound[k % files.length]!, random);
      const file = at(`bad-${format.replaceAll(' ', '-')}`);
      writeFileSync(file, bad);
      const measure = (): Promise<Taken<Recording>> => allocated(() => readRecording(file, options[name]));
      let { outcome, bytes } = await measure();
      if (format === 'HDF5' && bytes > floor) {
        // The library was loaded anew on the way, which takes 4 MB once: a sound file has it loaded, and what this one takes is seen again.
        await readRecording(at('run.h5'));
        ({ outcome, bytes } = await measure());
      }
      let numbers = 0;
      if ('value' in outcome) {
        read++;
        numbers = outcome.value.channels.reduce((n, c) => n + c.values.length, 0);
        const rows = outcome.value.channels.reduce((n, c) => n + (c.trail[0]!.found as { rows: number }).rows, 0);
        // Every number takes at least one byte of the file, or a part of one that was packed or of a few bits.
        expect(rows).toBeLessThanOrEqual(4 * bad.length + 400);
      } else {
        const { error } = outcome;
        if (!(error instanceof FormatError || error instanceof InputError)) throw new Error(`case ${k} of ${name}: ${(error as Error).stack ?? String(error)}`, { cause: error });
        expect(error.message).not.toMatch(/undefined|\[object/);
      }
      expect(bytes, `case ${k} of ${name}, ${bad.length} bytes, ${numbers} numbers`).toBeLessThanOrEqual(4 * (bad.length + 8 * numbers) + floor);
    }
    expect(read).toBeGreaterThan(0);
    expect(read).toBeLessThan(perFormat);
    // What engines outside JavaScript take is seen in the memory of the whole process alone (kB): small next to the gigabytes that a believed size would take.
    expect(process.resourceUsage().maxRSS - peak).toBeLessThan(600_000);
  });
});

describe('hostile sizes are refused before anything is allocated', () => {
  const patched = (name: string, place: number, value: bigint, wide = false): string => {
    const bytes = Uint8Array.from(readFileSync(golden + name));
    const view = new DataView(bytes.buffer);
    if (wide) view.setBigUint64(place, value, true);
    else view.setUint32(place, Number(value), true);
    return write(`hostile-${name}-${place}`, bytes);
  };
  const find = (name: string, text: string, from = 0): number => readFileSync(golden + name).indexOf(text, from, 'latin1');
  it.each([
    ['a WAV file of 4 GB', () => patched('pcm16.wav', 40, 0xfffffff0n), 'the chunk "data"'],
    ['an RF64 file of 8 EiB', () => patched('rf64.wav', 28, 2n ** 63n, true), 'the 64-bit length of the data of 9223372036854775808'],
    ['a MAT matrix of 4 GB', () => patched('plain.mat', 132, 0xfffffff0n), 'an element of type 14 at byte 136 of 4294967280 bytes'],
    ['a MAT matrix of 2 × 10⁹ rows', () => patched('plain.mat', 160, 0x7fffffffn), /found 2147483647 × 1 numbers in \d+ bytes/],
    ['an MDF group of 10¹⁵ records', () => patched('mdf-sorted.mf4', find('mdf-sorted.mf4', '##CG') + 24 + 48 + 8, 10n ** 15n, true), 'bytes, as its channel group says'],
    ['an MDF block of 10¹⁵ bytes', () => patched('mdf-sorted.mf4', find('mdf-sorted.mf4', '##DT') + 8, 10n ** 15n, true), 'the block ##DT'],
    ['packed MDF records that unpack to 10¹² bytes', () => patched('mdf-packed.mf4', find('mdf-packed.mf4', '##DZ') + 24 + 8, 10n ** 12n, true), 'at most 1032 to one, as deflate can'],
    ['a universal file of 10⁹ values', () => write('hostile.uff', readFileSync(`${golden}text.uff`, 'latin1').replace(/^( {9}4 {8})60/m, '         4 999999999'.slice(0, 18) + '99')), 'values'],
  ])('%s', async (_, make, message) => {
    const file = make();
    const { outcome, bytes } = await allocated(() => readRecording(file));
    expect(() => { if ('error' in outcome) throw outcome.error; }).toThrow(message);
    expect(bytes).toBeLessThanOrEqual(4 * readFileSync(file).length + floor);
  });
});
