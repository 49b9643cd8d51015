import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import * as quillshaft from '../src/index.js';

/**
 * Runs every @example of every docstring. A line `expression // => value` states what the expression gives, as JSON;
 * a number is compared to the digits written; `// => throws text` states an error whose message contains the text.
 * All exports of the library, and of the file itself, are in scope by name. An `@example` that needs files or a display says `(not run: why)` on its first line.
 */
const src = new URL('../src', import.meta.url).pathname;
const files = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter((f) => f.endsWith('.ts'));

interface Example { readonly file: string; readonly place: string; readonly code: string }

function examplesOf(file: string): Example[] {
  const text = readFileSync(join(src, file), 'utf8');
  const found: Example[] = [];
  for (const comment of text.matchAll(/\/\*\*[\s\S]*?\*\//g)) {
    const lines = comment[0].replace(/^\/\*\*|\*\/$/g, '').split('\n').map((l) => l.replace(/^\s*\* ?/, ''));
    const body = lines.join('\n');
    for (const match of body.matchAll(/@example\b([\s\S]*?)(?=\n\s*@[a-z]+|$)/g)) {
      const line = text.slice(0, comment.index).split('\n').length;
      found.push({ file, place: `${relative('.', file)}:${line}`, code: match[1]!.replace(/^```\w*$/gm, '').trim() });
    }
  }
  return found;
}

function agrees(actual: unknown, text: string): boolean {
  if (typeof actual === 'number' && /^[-+]?[\d.]+(e[-+]?\d+)?$/i.test(text)) {
    const [mantissa, exponent] = text.toLowerCase().split('e');
    const decimals = (mantissa!.split('.')[1] ?? '').length;
    return Math.abs(actual - Number(text)) <= 0.5000001 * 10 ** (Number(exponent ?? 0) - decimals);
  }
  if (text === 'undefined') return actual === undefined;
  const plain = ArrayBuffer.isView(actual) ? Array.from(actual as unknown as ArrayLike<number>) : actual;
  return JSON.stringify(plain) === JSON.stringify(JSON.parse(text));
}

/** Line by line, so that each statement sees the ones before it. */
async function run({ code, file }: Example): Promise<number> {
  let checks = 0;
  const body = code.split('\n').map((line) => {
    const match = /^(.*?)\s*\/\/ => (.*)$/.exec(line);
    if (!match) return line;
    checks++;
    const expression = match[1]!.trim().replace(/;$/, '');
    const asked = JSON.stringify(match[2]!.trim());
    return match[2]!.startsWith('throws ') ? `await __throws(() => (${expression}), ${asked});` : `__check(await (${expression}), ${asked});`;
  });
  // An expectation on a line of its own belongs to the statement before it.
  for (let i = 0; i < body.length; i++) {
    const own = /^__check\(await \(\), (.*)\);$/.exec(body[i]!) ?? /^await __throws\(\(\) => \(\), (.*)\);$/.exec(body[i]!);
    if (own && i > 0) {
      const before = body[i - 1]!.trim().replace(/;$/, '');
      body[i - 1] = '';
      body[i] = body[i]!.startsWith('await') ? `await __throws(() => (${before}), ${own[1]});` : `__check(await (${before}), ${own[1]});`;
    }
  }
  const js = ts.transpileModule(`export {};\n${body.join('\n')}`, { compilerOptions: { target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.ESNext } }).outputText.replace(/^export \{\};?$/gm, '');
  const scope: Record<string, unknown> = {
    ...quillshaft,
    ...((await import(join(src, file))) as Record<string, unknown>),
    __check: (actual: unknown, text: string) => {
      if (!agrees(actual, text)) expect.fail(`gives ${typeof actual === 'number' ? actual : JSON.stringify(ArrayBuffer.isView(actual) ? Array.from(actual as unknown as ArrayLike<number>) : actual)}, the docstring says ${text}`);
    },
    __throws: async (call: () => unknown, text: string) => {
      await expect(async () => call()).rejects.toThrow(text.replace(/^throws /, ''));
    },
  };
  const AsyncFunction = (async () => {}).constructor as new (...args: string[]) => (...args: unknown[]) => Promise<void>;
  await new AsyncFunction(...Object.keys(scope), js)(...Object.values(scope));
  return checks;
}

describe('docstring examples', () => {
  const all = files.flatMap(examplesOf);
  const runnable = all.filter((e) => !e.code.startsWith('(not run'));
  it.each(runnable)('$place gives what it says', async (example) => {
    expect(await run(example), 'the example states no result with // =>').toBeGreaterThan(0);
  });
});
