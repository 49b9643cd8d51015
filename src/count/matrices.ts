import { checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { classCentres, classifierOf, listEdges, type ClassEdges } from './classes.js';
import type { Cycles } from './CycleCount.js';
import { checkCycles } from './exceedance.js';

/** Cycles in two-way classes; counts[i · columns + j] holds row class i and column class j. */
export interface CountMatrix<U extends Unit = Unit> {
  readonly unit: U;
  /** What the rows and the columns are. */
  readonly rows: 'range' | 'from';
  readonly columns: 'mean' | 'to';
  readonly rowEdges: Float64Array;
  readonly columnEdges: Float64Array;
  readonly rowCentres: Float64Array;
  readonly columnCentres: Float64Array;
  readonly counts: Float64Array;
  /** Sum of the counts: every cycle is in a class. */
  readonly total: number;
  readonly validTime: number;
}

/**
 * Sorts cycles into classes of range and mean. Class k holds edges[k] ≤ value < edges[k + 1], the last one its upper edge too.
 *
 * Cost: one pass.
 *
 * @param cycles from closeResidue
 * @param options rangeEdges and meanEdges, each a rising list or { from, to, classes }; they have no default
 * @returns the matrix; its total is that of the cycles
 * @throws InputError where a cycle lies outside the edges: widen them, nothing is moved into an end class
 * @see closeResidue fromToMatrix
 * @example
 * const cycles = closeResidue(countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)), 'half');
 * cycleMatrix(cycles, { rangeEdges: [0, 5, 10], meanEdges: [-2, 0, 2] }).counts // => [1,1,0,2]
 */
export function cycleMatrix<U extends Unit>(cycles: Cycles<U>, options: { readonly rangeEdges: ClassEdges; readonly meanEdges: ClassEdges }): CountMatrix<U> {
  const where = 'cycleMatrix';
  checkCycles(where, cycles);
  checkOptions(where, options, { required: ['rangeEdges', 'meanEdges'] });
  const rows = { name: 'range', values: cycles.range, edges: listEdges(where, 'rangeEdges', options.rangeEdges) } as const;
  const columns = { name: 'mean', values: cycles.mean, edges: listEdges(where, 'meanEdges', options.meanEdges) } as const;
  return fill(where, cycles, rows, columns);
}

/**
 * Sorts cycles into classes of the turning point they begin at (rows) and the one they turn back at (columns): above the
 * diagonal the cycle stands on a falling branch, below it hangs on a rising one.
 *
 * Cost: one pass.
 *
 * @param cycles from closeResidue
 * @param options edges, a rising list or { from, to, classes }, for rows and columns alike
 * @returns the matrix; its total is that of the cycles
 * @throws InputError where a turning point lies outside the edges
 * @see closeResidue cycleMatrix
 * @example
 * const cycles = closeResidue(countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2)), 'drop');
 * fromToMatrix(cycles, { edges: [-5, 0, 5] }).counts // => [0,1,0,0]
 */
export function fromToMatrix<U extends Unit>(cycles: Cycles<U>, options: { readonly edges: ClassEdges }): CountMatrix<U> {
  const where = 'fromToMatrix';
  checkCycles(where, cycles);
  checkOptions(where, options, { required: ['edges'] });
  const edges = listEdges(where, 'edges', options.edges);
  return fill(where, cycles, { name: 'from', values: cycles.from, edges }, { name: 'to', values: cycles.to, edges });
}

interface Side<N extends string> {
  readonly name: N;
  readonly values: Float64Array;
  readonly edges: Float64Array;
}

function fill<U extends Unit>(where: string, cycles: Cycles<U>, rows: Side<'range' | 'from'>, columns: Side<'mean' | 'to'>): CountMatrix<U> {
  const rowClasses = classesOf(where, rows, cycles.unit);
  const columnClasses = classesOf(where, columns, cycles.unit);
  const width = columns.edges.length - 1;
  const counts = new Float64Array((rows.edges.length - 1) * width);
  let total = 0;
  for (let k = 0; k < cycles.count.length; k++) {
    counts[rowClasses[k]! * width + columnClasses[k]!]! += cycles.count[k]!;
    total += cycles.count[k]!;
  }
  return makeResult<CountMatrix<U>>('CountMatrix', {
    unit: cycles.unit, rows: rows.name, columns: columns.name, rowEdges: rows.edges, columnEdges: columns.edges, rowCentres: classCentres(rows.edges),
    columnCentres: classCentres(columns.edges), counts, total, validTime: cycles.validTime,
  }, (m) => `CountMatrix [${m.unit}]: ${m.total} cycles, ${m.rows} in ${m.rowCentres.length} × ${m.columns} in ${m.columnCentres.length} classes`);
}

function classesOf(where: string, { name, values, edges }: Side<string>, unit: Unit): Int32Array {
  const classify = classifierOf(edges);
  const classes = edges.length - 1;
  const out = new Int32Array(values.length);
  for (let k = 0; k < values.length; k++) {
    out[k] = classify(values[k]!);
    if (out[k]! < 0 || out[k] === classes) {
      throw new InputError({
        where, argument: `edges for ${name}`, expected: `wide enough for every cycle (${name} ${values[k]} ${unit} is there)`, given: `${edges[0]} … ${edges[classes]}`,
        remedy: 'Widen the edges, or leave small cycles out with gateCycles first.',
      });
    }
  }
  return out;
}
