import { availableParallelism } from 'node:os';
import { resolve } from 'node:path';
import type { DuckDBConnection, DuckDBDataChunk, DuckDBInstance } from '@duckdb/node-api';

let shared: Promise<DuckDBInstance> | null = null;

/** A connection to an engine in memory that reads no settings, loads nothing and reaches no network. The engine itself is loaded by the first one. */
export async function connect(): Promise<DuckDBConnection> {
  shared ??= import('@duckdb/node-api').then((engine) => engine.DuckDBInstance.create(':memory:', { threads: String(availableParallelism()), autoinstall_known_extensions: 'false', autoload_known_extensions: 'false' }));
  return (await shared).connect();
}

/** The chunks of a query, in order. The connection is closed at the end, also where the reader stops early. */
export async function* chunksOf(sql: string): AsyncGenerator<DuckDBDataChunk> {
  const connection = await connect();
  try {
    const result = await connection.stream(sql);
    for (;;) {
      const chunk = await result.fetchChunk();
      if (!chunk || chunk.rowCount === 0) return;
      yield chunk;
    }
  } finally {
    connection.closeSync();
  }
}

/** Text as an SQL literal. */
export function literal(text: string): string {
  return `'${text.replaceAll("'", "''")}'`;
}

/** A file name as an SQL literal: absolute, and without meaning as a pattern. */
export function fileLiteral(file: string): string {
  return literal(resolve(file).replace(/[[*?]/g, '[$&]'));
}

/** A name as an SQL identifier. */
export function identifier(name: string): string {
  return `"${name.replaceAll('"', '""')}"`;
}

interface NumberVector {
  readonly items: Float64Array | BigInt64Array;
  readonly validity: { readonly data: BigUint64Array | null; itemValid: (index: number) => boolean };
}

/** Copies one column of numbers of a chunk to `target` at `at`; missing ones become NaN. Whole numbers of nanoseconds are taken relative to `origin`, in seconds. */
export function copyColumn(chunk: DuckDBDataChunk, column: number, target: Float64Array, at: number, origin: bigint | null = null): void {
  const { items, validity } = chunk.getColumnVector(column) as unknown as NumberVector;
  const rows = chunk.rowCount;
  if (items instanceof Float64Array) target.set(rows === items.length ? items : items.subarray(0, rows), at);
  else for (let i = 0; i < rows; i++) target[at + i] = Number(items[i]! - (origin ?? 0n)) * 1e-9;
  if (validity.data === null) return;
  for (let i = 0; i < rows; i++) if (!validity.itemValid(i)) target[at + i] = NaN;
}

/** The first whole number of a column of a chunk, or null where it is missing. */
export function firstWhole(chunk: DuckDBDataChunk, column: number): bigint | null {
  const { items, validity } = chunk.getColumnVector(column) as unknown as NumberVector;
  return validity.itemValid(0) ? BigInt(items[0]!) : null;
}
