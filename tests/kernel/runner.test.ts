import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv } from 'ajv';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { runNotebooksCommand } from '../../src/kernel/runNotebooksCommand.js';
import { readNotebook, textOutputs, type Notebook } from '../../src/kernel/notebook.js';
import { needDist } from './dist.js';

beforeAll(needDist);
let dir: string;
beforeEach(() => { dir = mkdtempSync(join(tmpdir(), 'notebook-')); });
afterEach(() => { rmSync(dir, { recursive: true, force: true }); });

function put(name: string, sources: readonly (string | { md?: string; code?: string; tags?: string[] })[]): string {
  const cells = sources.map((source, k) => {
    const cell = typeof source === 'string' ? { code: source } : source;
    const common = { id: `c${k}`, metadata: 'tags' in cell && cell.tags ? { tags: cell.tags } : {} };
    return 'md' in cell && cell.md !== undefined ? { ...common, cell_type: 'markdown', source: cell.md } : { ...common, cell_type: 'code', source: cell.code, outputs: [], execution_count: null };
  });
  const file = join(dir, name);
  writeFileSync(file, JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells }));
  return file;
}

async function run(...args: string[]): Promise<{ code: number; out: string; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runNotebooksCommand(args, { out: (t) => void out.push(t), err: (t) => void err.push(t), progress: () => undefined });
  return { code, out: out.join('\n'), err: err.join('\n') };
}

const texts = (file: string): string[][] => readNotebook(file).cells.filter((c) => c.cell_type === 'code').map(textOutputs);

describe('quillshaft notebooks run', () => {
  it('runs the cells in order with the library in scope and writes their outputs', async () => {
    const file = put('a.ipynb', [{ md: '# A run' }, `const t = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2, 3] });\nconsole.log('made'); t.values.length`, 'await new Promise((r) => setTimeout(r, 5)); t', '']);
    const { code, out } = await run('run', file);
    expect(code).toBe(0);
    expect(out).toMatch(/a\.ipynb: 3 code cells in \d/);
    expect(texts(file)).toEqual([['made\n', '3'], ['Channel torque [N·m]: 3 samples at 10 Hz (0.300 s), all valid, makeChannel'], []]);
    const notebook = JSON.parse(readFileSync(file, 'utf8')) as Notebook;
    expect(notebook.cells.map((c) => c.execution_count)).toEqual([undefined, 1, 2, null]);
    expect(notebook).toMatchObject({ nbformat: 4, nbformat_minor: 5, metadata: { kernelspec: { name: 'quillshaft' } } });
    expect(readdirSync(dir)).toEqual(['a.ipynb']);
  });

  const schema = '/usr/lib/python3/dist-packages/nbformat/v4/nbformat.v4.5.schema.json';
  it.skipIf(!existsSync(schema))('writes what the nbformat 4.5 schema accepts (skips without python3-nbformat)', async () => {
    const file = put('a.ipynb', [{ md: 'text' }, `console.log('x'); show(plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2, 3] })))`, '1', { code: `throw new Error('on purpose')`, tags: ['raises-exception'] }]);
    expect((await run('run', file)).code).toBe(0);
    const validate = new Ajv({ strict: false }).compile({ ...(JSON.parse(readFileSync(schema, 'utf8')) as object), $schema: undefined });
    validate(JSON.parse(readFileSync(file, 'utf8')));
    expect(validate.errors).toBeNull();
  });

  it('stops at the first cell that fails, says which and why, and leaves the notebook as it was', async () => {
    const file = put('a.ipynb', ['1', { md: 'between' }, `slice(makeChannel({ name: 't', unit: '1', sampleRate: 1, values: [1] }), { from: 5, to: 9 })`, `throw new Error('not reached')`]);
    const before = readFileSync(file, 'utf8');
    const { code, err } = await run('run', file);
    expect(code).toBe(1);
    expect(err).toMatch(/a\.ipynb, cell 3: InputError: slice: window\.from/);
    expect(readFileSync(file, 'utf8')).toBe(before);
  });

  it('writes what it has into another folder, also where a cell fails', async () => {
    const file = put('a.ipynb', ['1', `throw new Error('on purpose')`, '3']);
    expect((await run('run', file, '--out', join(dir, 'out'))).code).toBe(1);
    expect(texts(join(dir, 'out', 'a.ipynb'))).toEqual([['1'], ['Error: on purpose'], []]);
  });

  it('goes on after a cell that may fail', async () => {
    const file = put('a.ipynb', [{ code: 'nothing.of.that', tags: ['raises-exception'] }, '2']);
    expect((await run('run', file)).code).toBe(0);
    expect(texts(file)).toEqual([[`CompileError: Cannot find name 'nothing'.`], ['2']]);
  });

  it('names a notebook that ends its process', async () => {
    const { code, err } = await run('run', put('a.ipynb', [`process.kill(process.pid, 'SIGKILL')`]));
    expect(code).toBe(1);
    expect(err).toContain('SIGKILL');
  });
  it('stops at a cell that would end the process, and says which', async () => {
    const { code, err } = await run('run', put('a.ipynb', ['process.exit(0)']));
    expect(code).toBe(1);
    expect(err).toMatch(/cell 1: Error: process\.exit would end the notebook/);
  });

  it('checks outputs against those that stand there', async () => {
    const file = put('a.ipynb', ['1 + 1']);
    await run('run', file);
    expect((await run('run', file, '--check')).code).toBe(0);
    writeFileSync(file, readFileSync(file, 'utf8').replace('"2"', '"3"'));
    const { code, err } = await run('run', file, '--check');
    expect(code).toBe(1);
    expect(err).toContain('cell 1 gives other text than stands in the notebook\n  then: 3\n  now:  2');
  });

  it('writes pages for reading that stand alone and lead from one to the next', async () => {
    const files = [put('01.ipynb', [{ md: '# One\n\nSome *prose* & <signs>.' }, 'plotHistory(makeChannel({ name: "torque", unit: "N·m", sampleRate: 10, values: [1, 2, 3] }))']), put('02.ipynb', [{ md: '# Two' }, '"text"', 'atWidth(mm(85), () => plotHistory(makeChannel({ name: "torque", unit: "N·m", sampleRate: 10, values: [1, 2, 3] })))'])];
    expect((await run('run', ...files, '--out', join(dir, 'out'), '--html')).code).toBe(0);
    const [first, second] = ['01.html', '02.html'].map((name) => readFileSync(join(dir, 'out', name), 'utf8'));
    expect(first).toContain('<title>One</title>');
    expect(first).toMatch(/<figure><svg/);
    expect(second).toMatch(/<figure class="column"><svg/);
    expect(first).toContain('<a class="next" href="02.html">Two →</a>');
    expect(second).toContain('<a href="01.html">← One</a>');
    expect(first! + second!).not.toMatch(/<script|(?:src|href)="https?:/);
  });

  const chromium = '/usr/bin/chromium';
  it.skipIf(!existsSync(chromium))('writes pages that a browser opens without a complaint (skips without Chromium)', async () => {
    const file = put('01.ipynb', [{ md: '# One' }, 'const t = makeChannel({ name: "torque", unit: "N·m", sampleRate: 10, values: [1, 2, 3] }); t', 'plotHistory(t)']);
    await run('run', file, '--html');
    const { stderr, stdout } = spawnSync(chromium, ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--enable-logging=stderr', `--user-data-dir=${join(dir, 'profile')}`, '--dump-dom', `file://${join(dir, '01.html')}`], { encoding: 'utf8', timeout: 60_000 });
    expect(stdout.match(/<svg/g)).toHaveLength(2);
    expect(stderr).not.toMatch(/CONSOLE/);
  });

  it.each([
    ['none', { }, /no such file/],
    ['text', 'hello', /which is JSON/],
    ['old', { nbformat: 3, worksheets: [] }, /a notebook of format 4/],
  ])('refuses a file that is no notebook: %s', async (name, content, message) => {
    const file = join(dir, `${name}.ipynb`);
    if (name !== 'none') writeFileSync(file, typeof content === 'string' ? content : JSON.stringify(content));
    const { code, err } = await run('run', file);
    expect(code).toBe(1);
    expect(err).toMatch(message);
  });

  it.skipIf(!existsSync('/proc/self'))('refuses a place that lets nobody write before a cell runs (skipped where there is none)', async () => {
    const file = put('01.ipynb', ['1']);
    const { code, err } = await run('run', file, '--out', '/proc/nowhere/a');
    expect(code).toBe(1);
    expect(err).toBe('notebooks run: folder must be a place that can be written, got /proc/nowhere/a (ENOENT). Choose another folder with --out.');
  });

  it.each([[[]], [['run']], [['walk', 'x']], [['run', 'x', '--check', '--html']], [['run', 'x', '--quick']]])('refuses %j with the usage', async (args) => {
    const { code, err } = await run(...args);
    expect(code).toBe(2);
    expect(err).toContain('Usage: quillshaft notebooks');
  });
});
