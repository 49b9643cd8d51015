import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { describeFile, readRecording } from '../../src/index.js';
import { roundedNote } from '../../src/import/roundedNote.js';

/** Files of independent writers; tests/golden/import/make_special.py makes them. */
const golden = fileURLToPath(new URL('../golden/import/', import.meta.url));

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
  it.each(['mat', 'mf4'])('%s, after its linear conversion where it has one', async (ending) => {
    const run = await readRecording(`${golden}wide.${ending}`, ending === 'mat' ? { sampleRate: 500 } : {});
    const counter = run.channels.find((c) => c.name === 'counter')!;
    expect(Array.from(counter.values)).toEqual(exact.map((v) => (ending === 'mat' ? Number(v) : 7 + 0.5 * Number(v))));
    expect((counter.trail[0]!.found as { readonly notes: readonly string[] }).notes).toEqual([expect.stringMatching(/^counter: 5 of 8 whole numbers/)]);
  });
  it('and those that double precision holds are read without one', async () => {
    const { trail } = (await readRecording(`${golden}packed.h5`)).channels.find((c) => c.name === 'counts')!;
    expect((trail[0]!.found as { readonly notes: readonly string[] }).notes).toEqual(['title left out: text']);
    expect(roundedNote('n', Float64Array.of(2 ** 53 - 1, 1 - 2 ** 53, 0))).toBeNull();
    expect(roundedNote('n', Float64Array.of(2 ** 53 / 8 + 7, 5), 0.125, 5)).toMatch(/^n: 1 of 2/);
  });
});
