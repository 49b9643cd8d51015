import { readFileSync } from 'node:fs';
import type { Case } from '../filter/golden.js';

const load = (name: string): never => JSON.parse(readFileSync(new URL(`../golden/spectrum/${name}`, import.meta.url), 'utf8')) as never;

/** Arrays by SciPy; the script and the versions stand beside them. */
export const golden: {
  x: number[];
  y: number[];
  welch: { segment: number; overlap: number; window: string | [string, number]; detrend: 'mean' | 'linear' | 'none'; average: 'mean' | 'median'; frequency: number[]; density: number[]; spectrum: number[] }[];
  cross: { segment: number; window: string; re: number[]; im: number[]; xx: number[]; yy: number[]; coherence: number[] }[];
  windows: Record<string, Record<string, { periodic: number[]; symmetric: number[] }>>;
  hilbert: { even: number[]; odd: number[] };
  lomb: { keep: number[]; frequency: number[]; power: number[] };
  zoom: { from: number; to: number; points: number; re: number[]; im: number[] };
} = load('spectra.json');

const cases: Case[] = load('published.json');

/** The reference case of that name. */
export function published(id: string): Case {
  return cases.find((c) => c.id === id)!;
}

/** All reference cases of a kind of name. */
export function publishedLike(start: string): Case[] {
  return cases.filter((c) => c.id.startsWith(start));
}
