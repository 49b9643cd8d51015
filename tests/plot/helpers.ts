import { createRequire } from 'node:module';
import { expect } from 'vitest';
import { toPdf, toSvg, type Figure } from '../../src/index.js';
import { compileSpec } from '../../src/plot/draw.js';

const require = createRequire(import.meta.url);

/** The SVG of a figure whose specification Vega-Lite accepts without a word, and which can be drawn as PDF. */
export function drawn(figure: Figure): string {
  expect(compileSpec(figure.spec).warnings).toEqual([]);
  const svg = toSvg(figure);
  expect(svg).not.toMatch(/NaN|undefined|Infinity|\[object/);
  expect(toPdf(figure).length).toBeGreaterThan(3000);
  return svg;
}

/** The texts of an SVG, in order. */
export function textsOf(svg: string): string[] {
  return [...svg.matchAll(/<text(?:[^>]*[^/>])?>([\s\S]*?)<\/text>/g)].map((m) => m[1]!.replace(/<[^>]*>/g, '').replace(/&amp;/g, '&'));
}

/** The rows of the data of every layer and panel of a figure's specification, in order. */
export function dataOf(spec: unknown): Record<string, unknown>[][] {
  const found: Record<string, unknown>[][] = [];
  const walk = (part: unknown): void => {
    if (typeof part !== 'object' || part === null) return;
    const { data, layer, vconcat } = part as { data?: { values: Record<string, unknown>[] }; layer?: unknown[]; vconcat?: unknown[] };
    if (data) found.push(data.values);
    for (const child of [...(layer ?? []), ...(vconcat ?? [])]) walk(child);
  };
  walk(spec);
  return found;
}

/** The same drawing by Vega's own asynchronous path, as an independent check of the synchronous one. */
export async function drawnAsynchronously(figure: Figure): Promise<string> {
  const vega = require('vega') as { View: new (runtime: unknown, options: object) => { toSVG(): Promise<string> }; parse(spec: unknown): unknown };
  return new vega.View(vega.parse(compileSpec(figure.spec).vegaSpec), { renderer: 'none' }).toSVG();
}
