import type { DuckDBDataChunk } from '@duckdb/node-api';
import { chunksOf, connect, copyColumn, fileLiteral, identifier, literal } from './duck.js';

const chunkRows = 2048;

/** A column of a Parquet file. */
export interface ParquetColumn {
  readonly name: string;
  readonly values: Float64Array;
}

/** Writes columns of doubles as Parquet (shorter ones end in missing values), with a text under a key of the file's metadata. */
export async function writeColumns(columns: readonly ParquetColumn[], about: { readonly key: string; readonly text: string }, file: string): Promise<void> {
  const engine = await import('@duckdb/node-api');
  const connection = await connect();
  try {
    await connection.run(`CREATE TEMP TABLE columns_to_write (${columns.map((c) => `${identifier(c.name)} DOUBLE`).join(', ')})`);
    const appender = await connection.createAppender('columns_to_write');
    const rows = Math.max(...columns.map((c) => c.values.length));
    for (let from = 0; from < rows; from += chunkRows) {
      const count = Math.min(chunkRows, rows - from);
      const chunk = engine.DuckDBDataChunk.create(columns.map(() => engine.DOUBLE), count);
      columns.forEach((column, j) => fillVector(chunk, j, column.values, from, count));
      appender.appendDataChunk(chunk);
    }
    appender.closeSync();
    await connection.run(`COPY columns_to_write TO ${literal(file)} (FORMAT parquet, COMPRESSION zstd, KV_METADATA {${identifier(about.key)}: ${literal(about.text)}})`);
  } finally {
    connection.closeSync();
  }
}

/** The text under a key of a Parquet file's metadata; null where there is none. */
export async function readKeyValue(path: string, key: string): Promise<string | null> {
  const connection = await connect();
  try {
    const found = await connection.runAndReadAll(`SELECT decode(value) AS text FROM parquet_kv_metadata(${fileLiteral(path)}) WHERE decode(key) = ${literal(key)}`);
    const text = found.getRows()[0]?.[0];
    return text === undefined ? null : String(text);
  } finally {
    connection.closeSync();
  }
}

/** Columns of doubles by their names; missing values are NaN. */
export async function readColumns(path: string, names: readonly string[]): Promise<readonly Float64Array[]> {
  const parts: Float64Array[][] = names.map(() => []);
  for await (const chunk of chunksOf(`SELECT ${names.map((n) => `CAST(${identifier(n)} AS DOUBLE)`).join(', ')} FROM read_parquet(${fileLiteral(path)})`)) {
    names.forEach((_, j) => {
      const values = new Float64Array(chunk.rowCount);
      copyColumn(chunk, j, values, 0);
      parts[j]!.push(values);
    });
  }
  return parts.map((list) => {
    const whole = new Float64Array(list.reduce((n, part) => n + part.length, 0));
    let at = 0;
    for (const part of list) {
      whole.set(part, at);
      at += part.length;
    }
    return whole;
  });
}

function fillVector(chunk: DuckDBDataChunk, column: number, values: Float64Array, from: number, count: number): void {
  const vector = chunk.getColumnVector(column) as unknown as { items: Float64Array; flush: () => void; setItem: (i: number, v: number | null) => void };
  const part = values.subarray(from, Math.min(values.length, from + count));
  vector.items.set(part);
  for (let i = part.length; i < count; i++) vector.setItem(i, null);
  vector.flush();
}
