import { inspect } from 'node:util';
import { escapeHtml } from '../report/html.js';

/** What a notebook stores of one value: a text or a JSON value per MIME type; `text/plain` is always there. */
export type Bundle = Readonly<Record<string, unknown>>;

const displayHook: unique symbol = Symbol.for('Jupyter.display') as never;

/** How many rows of a table a notebook shows. */
const shownRows = 20;

/**
 * The rich view of a value: what its `Symbol.for('Jupyter.display')` gives, an HTML table for Arquero tables, danfo data
 * frames and lists of plain objects of one shape, else the text a console would print.
 */
export function bundleOf(value: unknown): Bundle {
  const text = (): string => (typeof value === 'string' ? value : inspect(value, { maxArrayLength: 20, maxStringLength: 2000, breakLength: 100 }));
  if ((typeof value !== 'object' && typeof value !== 'function') || value === null) return { 'text/plain': text() };
  if (value instanceof Promise) return { 'text/plain': 'Promise: put await before it to see what it gives' };
  const hook = (value as { [displayHook]?: unknown })[displayHook];
  if (typeof hook === 'function') {
    const bundle = hook.call(value) as Bundle | null;
    if (bundle && typeof bundle === 'object') return 'text/plain' in bundle ? bundle : { ...bundle, 'text/plain': text() };
  }
  return tableBundle(value) ?? { 'text/plain': text() };
}

/** A column table, as Arquero's tables answer it. */
interface ColumnTable {
  numRows(): number;
  columnNames(): string[];
  get(name: string, row: number): unknown;
}

/** A data frame, as danfo's answer it. */
interface Frame {
  readonly columns: readonly string[];
  readonly shape: readonly [number, number];
  readonly index: readonly (string | number)[];
  iloc(where: { rows: string[] }): { readonly values: readonly (readonly unknown[])[] };
}

function tableBundle(value: object): Bundle | null {
  if (isColumnTable(value)) {
    const names = value.columnNames();
    const rows = Array.from({ length: Math.min(shownRows, value.numRows()) }, (_, i) => names.map((name) => value.get(name, i)));
    return tableView(names, rows, value.numRows(), 'Table');
  }
  if (isFrame(value)) {
    const shown = Math.min(shownRows, value.shape[0]);
    const rows = shown === 0 ? [] : value.iloc({ rows: [`0:${shown}`] }).values;
    return tableView(['', ...value.columns], rows.map((row, i) => [value.index[i], ...row]), value.shape[0], 'DataFrame');
  }
  if (isRowList(value)) {
    const names = Object.keys(value[0]!);
    return tableView(names, value.slice(0, shownRows).map((row) => names.map((name) => row[name])), value.length, '');
  }
  return null;
}

/** A list of plain objects of one shape that hold nothing but numbers, texts and truths. */
function isRowList(value: object): value is readonly Readonly<Record<string, unknown>>[] {
  if (!Array.isArray(value) || value.length === 0) return false;
  const isPlain = (row: unknown): row is object => typeof row === 'object' && row !== null && [Object.prototype, null].includes(Object.getPrototypeOf(row) as null);
  if (!value.every(isPlain)) return false;
  const names = Object.keys(value[0] as object);
  return names.length > 0 && value.every((row: object) => Object.keys(row).length === names.length && names.every((name) => name in row) && Object.values(row).every((cell) => typeof cell !== 'object' || cell === null));
}

function isColumnTable(value: object): value is ColumnTable {
  const table = value as Partial<ColumnTable>;
  return typeof table.numRows === 'function' && typeof table.columnNames === 'function' && typeof table.get === 'function';
}

function isFrame(value: object): value is Frame {
  const frame = value as Partial<Frame>;
  return Array.isArray(frame.columns) && Array.isArray(frame.shape) && Array.isArray(frame.index) && typeof frame.iloc === 'function';
}

function tableView(names: readonly string[], rows: readonly (readonly unknown[])[], total: number, kind: string): Bundle {
  const cells = rows.map((row) => row.map(cellText));
  const more = total > rows.length ? `… ${total - rows.length} more rows` : '';
  const size = `${kind === '' ? '' : `${kind}: `}${total} row${total === 1 ? '' : 's'} × ${names.filter((n) => n !== '').length} columns`;
  const widths = names.map((name, c) => Math.max(name.length, ...cells.map((row) => row[c]!.length)));
  const line = (row: readonly string[]): string => row.map((cell, c) => cell.padStart(widths[c]!)).join('  ').trimEnd();
  return {
    'text/plain': [size, line(names), ...cells.map(line), ...(more ? [more] : [])].join('\n'),
    'text/html': `${htmlTable(names, cells)}<p class="qs-more">${escapeHtml(more ? `${size}; ${more}` : size)}</p>`,
  };
}

/** A cell of a table: numbers to six digits, so that a column can be read. */
function cellText(value: unknown): string {
  if (typeof value === 'number') {
    if (Number.isInteger(value) || !Number.isFinite(value)) return String(value);
    return Math.abs(value) < 1e-3 || Math.abs(value) >= 1e9 ? value.toExponential(4) : String(Number(value.toPrecision(6)));
  }
  if (value === null || value === undefined) return '–';
  if (value instanceof Date) return value.toISOString();
  return typeof value === 'object' ? inspect(value, { breakLength: Infinity }) : String(value);
}

/** A plain HTML table from texts. */
export function htmlTable(names: readonly string[], rows: readonly (readonly string[])[]): string {
  const head = names.map((name) => `<th>${escapeHtml(name)}</th>`).join('');
  const body = rows.map((row) => `<tr>${row.map((cell) => `<td>${escapeHtml(cell)}</td>`).join('')}</tr>`).join('');
  return `<table class="qs-table"><thead><tr>${head}</tr></thead><tbody>${body}</tbody></table>`;
}
