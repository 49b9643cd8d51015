import { createReadStream } from 'node:fs';
import { basename } from 'node:path';
import { createInterface } from 'node:readline';
import { createGunzip } from 'node:zlib';
import { FormatError } from '../record/errors.js';
import { fieldType, missingWords, splitFields, type Dialect } from './dialect.js';
import { fileLiteral, literal } from './duck.js';

/** A text file whose layout is known. */
export interface TextFile {
  readonly path: string;
  readonly gzip: boolean;
  readonly dialect: Dialect;
}

/** The query that reads some columns of a text file as numbers; date-times come as nanoseconds since 1970. */
export function scanQuery(file: TextFile, picks: readonly number[]): string {
  const { dialect } = file;
  const words = `[${missingWords.map(literal).join(', ')}]`;
  const common = `auto_detect=false, header=false, skip=${dialect.firstDataLine - 1}, compression='${file.gzip ? 'gzip' : 'none'}', escape='"', nullstr=${words}`;
  const source = fileLiteral(file.path);
  if (dialect.delimiter === 'spaces') {
    const expressions = picks.map((i) => castText(dialect, i, `f[${i + 1}]`, words));
    const guard = `CASE WHEN len(f) = ${dialect.columns.length} THEN f ELSE error('ragged') END`;
    return `SELECT ${expressions.join(', ')} FROM (SELECT ${guard} AS f FROM (SELECT string_split_regex(trim(line, E' \\t\\r'), '[ \\t]+') AS f
      FROM read_csv(${source}, ${common.replace('escape=\'"\'', "escape='', quote=''")}, delim=E'\\x01', columns={'line': 'VARCHAR'}) WHERE line IS NOT NULL AND trim(line, E' \\t\\r') <> ''))`;
  }
  const types = dialect.columns.map((c, i) => `'c${i}': '${picks.includes(i) && c.type !== 'date-time' ? 'DOUBLE' : 'VARCHAR'}'`);
  if (dialect.trailing) types.push(`'trailing': 'VARCHAR'`);
  const delimiter = dialect.delimiter === 'none' ? "E'\\x01'" : dialect.delimiter === '\t' ? "E'\\t'" : literal(dialect.delimiter);
  const marks = `decimal_separator=${literal(dialect.decimal)}${dialect.thousands ? `, thousands=${literal(dialect.thousands)}` : ''}`;
  const expressions = picks.map((i) => (dialect.columns[i]!.type === 'date-time' ? nanoseconds(`c${i}`) : `c${i}`));
  return `SELECT ${expressions.join(', ')} FROM read_csv(${source}, ${common}, quote='"', delim=${delimiter}, ${marks}, columns={${types.join(', ')}})`;
}

function castText(dialect: Dialect, index: number, text: string, words: string): string {
  if (dialect.columns[index]!.type === 'date-time') return nanoseconds(text);
  const plain = dialect.decimal === ',' ? `replace(${text}, ',', '.')` : text;
  return `CASE WHEN list_contains(${words}, ${text}) THEN NULL ELSE CAST(${plain} AS DOUBLE) END`;
}

function nanoseconds(text: string): string {
  return `epoch_ns(CAST(replace(trim(${text}), ',', '.') AS TIMESTAMP_NS))`;
}

async function* linesOf(file: TextFile): AsyncGenerator<string> {
  const raw = createReadStream(file.path);
  const input = file.gzip ? raw.pipe(createGunzip()) : raw;
  const reader = createInterface({ input, crlfDelay: Infinity });
  try {
    yield* reader;
  } finally {
    reader.close();
    raw.destroy();
  }
}

/**
 * Looks for the first field that cannot be read, line by line; run only after the fast reader has refused the file.
 *
 * @param message what the fast reader said
 * @returns the error to throw
 */
export async function findTextFault(file: TextFile, picks: readonly number[], message: string): Promise<FormatError> {
  const { dialect } = file;
  const name = basename(file.path);
  const width = dialect.columns.length + (dialect.trailing ? 1 : 0);
  let line = 0;
  for await (const text of linesOf(file)) {
    line++;
    if (line < dialect.firstDataLine || text.trim() === '') continue;
    const fields = splitFields(text, dialect.delimiter);
    if (fields.length !== width) {
      return new FormatError({ file: name, line, found: `${fields.length} field${fields.length === 1 ? '' : 's'} (${JSON.stringify(text.slice(0, 60))})`, expected: `${width} fields as in line ${dialect.firstDataLine}`, remedy: 'Cut the line out or complete it.' });
    }
    for (const i of picks) {
      const column = dialect.columns[i]!;
      const type = fieldType(fields[i]!, dialect.decimal, dialect.thousands !== null);
      if (type !== 'missing' && type !== column.type) {
        const others = dialect.columns.filter((c, j) => j !== i && c.type === 'number').map((c) => c.name);
        return new FormatError({
          file: name, line, column: i + 1, found: `the text ${JSON.stringify(fields[i]!.slice(0, 40))} in column ${column.name}`, expected: column.type === 'number' ? `a number with the decimal mark ${JSON.stringify(dialect.decimal)}` : 'an ISO 8601 date-time',
          remedy: `Write an empty field where a value is missing${others.length > 0 ? `, or read only other columns with columns: ${JSON.stringify(others)}` : ''}.`,
        });
      }
    }
  }
  return new FormatError({ file: name, found: (message.split('\n')[0] ?? '').replace(/[.\s]+$/, ''), expected: 'a table that can be read' });
}

/** The line of the file that holds a row of data (rows from 0, lines from 1). */
export async function lineOfRow(file: TextFile, row: number): Promise<number> {
  let line = 0;
  let at = -1;
  for await (const text of linesOf(file)) {
    line++;
    if (line >= file.dialect.firstDataLine && text.trim() !== '' && ++at === row) return line;
  }
  return file.dialect.firstDataLine + row;
}
