import { copyFileSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { describeFile, readRecording } from '../../src/index.js';
import { roundedNote } from '../../src/import/roundedNote.js';
import { temporaryFolder } from './folder.js';

/** Files written by h5py whose numbers lie in other files; tests/golden/import/make_special.py makes them. */
const golden = fileURLToPath(new URL('../golden/import/', import.meta.url));
const { path, at, write } = temporaryFolder();

describe('an HDF5 file opens no other file:', () => {
  it('raw storage outside, though the file that it names is there and holds the numbers', async () => {
    const numbers = Float64Array.from({ length: 8 }, (_, i) => 1000 + i);
    const outside = write('outside.bin', new Uint8Array(numbers.buffer));
    const bytes = readFileSync(`${golden}external-raw.h5`);
    const place = bytes.indexOf('x'.repeat(240));
    bytes.fill(0, place, place + 240);
    bytes.write(outside, place);
    const file = write('raw.h5', bytes);
    await expect(readRecording(file)).rejects.toMatchObject({ name: 'FormatError', message: 'raw.h5: expected a file that holds its own numbers, found numbers that lie in another file ("outside.bin"). Copy them into one file.' });
    expect((await describeFile(file)).columns).toMatchObject([{ name: 'torque', unit: 'N·m', use: 'channel' }]);
  });
  it('a link to a dataset of another file, though that file lies beside it', async () => {
    copyFileSync(`${golden}plain.h5`, join(path, 'plain.h5'));
    copyFileSync(`${golden}external-link.h5`, at('link.h5'));
    expect((await readRecording(at('plain.h5'))).channels[0]!.name).toBe('torque');
    await expect(readRecording(at('link.h5'))).rejects.toThrow('link.h5: expected a file that holds its own numbers, found numbers that lie in another file ("plain.h5")');
  });
  it('a virtual dataset is left out with a note, and its neighbour is read', async () => {
    copyFileSync(`${golden}external-virtual.h5`, at('virtual.h5'));
    expect((await describeFile(at('virtual.h5'))).notes).toEqual(['joined left out: its numbers lie in other files (virtual dataset)']);
    const run = await readRecording(at('virtual.h5'));
    expect(run.channels.map((c) => [c.name, ...c.values])).toEqual([['torque', 0, 0.25, 0.5, 0.75, 1, 1.25, 1.5, 1.75]]);
  });
});

describe('whole numbers of 2^53 and beyond are read with a note:', () => {
  const exact = Array.from({ length: 8 }, (_, i) => 2n ** 53n - 3n + BigInt(i));
  it('HDF5, of both byte orders, with and without sign', async () => {
    const run = await readRecording(`${golden}wide.h5`, { sampleRate: 500 });
    const { counter, unsigned } = Object.fromEntries(run.channels.map((c) => [c.name, c]));
    for (const c of [counter!, unsigned!]) expect(Array.from(c.values)).toEqual(exact.map(Number));
    // 2^53 − 3 … 2^53 + 4: five lie there, of which two cannot be held, and one of these reads as 2^53 itself.
    expect(exact.filter((v) => BigInt(Number(v)) !== v)).toHaveLength(2);
    const found = counter!.trail[0]!.found as { readonly notes: readonly string[] };
    expect(found.notes).toEqual(['counter', 'unsigned'].map((n) => `${n}: 5 of 8 whole numbers lie at 2^53 or beyond, where double precision rounds them; store them as differences from the first if their last digits count`));
  });
  it('Parquet, in a channel and in stamps of nanoseconds', async () => {
    const run = await readRecording(`${golden}wide.parquet`);
    expect(run.channels.map((c) => [c.name, c.values.length])).toEqual([['counter', 8], ['torque', 8]]);
    const { notes } = run.channels[1]!.trail[0]!.found as { readonly notes: readonly string[] };
    expect(notes.map((n) => n.slice(0, 36))).toEqual(['counter: 5 of 8 whole numbers lie at', 'time: 8 of 8 whole numbers lie at 2^']);
    expect((await describeFile(`${golden}wide.parquet`)).notes).toEqual([expect.stringMatching(/^time: 8 of 8/)]);
  });
  it('and those that double precision holds are read without one', async () => {
    const { trail } = (await readRecording(`${golden}packed.h5`)).channels.find((c) => c.name === 'counts')!;
    expect((trail[0]!.found as { readonly notes: readonly string[] }).notes).toEqual(['title left out: text']);
    expect(roundedNote('n', Float64Array.of(2 ** 53 - 1, 1 - 2 ** 53, 0))).toBeNull();
    expect(roundedNote('n', Float64Array.of(2 ** 53 / 8 + 7, 5), 0.125, 5)).toMatch(/^n: 1 of 2/);
  });
});
