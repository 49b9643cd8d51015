import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { headerOf, type Cell } from './columns.js';
import { recordingOf, type FromTableOptions } from './fromTable.js';
import { columnsOf, type TableOptions } from './toTable.js';

/** The part of danfo.js that is needed: its DataFrame. */
export interface DataFrameLibrary<D> {
  readonly DataFrame: new (data: { [name: string]: Cell[] }) => D;
}

/** The part of a data frame that is read. */
export interface DataFrameLike {
  readonly columns: string[];
  column(name: string): { readonly values: unknown };
}

/**
 * Makes a danfo.js DataFrame of a result, with the columns of toTable. The library does not bring danfo.js along: pass it in.
 *
 * Kept: every value; danfo.js holds plain arrays, so all is copied. Cost: one copy.
 *
 * @param result as toTable takes it
 * @param danfo the module danfo.js
 * @param options part: which table, where there are several
 * @returns a DataFrame of that module
 * @throws InputError as toTable does, or for something that has no DataFrame
 * @see fromDataFrame, toTable
 * @example
 * class DataFrame { constructor(data) { this.data = data; } }
 * toDataFrame(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 2, values: [3, 4] }), { DataFrame }).data // => {"time [s]":[0,0.5],"T [N·m]":[3,4]}
 */
export function toDataFrame<D>(result: object, danfo: DataFrameLibrary<D>, options?: TableOptions): D {
  if (typeof danfo?.DataFrame !== 'function') throw new InputError({ where: 'toDataFrame', argument: 'danfo', expected: 'the module danfo.js', given: show(danfo), remedy: "Import it: import * as danfo from 'danfojs'." });
  return new danfo.DataFrame(Object.fromEntries(columnsOf('toDataFrame', result, options).map((c) => [headerOf(c), Array.from<Cell>(c.values)])));
}

/**
 * Makes a recording of a danfo.js DataFrame, as fromTable does of a table.
 *
 * @param frame a DataFrame
 * @param options name, sampleRate in Hz, start
 * @returns the recording
 * @throws InputError as fromTable does
 * @see toDataFrame
 * @example
 * const frame = { columns: ['time [s]', 'T [N·m]'], column: (name) => ({ values: name === 'time [s]' ? [0, 0.5] : [3, 4] }) };
 * fromDataFrame(frame).channels[0].sampleRate // => 2
 */
export function fromDataFrame(frame: DataFrameLike, options?: FromTableOptions): Recording {
  const where = 'fromDataFrame';
  if (!Array.isArray(frame?.columns) || typeof frame.column !== 'function') throw new InputError({ where, argument: 'frame', expected: 'a danfo.js DataFrame', given: show(frame) });
  return recordingOf(where, frame.columns, (name) => frame.column(name).values as ArrayLike<unknown>, options);
}
