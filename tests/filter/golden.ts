import { readFileSync } from 'node:fs';
import { expect } from 'vitest';

const load = (name: string): never => JSON.parse(readFileSync(new URL(`../golden/filter/${name}`, import.meta.url), 'utf8')) as never;

/** Arrays by SciPy; the script and the versions stand beside them. */
export const golden: {
  x: number[];
  designs: { type: string; order: number; edges: number[]; sos: number[] }[];
  runs: { type: string; order: number; edges: number[]; zero_phase: number[]; rest: number[]; settled: number[] }[];
  notches: { frequency: number; width: number; b: number[]; a: number[] }[];
  decimate: Record<string, number[]>;
} = load('filters.json');

/** A reference case: inputs, expected values, tolerance, source and how good the evidence is. */
export interface Case {
  id: string;
  // eslint-disable-next-line @typescript-eslint/no-explicit-any
  inputs: any;
  // eslint-disable-next-line @typescript-eslint/no-explicit-any
  expected: any;
  tolerance: { abs: number; rel: number };
  source: string;
  evidence: string;
  published?: Record<string, { value: number | number[]; abs: number; agrees?: boolean }>;
}
const cases: Case[] = load('published.json');

/** The reference case of that name. */
export function published(id: string): Case {
  return cases.find((c) => c.id === id)!;
}

/** Every pair agrees within abs + rel·|expected|. */
export function close(actual: ArrayLike<number>, expected: ArrayLike<number>, rel: number, abs = 0): void {
  expect(actual.length).toBe(expected.length);
  for (let i = 0; i < expected.length; i++) {
    const d = Math.abs(actual[i]! - expected[i]!);
    if (!(d <= abs + rel * Math.abs(expected[i]!))) expect.fail(`at ${i}: ${actual[i]} differs from ${expected[i]} by ${d}`);
  }
}

/** Savitzky–Golay and finite linear-phase filters by SciPy and NumPy, over the first 200 samples of golden.x. */
export const smooth: {
  savgol: { samples: number; degree: number; by: string; y: number[] }[];
  fir: { taps: number; cutoff: number; window: 'rectangular' | 'hann' | 'hamming' | 'blackman'; h: number[]; y: number[] }[];
} = load('smooth.json');
