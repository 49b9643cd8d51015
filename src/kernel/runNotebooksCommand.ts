import { renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { parseArgs } from 'node:util';
import type { CommandIo } from '../report/io.js';
import { checkPlace, makeFolder } from '../report/makeFolder.js';
import { notebookText, readNotebook, textOutputs, type Notebook } from './notebook.js';
import { notebookPage, notebookTitle } from './page.js';
import { runNotebook } from './runNotebook.js';

const usage = `Usage: quillshaft notebooks run FILES… [--out DIR] [--html] [--check]
  Runs notebooks in Node, without Jupyter, and writes their outputs into them; stops at the first cell that fails.
  --out DIR   write the notebooks with their outputs into DIR and leave the originals as they are
  --html      also write each as an HTML page for reading, beside the notebook
  --check     write nothing; compare the text outputs with those that stand in the notebooks`;

interface RunOptions {
  readonly out: string | undefined;
  readonly html: boolean;
  readonly check: boolean;
}

/**
 * Runs `quillshaft notebooks …`.
 *
 * @param args the words after `notebooks`
 * @returns the exit code: 0, 1 where a cell failed or an output differs, 2 for usage
 */
export async function runNotebooksCommand(args: readonly string[], io: CommandIo): Promise<number> {
  let parsed;
  try {
    parsed = parseArgs({ args: [...args], allowPositionals: true, options: { out: { type: 'string' }, html: { type: 'boolean' }, check: { type: 'boolean' }, help: { type: 'boolean', short: 'h' } } });
  } catch (error) {
    return misuse(io, (error as Error).message);
  }
  const { values, positionals: [verb, ...files] } = parsed;
  if (values.help) {
    io.out(usage);
    return 0;
  }
  if (verb !== 'run') return misuse(io, verb === undefined ? 'Say what to do.' : `There is no '${verb}'.`);
  if (files.length === 0) return misuse(io, 'Name at least one notebook.');
  if (values.check && (values.out !== undefined || values.html)) return misuse(io, '--check writes nothing, so it goes without --out and --html.');
  try {
    return await runAll(files, { out: values.out, html: values.html ?? false, check: values.check ?? false }, io);
  } catch (error) {
    io.err((error as Error).message);
    return 1;
  }
}

async function runAll(files: readonly string[], options: RunOptions, io: CommandIo): Promise<number> {
  const notebooks = files.map((file) => ({ file, before: readNotebook(file) }));
  if (!options.check) for (const file of files) checkPlace('notebooks run', options.out ?? dirname(file));
  const pages = notebooks.map(({ file, before }) => ({ href: pageName(file), title: notebookTitle(before, basename(file, '.ipynb')) }));
  for (const [k, { file, before }] of notebooks.entries()) {
    const { notebook, failed, seconds } = await runNotebook(before, file, (done, total) => io.progress(`${file}: cell ${done} of ${total}`));
    io.progress('');
    if (!options.check && (!failed || options.out !== undefined)) {
      const target = options.out === undefined ? file : join(options.out, basename(file));
      writeWhole(target, notebookText(notebook));
      if (options.html) writeWhole(join(dirname(target), pageName(file)), notebookPage(notebook, basename(file, '.ipynb'), { before: pages[k - 1], after: pages[k + 1] }));
    }
    if (failed) {
      io.err(`${file}, cell ${failed.cell}: ${failed.message}`);
      return 1;
    }
    const differing = options.check ? differences(before, notebook) : [];
    if (differing.length > 0) {
      io.err(`${file}: ${differing.join('\n')}`);
      return 1;
    }
    io.out(`${file}: ${notebook.cells.filter((cell) => cell.cell_type === 'code').length} code cells in ${seconds.toFixed(1)} s${options.check ? ', outputs as they stand' : ''}`);
  }
  return 0;
}

/** Where the text outputs of two runs of a notebook differ, a sentence each. */
export function differences(before: Notebook, after: Notebook): string[] {
  return before.cells.flatMap((cell, k) => {
    if (cell.cell_type !== 'code') return [];
    const [old, fresh] = [textOutputs(cell).join('\n'), textOutputs(after.cells[k]!).join('\n')];
    return old === fresh ? [] : [`cell ${k + 1} gives other text than stands in the notebook\n  then: ${old}\n  now:  ${fresh}`];
  });
}

function pageName(file: string): string {
  return `${basename(file, '.ipynb')}.html`;
}

/** Writes a file whole or not at all. */
function writeWhole(file: string, text: string): void {
  makeFolder(dirname(file));
  const fresh = `${file}.${process.pid}.tmp`;
  try {
    writeFileSync(fresh, text);
    renameSync(fresh, file);
  } finally {
    rmSync(fresh, { force: true });
  }
}

function misuse(io: CommandIo, what: string): number {
  io.err(`${what}\n${usage}`);
  return 2;
}
