import { powerOfTen, readable } from './axes.js';
import type { Spec } from './Figure.js';
import { isNarrow } from './page.js';
import { ramp } from './theme.js';

/** Values over a rectangle: one column for each interval of x, one row for each of y. */
export interface Grid {
  /** Edges, one more than columns and rows. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** values[column · rows + row]; NaN where nothing is known. */
  readonly values: Float64Array;
}

/**
 * The greatest value of every field of a coarser grid, so that no line is lost. Points are given one by one with the interval they cover in x and
 * the place they have in y.
 */
export class GridMaker {
  readonly #grid: Grid;

  constructor(x: readonly number[], columns: number, y: readonly number[], rows: number) {
    const edges = ([low, high]: readonly number[], n: number): Float64Array => Float64Array.from({ length: n + 1 }, (_, i) => low! + ((high! - low!) * i) / n);
    this.#grid = { x: edges(x, columns), y: edges(y, rows), values: new Float64Array(columns * rows).fill(NaN) };
  }

  /** Puts a value over from … to of x at y. */
  put(from: number, to: number, y: number, value: number): void {
    const { x, y: yEdges, values } = this.#grid;
    const columns = x.length - 1;
    const rows = yEdges.length - 1;
    const row = Math.min(rows - 1, Math.floor(((y - yEdges[0]!) / (yEdges[rows]! - yEdges[0]!)) * rows));
    if (!(row >= 0) || y > yEdges[rows]!) return;
    const place = (v: number): number => ((v - x[0]!) / (x[columns]! - x[0]!)) * columns;
    const first = Math.max(0, Math.floor(place(from) + 1e-9));
    const last = Math.min(columns - 1, Math.ceil(place(to) - 1e-9) - 1);
    for (let c = first; c <= Math.max(first, last) && c < columns; c++) {
      const k = c * rows + row;
      if (!(values[k]! >= value)) values[k] = value;
    }
  }

  /** The grid as it stands. */
  grid(): Grid {
    return this.#grid;
  }
}

/**
 * A layer of fields coloured by classes of equal ratio, light to dark, for values over a wide range above 0. Neighbours of one class in a row are drawn as one
 * field. Values under the lowest class, about the share `hidden` of them (half, for noise), stay white. `title` names quantity and unit above the legend.
 */
export function heatLayer({ x, y, values }: Grid, xChannel: Spec, yChannel: Spec, title: string, hidden = 0.5): Spec {
  const classes = classesOf(values, hidden);
  const rows = y.length - 1;
  const columns = x.length - 1;
  const fields: object[] = [];
  for (let r = 0; r < rows; r++) {
    let from = 0;
    for (let c = 1; c <= columns; c++) {
      const level = classes.of(values[from * rows + r]!);
      if (c < columns && classes.of(values[c * rows + r]!) === level) continue;
      if (level >= 0) fields.push({ x: x[from]!, x2: x[c]!, y: y[r]!, y2: y[r + 1]!, level: classes.names[level] });
      from = c;
    }
  }
  const shade = {
    field: 'level', type: 'nominal', scale: { domain: [...classes.names].reverse(), range: [...classes.colours].reverse() },
    legend: isNarrow() ? { title, columns: 3, symbolType: 'square', symbolSize: 150 } : { title: title.length > 12 ? title.split(/ (?=\/)/) : title, orient: 'right', direction: 'vertical', symbolType: 'square', symbolSize: 150 },
  };
  return {
    data: { values: fields },
    mark: { type: 'rect', aria: false, strokeWidth: 0.8 },
    encoding: { x: { ...xChannel, field: 'x' }, x2: { field: 'x2' }, y: { ...yChannel, field: 'y' }, y2: { field: 'y2' }, color: shade, stroke: shade },
  };
}

interface Classes {
  readonly names: readonly string[];
  readonly colours: readonly string[];
  /** Class of a value; −1 for none. */
  of(value: number): number;
}

function classesOf(values: Float64Array, hidden: number): Classes {
  const known = Float64Array.from(values.filter((v) => v > 0)).sort();
  const top = known.at(-1) ?? 1;
  const low = Math.max(known[Math.floor(hidden * known.length)] ?? top / 10, top * 1e-8);
  const decades = Math.max(Math.log10(top / low), 0.3);
  const width = [0.1, 0.2, 0.5, 1, 2].find((w) => decades / w <= 9) ?? 2;
  const first = hidden > 0 ? Math.ceil(Math.log10(low) / width - 1e-9) : Math.floor(Math.log10(low) / width + 1e-9);
  const count = Math.max(2, Math.floor(Math.log10(top) / width + 1e-9) - first + 1);
  return {
    names: Array.from({ length: count }, (_, k) => `≥ ${Number.isInteger(width) ? powerOfTen((first + k) * width) : readable(10 ** ((first + k) * width), 2)}`),
    colours: Array.from({ length: count }, (_, k) => mixed(k / (count - 1))),
    of: (value) => (value > 0 ? Math.min(count - 1, Math.floor(Math.log10(value) / width + 1e-9) - first) : -1),
  };
}

/** A colour of the ramp, 0 to 1. */
function mixed(share: number): string {
  const place = share * (ramp.length - 1);
  const k = Math.min(ramp.length - 2, Math.floor(place));
  const part = (hex: string, i: number): number => parseInt(hex.slice(1 + 2 * i, 3 + 2 * i), 16);
  return `#${[0, 1, 2].map((i) => Math.round(part(ramp[k]!, i) + (place - k) * (part(ramp[k + 1]!, i) - part(ramp[k]!, i))).toString(16).padStart(2, '0')).join('')}`;
}
