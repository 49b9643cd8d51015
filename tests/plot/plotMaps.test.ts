import { describe, expect, it } from 'vitest';
import { createRandom, lossMap, makeChannel, orderSpectrum, orderTracks, plotLossMap, plotOrders, plotCrossings, plotSpectrogram, plotSpeedMap, rpm, spectrogram, speedCrossings, speedMap, toShaftAngle, type Channel, type Span } from '../../src/index.js';
import { GridMaker, heatLayer } from '../../src/plot/heat.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const random = createRandom(4);
const n = 20_000;
const turn = (i: number): number => 2 * Math.PI * (5 * (i / 1000) + 0.5 * (i / 1000) ** 2);
const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: n }, (_, i) => 500 + 30 * Math.cos(2 * turn(i)) + 9 * Math.cos(6 * turn(i)) + random.normal()) });
const speed: Channel<'rad/s'> = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Float64Array.from({ length: n }, (_, i) => 2 * Math.PI * (5 + i / 1000)) });
const record = toShaftAngle(torque, { speed, samplesPerRevolution: 64 });

describe('maps', () => {
  it('show the greatest value of every field, by hand', () => {
    const maker = new GridMaker([0, 4], 2, [0, 10], 2);
    maker.put(0, 1, 1, 5);
    maker.put(1, 2, 1, 9);
    maker.put(1.5, 3, 9, 2);
    maker.put(0, 4, 11, 99);
    expect(Array.from(maker.grid().values)).toEqual([9, 2, NaN, 2]);
  });
  it('join neighbours of one class in a row and leave unknown fields white', () => {
    const maker = new GridMaker([0, 4], 4, [0, 2], 2);
    for (const [at, row, v] of [[0, 0, 1000], [1, 0, 1000], [3, 0, 1000], [0, 1, 1], [1, 1, 10]] as const) maker.put(at, at + 1, row + 0.5, v);
    const fields = dataOf(heatLayer(maker.grid(), {}, {}, 'x'))[0]!;
    expect(fields.filter((f) => f['y'] === 0).map((f) => [f['x'], f['x2']])).toEqual([[0, 2], [3, 4]]);
  });
});

describe('plotSpectrogram', () => {
  it('keeps the strongest line of every moment', () => {
    const map = spectrogram(torque, { segment: 512 });
    const figure = plotSpectrogram(map, { to: 200 });
    const fields = dataOf(figure.spec)[0]!;
    let [at, bin] = [0, 2];
    map.density.forEach((d, k) => d.forEach((v, i) => { if (i >= 2 && v > map.density[at]![bin]!) [at, bin] = [k, i]; }));
    const [t, f] = [map.time[at]!, map.frequency[bin]!];
    const here = fields.filter((r) => (r['x'] as number) <= t && t <= (r['x2'] as number) && (r['y'] as number) <= f && f <= (r['y2'] as number)).map((r) => r['level']);
    const strongest = textsOf(drawn(figure)).find((text) => text.startsWith('≥'));
    expect({ here, strongest }).toEqual({ here: [strongest], strongest });
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Frequency / Hz', 'Time / s', expect.stringMatching(/^Power density.*Hz⁻¹$/)]));
  });
  it('leaves stretches without a spectrum white', () => {
    const cut = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: torque.values, invalid: [{ from: 8000, to: 12_000, why: 'dropout' }] });
    const fields = dataOf(plotSpectrogram(spectrogram(cut, { segment: 512 })).spec)[0]!;
    expect(fields.some((f) => (f['x'] as number) < 9 && (f['x2'] as number) > 11)).toBe(false);
  });
  it('refuses another thing and a band outside', () => {
    expect(() => plotSpectrogram({} as never)).toThrow('map must be a Spectrogram');
    expect(() => plotSpectrogram(spectrogram(torque, { segment: 512 }), { to: 900 })).toThrow('to must be a finite number above 0 Hz and at most 500 Hz');
  });
});

describe('plotOrders', () => {
  it('draws the amplitudes of an order spectrum at their orders', () => {
    const figure = plotOrders(orderSpectrum(record, { revolutions: 10 }), { to: 8, named: [{ order: 2, name: '2× joint' }] });
    const rows = dataOf(figure.spec)[0]!;
    const top = rows.reduce((m, r) => ((r['a'] as number) > (m['a'] as number) ? r : m));
    expect(top['o']).toBeCloseTo(2, 6);
    expect(top['a'] as number).toBeCloseTo(30, 0);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Torque, peak / N·m', 'Order (cycles a revolution)', '2× joint']));
  });
  it('draws order tracks over speed with a legend', () => {
    const texts = textsOf(drawn(plotOrders(orderTracks(record, { revolutions: 6, orders: [2, 6] }))));
    expect(texts).toEqual(expect.arrayContaining(['Speed / rpm', 'order 2', 'order 6']));
  });
  it('refuses another thing', () => {
    expect(() => plotOrders({} as never)).toThrow('an OrderSpectrum or OrderTracks');
    expect(() => plotOrders(orderSpectrum(record, { revolutions: 10 }), { from: 5, to: 4 })).toThrow('to must be a finite number above 5');
  });
});

describe('plotLossMap', () => {
  const invalid: Span[] = Array.from({ length: 30 }, (_, k) => ({ from: 100 + 600 * k, to: 105 + 600 * k + (k % 3), why: 'dropout' as const }));
  const gappy = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: torque.values, invalid });
  it('shows the shares of the map, by level and by angle', () => {
    const map = lossMap(gappy, { speed });
    const figure = plotLossMap(map);
    const [level] = dataOf(figure.spec);
    expect(level!.map((r) => r['share'])).toEqual(map.byLevel.share.filter((s) => s !== null).map((s) => 100 * s!));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Share lost / %', 'Torque / N·m', 'Shaft angle / °']));
  });
  it('does without an angle, and refuses another thing', () => {
    expect(textsOf(drawn(plotLossMap(lossMap(gappy))))).not.toContain('Shaft angle / °');
    expect(() => plotLossMap({} as never)).toThrow('map must be a LossMap');
  });
});

describe('plotSpeedMap', () => {
  const found = speedCrossings({ frequencies: [24], damping: 0.02, orders: [1, 2], from: rpm(100), to: rpm(1800), running: rpm(990) });
  it('draws orders as rays through frequency = order · speed / 60, and marks the crossings', () => {
    const figure = plotSpeedMap(speedMap(torque, { axis: 'frequency', speed, classWidth: rpm(60), segment: 512 }), { orders: [2], frequencies: [24], crossings: found, to: 100 });
    const ray = dataOf(figure.spec).find((rows) => rows.length > 100 && rows.every((r) => Math.abs((r['v'] as number) - ((r['n'] as number) * 2) / 60) < 1e-9));
    expect(ray).toBeDefined();
    const circles = dataOf(figure.spec).find((rows) => rows.length === 2 && rows.every((r) => r['v'] === 24))!;
    expect(circles.map((r) => Math.round(r['n'] as number)).sort()).toEqual([1440, 720]);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Speed / rpm', 'Frequency / Hz', 'order 2', '24.0 Hz']));
  });
  it('draws orders as levels over an order axis', () => {
    const figure = plotSpeedMap(speedMap(torque, { axis: 'order', speed, classWidth: rpm(60), revolutions: 4, samplesPerRevolution: 64 }), { orders: [6], to: 10 });
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Order (cycles a revolution)', 'order 6']));
  });
  it('refuses another thing and a part outside the map', () => {
    expect(() => plotSpeedMap({} as never)).toThrow('map must be a SpeedMap');
    const map = speedMap(torque, { axis: 'frequency', speed, classWidth: rpm(60), segment: 512 });
    expect(() => plotSpeedMap(map, { to: 501 })).toThrow('to must be a finite number above 0 and at most 500');
    expect(() => plotSpeedMap(map, { crossings: {} as never })).toThrow('crossings must be SpeedCrossings');
  });
  it('and its crossings stand alone, with the distance from the running speed at each', () => {
    const texts = textsOf(drawn(plotCrossings(found)));
    expect(texts).toEqual(expect.arrayContaining(['order 1', 'Order', '2', '24.0 Hz', '−27 %, ×1.1', '+45 %, ×1.9']));
    expect(() => plotCrossings({} as never)).toThrow('crossings must be SpeedCrossings');
    expect(() => plotCrossings(speedCrossings({ frequencies: [24], damping: 0.02, orders: [1], from: rpm(100), to: rpm(200), running: rpm(150) }))).toThrow('at least one crossing');
  });
});
