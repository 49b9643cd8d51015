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
    return Float64Array.from({ length: classes + 1 }, (_, k) => (k === classes ? to : from + (k * (to - from)) / classes));
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
    return (v) => (v < low ? -1 : v >= high ? (v === high ? classes - 1 : classes) : Math.min(classes - 1, ((v - low) * perUnit) | 0));
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

/** Equal classes by formula: ⌊(value − low) · perUnit⌋ for low ≤ value < high; rounding may give `classes` next to high, which is the last class. */
export interface EqualClasses {
  readonly low: number;
  readonly high: number;
  readonly classes: number;
  readonly perUnit: number;
}

/**
 * The formula for edges that are equally spaced, else null. Every edge falls in the class above it; a value less than
 * 1e-12 of a class below an edge may count as on it. Equal edges give equal formulas, so counts merge exactly.
 */
export function equalClasses(edges: Float64Array): EqualClasses | null {
  const classes = edges.length - 1;
  const low = edges[0]!;
  const high = edges[classes]!;
  const width = (high - low) / classes;
  if (!edges.every((e, k) => Math.abs(e - (low + k * width)) <= 1e-13 * Math.max(width, Math.abs(e)))) return null;
  for (let nudge = 0; nudge < 64; nudge++) {
    const perUnit = (1 / width) * (1 + nudge * Number.EPSILON);
    if (edges.every((e, k) => k === classes || Math.floor((e - low) * perUnit) === k)) return { low, high, classes, perUnit };
  }
  return null;
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
