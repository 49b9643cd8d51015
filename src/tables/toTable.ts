import { createRequire } from 'node:module';
import type { ColumnTable } from 'arquero';
import { checkChoice, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { headerOf, type TableColumn } from './columns.js';
import { partsByKind, tabularKinds } from './parts.js';

// Arquero takes a tenth of a second to load: the first table does it, not the library.
const require = createRequire(import.meta.url);

/** Options of toTable and toDataFrame. */
export interface TableOptions {
  /** Which table of the result, where it has several; the first of them unless given. See tablesOf. */
  readonly part?: string;
}

/**
 * Names the tables that a result has, the one that toTable gives unasked first.
 *
 * @param result any result of the library
 * @returns the names; none where the result is no table
 * @see toTable
 * @example tablesOf(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2] })) // => ["samples","masks","trail"]
 */
export function tablesOf(result: object): readonly string[] {
  return Object.keys(partsByKind[kindOf(result) ?? ''] ?? {});
}

/** The columns of one table of a result. */
export function columnsOf(where: string, result: object, options?: TableOptions): readonly TableColumn[] {
  const { part } = checkOptions(where, options, { optional: ['part'] });
  const names = tablesOf(result);
  if (names.length === 0) {
    throw new InputError({ where, argument: 'result', expected: `a result with a table (${tabularKinds.join(', ')})`, given: kindOf(result) ?? show(result) });
  }
  const parts = partsByKind[kindOf(result)!]!;
  return parts[part === undefined ? names[0]! : checkChoice(where, 'part', part, names)]!(result as never);
}

/**
 * Makes an Arquero table of a result: one column for each array, the unit in square brackets after the name of the column (`'range [N·m]'`).
 *
 * Kept: every value. Arrays of numbers are shared with the result, not copied: derive new columns, do not write into them. Cost: none to speak of,
 * but a time column for a channel and, once in a process, the loading of Arquero (0.1 s).
 *
 * @param result a Channel, a Recording of one clock, or a result of counting, spectra, damage, zero, faults …
 * @param options part: which table, where there are several (tablesOf lists them)
 * @returns the table
 * @throws InputError for something without a table, an unknown part, or channels of different clocks
 * @see fromTable, toDataFrame, tablesOf
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 900, 200, 800, 0, 1000, 0] });
 * toTable(torque).columnNames() // => ["time [s]","torque [N·m]"]
 * toTable(closeResidue(countCycles(torque), 'half')).filter((d) => d['range [N·m]'] > 700).numRows() // => 3
 */
export function toTable(result: object, options?: TableOptions): ColumnTable {
  const { table } = require('arquero') as typeof import('arquero');
  return table(columnsOf('toTable', result, options).map((c) => [headerOf(c), c.values] as [string, never]));
}
