import { copyFileSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it, vi } from 'vitest';
import { createRandom, describeFile, readRecording } from '../../src/index.js';
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

describe('a damaged HDF5 file', () => {
  const sound = readFileSync(`${golden}plain.h5`);
  const readDamaged = async (places: readonly (readonly [number, number])[]): Promise<unknown> => {
    const bytes = Buffer.from(sound);
    for (const [at, byte] of places) bytes[at] = byte;
    try {
      return await readRecording(write('damaged.h5', bytes));
    } catch (error) {
      return error;
    }
  };
  it('is told by what is damaged, not by the file into which the library writes its error', async () => {
    expect(await readDamaged([[2568, 66]])).toMatchObject({ name: 'FormatError', message: expect.stringMatching(/^damaged\.h5: expected a complete HDF5 file, found an HDF5 file that cannot be read \(bad heap pointer, /) as string });
  });
  it('never makes a sound one fail, however many there were, and nothing is printed', async () => {
    const printed = vi.spyOn(console, 'error').mockImplementation(() => {});
    const random = createRandom(5);
    let failed = 0;
    for (let i = 0; i < 450; i++) {
      // Most of these numbers lead the library astray at once.
      const outcome = await readDamaged(Array.from({ length: 3 }, () => [random.below(sound.length), random.below(256)] as const));
      if (outcome instanceof Error) {
        failed++;
        expect(outcome, outcome.stack!).toMatchObject({ name: expect.stringMatching(/^(Format|Input)Error$/) as string });
        expect(outcome.message).not.toMatch(/tmpfile|plugin/);
      }
      if (i % 30 === 0) {
        write('sound.h5', sound);
        expect((await readRecording(at('sound.h5'))).channels[0]!.values.length).toBe(60);
      }
    }
    expect(failed).toBeGreaterThan(200);
    expect(printed).not.toHaveBeenCalled();
    printed.mockRestore();
  });
});
