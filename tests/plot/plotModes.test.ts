import { describe, expect, it } from 'vitest';
import { createRandom, fitAmbient, fitSweep, makeChannel, plotAmbient, plotSweep, powerDensity } from '../../src/index.js';
import { drivenBasis } from '../../src/numeric/drivenOscillator.js';
import { shaken } from '../shaken.js';
import { dataOf, drawn, textsOf } from './helpers.js';

interface Row { readonly f: number; readonly v: number; readonly a: number; readonly series: string }
const rowsOf = (spec: unknown, series: string): Row[] => (dataOf(spec).find((rows) => 'series' in (rows[0] ?? {})) as unknown as Row[]).filter((r) => r.series === series);

describe('plotAmbient', () => {
  const fit = fitAmbient(shaken(), { band: { from: 6, to: 10 }, segment: 2048 });
  it('draws the spectrum of the band as powerDensity gives it, and the formula of the fitted mode', () => {
    const spectrum = powerDensity(shaken(), { segment: 2048 });
    const inside = Array.from(spectrum.frequency, (f, i) => ({ f, v: spectrum.density[i]! })).filter(({ f }) => f >= 6 && f <= 10);
    expect(rowsOf(plotAmbient(fit).spec, 'power density found').map(({ f, v }) => ({ f, v }))).toEqual(inside);
    const fitted = rowsOf(plotAmbient(fit).spec, 'fitted mode');
    const peak = fitted.reduce((best, r) => (r.v > best.v ? r : best));
    expect(Math.abs(peak.f - fit.frequency.value)).toBeLessThan(100 / 2048);
    // At resonance P = S/(2ζ)² + B; the nearest bin lies a little below it.
    const top = fit.excitation / (2 * fit.dampingRatio.value) ** 2 + fit.floor;
    expect(peak.v / top).toBeGreaterThan(0.9);
    expect(peak.v / top).toBeLessThan(1.001);
  });
  it('marks the frequency with its interval, and says both in words', () => {
    const figure = plotAmbient(fit);
    expect(dataOf(figure.spec)).toEqual(expect.arrayContaining([[{ low: fit.frequency.low, high: fit.frequency.high }], [{ f: fit.frequency.value }]]));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Frequency / Hz', 'Power density / (N·m)²·Hz⁻¹', 'power density found', 'fitted mode']));
    expect(figure.caption).toContain(`${fit.frequency.value.toPrecision(4)} Hz`);
  });
  it('refuses another thing', () => {
    expect(() => plotAmbient({} as never)).toThrow('fit must be an AmbientFit');
  });
});

describe('plotSweep', () => {
  const [rate, seconds] = [200, 45];
  const n = rate * seconds;
  const phase = Float64Array.from({ length: n }, (_, i) => 2 * Math.PI * ((5 * i) / rate + 0.1 * (i / rate) ** 2));
  const { cosine } = drivenBasis({ omega: 2 * Math.PI * 8.44, zeta: 0.0071, step: 1 / rate, phase, gain: null });
  const random = createRandom(3);
  const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: rate, values: cosine.map((v) => 100 * v + 5 * random.normal()) });
  const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 20, values: Float64Array.from({ length: seconds * 20 + 2 }, (_, i) => 12 * (5 + (0.2 * i) / 20)) });
  const fit = fitSweep(torque, { from: 0, to: seconds, speed, order: 5, excitation: 'constant' });
  it('draws half the range of the signal where it was swept, with the fit close to it and its peak above the natural frequency', () => {
    const [signal, fitted] = ['signal', 'fitted'].map((series) => rowsOf(plotSweep(fit).spec, series)) as [Row[], Row[]];
    expect(signal).toHaveLength(fitted.length);
    const peak = signal.reduce((best, r) => (r.a > best.a ? r : best));
    expect(peak.a * 1000).toBeCloseTo(1000 * cosine.reduce((m, v) => Math.max(m, Math.abs(v)), 0) * 100, -5);
    expect(peak.f).toBeGreaterThan(fit.frequency.value);
    signal.forEach((r, i) => expect(Math.abs(r.a - fitted[i]!.a)).toBeLessThan(25));
    expect(signal[0]!.f).toBeGreaterThan(5);
    expect(signal.at(-1)!.f).toBeLessThan(14);
  });
  it('says mode, rate and critical speed, and marks the frequency', () => {
    const figure = plotSweep(fit);
    const texts = textsOf(drawn(figure));
    expect(texts).toEqual(expect.arrayContaining(['Order 5 through a resonance', 'Exciting frequency / Hz', 'Torque, half its range / N·m', 'signal', 'fitted']));
    expect(texts.join(' ')).toContain('run up at 0.20 Hz/s');
    expect(dataOf(figure.spec)).toEqual(expect.arrayContaining([[{ f: fit.frequency.value }]]));
  });
  it('refuses another thing', () => {
    expect(() => plotSweep({} as never)).toThrow('fit must be a SweepFit');
  });
});
