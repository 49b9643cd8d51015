import { randomBytes } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { FormatError } from '../record/errors.js';

/** Text in a notebook: one string, or lines that are joined as they are. */
export type NotebookText = string | readonly string[];

/** One output of a code cell (nbformat 4). */
export type NotebookOutput =
  | { readonly output_type: 'stream'; readonly name: 'stdout' | 'stderr'; text: NotebookText }
  | { readonly output_type: 'display_data'; data: Readonly<Record<string, unknown>>; readonly metadata: object }
  | { readonly output_type: 'execute_result'; readonly data: Readonly<Record<string, unknown>>; readonly metadata: object; readonly execution_count: number }
  | { readonly output_type: 'error'; readonly ename: string; readonly evalue: string; readonly traceback: readonly string[] };

/** A cell of a notebook (nbformat 4.5). */
export interface NotebookCell {
  readonly id: string;
  readonly cell_type: 'code' | 'markdown' | 'raw';
  readonly metadata: Readonly<Record<string, unknown>>;
  readonly source: NotebookText;
  readonly outputs?: readonly NotebookOutput[];
  readonly execution_count?: number | null;
}

/** A notebook (nbformat 4.5). */
export interface Notebook {
  readonly nbformat: 4;
  readonly nbformat_minor: number;
  readonly metadata: Readonly<Record<string, unknown>>;
  readonly cells: readonly NotebookCell[];
}

/** Notebook text as one string. */
export function joined(text: NotebookText): string {
  return typeof text === 'string' ? text : text.join('');
}

/** Notebook text as lines that keep their ends, as Jupyter writes them. */
export function lined(text: string): string[] {
  return text === '' ? [] : text.split(/(?<=\n)/);
}

/** Reads a notebook of format 4; cells of an older minor format get ids. @throws FormatError for a file that is none */
export function readNotebook(file: string): Notebook {
  let data: Partial<Notebook>;
  try {
    data = JSON.parse(readFileSync(file, 'utf8')) as Partial<Notebook>;
  } catch (error) {
    if ((error as { code?: string }).code === 'ENOENT') throw new FormatError({ file, found: 'no such file', expected: 'a notebook' });
    throw new FormatError({ file, found: (error as Error).message, expected: 'a notebook, which is JSON' });
  }
  if (data === null || typeof data !== 'object' || data.nbformat !== 4 || !Array.isArray(data.cells)) {
    throw new FormatError({ file, found: `nbformat ${String(data?.nbformat ?? 'not stated')}`, expected: 'a notebook of format 4', remedy: 'Open and save it in a current Jupyter to convert it.' });
  }
  const seen = new Set<string>();
  const cells = (data.cells as NotebookCell[]).map((cell) => {
    const id = typeof cell.id === 'string' && /^[\w-]{1,64}$/.test(cell.id) && !seen.has(cell.id) ? cell.id : randomBytes(4).toString('hex');
    seen.add(id);
    return { ...cell, id, metadata: cell.metadata ?? {} };
  });
  return { ...(data as Notebook), nbformat_minor: 5, cells };
}

/** A notebook as the text of its file, in Jupyter's own layout. */
export function notebookText(notebook: Notebook): string {
  const cells = notebook.cells.map((cell) => {
    const { id, cell_type, metadata, source } = cell;
    const common = { cell_type, id, metadata, source: lined(joined(source)) };
    if (cell_type !== 'code') return common;
    return { cell_type, execution_count: cell.execution_count ?? null, id, metadata, outputs: (cell.outputs ?? []).map(layOut), source: common.source };
  });
  const metadata = {
    ...notebook.metadata,
    kernelspec: { display_name: 'Quillshaft (TypeScript)', language: 'typescript', name: 'quillshaft' },
    language_info: { file_extension: '.ts', mimetype: 'text/typescript', name: 'typescript', version: '5.0.4' },
  };
  return `${packed(JSON.stringify({ cells, metadata, nbformat: 4, nbformat_minor: 5 }, null, 1))}\n`;
}

/** Figures as data take a line for each number when they are indented; they go on one line instead. */
function packed(text: string): string {
  return text.replace(/^( *)"application\/[\w.]+\+json": \{\n[\s\S]*?\n\1\}/gm, (value) => {
    const at = value.indexOf('{');
    return value.slice(0, at) + JSON.stringify(JSON.parse(value.slice(at)));
  });
}

function layOut(output: NotebookOutput): object {
  if (output.output_type === 'stream') return { name: output.name, output_type: output.output_type, text: lined(joined(output.text)) };
  if (output.output_type === 'error') return output;
  const data = Object.fromEntries(Object.entries(output.data).map(([mime, value]) => [mime, typeof value === 'string' && !/^image\/(?!svg)/.test(mime) ? lined(value) : value]));
  return { ...output, data };
}

/** What a reader of plain text sees of a cell: what it printed, the plain view of its results, its error. */
export function textOutputs(cell: NotebookCell): string[] {
  const texts: string[] = [];
  let lastStream = '';
  for (const output of cell.outputs ?? []) {
    if (output.output_type === 'stream') {
      if (lastStream === output.name) texts[texts.length - 1] += joined(output.text);
      else texts.push(joined(output.text));
    } else if (output.output_type === 'error') texts.push(`${output.ename}: ${output.evalue}`);
    else texts.push(joined((output.data['text/plain'] ?? '') as NotebookText));
    lastStream = output.output_type === 'stream' ? output.name : '';
  }
  return texts;
}
