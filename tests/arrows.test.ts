import { readdirSync, readFileSync } from 'node:fs';
import { join, relative, dirname, sep } from 'node:path';
import { describe, expect, it } from 'vitest';

const src = new URL('../src', import.meta.url).pathname;

/** Which folders each folder may import from, besides itself. */
const middle = ['import', 'gauge', 'clean', 'filter', 'spectrum', 'count'];
const core = ['numeric', 'record'];
const allowed: Record<string, readonly string[]> = {
  numeric: [],
  record: ['numeric'],
  import: core,
  gauge: core,
  clean: [...core, 'gauge'],
  filter: core,
  spectrum: [...core, 'filter', 'clean'],
  count: [...core, 'filter', 'import'],
  fatigue: [...core, ...middle],
  tables: [...core, ...middle, 'fatigue'],
  plot: [...core, ...middle, 'fatigue', 'tables'],
  report: [...core, ...middle, 'fatigue', 'tables', 'plot'],
  kernel: [...core, ...middle, 'fatigue', 'tables', 'plot', 'report'],
  cli: [...core, ...middle, 'fatigue', 'tables', 'plot', 'report', 'kernel'],
};

const files = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter((f) => f.endsWith('.ts')).map((f) => join(src, f));

describe('arrows between the folders', () => {
  it('point one way', () => {
    const wrong: string[] = [];
    for (const file of files) {
      const folder = relative(src, file).split(sep)[0]!;
      if (folder === 'index.ts') continue;
      for (const [, target] of readFileSync(file, 'utf8').matchAll(/(?:from|import)\s*\(?\s*'(\.[^']+)'/g)) {
        const to = relative(src, join(dirname(file), target!)).split(sep)[0]!;
        const entryOnly = to === 'index.js' && (folder === 'kernel' || folder === 'cli');
        if (to !== folder && !entryOnly && !(allowed[folder] ?? []).includes(to)) wrong.push(`${relative(src, file)} → ${to}`);
      }
    }
    expect(wrong).toEqual([]);
    expect(files.length).toBeGreaterThan(10);
  });
});
