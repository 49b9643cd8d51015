import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { countCycles, createRandom, makeChannel, mergeCounts, readCountFile, readRecording, writeCountFile, writeRecording, makeRecording, type CycleCount } from '../../src/index.js';
import { readColumns, writeColumns } from '../../src/import/parquetColumns.js';

const folder = mkdtempSync(join(tmpdir(), 'quillshaft-count-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const random = createRandom(6);
const day = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, start: '2026-03-01T08:00:00.000Z', values: Float64Array.from({ length: 30_000 }, () => 1000 * random.normal()), invalid: [{ from: 40, to: 90, why: 'dropout' }] });
const whole = countCycles(day);

describe.each(['json', 'parquet'])('a count in a .%s file', (ending) => {
  const file = (name: string): string => join(folder, `${name}.${ending}`);
  it('comes back equal, in cycles, in classes, and with no closed cycle at all', async () => {
    const counts: CycleCount[] = [whole, countCycles(day, { keep: { edges: { from: -3000, to: 3000, classes: 12 } } }), countCycles(Float64Array.of(0, -0, 3.3, -1e-300, 1e200)), countCycles(Float64Array.of(4))];
    for (const [k, count] of counts.entries()) {
      await writeCountFile(count, file(`c${k}`));
      expect(await readCountFile(file(`c${k}`))).toEqual(count);
    }
  });
  it('merges after reading as it would have before', async () => {
    const pieces = [0, 1, 2].map((k) => countCycles(Float64Array.from(day.values.subarray(10_000 * k, 10_000 * (k + 1)))));
    for (const [k, piece] of pieces.entries()) await writeCountFile(piece, file(`piece${k}`));
    const read = await Promise.all(pieces.map((_, k) => readCountFile(file(`piece${k}`))));
    expect(mergeCounts(...read)).toEqual(mergeCounts(...pieces));
  });
  it('is not written over, nor is anything left of a refusal', async () => {
    await writeCountFile(whole, file('once'));
    await expect(writeCountFile(whole, file('once'))).rejects.toThrow('a name that is free');
    await writeCountFile(whole, file('once'), { overwrite: true });
    await expect(writeCountFile({} as never, file('never'))).rejects.toThrow('count must be a CycleCount');
    expect(existsSync(file('never'))).toBe(false);
  });
});

describe('files that are no count', () => {
  it('are refused in one sentence', async () => {
    await expect(writeCountFile(whole, join(folder, 'count.csv'))).rejects.toThrow('ends in .json or .parquet');
    await expect(readCountFile(join(folder, 'nothing.json'))).rejects.toThrow('which is not there');
    const recording = join(folder, 'recording.parquet');
    await writeRecording(makeRecording('r', [day]), recording);
    await expect(readCountFile(recording)).rejects.toThrow('a Parquet file without a count');
    await writeCountFile(whole, join(folder, 'good.parquet'));
    writeFileSync(join(folder, 'cut.parquet'), readFileSync(join(folder, 'good.parquet')).subarray(0, 900));
    await expect(readCountFile(join(folder, 'cut.parquet'))).rejects.toThrow('cannot be read');
    expect((await readRecording(recording)).channels[0]!.values.length).toBe(30_000);
  });
  it('or of which a row went missing, or of another version, name what is wrong', async () => {
    const text = JSON.stringify({ ...(JSON.parse(readFileSync(join(folder, 'once.json'), 'utf8')) as object), closed: { from: [], to: [], fromAt: [], at: [] } });
    const names = ['from', 'to', 'fromAt', 'at'];
    const columns = (await readColumns(join(folder, 'once.parquet'), names)).map((values, j) => ({ name: names[j]!, values: values.slice(1) }));
    await writeColumns(columns, { key: 'quillshaft cycle count', text }, join(folder, 'short.parquet'));
    await expect(readCountFile(join(folder, 'short.parquet'))).rejects.toThrow(`${whole.closedCycles} closed cycles, as closedCycles says`);
    await writeColumns(columns, { key: 'quillshaft cycle count', text: text.replace('"version":3', '"version":4') }, join(folder, 'later.parquet'));
    await expect(readCountFile(join(folder, 'later.parquet'))).rejects.toThrow('expected version 1, 2 or 3');
  });
});
