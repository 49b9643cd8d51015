import type { CountMatrix } from '../count/matrices.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { capital, counted, grouped, logAxis, shownIn } from './axes.js';
import { makeFigure, type Figure } from './Figure.js';
import { ramp } from './theme.js';

/** Options of plotMatrix. */
export interface MatrixOptions {
  readonly title?: string;
}

const where = 'plotMatrix';

/**
 * Draws a matrix of cycles: one field for each pair of classes that holds any, the darker the more, on a logarithmic scale. A from–to matrix gets
 * its diagonal.
 *
 * @param matrix from cycleMatrix or fromToMatrix
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no matrix, or an empty one
 * @see plotExceedance
 * @example
 * const cycles = closeResidue(countCycles(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 900, 200, 800, 0, 1000, 0] })), 'half');
 * toSvg(plotMatrix(cycleMatrix(cycles, { rangeEdges: { from: 0, to: 1200, classes: 12 }, meanEdges: { from: 0, to: 1000, classes: 10 } }))).includes('Torque range / N·m') // => true
 */
export function plotMatrix(matrix: CountMatrix, options?: MatrixOptions): Figure {
  const { title = 'Cycles by class' } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(matrix) !== 'CountMatrix') throw new InputError({ where, argument: 'matrix', expected: 'a CountMatrix', given: show(matrix), remedy: 'Make it with cycleMatrix or fromToMatrix.' });
  const { rowEdges, columnEdges, counts } = matrix;
  const width = columnEdges.length - 1;
  const largest = Math.max(Math.abs(rowEdges[0]!), Math.abs(rowEdges.at(-1)!), Math.abs(columnEdges[0]!), Math.abs(columnEdges.at(-1)!));
  const shown = shownIn(matrix.unit, largest);
  const f = shown.factor;
  const values = Array.from(counts, (cycles, k) => ({ cycles, y: rowEdges[Math.floor(k / width)]! * f, y2: rowEdges[Math.floor(k / width) + 1]! * f, x: columnEdges[k % width]! * f, x2: columnEdges[(k % width) + 1]! * f })).filter((c) => c.cycles > 0);
  if (values.length === 0) throw new InputError({ where, argument: 'matrix', expected: 'with at least one cycle', given: 'an empty one' });
  const most = Math.max(...values.map((v) => v.cycles));
  const log = logAxis(Math.min(1, ...values.map((v) => v.cycles)), Math.max(most, 10), 220);
  const side = (name: string): string => (name === 'from' || name === 'to' ? shown.title.replace(/^(.*?)( \/|$)/, (_, q: string, end: string) => `${capital(name)} ${q.toLowerCase()}${end}`) : shown.title.replace(/( \/|$)/, ` ${name}$1`));
  const domain = (edges: Float64Array): { domain: number[]; nice: false } => ({ domain: [edges[0]! * f, edges.at(-1)! * f], nice: false });
  const x = { field: 'x', type: 'quantitative', title: side(matrix.columns), scale: domain(columnEdges) };
  const y = { field: 'y', type: 'quantitative', title: side(matrix.rows), scale: domain(rowEdges) };
  const diagonal = matrix.rows === 'from' ? [{ data: { values: [{ x: columnEdges[0]! * f, y: rowEdges[0]! * f, x2: columnEdges.at(-1)! * f, y2: rowEdges.at(-1)! * f }] }, mark: { type: 'rule', strokeDash: [3, 3], color: '#6f7782' }, encoding: { x, x2: { field: 'x2' }, y, y2: { field: 'y2' } } }] : [];
  return makeFigure({
    title, height: 400, caption: `${side(matrix.rows)} against ${side(matrix.columns)}: ${counted(Math.round(matrix.total), 'cycle')} in ${rowEdges.length - 1} × ${width} classes, up to ${grouped(Math.round(most))} in one.`,
    subtitle: counted(Math.round(matrix.total), 'cycle'),
    body: {
      layer: [
        ...diagonal,
        {
          data: { values },
          mark: { type: 'rect', stroke: '#ffffff', strokeWidth: 0.4 },
          encoding: {
            x, x2: { field: 'x2' }, y, y2: { field: 'y2' },
            color: {
              field: 'cycles', type: 'quantitative', scale: { ...log.scale, range: ramp, interpolate: 'lab' },
              legend: { title: 'Cycles', orient: 'right', direction: 'vertical', gradientLength: 220, values: log.axis['values'], labelExpr: log.axis['labelExpr'], titlePadding: 8 },
            },
            tooltip: [{ field: 'x', type: 'quantitative', title: `${side(matrix.columns)}, from` }, { field: 'y', type: 'quantitative', title: `${side(matrix.rows)}, from` }, { field: 'cycles', type: 'quantitative', title: 'cycles' }],
          },
        },
      ],
    },
  });
}
