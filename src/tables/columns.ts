/** A value in a cell. */
export type Cell = number | string | boolean | null;

/** One column: name, unit (null where it has none) and values. */
export interface TableColumn {
  readonly name: string;
  readonly unit: string | null;
  readonly values: Float64Array | readonly Cell[];
}

/** The tables of some kinds of result, by the kind and then by the name of the table; the first of a kind is the one that is given unasked. */
export type KindTables = Readonly<Record<string, Readonly<Record<string, (result: never) => readonly TableColumn[]>>>>;

/** A column of numbers with its unit. */
export function column(name: string, unit: string | null, values: Float64Array | readonly Cell[]): TableColumn {
  return { name, unit: unit === '1' ? null : unit, values };
}

/** Columns from rows of one shape, each key with its unit; cells that are no plain value are left out. */
export function columnsOfRows<R extends object>(rows: readonly R[], units: Readonly<Partial<Record<keyof R, string | null>>>): TableColumn[] {
  return (Object.keys(units) as (keyof R & string)[]).map((key) => column(key, units[key] ?? null, rows.map((row) => toCell(row[key]))));
}

function toCell(value: unknown): Cell {
  return typeof value === 'number' || typeof value === 'string' || typeof value === 'boolean' ? value : null;
}

/** The name of a column as it stands in a table: the unit in square brackets after it, as the reader of text files takes it too. */
export function headerOf({ name, unit }: TableColumn): string {
  return unit === null ? name : `${name} [${unit}]`;
}

/** Name and unit of a header; no brackets mean no unit. */
export function parseHeader(header: string): { readonly name: string; readonly unit: string | null } {
  const match = /^(.*?)\s*\[([^\]]*)\]$/.exec(header);
  return match ? { name: match[1]!, unit: match[2]! } : { name: header, unit: null };
}

/** 0, 1, 2, … divided by a rate. */
export function clock(samples: number, sampleRate: number): Float64Array {
  const time = new Float64Array(samples);
  for (let i = 0; i < samples; i++) time[i] = i / sampleRate;
  return time;
}
