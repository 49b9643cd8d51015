import { describe, expect, it } from 'vitest';
import {
  curveLibrary, cyclesFromTable, fitRingDown, lifeBand, makeChannel, MPa, plotBudget, plotLifeBand, plotRingDown, plotSpectrum, plotTornado, powerDensity, lineSpectrum, findLines, createRandom, stressCycles, survivalAt,
  tornado, uncertaintyBudget,
} from '../../src/index.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const local = stressCycles(cyclesFromTable({ unit: 'Pa', range: [180, 120].map(MPa), count: [20, 4000], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
const options = { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs: { gauge: { shape: 'normal', deviation: 0.02 }, notch: { shape: 'lognormal', deviation: 0.05 } } } as const;
const band = lifeBand(local, { ...options, draws: 2000 });

describe('plotLifeBand', () => {
  it('falls from 100 % to 0 and passes the quantiles of the band', () => {
    const figure = plotLifeBand(band, { hours: band.median });
    const rows = dataOf(figure.spec).find((r) => r.length > 100)!;
    for (let i = 1; i < rows.length; i++) expect(rows[i]!['s'] as number).toBeLessThanOrEqual(rows[i - 1]!['s'] as number);
    expect(rows.at(-1)!['s']).toBeCloseTo(0, 9);
    for (const row of rows) expect((row['s'] as number) / 100).toBeCloseTo(survivalAt(band, row['h'] as number).survival, 3);
    const texts = textsOf(drawn(figure));
    expect(texts).toEqual(expect.arrayContaining(['Survival / %', 'Running time / h', 'notch factor', 'gauge chain']));
  });
  it('names what fewer than 5 % of the lives stand behind as extrapolated', () => {
    const rows = dataOf(plotLifeBand(band).spec).find((r) => r.length > 100)!;
    const early = rows.filter((r) => String(r['part']).includes('extrapolated'));
    expect(Math.max(...early.map((r) => r['h'] as number))).toBeCloseTo(band.lives[100]!, 6);
  });
  it('draws what ends where nineteen lives of twenty and more do not, without a band to shade', () => {
    const cut = curveLibrary.en1993Shear(100);
    const seldom = lifeBand(stressCycles(cyclesFromTable({ unit: 'Pa', range: [0.93 * cut.kneeStress], count: [100], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' }), { ...options, curve: cut, inputs: { gauge: { shape: 'normal', deviation: 0.04 } }, draws: 2000 });
    expect(seldom.low).toBe(Infinity);
    expect(seldom.lives[0]).toBeLessThan(Infinity);
    const figure = plotLifeBand(seldom);
    expect(dataOf(figure.spec).some((rows) => rows.some((row) => 'low' in row))).toBe(false);
    expect(textsOf(drawn(figure)).join(' ')).toContain('drawn lives have no end');
    expect(figure.caption).toContain('no band, because');
    expect(drawn(figure)).not.toContain('NaN');
  });
  it('refuses another thing', () => {
    expect(() => plotLifeBand({} as never)).toThrow('band must be a LifeBand');
    expect(() => plotLifeBand(band, { hours: -1 })).toThrow('hours must be a finite number above 0 h');
  });
});

describe('plotTornado', () => {
  it('draws a bar for each input and choice with its ends named, and ∞ for a life without end', () => {
    const bars = tornado(local, { ...options, alternatives: [{ choice: 'continuation', name: 'cut-off', result: Infinity }] });
    const figure = plotTornado(bars);
    const rows = dataOf(figure.spec)[0]!;
    expect(rows.map((r) => r['low'])).toEqual(bars.bars.map((b) => b.low));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Life / h', 'notch factor', 'choice of continuation', 'cut-off: ∞', 'uncertain input', 'choice of the analyst']));
  });
  it('stands about a life without end too, and leaves out a bar that has none at either end', () => {
    const cut = curveLibrary.en1993Shear(100);
    const below = stressCycles(cyclesFromTable({ unit: 'Pa', range: [0.97 * cut.kneeStress], count: [100], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
    const bars = tornado(below, { ...options, curve: cut, inputs: { gauge: { shape: 'normal', deviation: 0.001 }, notch: { shape: 'lognormal', deviation: 0.05 } }, alternatives: [{ choice: 'continuation', name: 'same slope', result: 9000 }] });
    expect(bars.base).toBe(Infinity);
    const figure = plotTornado(bars);
    expect(dataOf(figure.spec)[0]!.map((row) => row['name'])).toEqual(['choice of continuation', 'notch factor']);
    expect(JSON.stringify(figure)).toContain('life with every input at its middle: no end;');
    expect(drawn(figure)).not.toMatch(/NaN|Infinity/);
  });
  it('refuses another thing', () => {
    expect(() => plotTornado({} as never)).toThrow('tornado must be a Tornado');
  });
});

describe('plotBudget', () => {
  const budget = uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 }, b: { value: 3, standard: 0.1 } }, model: ({ a, b }) => a! * b!, unit: 'N·m', name: 'torque', draws: 0 });
  it('draws shares of the variance that add up to 100 %', () => {
    const figure = plotBudget(budget);
    expect(dataOf(figure.spec)[0]!.reduce((s, r) => s + (r['share'] as number), 0)).toBeCloseTo(100, 9);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Share of the variance / %', 'a', 'b', 'Uncertainty of torque']));
    expect(figure.caption).toContain('N·m');
  });
  it('shows stress in MPa', () => {
    const stress = plotBudget(uncertaintyBudget({ inputs: { a: { value: 8e7, standard: 1e6 } }, model: ({ a }) => a!, unit: 'Pa', name: 'shear stress', draws: 1000 }));
    expect(stress.caption).toContain('80.00 MPa ± 2.0 MPa (coverage 95 %');
    expect(textsOf(drawn(stress))).toContain('Shear stress / MPa');
  });
  it('shows the drawn distribution with the area of all draws that its classes hold, and both intervals', () => {
    const both = uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.3 }, b: { value: 3, standard: 0.3 } }, model: ({ a, b }) => a! * b!, unit: 'N·m', name: 'torque', draws: 20_000 });
    const figure = plotBudget(both);
    const [, bars, , spans] = dataOf(figure.spec);
    const area = bars!.reduce((s, r) => s + (r['d'] as number) * ((r['to'] as number) - (r['from'] as number)), 0);
    expect(area).toBeCloseTo(both.monteCarlo!.histogram.counts.reduce((p, q) => p + q, 0) / 20_000, 9);
    expect(spans!.map((r) => [r['from'], r['to']])).toEqual([[both.monteCarlo!.low, both.monteCarlo!.high], [both.low, both.high]]);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Torque / N·m', 'drawn at random', 'first order']));
  });
  it('refuses another thing', () => {
    expect(() => plotBudget({} as never)).toThrow('budget must be an UncertaintyBudget');
  });
});

describe('plotSpectrum', () => {
  const random = createRandom(2);
  const wave = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: 40_000 }, (_, i) => 900 + 100 * Math.sin((2 * Math.PI * 24.3 * i) / 1000) + 20 * Math.sin((2 * Math.PI * 26 * i) / 1000) + random.normal()) });
  const density = powerDensity(wave, { segment: 8192 });
  it('keeps the highest value of the spectrum however it is thinned', () => {
    for (const frequencyScale of ['linear', 'log'] as const) {
      const rows = dataOf(plotSpectrum(density, { frequencyScale }).spec)[0]!;
      expect(rows.length).toBeLessThan(1300);
      expect(Math.max(...rows.map((r) => r['v'] as number))).toBe(Math.max(...density.density.subarray(1)));
    }
  });
  it('marks lines with labels that do not cover each other', () => {
    const lines = findLines(density).slice(0, 4);
    const svg = drawn(plotSpectrum(density, { lines, to: 60 }));
    expect(textsOf(svg)).toEqual(expect.arrayContaining(['24.3 Hz', '26.0 Hz', 'Frequency / Hz', 'Power density / (N·m)²·Hz⁻¹']));
    const heights = [...svg.matchAll(/<text[^>]*translate\([^,]*,([\d.]+)\)[^>]*>(?:24\.3|26\.0) Hz/g)].map((m) => m[1]);
    expect(new Set(heights).size).toBe(2);
  });
  it('says what an amplitude counts', () => {
    expect(textsOf(drawn(plotSpectrum(lineSpectrum(wave, { segment: 4096, amplitude: 'rms' }))))).toContain('Torque, rms / N·m');
  });
  it('does not let an emptied bin stretch the axis, and says what it leaves out', () => {
    const figure = plotSpectrum(density);
    const rows = dataOf(figure.spec)[0]!;
    expect(Math.min(...rows.map((r) => r['v'] as number))).toBeGreaterThan(1e-6);
    expect(figure.notes.length).toBeGreaterThanOrEqual(density.notes.length);
  });
  it('refuses another thing, an empty part and too many lines', () => {
    expect(() => plotSpectrum({} as never)).toThrow('a power density or a line spectrum');
    expect(() => plotSpectrum(density, { from: 9000, to: 9001 })).toThrow('with a value above 0');
    expect(() => plotSpectrum(density, { lines: Array.from({ length: 13 }, (_, k) => ({ frequency: k })) })).toThrow('at most twelve lines');
  });
});

describe('plotRingDown', () => {
  const ring = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: 1000 }, (_, i) => 40 + 900 * Math.exp(-i / 250) * Math.cos(0.3 * i)) });
  const fit = fitRingDown(ring, { from: 0, to: 2 });
  it('encloses the trace between its curves', () => {
    const figure = plotRingDown(ring, fit);
    const [, envelope] = dataOf(figure.spec);
    const upper = envelope!.filter((r) => r['side'] === '0 1');
    expect(upper[0]!['y']).toBeCloseTo(940, 0);
    const inside = (t: number): number => 40 + 900 * Math.exp((-t * 500) / 250);
    for (const row of upper) expect(row['y'] as number).toBeCloseTo(inside(row['t'] as number), 0);
    expect(textsOf(drawn(figure)).some((t) => t.includes('Hz, ζ = '))).toBe(true);
  });
  it('refuses a channel of another unit', () => {
    expect(() => plotRingDown(makeChannel({ name: 'x', unit: 'V', sampleRate: 1, values: [1] }), fit)).toThrow('unit of x must be N·m');
    expect(() => plotRingDown(ring, {} as never)).toThrow('fit must be a RingDown');
  });
});
