import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeChannel, plotBudget, plotCrossings, plotHistory, rpm, speedCrossings, uncertaintyBudget } from '../../src/index.js';
import { counted, cutAxis, logAxis } from '../../src/plot/axes.js';
import { placeMarks } from '../../src/plot/marks.js';
import { edgeAxes, placeLabels, type SpeedFrame } from '../../src/plot/speedLines.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const settings = { numRuns: 300, seed: 5 };
const frame: SpeedFrame = { x: {}, y: {}, slow: 0, fast: 500, low: 0, high: 250 };

describe('labels at crossings', () => {
  const points = fc.array(fc.record({ n: fc.double({ min: 0, max: 500, noNaN: true }), v: fc.double({ min: 0, max: 250, noNaN: true }) }), { maxLength: 40 })
    .map((list) => list.map((p, k) => ({ ...p, label: `+${k} %, ×1.${k}` })));
  it('cover neither each other nor a point, and stay inside the frame', () => {
    fc.assert(fc.property(points, (list) => {
      const boxes = placeLabels(list, 250, frame).map((p) => {
        const width = 7 * p.label.length;
        const left = p.n + p.dx - (p.align === 'left' ? 0 : p.align === 'right' ? width : width / 2);
        return { left, right: left + width, down: p.v - p.dy - 6, up: p.v - p.dy + 6 };
      });
      boxes.forEach((a, i) => {
        expect(a.left >= 0 && a.right <= 500 && a.down >= 0 && a.up <= 250).toBe(true);
        for (const b of boxes.slice(i + 1)) expect(a.right <= b.left || b.right <= a.left || a.up <= b.down || b.up <= a.down).toBe(true);
        for (const p of list) expect(p.n > a.left && p.n < a.right && p.v > a.down && p.v < a.up).toBe(false);
      });
    }), settings);
  });
  it('go to the first points where there is no room for all, and the figure says how many have none', () => {
    const dense = speedCrossings({ frequencies: [8.4, 22, 42, 71, 120], damping: 0.02, orders: Array.from({ length: 12 }, (_, k) => k + 1), from: rpm(50), to: rpm(1800), running: rpm(700) });
    const figure = plotCrossings(dense);
    const labels = textsOf(drawn(figure)).filter((t) => /^[+−].* %, ×/.test(t));
    expect(new Set(labels).size).toBeGreaterThan(8);
    expect(figure.notes.some((note) => /^\d+ of \d+ crossings have no room for a label/.test(note))).toBe(true);
    const nearest = dense.crossings[0]!;
    expect(labels[0]!.startsWith(`${nearest.margin < 0 ? '−' : '+'}${Math.abs(100 * nearest.margin).toPrecision(2)} %`)).toBe(true);
  });
});

describe('names of lines at the edges', () => {
  const ray = (label: string, n: number, v: number): { readonly label: string; readonly points: { readonly n: number; readonly v: number }[] } => ({ label, points: [{ n: 0, v: 0 }, { n, v }] });
  it('stand where the lines leave the frame: at the top by their number alone, at the right in full', () => {
    const [top, right] = edgeAxes([ray('order 10', 200, 250), ray('order 1', 500, 60)], frame);
    expect(dataOf({ layer: [top] })[0]).toEqual([expect.objectContaining({ at: 200, label: '10' })]);
    expect(dataOf({ layer: [right] })[0]).toEqual([expect.objectContaining({ at: 60, label: 'order 1' })]);
  });
  it('that would overlap become one which names both', () => {
    const level = (label: string, v: number): ReturnType<typeof ray> => ({ label, points: [{ n: 0, v }, { n: 500, v }] });
    const [right] = edgeAxes([level('61.0 Hz', 61), level('63.0 Hz', 63), level('order 2', 130), level('order 3', 135)], frame);
    expect(dataOf({ layer: [right] })[0]!.map((t) => t['label'])).toEqual(['61.0, 63.0 Hz', 'order 2, 3']);
  });
});

describe('labels of marked lines', () => {
  const wanted = fc.array(fc.record({ at: fc.double({ min: 0, max: 1, noNaN: true }), name: fc.string({ minLength: 1, maxLength: 30 }) }), { maxLength: 12 });
  it('do not overlap in their rows, and no rule runs through a label', () => {
    fc.assert(fc.property(wanted, (list) => {
      const boxes = placeMarks(list, (at) => at).map((m) => {
        const [here, width] = [570 * m.at, 7 * m.label.length + 8];
        return { here, level: m.level, begin: here - (m.align === 'right' ? width : 0), end: here + (m.align === 'right' ? 0 : width) };
      });
      expect(boxes).toHaveLength(list.length);
      const sides = new Set(placeMarks(list, (at) => at).map((m) => m.align));
      boxes.forEach((a, i) => boxes.forEach((b, j) => {
        if (i === j) return;
        expect(a.level === b.level && a.begin < b.end && b.begin < a.end).toBe(false);
        if (sides.size === 1) expect(b.level < a.level && a.begin < b.here && b.here < a.end).toBe(false);
      }));
    }), settings);
  });
});

describe('axes over a small ratio', () => {
  it('have even ticks, all of them labelled', () => {
    const { axis, scale } = logAxis(187, 199);
    expect(axis['values']).toEqual([186, 188, 190, 192, 194, 196, 198, 200]);
    expect(scale['domain']).toEqual([186, 200]);
    expect(axis['labelExpr']).toContain('"194":"194"');
  });
  it('can be cut to the values themselves', () => {
    expect(cutAxis(logAxis(1, 120), 1, 120).scale['domain']).toEqual([1, 120]);
    expect(Math.max(...(cutAxis(logAxis(1, 120), 1, 120).axis['values'] as number[]))).toBe(100);
  });
  it('count one thing in the singular', () => {
    expect([counted(1, 'gap'), counted(2, 'gap'), counted(1, 'spectrum', 'spectra'), counted(0, 'spectrum', 'spectra')]).toEqual(['1 gap', '2 gaps', '1 spectrum', '0 spectra']);
  });
});

describe('long names', () => {
  const long = 'bridge of the line shaft between gearbox and pump, drive end, recorder two, channel ';
  it('in a legend stand beneath each other, whole', () => {
    const channels = Array.from({ length: 6 }, (_, k) => makeChannel({ name: `${long}${k}`, unit: 'N·m', sampleRate: 10, values: [k, k + 1, k] }));
    const figure = plotHistory(channels);
    const svg = drawn(figure);
    expect(textsOf(svg)).toEqual(expect.arrayContaining(channels.map((c) => c.name)));
    expect(figure.title).toBe('6 channels');
    expect(svg).toContain(`width="${figure.width}" height="${figure.height}"`);
  });
  it('on an axis are cut, and leave the room to the bars', () => {
    const figure = plotBudget(uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 }, [long]: { value: 3, standard: 0.1 } }, model: (x) => x['a']! * x[long]!, unit: 'N·m', draws: 0 }));
    const svg = drawn(figure);
    const left = Math.min(...[...svg.matchAll(/translate\(([\d.]+),/g)].map((m) => Number(m[1])).filter((x) => x > 30));
    expect(left).toBeLessThan(240);
    expect(svg).toContain('Share of the variance / %');
  });
});
