import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readNotebook, textOutputs } from '../../src/kernel/notebook.js';
import { installSpec } from '../../src/kernel/spec.js';
import { needDist, root } from './dist.js';

const python = '/usr/bin/python3';
const there = spawnSync(python, ['-c', 'import jupyter_client, nbconvert, nbclient'], { stdio: 'ignore' }).status === 0;
const folder = join(root, 'notebooks');
const names = readdirSync(folder).filter((name) => name.endsWith('.ipynb')).sort();

let dir: string;
beforeAll(() => {
  dir = mkdtempSync(join(tmpdir(), 'jupyter-'));
  if (!there) return;
  needDist();
  installSpec(dir);
});
afterAll(() => { rmSync(dir, { recursive: true, force: true }); });

describe.skipIf(!there)('a real Jupyter client (skips without Debian\'s jupyter-client and jupyter-nbconvert)', () => {
  it.each(names)('runs %s on the kernel with the text outputs that stand in it', (name) => {
    const ran = spawnSync(python, ['-m', 'nbconvert', '--to', 'notebook', '--execute', '--ExecutePreprocessor.kernel_name=quillshaft', '--ExecutePreprocessor.timeout=120', '--output-dir', dir, name], {
      cwd: folder, encoding: 'utf8', env: { ...process.env, JUPYTER_PATH: dir },
    });
    expect(ran.status, ran.stderr).toBe(0);
    const outputs = (file: string): string[][] => readNotebook(file).cells.map(textOutputs);
    expect(outputs(join(dir, name))).toEqual(outputs(join(folder, name)));
    expect(readFileSync(join(dir, name), 'utf8').length).toBeGreaterThan(1000);
  });
});
