import { makeRecording, type Recording } from '../record/Recording.js';
import { InputError } from '../record/errors.js';
import { describeTable, type FileDescription } from './describeFile.js';
import type { Format, OpenFile } from './formats.js';
import type { ReadOptions } from './options.js';
import { blocksOf, tableToChannels, type RawTable } from './table.js';
import { openText, readTextTable } from './textTable.js';

/** CSV, TSV and other tables of text, plain or packed with gzip. */
export const textFormat: Format = {
  name: 'text',
  unpacks: true,
  matches: () => true,
  read: async (open, options, where, one) => {
    const text = await openText(open.path, open.size, options, where);
    const table = await readTextTable(text, options, where);
    return tableToRecordings(open, table, options, where, table.sha256, one);
  },
  describe: async (open, options, where) => {
    const text = await openText(open.path, open.size, options, where);
    const table = await readTextTable(text, options, where, text.time === null ? text.picks.slice(0, 1) : []);
    return describeText(open, text, table, options, where);
  },
};

async function describeText(open: OpenFile, text: Awaited<ReturnType<typeof openText>>, table: RawTable, options: ReadOptions, where: string): Promise<FileDescription> {
  const { dialect } = text;
  return describeTable(open, 'text', table, options, where, {
    layout: {
      delimiter: dialect.delimiter, decimal: dialect.decimal, thousands: dialect.thousands, packed: open.gzip, preamble: dialect.preamble,
      headerLine: dialect.headerLine, unitsLine: dialect.unitsLine, firstDataLine: dialect.firstDataLine, trailingDelimiter: dialect.trailing,
    },
    columns: dialect.columns.map((c, i) => ({
      name: c.name, unit: options.units?.[c.name] ?? c.unit, unitInFile: c.unitText, type: c.type,
      use: i === text.time ? 'time' as const : text.picks.includes(i) ? 'channel' as const : 'left out' as const,
    })),
    notes: text.notes,
  });
}

/** The recordings in a table: all, or the block that the options name. */
export async function tableToRecordings(open: OpenFile, table: RawTable, options: ReadOptions, where: string, sha256: string, one: boolean): Promise<readonly Recording[]> {
  checkUnitNames(where, table, options);
  const blocks = blocksOf(table, options.splitWhere, where);
  const base = options.name ?? open.file;
  if (options.block !== undefined && options.block > blocks.length) {
    throw new InputError({ where, argument: 'block', expected: `at most ${blocks.length}, the recordings in ${open.file}`, given: String(options.block) });
  }
  if (one && blocks.length > 1 && options.block === undefined) {
    throw new InputError({ where, argument: 'block', expected: `from 1 to ${blocks.length}, one of the recordings in ${open.file}`, given: 'nothing', remedy: 'Or read all of them with readRecordings.' });
  }
  const chosen = options.block === undefined ? blocks : [blocks[options.block - 1]!];
  const recordings: Recording[] = [];
  for (const [i, block] of chosen.entries()) {
    const number = options.block ?? i + 1;
    const channels = await tableToChannels(table, block, options.splitWhere === undefined ? options : { ...options, block: number }, where, sha256);
    recordings.push(makeRecording(blocks.length > 1 ? `${base}, block ${number}` : base, channels, { file: open.file, sha256 }));
  }
  return recordings;
}

function checkUnitNames(where: string, table: RawTable, options: ReadOptions): void {
  const names = table.columns.map((c) => c.name);
  for (const name of Object.keys(options.units ?? {})) {
    if (!names.includes(name)) throw new InputError({ where, argument: 'units', expected: `by the names ${names.map((n) => `'${n}'`).join(', ')}`, given: `'${name}'` });
  }
}
