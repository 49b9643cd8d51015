import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import * as quillshaft from '../src/index.js';

const readme = readFileSync(new URL('../README.md', import.meta.url), 'utf8');

describe('README', () => {
  it('holds a program that runs and prints a life', async () => {
    const code = /```ts\n([\s\S]*?)```/.exec(readme)![1]!;
    const names = /import \{([^}]+)\} from 'quillshaft'/.exec(code)![1]!.split(',').map((n) => n.trim());
    const js = ts.transpileModule(code.replace(/^import .*$/m, ''), { compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext } }).outputText;
    const printed: unknown[] = [];
    const AsyncFunction = (async () => {}).constructor as new (...args: string[]) => (...args: unknown[]) => Promise<void>;
    const library = quillshaft as unknown as Record<string, unknown>;
    for (const name of names) expect(library[name], name).toBeDefined();
    await new AsyncFunction(...names, 'console', js)(...names.map((n) => library[n]), { log: (x: unknown) => printed.push(x) });
    expect(printed.length).toBe(1);
    expect(printed[0]).toMatch(/^\d[\d\u202f]* h$/);
    expect(code.trim().split('\n').filter((line) => line !== '').length).toBeLessThanOrEqual(11);
  });
  it('names the command that runs the tests', () => {
    expect(readme).toContain('npm ci && npm test');
    expect(JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8')).scripts.test).toContain('vitest run');
  });
});
