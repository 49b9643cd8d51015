import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { joined, readNotebook } from '../../src/kernel/notebook.js';
import { differences } from '../../src/kernel/runNotebooksCommand.js';
import { runNotebook } from '../../src/kernel/runNotebook.js';
import { needDist, root } from './dist.js';

const folder = join(root, 'notebooks');
const names = readdirSync(folder).filter((name) => name.endsWith('.ipynb')).sort();

beforeAll(needDist);

describe('the notebooks', () => {
  it.each(names)('%s gives the text that stands in it', async (name) => {
    const file = join(folder, name);
    const before = readNotebook(file);
    const { notebook, failed } = await runNotebook(before, file);
    expect(failed).toBeNull();
    expect(differences(before, notebook)).toEqual([]);
  });

  it.each(names)('%s is short, has prose, and is small', (name) => {
    const file = join(folder, name);
    const { cells } = readNotebook(file);
    expect(cells.length).toBeLessThanOrEqual(15);
    expect(joined(cells[0]!.source)).toMatch(/^# /);
    expect(cells.filter((cell) => cell.cell_type === 'markdown').length).toBeGreaterThan(cells.length / 4);
    expect(statSync(file).size).toBeLessThan(1_000_000);
  });
});
