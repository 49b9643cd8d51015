import { FormatError } from '../record/errors.js';
import { parseUnit } from '../record/units.js';
import { chooseColumns } from './chooseColumns.js';
import type { TextColumn } from './dialect.js';
import { splitHeader } from './findHeader.js';
import type { ReadOptions } from './options.js';
import { notRead, type RawTable } from './table.js';
import { timeBase, timeUnitOf } from './timeBase.js';

/** An array of numbers with a name, as containers hold them. */
export interface NamedArray {
  readonly name: string;
  readonly unitText: string | null;
  readonly length: number;
  readonly read: () => Float64Array;
}

/**
 * Makes tables of named arrays: arrays of one length belong together, and among them one is time (by its name or unit, or
 * as the options say). Scalars are left out.
 *
 * @param whole read the values; otherwise only those of time
 * @param left what else the file holds, for the refusal where nothing is left
 */
export function chooseNamedTime(where: string, file: string, arrays: readonly NamedArray[], options: ReadOptions, about: Readonly<Record<string, unknown>>, whole: boolean, left: readonly string[]): RawTable[] {
  const groups = new Map<number, NamedArray[]>();
  for (const array of arrays) {
    if (array.length < 2) continue;
    const group = groups.get(array.length);
    if (group) group.push(array);
    else groups.set(array.length, [array]);
  }
  if (groups.size === 0) throw new FormatError({ file, found: `no array of numbers${left.length > 0 ? ` (${left.slice(0, 3).join('; ')}${left.length > 3 ? '; …' : ''})` : ''}`, expected: 'at least one' });
  const tables = [...groups.values()].map((group) => tableOf(where, file, group, options, about, whole));
  return tables.filter((t) => t.columns.length > 0);
}

function tableOf(where: string, file: string, group: readonly NamedArray[], options: ReadOptions, about: Readonly<Record<string, unknown>>, whole: boolean): RawTable {
  const rows = group[0]!.length;
  const columns = group.map((array): TextColumn => {
    const { name, unitText } = array.unitText === null ? splitHeader(array.name) : { name: array.name, unitText: array.unitText };
    return { name: lastPart(name), header: array.name, unitText, unit: unitText === null ? '?' : (parseUnit(unitText) ?? '?'), type: 'number' };
  });
  const alone = (c: TextColumn): boolean => columns.filter((d) => d.name === c.name).length === 1;
  const named = columns.map((c) => (alone(c) ? c : { ...c, name: c.header }));
  const timed = named.some((c) => /^(t|time)$/i.test(lastPart(c.name)) || (c.unitText !== null && timeUnitOf(c.unitText) !== null) || c.name === options.timeColumn);
  if (!timed && options.sampleRate === undefined) {
    return { file, rows, columns: group.map((a, i) => column(named[i]!, a, whole)), time: null, origin: null, about, lineOf: async () => null };
  }
  const { columns: _, timeColumn, ...others } = options;
  const rest: ReadOptions = named.some((c) => c.name === timeColumn || c.header === timeColumn) ? { ...others, timeColumn: timeColumn! } : others;
  const { time, picks } = chooseColumns(where, { file, columns: named, headerLine: null, firstDataLine: null }, rest);
  const base = time === null ? { time: null, origin: null, about: {} } : timeBase(file, named[time]!, group[time]!.read(), rest);
  return { file, rows, columns: picks.map((i) => column(named[i]!, group[i]!, whole)), time: base.time, origin: base.origin, about: { ...about, ...base.about }, lineOf: async () => null };
}

function lastPart(name: string): string {
  return name.split(/[./]/).at(-1)!;
}

function column(c: TextColumn, array: NamedArray, whole: boolean): RawTable['columns'][number] {
  return { name: c.name, unit: c.unit, values: whole ? array.read() : notRead, about: { path: c.header, unitInFile: c.unitText } };
}
