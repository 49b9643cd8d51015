import { describe, expect, it } from 'vitest';
import {
  atWidth, closeResidue, countCycles, curveLibrary, cyclesFromTable, lifeBand, makeChannel, mm, MPa, plotBudget, plotExceedance, plotHistory, plotLifeBand, plotLifeCurve, plotSpectrum, plotTornado, powerDensity, stressCycles, toSvg,
  tornado, uncertaintyBudget, type Figure,
} from '../../src/index.js';
import { drawn, textsOf } from './helpers.js';

const local = stressCycles(cyclesFromTable({ unit: 'Pa', range: [180, 120].map(MPa), count: [20, 4000], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
const options = { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs: { gauge: { shape: 'normal', deviation: 0.02 }, notch: { shape: 'lognormal', deviation: 0.05 } } } as const;
const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 4000 }, (_, i) => 900 * Math.sin(i * 0.3) + 400 * Math.sin(i * 0.011) + (i % 7)) });
const budget = uncertaintyBudget({ inputs: { youngsModulus: { value: 2, standard: 0.1 }, gaugeFactor: { value: 3, standard: 0.1 } }, model: (x) => x['youngsModulus']! * x['gaugeFactor']!, unit: 'N·m', name: 'torque', draws: 1000 });

const figures: Readonly<Record<string, () => Figure>> = {
  plotHistory: () => plotHistory(torque, { rest: [{ from: 1, to: 4 }] }),
  plotExceedance: () => plotExceedance(closeResidue(countCycles(torque), 'half')),
  plotLifeCurve: () => plotLifeCurve(curveLibrary.en1993Direct(71)),
  plotSpectrum: () => plotSpectrum(powerDensity(torque, { segmentSeconds: 4 }), { lines: [{ frequency: 4.77, name: 'pump: blade pass of the first stage' }, { frequency: 5.1, name: 'natural frequency 1' }], frequencyScale: 'log' }),
  plotLifeBand: () => plotLifeBand(lifeBand(local, { ...options, draws: 500 })),
  plotTornado: () => plotTornado(tornado(local, { ...options, alternatives: [{ choice: 'continuation', name: 'cut-off', result: 3 }] })),
  plotBudget: () => plotBudget(budget),
};

/** Width of an SVG as drawn, and the size of its smallest text. */
function sizesOf(svg: string): { readonly width: number; readonly text: number } {
  return { width: Number(/<svg[^>]* width="([\d.]+)"/.exec(svg)![1]), text: Math.min(...[...svg.matchAll(/font-size="([\d.]+)px"/g)].map((m) => Number(m[1]))) };
}

describe('atWidth', () => {
  it.each(Object.entries(figures))('draws %s for a column of 85 mm with text of the size that it has on a page', (_, make) => {
    const [column, page] = [sizesOf(drawn(atWidth(mm(85), make))), sizesOf(toSvg(make()))];
    // Panels beside long names may be some pixels wider or narrower than planned.
    expect(column.width).toBeLessThan(321 + 25);
    expect(column.width).toBeGreaterThan(321 - 60);
    expect(column.text).toBe(page.text);
    expect(page.width).toBeGreaterThan(580);
  });

  it('wraps titles between words and loses none of them', () => {
    const column = textsOf(toSvg(atWidth(mm(85), () => plotExceedance(closeResidue(countCycles(torque), 'half'))))).join(' ');
    expect(column).toContain('Ranges and how often they are');
    expect(column).toContain('reached');
  });

  it('is a page again afterwards, also within another width and after an error', () => {
    const before = toSvg(plotHistory(torque));
    expect(() => atWidth(mm(85), () => { throw new Error('mine'); })).toThrow('mine');
    expect(atWidth(mm(85), () => [atWidth(mm(120), () => plotHistory(torque).width), plotHistory(torque).width])).toEqual([454, 321]);
    expect(toSvg(plotHistory(torque))).toBe(before);
  });

  it('refuses widths that no page has, and what is not drawn when it returns', () => {
    expect(() => atWidth(85, () => 1)).toThrow('width must be');
    expect(() => atWidth(NaN, () => 1)).toThrow('width must be');
    expect(() => atWidth(mm(85), 3 as never)).toThrow('a function that draws');
    expect(() => atWidth(mm(85), async () => 1)).toThrow('a function that has drawn when it returns');
  });
});
