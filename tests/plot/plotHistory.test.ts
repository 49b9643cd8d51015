import { describe, expect, it } from 'vitest';
import { createRandom, makeChannel, plotHistory, toPng, toSvg, type Channel } from '../../src/index.js';
import { dataOf, drawn, drawnAsynchronously, textsOf } from './helpers.js';

const random = createRandom(5);
const torque = (n = 20000): Channel<'N·m'> => makeChannel({
  name: 'torque', unit: 'N·m', sampleRate: 1000, start: '2026-03-01T08:00:00.000Z',
  values: Float64Array.from({ length: n }, (_, i) => (i < 2000 ? 0 : 900) + 30 * random.normal()),
  invalid: [{ from: 9000, to: 11000, why: 'dropout' }, { from: 15000, to: 15002, why: 'rail' }],
});
const speed = makeChannel({ name: 'speed', unit: 'rpm', sampleRate: 100, values: Float64Array.from({ length: 2000 }, (_, i) => Math.min(980, i * 5)) });

describe('plotHistory', () => {
  it('names quantity, unit, time unit and start on its axes', () => {
    const texts = textsOf(drawn(plotHistory(torque(), { rest: [{ from: 0, to: 1.9 }] })));
    expect(texts).toContain('Torque / N·m');
    expect(texts).toContain('Time from 2026-03-01 08:00:00 UTC / s');
    expect(texts).toEqual(expect.arrayContaining(['torque', 'torque: 10 % masked (dropout, rail)', 'masked', 'rest window']));
  });
  it('does not bridge a masked span: the pieces end at its edges, and the line is cut there', () => {
    const figure = plotHistory(torque());
    const rows = dataOf(figure.spec).at(-1)!;
    const before = rows.filter((r) => (r['t'] as number) < 9).at(-1)!;
    const after = rows.find((r) => (r['t'] as number) > 9)!;
    expect(before['t']).toBe(8.999);
    expect(after['t']).toBe(11);
    expect(after['piece']).not.toBe(before['piece']);
    expect(rows.some((r) => (r['t'] as number) >= 9 && (r['t'] as number) < 11)).toBe(false);
    const lines = drawn(figure).match(/<path aria-roledescription="line mark"|aria-roledescription="line mark"/g) ?? [];
    expect(lines.length).toBe(3);
  });
  it('draws a sample that stands alone between masked ones', () => {
    const alone = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, 2, NaN, 5, NaN, 2, 1] });
    const [, line, points] = dataOf(plotHistory(alone).spec);
    expect(line!.map((r) => r['y'])).toEqual([1, 2, 5, 2, 1]);
    expect(points!.map((r) => [r['t'], r['y']])).toEqual([[3, 5]]);
    expect(drawn(plotHistory(alone))).toContain('aria-roledescription="point"');
  });
  it('draws a signal that never moves, and one that is masked throughout', () => {
    expect(textsOf(drawn(plotHistory(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 0, 0] }))))).toContain('Torque / N·m');
    drawn(plotHistory(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [5, 5] })));
    expect(textsOf(drawn(plotHistory(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [NaN, NaN] }))))).toContain('T: 100 % masked (not a number)');
  });
  it('keeps a single-sample peak of a long record, in value and in the drawing', () => {
    const values = new Float64Array(300_000);
    values[123_457] = 77;
    const rows = dataOf(plotHistory(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 2000, values })).spec).at(-1)!;
    expect(rows.length).toBeLessThan(2400);
    expect(Math.max(...rows.map((r) => r['y'] as number))).toBe(77);
    expect(rows.find((r) => r['y'] === 77)!['t']).toBe(123_457 / 2000);
  });
  it('stacks quantities above one time axis and overlays channels of one quantity with a legend', () => {
    const other = makeChannel({ name: 'torque 2', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 200 }, () => 880) });
    const texts = textsOf(drawn(plotHistory([torque(), speed, other])));
    expect(texts).toEqual(expect.arrayContaining(['Torque / N·m', 'Speed / rpm', 'torque 2']));
    expect(texts.filter((t) => t.startsWith('Time from'))).toHaveLength(1);
  });
  it('shows large torque in kN·m, stress in MPa, strain in µstrain and a long time in hours', () => {
    const big = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 0.01, values: Float64Array.from({ length: 200 }, (_, i) => 100 * i) });
    expect(textsOf(drawn(plotHistory(big)))).toEqual(expect.arrayContaining(['Torque / kN·m', 'Time / h']));
    const stress = makeChannel({ name: 's', unit: 'Pa', sampleRate: 1, values: [1e6, 3e7, 2e7] });
    const strain = makeChannel({ name: 'e', unit: 'strain', sampleRate: 1, values: [1e-5, 3e-4, 2e-4] });
    const ratio = makeChannel({ name: 'b', unit: 'mV/V', sampleRate: 1, values: [0.1, 0.3, 0.2] });
    expect(textsOf(drawn(plotHistory([stress, strain, ratio])))).toEqual(expect.arrayContaining(['Stress / MPa', 'Strain / µstrain', 'Bridge ratio / (mV/V)']));
  });
  it('cuts to the part asked for', () => {
    const rows = dataOf(plotHistory(torque(), { from: 3, to: 4 }).spec).at(-1)!;
    expect([rows[0]!['t'], rows.at(-1)!['t']]).toEqual([3, 3.999]);
  });
  it('draws faults that are not masked yet as bands', () => {
    const figure = plotHistory(torque(), { faults: [{ from: 4000, to: 5000, why: 'held value' }] });
    expect(dataOf(figure.spec)[0]!.some((b) => b['from'] === 4 && b['to'] === 5)).toBe(true);
    expect(figure.caption).toContain('held value');
  });
  it('draws the same at once as by the asynchronous path', async () => {
    const figure = plotHistory([torque(), speed]);
    const { textMetrics } = (await import('vega')) as unknown as { textMetrics: { width: unknown } };
    const { textWidth } = await import('../../src/plot/fonts.js');
    const before = textMetrics.width;
    textMetrics.width = (item: { text?: unknown; fontSize?: number; fontWeight?: string }, text?: string) => textWidth(String(text ?? item.text ?? ''), item.fontSize ?? 11, item.fontWeight === 'bold');
    try {
      const other = await drawnAsynchronously(figure);
      const numberless = (svg: string): string => svg.replace(/(id|clip-path)="[^"]*"/g, '');
      expect(numberless(toSvg(figure))).toBe(numberless(other));
    } finally {
      textMetrics.width = before;
    }
  });
  it('is refused where it cannot be true', () => {
    expect(() => plotHistory([])).toThrow('plotHistory: channels must be one channel or more, got none.');
    expect(() => plotHistory({} as never)).toThrow('plotHistory: channel must be a Channel');
    expect(() => plotHistory(torque(), { rest: [{ from: 30, to: 40 }] })).toThrow('rest[0].from must be a finite number at least 0 s and at most 20 s');
    expect(() => plotHistory(torque(), { from: 4, to: 3 })).toThrow('from before to');
    expect(() => plotHistory(torque(), { faults: [{ from: 0, to: 1e9, why: 'rail' }] })).toThrow('within the 20000 samples of torque');
    expect(() => plotHistory(torque(), { colour: 'red' } as never)).toThrow("unknown key 'colour'");
    const later = makeChannel({ name: 'late', unit: 'N·m', sampleRate: 1, values: [1], start: '2026-03-02T08:00:00.000Z' });
    expect(() => plotHistory([torque(), later])).toThrow('alignChannels');
    const many = Array.from({ length: 7 }, (_, k) => makeChannel({ name: `T${k}`, unit: 'N·m', sampleRate: 1, values: [k] }));
    expect(() => plotHistory(many)).toThrow('at most six of one unit');
  });
});

describe('toPng', () => {
  const size = (png: Uint8Array): number[] => {
    const view = new DataView(png.buffer, png.byteOffset);
    return [view.getUint32(16), view.getUint32(20)];
  };
  it('has the size of the figure times the scale', () => {
    const figure = plotHistory(torque());
    expect(size(toPng(figure, { scale: 1 }))).toEqual([figure.width, figure.height]);
    expect(size(toPng(figure))).toEqual([2 * figure.width, 2 * figure.height]);
  });
  it('refuses what is no figure and a scale that is none', () => {
    expect(() => toSvg({} as never)).toThrow('toSvg: figure must be a Figure, got an empty object. Make one with a plot verb such as plotHistory.');
    expect(() => toPng(plotHistory(torque()), { scale: 0 })).toThrow('scale must be a finite number above 0 and at most 10');
  });
});
