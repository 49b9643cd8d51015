import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { runCli } from '../../src/cli/runCli.js';
import { describeFile } from '../../src/import/readRecording.js';

vi.mock('../../src/import/readRecording.js', { spy: true });

const folder = mkdtempSync(join(tmpdir(), 'quillshaft-own-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const file = join(folder, 'run.csv');
writeFileSync(file, 'time (s),torque (N·m)\n0,1\n1,2\n2,3\n3,1\n');

async function run(...args: string[]): Promise<{ code: number; out: string; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runCli(args, { out: (t) => out.push(t), err: (t) => err.push(t), progress: () => {} });
  return { code, out: out.join('\n'), err: err.join('\n') };
}

describe('an error that nobody foresaw', () => {
  beforeEach(() => { vi.mocked(describeFile).mockReset(); });

  it('is one sentence that says it is ours, with an exit code of its own', async () => {
    vi.mocked(describeFile).mockRejectedValueOnce(new TypeError("Cannot read properties of undefined (reading 'x')"));
    const { code, out, err } = await run('inspect', file);
    expect(code).toBe(70);
    expect(out).toBe('');
    expect(err).toBe("quillshaft: a fault of Quillshaft's own, not of what was given: TypeError: Cannot read properties of undefined (reading 'x'). The same command with --trace says where.");
  });

  it('shows the calls that led to it where they are asked for, before the command or after it', async () => {
    for (const args of [['inspect', file, '--trace'], ['--trace', 'inspect', file]]) {
      vi.mocked(describeFile).mockRejectedValueOnce(new TypeError('broken'));
      const { code, err } = await run(...args);
      expect(code).toBe(70);
      expect(err).toMatch(/TypeError: broken\.\nTypeError: broken\n\s+at .*ownFault\.test/);
    }
  });

  it('may be anything that is thrown', async () => {
    vi.mocked(describeFile).mockRejectedValueOnce('a bare text');
    expect(await run('inspect', file)).toMatchObject({ code: 70, err: expect.stringContaining('a bare text. The same command') as string });
  });
});

describe('an error of the system', () => {
  it('is a matter of the input: its sentence, and no talk of faults', async () => {
    const full = Object.assign(new Error("ENOSPC: no space left on device, write"), { code: 'ENOSPC', syscall: 'write' });
    vi.mocked(describeFile).mockRejectedValueOnce(full);
    expect(await run('inspect', file)).toEqual({ code: 1, out: '', err: 'quillshaft: ENOSPC: no space left on device, write' });
  });
});

describe('the option --trace', () => {
  it('changes nothing where nothing is wrong, or where something in the input is', async () => {
    const plain = await run('inspect', file);
    expect(plain.code).toBe(0);
    expect(await run('inspect', file, '--trace')).toEqual(plain);
    const missing = await run('inspect', join(folder, 'none.csv'));
    expect(missing.code).toBe(1);
    expect(await run('inspect', join(folder, 'none.csv'), '--trace')).toEqual(missing);
  });
});
