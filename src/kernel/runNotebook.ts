import { fork } from 'node:child_process';
import { dirname, join, resolve } from 'node:path';
import { joined, type Notebook, type NotebookCell } from './notebook.js';
import type { RunEvent, RunRequest } from './runCells.js';
import { packageDir } from './scope.js';

/** What came of running a notebook. */
export interface NotebookRun {
  /** The notebook with its new outputs; cells after a failed one have none. */
  readonly notebook: Notebook;
  /** The cell that failed: its number among all cells (from 1) and what it said; null where none did. */
  readonly failed: { readonly cell: number; readonly message: string } | null;
  readonly seconds: number;
}

/** Told of every code cell that has run: how many of how many. */
export type RunProgress = (done: number, total: number) => void;

/**
 * Runs a notebook in a Node process of its own, in the notebook's folder, without Jupyter. Stops at the first cell that
 * fails, unless the cell carries the tag `raises-exception`, as it is done in Jupyter.
 *
 * @param notebook as readNotebook gives it
 * @param file where it lies; relative paths in cells count from there
 */
export async function runNotebook(notebook: Notebook, file: string, progress: RunProgress = () => undefined): Promise<NotebookRun> {
  const began = performance.now();
  const code = notebook.cells.filter((cell) => cell.cell_type === 'code');
  const request: RunRequest = { cells: code.map((cell) => ({ id: cell.id, source: joined(cell.source), mayFail: mayFail(cell) })) };
  const results = new Map<string, Extract<RunEvent, { type: 'cell' }>>();
  await inChild(request, dirname(resolve(file)), (event) => {
    if (event.type !== 'cell') return;
    results.set(event.id, event);
    progress(results.size, code.length);
  });
  const cells = notebook.cells.map((cell): NotebookCell => {
    if (cell.cell_type !== 'code') return cell;
    const result = results.get(cell.id);
    return { ...cell, outputs: result?.outputs ?? [], execution_count: result && joined(cell.source).trim() !== '' ? result.count : null };
  });
  const at = notebook.cells.findIndex((cell) => results.get(cell.id)?.failed && !mayFail(cell));
  const failed = at < 0 ? null : { cell: at + 1, message: results.get(notebook.cells[at]!.id)!.failed!.message };
  return { notebook: { ...notebook, cells }, failed, seconds: (performance.now() - began) / 1000 };
}

function mayFail(cell: NotebookCell): boolean {
  const tags = cell.metadata['tags'];
  return Array.isArray(tags) && tags.includes('raises-exception');
}

function inChild(request: RunRequest, cwd: string, hear: (event: RunEvent) => void): Promise<void> {
  const child = fork(join(packageDir, 'dist', 'kernel', 'runCells.js'), {
    cwd, execArgv: ['--disable-warning=ExperimentalWarning'], stdio: ['ignore', 'ignore', 'pipe', 'ipc'], serialization: 'json',
  });
  let complaints = '';
  let ended = false;
  child.stderr!.on('data', (text: Buffer) => { complaints += text.toString(); });
  return new Promise((done, fail) => {
    child.on('message', (event) => {
      if ((event as RunEvent).type === 'end') ended = true;
      hear(event as RunEvent);
    });
    child.on('error', fail);
    child.on('exit', (code, signal) => {
      if (ended && code === 0) done();
      else fail(new Error(`the process that ran the notebook ended early (${signal ?? `exit code ${code}`})${complaints ? `: ${complaints.trim().split('\n').slice(-3).join(' ')}` : ''}`));
    });
    child.send(request);
  });
}
