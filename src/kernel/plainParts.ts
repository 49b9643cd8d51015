import { spaced, withPower } from '../fatigue/figures.js';
import { readable } from '../plot/axes.js';
import { columnsOf, tablesOf } from '../tables/toTable.js';
import { headerOf } from '../tables/columns.js';
import { htmlTable } from './bundle.js';
import type { CardParts } from './card.js';

/** What a card shows of a table: its first rows; a table of more rows than the second number is not for reading. */
const [shownRows, readableRows] = [12, 200];

/** The plain numbers and short texts of a result, and its numbers with an interval. */
export function factsOf(result: object): NonNullable<CardParts['facts']> {
  // `text` is the line of the card.
  return Object.entries(result).filter(([key]) => key !== 'text').flatMap(([key, value]) => {
    const text = typeof value === 'number' ? number(value) : isInterval(value) ? intervalText(value) : typeof value === 'string' && value.length <= 40 ? value : null;
    return text === null ? [] : [{ label: words(key), value: text }];
  }).slice(0, 12);
}

/** What a result says in words. */
export function notesOf(result: object): readonly string[] {
  const notes = (result as { notes?: unknown }).notes;
  return Array.isArray(notes) ? notes.filter((note): note is string => typeof note === 'string') : [];
}

/** The table that a result has first, as HTML with its units; null where it has none, or one of more rows than one can read. */
export function tableOf(result: object): string | null {
  if (tablesOf(result).length === 0) return null;
  const columns = columnsOf('view', result);
  const length = columns[0]?.values.length ?? 0;
  if (length === 0 || length > readableRows) return null;
  const rows = Array.from({ length: Math.min(length, shownRows) }, (_, i) => columns.map(({ values }) => cell(values[i] ?? null)));
  const more = length > shownRows ? `<div style="color:#5a636e">… and ${length - shownRows} more</div>` : '';
  return htmlTable(columns.map((column) => headerOf({ ...column, name: words(column.name) })), rows) + more;
}

/** A number as a card shows it: whole numbers as they are, others with five significant digits, very large and very small ones with a power of ten. */
export function number(value: number): string {
  if (!Number.isFinite(value)) return readable(value);
  const short = Number.isInteger(value) && Math.abs(value) < 1e9 ? value : Number(value.toPrecision(5));
  if (short === 0 || (Math.abs(short) >= 1e-4 && Math.abs(short) < 1e9)) return spaced(String(short).replace('-', '−'));
  return withPower(short.toExponential());
}

function cell(value: number | string | boolean | null): string {
  return typeof value === 'number' ? number(value) : String(value ?? '–');
}

interface Interval { readonly value?: number; readonly low: number; readonly high: number }

function isInterval(value: unknown): value is Interval {
  const { low, high } = (value ?? {}) as Partial<Interval>;
  return typeof low === 'number' && typeof high === 'number';
}

function intervalText({ value, low, high }: Interval): string {
  const range = `${number(low)} to ${number(high)}`;
  return value === undefined ? range : `${number(value)} (${range})`;
}

/** `degreesOfFreedom` as words. */
function words(name: string): string {
  return name.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`);
}
