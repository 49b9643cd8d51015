import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { FromToHistogram } from './CycleCount.js';

/** Class edges: listed and rising, or `classes` equal ones over from … to. Class k holds edges[k] ≤ value < edges[k + 1]; the last one holds its upper edge too. */
export type ClassEdges = ArrayLike<number> | { readonly from: number; readonly to: number; readonly classes: number };

/** The edges as an array. @throws InputError for fewer than two, or edges that do not rise */
export function listEdges(where: string, argument: string, edges: ClassEdges): Float64Array {
  if (typeof edges !== 'object' || edges === null) throw new InputError({ where, argument, expected: 'a list of rising class edges, or { from, to, classes }', given: show(edges) });
  if ('classes' in edges) {
    const { from, to, classes } = edges;
    checkNumber(where, `${argument}.from`, from);
    checkNumber(where, `${argument}.to`, to, { above: from });
    checkNumber(where, `${argument}.classes`, classes, { integer: true, min: 1, max: 4096 });
    return settleEdges(Float64Array.from({ length: classes + 1 }, (_, k) => (k === classes ? to : from + (k * (to - from)) / classes)));
  }
  if (!(edges.length >= 2 && edges.length <= 4097)) throw new InputError({ where, argument, expected: 'between 2 and 4097 class edges', given: `${edges.length}` });
  const list = Float64Array.from(edges);
  for (let k = 0; k < list.length; k++) {
    checkNumber(where, `${argument}[${k}]`, list[k], k > 0 ? { above: list[k - 1]! } : {});
  }
  return list;
}

/** Finds the class of a value: −1 below the first edge, `classes` above the last. */
export type Classifier = (value: number) => number;

/** A classifier for edges; for equal classes it computes the class, otherwise it searches. */
export function classifierOf(edges: Float64Array): Classifier {
  const classes = edges.length - 1;
  const low = edges[0]!;
  const high = edges[classes]!;
  const equal = equalClasses(edges);
  if (equal) {
    const { perUnit } = equal;
    return (v) => (v < low ? -1 : v >= high ? (v === high ? classes - 1 : classes) : ((v - low) * perUnit) | 0);
  }
  return (v) => {
    if (v < low) return -1;
    if (v >= high) return v === high ? classes - 1 : classes;
    let from = 0, to = classes;
    while (to - from > 1) {
      const middle = (from + to) >> 1;
      if (v < edges[middle]!) to = middle;
      else from = middle;
    }
    return from;
  };
}

/** Equal classes by formula: ⌊(value − low) · perUnit⌋ for low ≤ value < high. */
export interface EqualClasses {
  readonly low: number;
  readonly high: number;
  readonly classes: number;
  readonly perUnit: number;
}

/** The formula for edges, where it agrees with every one of them to the last bit; otherwise null. */
export function equalClasses(edges: Float64Array): EqualClasses | null {
  const formula = formulaOf(edges);
  for (let k = 1; k < edges.length; k++) {
    const last = k === formula.classes;
    if ((!last && classBy(formula, edges[k]!) !== k) || classBy(formula, neighbour(edges[k]!, -1)) !== k - 1) return null;
  }
  return formula;
}

/** Moves inner edges by the last bits that make the formula exact: each becomes the smallest number that it puts in its class. */
function settleEdges(edges: Float64Array): Float64Array {
  const formula = formulaOf(edges);
  return edges.map((edge, k) => {
    if (k === 0 || k === formula.classes) return edge;
    let e = edge;
    for (let step = 0; step < 64 && classBy(formula, e) < k; step++) e = neighbour(e, 1);
    for (let step = 0; step < 64 && classBy(formula, neighbour(e, -1)) >= k; step++) e = neighbour(e, -1);
    return e;
  });
}

function formulaOf(edges: Float64Array): EqualClasses {
  const classes = edges.length - 1;
  return { low: edges[0]!, high: edges[classes]!, classes, perUnit: classes / (edges[classes]! - edges[0]!) };
}

function classBy({ low, perUnit }: EqualClasses, value: number): number {
  return Math.floor((value - low) * perUnit);
}

/** The next double above (1) or below (−1). */
function neighbour(value: number, side: 1 | -1): number {
  if (value === 0) return side * Number.MIN_VALUE;
  const bits = new BigInt64Array(new Float64Array([value]).buffer);
  bits[0] = bits[0]! + BigInt(value > 0 ? side : -side);
  return new Float64Array(bits.buffer)[0]!;
}

/** The middle of each class. */
export function classCentres(edges: Float64Array): Float64Array {
  return Float64Array.from({ length: edges.length - 1 }, (_, k) => (edges[k]! + edges[k + 1]!) / 2);
}

/** Do two histograms have the same edges (or are both absent)? */
export function sameEdges(a: FromToHistogram | null, b: FromToHistogram | null): boolean {
  if (a === null || b === null) return a === b;
  return a.classes === b.classes && a.edges.every((e, k) => e === b.edges[k]);
}
