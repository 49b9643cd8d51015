import { InputError } from '../record/errors.js';
import { makeRecording } from '../record/Recording.js';
import { nearest } from '../record/check.js';
import type { Channel } from '../record/Channel.js';
import { hashFile } from './bytes.js';
import { describeTable, makeDescription, type ColumnFound } from './describeFile.js';
import type { Format, OpenFile } from './formats.js';
import type { ReadOptions } from './options.js';
import { tableToChannels, type RawTable } from './table.js';
import { tableToRecordings } from './textFormat.js';

/** What a binary file holds: groups of columns, each group with its own clock. */
export interface RawFile {
  readonly tables: readonly RawTable[];
  readonly notes: readonly string[];
}

const mostNotes = 20;

/** A format whose files hold groups of columns, each with its own clock. `load` reads the values where `whole`; else only those of time. */
export function tablesFormat(name: string, matches: Format['matches'], load: (open: OpenFile, options: ReadOptions, where: string, whole: boolean) => Promise<RawFile>): Format {
  const loadPicked = async (open: OpenFile, options: ReadOptions, where: string, whole: boolean): Promise<RawFile> => pickColumns(where, apart(await load(open, options, where, whole)), options);
  return {
    name, matches,
    read: async (open, options, where, one) => {
      const hash = hashFile(open.path, open.size);
      hash.catch(() => {});
      const tables = noted(await loadPicked(open, options, where, true));
      const sha256 = await hash;
      if (tables.length === 1) return tableToRecordings(open, tables[0]!, options, where, sha256, one);
      if (options.splitWhere !== undefined) throw new InputError({ where, argument: 'splitWhere', expected: 'left out for a file of several groups', given: JSON.stringify(options.splitWhere), remedy: 'Choose channels of one group with columns.' });
      const channels: Channel[] = [];
      for (const table of tables) channels.push(...await tableToChannels(table, { from: 0, to: table.rows }, options, where, sha256));
      return [makeRecording(options.name ?? open.file, channels, { file: open.file, sha256 })];
    },
    describe: async (open, options, where) => {
      const { tables, notes } = await loadPicked(open, options, where, false);
      const parts = await Promise.all(tables.map((table) => describeTable(open, name, table, options, where, { layout: null, columns: columnsOf(table, options), notes: [] })));
      if (parts.length === 1) return makeDescription({ ...parts[0]!, notes: [...notes, ...parts[0]!.notes] });
      const same = parts.every((p) => p.sampleRate === parts[0]!.sampleRate);
      return makeDescription({
        ...parts[0]!, columns: parts.flatMap((p) => p.columns), rows: Math.max(...parts.map((p) => p.rows)), clock: [...new Set(parts.map((p) => p.clock))].join('; '),
        sampleRate: same ? parts[0]!.sampleRate : null, samples: null, refusals: parts.flatMap((p) => p.refusals), notes: [...notes, ...parts.flatMap((p) => p.notes)],
      });
    },
  };
}

/** The tables with what there is to say about the file, for the trail; a long list is cut. */
function noted({ tables, notes }: RawFile): readonly RawTable[] {
  if (notes.length === 0) return tables;
  const short = notes.length <= mostNotes ? [...notes] : [...notes.slice(0, mostNotes), `and ${notes.length - mostNotes} more; describeFile lists them`];
  return tables.map((table) => ({ ...table, about: { ...table.about, notes: short } }));
}

function columnsOf(table: RawTable, options: ReadOptions): ColumnFound[] {
  return table.columns.map((c) => ({ name: c.name, unit: options.units?.[c.name] ?? c.unit, unitInFile: (c.about['unitInFile'] as string | null | undefined) ?? null, type: 'number', use: 'channel' }));
}

/** Names that occur twice in a file get a number. */
function apart(file: RawFile): RawFile {
  const used = new Set<string>();
  const tables = file.tables.map((table) => ({
    ...table, columns: table.columns.map((column) => {
      let name = column.name.trim() || 'channel';
      for (let n = 2; used.has(name); n++) name = `${column.name} ${n}`;
      used.add(name);
      return { ...column, name };
    }),
  }));
  return { ...file, tables };
}

function pickColumns(where: string, file: RawFile, options: ReadOptions): RawFile {
  if (options.columns === undefined) return file;
  const names = file.tables.flatMap((t) => t.columns.map((c) => c.name));
  for (const name of options.columns) {
    if (names.includes(name)) continue;
    const near = nearest(name, names);
    throw new InputError({ where, argument: 'columns', expected: `one of ${names.slice(0, 40).map((n) => `'${n}'`).join(', ')}`, given: `'${name}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
  }
  const tables = file.tables.map((t) => ({ ...t, columns: t.columns.filter((c) => options.columns!.includes(c.name)) })).filter((t) => t.columns.length > 0);
  return { ...file, tables };
}
