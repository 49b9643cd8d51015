import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import ts from 'typescript';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { countCycles, countOnThreads, createRandom, makeChannel } from '../../src/index.js';

/** A thread needs compiled files: the folders that counting needs are compiled beside the packages that they import. */
const root = fileURLToPath(new URL('../..', import.meta.url));
const built = join(root, 'node_modules', '.cache', `counting-threads-${process.pid}`);

beforeAll(() => {
  for (const folder of ['numeric', 'record', 'count', 'filter', 'spectrum', 'clean', 'gauge']) {
    for (const file of readdirSync(join(root, 'src', folder)).filter((f) => f.endsWith('.ts'))) {
      const { outputText } = ts.transpileModule(readFileSync(join(root, 'src', folder, file), 'utf8'), { compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext } });
      const target = join(built, folder, file.replace(/\.ts$/, '.js'));
      mkdirSync(dirname(target), { recursive: true });
      writeFileSync(target, outputText);
    }
  }
  writeFileSync(join(built, 'package.json'), '{"type":"module"}');
});
afterAll(() => rmSync(built, { recursive: true, force: true }));

describe('counting on threads', () => {
  const random = createRandom(8);
  const values = Float64Array.from({ length: 50_001 }, (_, i) => Math.round(8 * Math.sin(i / 900) + 4 * random.normal()));

  it('gives the count of one thread, bit for bit, in cycles and in classes, masks included', async () => {
    const load = async <T>(file: string): Promise<T> => (await import(/* @vite-ignore */ pathToFileURL(join(built, file)).href)) as T;
    const threaded = await load<typeof import('../../src/count/countOnThreads.js')>('count/countOnThreads.js');
    const { makeChannel: make } = await load<typeof import('../../src/record/Channel.js')>('record/Channel.js');
    const data = { name: 'T', unit: 'N·m' as const, sampleRate: 1000, values, start: '2026-03-01T08:00:00.000Z', invalid: [{ from: 24_000, to: 26_000, why: 'dropout' as const }] };
    for (const keep of ['cycles', { edges: { from: -15, to: 15, classes: 30 } }] as const) {
      const one = countCycles(makeChannel(data), { keep });
      for (const threads of [1, 2, 3]) expect(await threaded.countOnThreads(make(data), { keep, threads })).toEqual(one);
    }
    await expect(threaded.countOnThreads(make(data), { threads: 3, most: 9000 })).rejects.toThrow('at most 9000');
    expect(() => countCycles(makeChannel(data), { most: 9000 })).toThrow('at most 9000');
    const shared = new Float64Array(new SharedArrayBuffer(8 * values.length));
    shared.set(values);
    expect((await threaded.countOnThreads(shared, { threads: 2 })).closed).toEqual(countCycles(values).closed);
    // Long enough that the memory both threads see is filled several times over.
    const slow = Float64Array.from({ length: 900_000 }, (_, i) => Math.round(20 * Math.sin(i / 5000) + 8 * Math.sin(i / 40)));
    const long = { ...data, values: slow, invalid: [{ from: 400_000, to: 800_000, why: 'dropout' as const }] };
    expect(await threaded.countOnThreads(make(long))).toEqual(countCycles(makeChannel(long)));
    await expect(threaded.countOnThreads(values, { threads: 2, most: 10 })).rejects.toThrow('at most 10');
    await expect(threaded.countOnThreads(values.map((v, i) => (i === 40_000 ? NaN : v)), { threads: 2 })).rejects.toThrow('value 40000 must be a finite number');
    await expect(threaded.countOnThreads(make({ ...data, values: values.map((v, i) => (i === 40_000 ? 1.7e308 : v)) }), { threads: 2 })).rejects.toThrow('sample 40000 of T must be at most');
    expect((await threaded.countOnThreads(values, { threads: 2 })).closed).toEqual(countCycles(values).closed);
  });
  it('is refused from sources, where a thread has nothing to load', async () => {
    await expect(countOnThreads(values, { threads: 2 })).rejects.toThrow('npm run build');
    expect((await countOnThreads(values, { threads: 1 })).closedCycles).toBe(countCycles(values).closedCycles);
    await expect(countOnThreads(values, { threads: 0 })).rejects.toThrow('threads');
  });
});
