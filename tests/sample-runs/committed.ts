import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { gunzipSync } from 'node:zlib';
import { expect } from 'vitest';

export const file = (name: string): string => fileURLToPath(new URL(`../../sample-runs/${name}`, import.meta.url));
export const unpack = (name: string): string => gunzipSync(readFileSync(file(name))).toString('utf8');

/** The truth that is committed beside a run. */
export const truthOf = (name: string): unknown => JSON.parse(readFileSync(file(`${name}.truth.json`), 'utf8'));

/** The numbers of a committed table, column by column, without its two header rows. */
export function committed(name: string): Float64Array[] {
  const lines = unpack(name).trimEnd().split('\n').slice(2);
  const width = lines[0]!.split(',').length;
  const columns = Array.from({ length: width }, () => new Float64Array(lines.length));
  lines.forEach((line, i) => line.split(',').forEach((word, k) => { columns[k]![i] = Number(word); }));
  return columns;
}

/** Largest absolute difference. */
export function worst(a: ArrayLike<number>, b: ArrayLike<number>): number {
  expect(a.length).toBe(b.length);
  let most = 0;
  for (let i = 0; i < a.length; i++) most = Math.max(most, Math.abs(a[i]! - b[i]!));
  return most;
}

export const mean = (x: Float64Array, from: number, to: number): number => x.subarray(from, to).reduce((s, v) => s + v, 0) / (to - from);
