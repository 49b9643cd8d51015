import { describe, expect, it } from 'vitest';
import {
  compareModes, createRandom, crossSpectrum, designLowpass, eventTrend, fitLifeCurve, forcedResponse, makeChannel, MPa, plotEventTrend, plotLifeFit, plotModeComparison, plotModeShapes, plotResponse,
  plotZeroStability, responseOf, torsionalModes, zeroStability, type FatigueTest, type TorqueEvent, type Train,
} from '../../src/index.js';
import { dataOf, drawn, textsOf } from './helpers.js';

type Row = Record<string, number>;
const rowsWith = (spec: unknown, ...keys: string[]): Row[] => dataOf(spec).find((rows) => keys.every((key) => key in (rows[0] ?? {}))) as Row[];

describe('plotLifeFit', () => {
  const tests: FatigueTest[] = [948, 834, 703, 631, 579, 524].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130, 43860, 132150][i]! }));
  const options = { name: '4340', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'table E9.1', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 } as const;
  const fit = fitLifeCurve(tests, options);
  it('draws the tests where they are, and the bands of the fit', () => {
    const figure = plotLifeFit(fit, tests);
    expect(rowsWith(figure.spec, 'n', 'kind').map((r) => [r['n'], r['s']])).toEqual(tests.map((t) => [t.cycles, t.stress / 1e6]));
    const band = rowsWith(figure.spec, 'low', 'high');
    expect(band.map((r) => [r['low'], r['high']])).toEqual(Array.from(fit.band.low, (low, k) => [low, fit.band.high[k]]));
    const lines = rowsWith(figure.spec, 'line') as unknown as { n: number; s: number; line: string }[];
    for (const row of lines.filter((r) => r.line === 'median')) expect(row.n).toBeCloseTo(10 ** (fit.intercept - fit.slope * Math.log10(row.s * 1e6)), 6 - Math.ceil(Math.log10(row.n)));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Direct stress amplitude / MPa', 'Cycles', 'failure', 'median', 'lower tolerance limit, 95 % survival']));
  });
  it('draws the design curve as the fit moved it', () => {
    const lines = rowsWith(plotLifeFit(fit, tests).spec, 'line') as unknown as { n: number; s: number; line: string }[];
    const through = fit.curve.through;
    for (const row of lines.filter((r) => r.line.startsWith('design'))) expect(Math.log10(row.n)).toBeCloseTo(Math.log10(through.cycles) - fit.slope * Math.log10((row.s * 1e6) / through.stress), 9);
  });
  it('tells runouts from failures', () => {
    const more: FatigueTest[] = [...tests, { stress: MPa(450), cycles: 1e7, runout: true }];
    expect(textsOf(drawn(plotLifeFit(fitLifeCurve(more, options), more)))).toEqual(expect.arrayContaining(['failure', 'runout']));
  });
  it('refuses other tests and another thing', () => {
    expect(() => plotLifeFit({} as never, tests)).toThrow('fit must be a LifeFit');
    expect(() => plotLifeFit(fit, tests.slice(1))).toThrow('the 6 failures and 0 runouts of the fit');
  });
});

const train: Train = {
  inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000, damping: 1 }],
};

describe('plotModeShapes', () => {
  it('marks the node that divides the shaft as the inertias do, by hand', () => {
    const figure = plotModeShapes(torsionalModes(train), { train });
    const node = dataOf(figure.spec).at(-1)! as unknown as { i: number }[];
    expect(node).toHaveLength(1);
    expect(node[0]!.i).toBeCloseTo(0.6, 9);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['motor', 'pump', '15.9 Hz', 'Angle, largest = 1']));
  });
  it('leaves a gap between geared shafts, whose angles are about different axes', () => {
    const geared: Train = { inertias: [...train.inertias, { name: 'fan', inertia: 1 }, { name: 'wheel', inertia: 0.1 }], shafts: [...train.shafts, { name: 'far', from: 'wheel', to: 'fan', stiffness: 5e3 }], gears: [{ from: 'wheel', to: 'pump', ratio: 2 }] };
    const pieces = new Set(rowsWith(plotModeShapes(torsionalModes(geared), { train: geared }).spec, 'i', 'piece').map((r) => String(r['piece']).split(' ')[1]));
    expect(pieces.size).toBe(2);
  });
  it('refuses another train and another thing', () => {
    expect(() => plotModeShapes({} as never)).toThrow('modes must be TorsionalModes');
    expect(() => plotModeShapes(torsionalModes(train), { train: { ...train, inertias: [{ name: 'motor', inertia: 1 }] } })).toThrow('with the inertias motor, pump');
  });
});

describe('plotModeComparison', () => {
  const e = (value: number, standardError: number): { value: number; standardError: number; low: number; high: number } => ({ value, standardError, low: value - 2 * standardError, high: value + 2 * standardError });
  const found = compareModes([{ from: 'ring-down', frequency: e(8.44, 0.01), dampingRatio: e(0.007, 0.0005) }, { from: 'sweep', frequency: e(8.45, 0.01), dampingRatio: e(0.012, 0.0005) }]);
  it('draws every reading with its interval, and says which are apart', () => {
    const figure = plotModeComparison(found);
    const [frequency, damping] = dataOf(figure.spec);
    expect(frequency!.map((r) => [r['low'], r['value'], r['high']])).toEqual(found.readings.map((r) => [r.frequency.low, r.frequency.value, r.frequency.high]));
    expect(damping!.map((r) => (r['value'] as number).toFixed(9))).toEqual(['0.700000000', '1.200000000']);
    expect(figure.caption).toContain('1 pair of 1 apart by more than three combined standard errors: ring-down and sweep');
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Natural frequency / Hz', 'Damping ratio / %', 'ring-down', 'sweep']));
  });
  it('refuses another thing', () => {
    expect(() => plotModeComparison({} as never)).toThrow('comparison must be a ModeComparison');
  });
});

describe('plotZeroStability', () => {
  it('draws the three deviations at their averaging times and marks the least', () => {
    const random = createRandom(8);
    const stability = zeroStability(makeChannel({ name: 'zero', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 600 }, (_, i) => random.normal() + 1e-5 * i * i) }), { window: { from: 0, to: 60 } });
    const figure = plotZeroStability(stability);
    const rows = rowsWith(figure.spec, 't', 'series') as unknown as { t: number; d: number; series: string }[];
    expect(rows.filter((r) => r.series === 'overlapping means').map((r) => [r.t, r.d])).toEqual(Array.from(stability.time, (t, i) => [t, stability.overlapping[i]]));
    expect(dataOf(figure.spec).at(-1)).toEqual([{ t: stability.bestTime, d: stability.bestDeviation }]);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Averaging time / s', 'Allan deviation / N·m', 'modified']));
  });
  it('refuses another thing and a signal that never changes', () => {
    expect(() => plotZeroStability({} as never)).toThrow('stability must be a ZeroStability');
    expect(() => plotZeroStability(zeroStability(makeChannel({ name: 'zero', unit: 'N·m', sampleRate: 1, values: new Array(9).fill(3) }), { window: { from: 0, to: 9 } }))).toThrow('with a deviation above 0');
  });
});

describe('plotEventTrend', () => {
  const events = [100, -110, 120, 130].map((peak) => ({ state: 'start', peak, amplification: null, riseTime: peak > 0 ? 0.1 : null })) as unknown as TorqueEvent[];
  it('draws sizes in order of time with the line of their slope', () => {
    const figure = plotEventTrend(events, 'peak');
    const [, line, points] = dataOf(figure.spec) as unknown as Row[][];
    expect(points!.map((r) => [r['k'], r['v']])).toEqual([[1, 100], [2, 110], [3, 120], [4, 130]]);
    expect((line![1]!['v']! - line![0]!['v']!) / 3).toBeCloseTo(eventTrend(events, 'peak').slope!.value, 9);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Peak torque / N·m', 'Event, in order of time']));
  });
  it('says how many events have no such measure, and refuses none at all', () => {
    const figure = plotEventTrend(events, 'riseTime');
    expect(figure.notes).toEqual(['1 event without rise time left out']);
    expect(textsOf(drawn(figure))).toContain('Rise time / s');
    expect(() => plotEventTrend(events, 'amplification')).toThrow('at least one event with amplification');
  });
});

describe('plotResponse', () => {
  const random = createRandom(4);
  const x = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Float64Array.from({ length: 8192 }, () => random.normal()) });
  const y = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: x.values.map((v) => 3 * v + 0.1 * random.normal()) });
  it('draws gain, phase and coherence of two channels', () => {
    const cross = crossSpectrum(x, y, { segment: 256 });
    const figure = plotResponse(cross, { from: 10 });
    const gains = rowsWith(figure.spec, 'g') as unknown as Row[];
    for (const row of gains) expect(row['g']).toBe(cross.h1.gain[cross.frequency.indexOf(row['f']!)]);
    for (const row of gains) expect(Math.abs(row['g']! - 3)).toBeLessThan(0.1);
    for (const row of rowsWith(figure.spec, 'c') as unknown as Row[]) if (row['f']) expect(row['c']).toBe(cross.coherence[cross.frequency.indexOf(row['f'])]);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Gain / (N·m per rad/s)', 'Phase / °', 'Coherence', 'Frequency / Hz']));
  });
  it('draws no phase where channels have nothing to do with each other', () => {
    const other = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: 8192 }, () => random.normal()) });
    const cross = crossSpectrum(x, other, { segment: 256 });
    const figure = plotResponse(cross, { of: 'h2', frequencyScale: 'log' });
    const phases = rowsWith(figure.spec, 'p') ?? [];
    expect(phases.length).toBeLessThan(0.15 * cross.frequency.length);
    for (const row of phases) expect(cross.coherence[cross.frequency.indexOf(row['f']!)]!).toBeGreaterThan(cross.coherenceLimit);
    drawn(figure);
  });
  it('draws a filter at half its power at the cutoff, and a train per shaft', () => {
    const filter = plotResponse(responseOf(designLowpass({ cutoff: 50, sampleRate: 1000 }), { frequency: [10, 50, 90] }));
    expect((rowsWith(filter.spec, 'g') as unknown as Row[])[1]!['g']).toBeCloseTo(Math.SQRT1_2, 9);
    expect(textsOf(drawn(filter))).toContain('Response of the filter, one pass');
    const forced = plotResponse(forcedResponse(train, { at: 'motor', frequency: [1, 10, 15, 20, 40] }));
    expect(rowsWith(forced.spec, 'g')).toHaveLength(5);
    expect(textsOf(drawn(forced))).toContain('Gain');
  });
  it('refuses another thing and an empty part', () => {
    expect(() => plotResponse({} as never)).toThrow('a CrossSpectrum, FrequencyResponse or ForcedResponse');
    expect(() => plotResponse(responseOf(designLowpass({ cutoff: 50, sampleRate: 1000 })), { from: 600, to: 700 })).toThrow('with a gain above 0 between 600 and 700 Hz');
  });
});
