import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandRms, createRandom, findLines, lineSpectrum, makeChannel, noiseFloor, powerDensity, type Channel, type Span, type WindowChoice } from '../../src/index.js';
import { medianBias } from '../../src/spectrum/averages.js';
import { close } from '../filter/golden.js';
import { golden, published } from './golden.js';

const channel = (values: ArrayLike<number>, invalid: Span[] = [], sampleRate = 1000): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate, values: Float64Array.from(values), invalid });
const windowOf = (w: string | [string, number]): WindowChoice => (typeof w !== 'string' ? { kaiser: w[1] }
  : (({ boxcar: 'rectangular', flattop: 'flat-top', blackmanharris: 'blackman-harris' } as Record<string, WindowChoice>)[w] ?? w as WindowChoice));
const noise = (n: number, seed: number): Float64Array => { const rng = createRandom(seed); return Float64Array.from({ length: n }, () => rng.normal()); };

describe('powerDensity', () => {
  it.each(golden.welch)('equals SciPy welch: $segment samples, overlap $overlap, $window, detrend $detrend, $average', ({ window, segment, overlap, detrend, average, frequency, density, spectrum }) => {
    const options = { segment, overlap, window: windowOf(window), detrend, average };
    const p = powerDensity(channel(golden.x), options);
    const top = Math.max(...density);
    close(p.frequency, frequency, 1e-14);
    close(p.density, density, 1e-9, 1e-15 * top);
    const s = lineSpectrum(channel(golden.x), { ...options, amplitude: 'rms' });
    close(s.amplitude, spectrum.map(Math.sqrt), 1e-9, 1e-7 * Math.sqrt(1e-2 * Math.max(...spectrum)));
  });
  it.each(['welch-two-pulses-8', 'welch-spectrum-scaling'])('reference case %s (SciPy 1.10.1 test suite) holds', (id) => {
    const { inputs, expected, tolerance } = published(id);
    const c = channel(inputs.x, [], 1);
    const options = { segment: inputs.nperseg, overlap: inputs.noverlap / inputs.nperseg };
    const mine = inputs.scaling === 'density' ? powerDensity(c, options).density : lineSpectrum(c, { ...options, amplitude: 'rms' }).amplitude.map((a) => a * a);
    close(mine, expected.Pxx, 0, tolerance.abs);
  });
  it('reference case welch-256 (golden: mean, linear detrend, median) holds', () => {
    const { inputs, expected, tolerance } = published('welch-256');
    const of = (more: object): Float64Array => powerDensity(channel(inputs.x), { segment: inputs.nperseg, ...more }).density;
    close(of({}), expected.Pxx, tolerance.rel, tolerance.abs);
    close(of({ detrend: 'linear' }), expected.Pxx_linear_detrend, tolerance.rel, tolerance.abs);
    close(of({ average: 'median' }), expected.Pxx_median, tolerance.rel, tolerance.abs);
  });
  it('keeps the energy: Σ density·Δf is the windowed mean square (Parseval)', () => {
    fc.assert(fc.property(fc.integer({ min: 2, max: 80 }), fc.constantFrom<WindowChoice>('rectangular', 'hann', 'flat-top'), fc.integer({ min: 1, max: 1000 }), (segment, window, seed) => {
      if (segment < 3 && window !== 'rectangular') return;
      const x = noise(200, seed);
      const p = powerDensity(channel(x), { segment, overlap: 0, window, detrend: 'none' });
      const w = powerDensity(channel(new Float64Array(segment).fill(1)), { segment, window, detrend: 'none' });
      expect(w.enbw).toBe(p.enbw);
      const k = Math.floor(200 / segment);
      let direct = 0;
      if (window === 'rectangular') for (let i = 0; i < k * segment; i++) direct += x[i]! ** 2 / (k * segment);
      else {
        const ws = Array.from({ length: segment }, (_, n) => (window === 'hann' ? 0.5 - 0.5 * Math.cos((2 * Math.PI * n) / segment)
          : [0.21557895, -0.41663158, 0.277263158, -0.083578947, 0.006947368].reduce((s, a, j) => s + a * Math.cos((2 * Math.PI * j * n) / segment), 0)));
        const total = ws.reduce((s, v) => s + v * v, 0);
        for (let i = 0; i < k * segment; i++) direct += (x[i]! * ws[i % segment]!) ** 2 / (k * total);
      }
      expect(bandRms(p, { from: 0, to: 500 }) ** 2 / direct).toBeCloseTo(1, 10);
    }), { seed: 10, numRuns: 150 });
  });
  it('reads no masked sample: the answer is that of the runs alone, and the notes say what was left out', () => {
    const x = Float64Array.from(golden.x);
    const spoilt = x.slice();
    for (let i = 300; i < 420; i++) spoilt[i] = 1e9;
    const p = powerDensity(channel(spoilt, [{ from: 300, to: 420, why: 'dropout' }]), { segment: 100 });
    const a = powerDensity(channel(x.slice(0, 300)), { segment: 100 });
    const b = powerDensity(channel(x.slice(420)), { segment: 100 });
    expect(p.segments).toBe(a.segments + b.segments);
    close(p.density, a.density.map((v, k) => (v * a.segments + b.density[k]! * b.segments) / p.segments), 1e-12);
    expect(p.notes).toEqual(['4 of 17 segments left out because a gap falls into them', '150 of 900 samples lie in no segment (masked, or left over at the end of a run)']);
    expect(p.effectiveAverages).toBeCloseTo(a.effectiveAverages * (p.segments ** 2) / (a.segments ** 2 + (b.segments ** 2 * a.effectiveAverages) / b.effectiveAverages), 9);
  });
  it('has the scatter that effectiveAverages says, and the interval covers what it claims (white noise)', () => {
    for (const average of ['mean', 'median'] as const) {
      const ratios: number[] = [];
      let inside = 0, count = 0, effective = 0;
      for (let seed = 1; seed <= 60; seed++) {
        const p = powerDensity(channel(noise(3200, seed)), { segment: 128, average });
        effective = p.effectiveAverages;
        for (let k = 3; k < 62; k++) {
          const r = p.density[k]! / (2 / 1000);
          ratios.push(r);
          count++;
          if (p.density[k]! * p.confidence.lower <= 2 / 1000 && 2 / 1000 <= p.density[k]! * p.confidence.upper) inside++;
        }
      }
      const mean = ratios.reduce((s, r) => s + r, 0) / ratios.length;
      const variance = ratios.reduce((s, r) => s + (r - mean) ** 2, 0) / ratios.length;
      expect(mean).toBeCloseTo(1, 1);
      expect(1 / variance / effective).toBeGreaterThan(0.85);
      expect(1 / variance / effective).toBeLessThan(1.2);
      expect(inside / count).toBeGreaterThan(0.93);
      expect(inside / count).toBeLessThan(0.97);
    }
  });
  it('states unit, bandwidth and averages', () => {
    const p = powerDensity(channel(golden.x), { segmentSeconds: 0.1 });
    expect([p.unit, p.of, p.segment, p.segments]).toEqual(['(N·m)²/Hz', 'N·m', 100, 17]);
    expect(p.enbw).toBeCloseTo(15, 12);
    // By hand, Hann at 50 %: ρ₁ = (1/6)², so K/(1 + 2·(16/17)/36).
    expect(p.effectiveAverages).toBeCloseTo(17 / (1 + (2 * (16 / 17)) / 36), 3);
    expect(medianBias(3)).toBeCloseTo(1 - 1 / 2 + 1 / 3, 15);
  });
  it.each<[object | undefined, string]>([
    [undefined, 'segment must be given in samples, or segmentSeconds in seconds, one of the two, got neither'],
    [{}, 'got neither. A segment of T seconds'],
    [{ segment: 10, segmentSeconds: 1 }, 'got both'],
    [{ segment: 10.5 }, 'segment must be a whole number'],
    [{ segment: 1000 }, 'no longer than the longest valid run of torque (900 samples, 0.9000 s), got 1000 samples'],
    [{ segment: 10, overlap: 1 }, 'overlap must be a finite number at least 0 and below 1'],
    [{ segment: 10, window: 'hanning' }, "window must be one of 'rectangular', 'hann'"],
    [{ segment: 10, window: { kaiser: -1 } }, 'window.kaiser must be'],
    [{ segment: 10, detrend: 'constant' }, "detrend must be one of 'mean', 'linear', 'none'"],
    [{ segment: 10, average: 'max' }, "average must be one of 'mean', 'median'"],
    [{ segment: 10, nperseg: 3 }, "the unknown key 'nperseg'"],
    [{ segment: 10, level: 1 }, 'level must be'],
  ])('refuses %j', (options, message) => {
    expect(() => powerDensity(channel(golden.x), options as never)).toThrow(message);
  });
  it('bandRms refuses a band outside the spectrum and something that is none', () => {
    const p = powerDensity(channel(golden.x), { segment: 100 });
    expect(() => bandRms(p, { from: 10, to: 600 })).toThrow('at most 500 Hz, got 600 Hz.');
    expect(() => bandRms(p, { from: 20, to: 10 })).toThrow('to must be');
    expect(() => bandRms({} as never, { from: 0, to: 1 })).toThrow('a PowerDensity');
    expect(bandRms(p, { from: 0, to: 100 }) ** 2 + bandRms(p, { from: 100, to: 500 }) ** 2).toBeCloseTo(bandRms(p, { from: 0, to: 500 }) ** 2, 10);
  });
});

describe('lineSpectrum', () => {
  it('reads a sine on a bin as its peak, rms and peak-to-peak, with every window', () => {
    const c = channel(Float64Array.from({ length: 2000 }, (_, i) => 5 + 3 * Math.cos(0.2 * Math.PI * i + 1)));
    for (const window of ['rectangular', 'hann', 'hamming', 'blackman', 'blackman-harris', 'flat-top', { kaiser: 6 }] as const) {
      const at = (amplitude: 'peak' | 'rms' | 'peak-to-peak'): number => lineSpectrum(c, { segment: 200, window, amplitude }).amplitude[20]!;
      expect(at('peak')).toBeCloseTo(3, 3);
      expect(at('rms')).toBeCloseTo(3 / Math.SQRT2, 3);
      expect(at('peak-to-peak')).toBeCloseTo(6, 3);
    }
    expect(lineSpectrum(c, { segment: 200, window: 'rectangular', detrend: 'none' }).amplitude[0]).toBeCloseTo(5, 12);
  });
  it('says how low a line between bins reads: the half-bin case of the reference (closed forms 0.6366 and 0.8488)', () => {
    const { inputs, expected, tolerance } = published('amp-halfbin');
    const n = inputs.x.length;
    const top = (window: WindowChoice): number => Math.max(...lineSpectrum(channel(inputs.x), { segment: n, window, detrend: 'none' }).amplitude);
    const full = Math.max(...findLines(lineSpectrum(channel(inputs.x), { segment: n, detrend: 'none' }), { above: 0, falseAlarm: 0.999 }).map((l) => l.amplitude));
    expect(top('rectangular') / full).toBeCloseTo(expected.rect_peak_ratio_ideal, 1);
    expect(Math.abs(top('rectangular') / full - expected.rect_peak_ratio_ideal)).toBeLessThan(tolerance.abs);
    expect(Math.abs(top('hann') / full - expected.hann_peak_ratio_ideal)).toBeLessThan(tolerance.abs);
    expect(lineSpectrum(channel(golden.x), { segment: 100 }).notes.at(-1)).toBe('a line midway between two bins reads 1.4 dB (15 %) low');
    expect(lineSpectrum(channel(golden.x), { segment: 100, window: 'flat-top' }).notes.at(-1)).toContain('reads 0.0098 dB (0.11 %) low');
  });
});

describe('noiseFloor', () => {
  it('is the density of the noise, whatever lines stand on it', () => {
    const rng = createRandom(11);
    const c = channel(Float64Array.from({ length: 40000 }, (_, i) => 0.5 * rng.normal() + 40 * Math.sin(0.3 * i) + 9 * Math.sin(1.1 * i)));
    for (const s of [powerDensity(c, { segment: 1000 }), lineSpectrum(c, { segment: 1000 })]) {
      const f = noiseFloor(s);
      for (let k = 20; k < 480; k++) expect(f.density[k]! / (2 * 0.25 / 1000)).toBeGreaterThan(0.7);
      for (let k = 20; k < 480; k++) expect(f.density[k]! / (2 * 0.25 / 1000)).toBeLessThan(1.4);
    }
    expect(() => noiseFloor(powerDensity(c, { segment: 1000 }), { bins: 10 })).toThrow('bins must be odd');
    expect(() => noiseFloor({} as never)).toThrow('a PowerDensity or a LineSpectrum');
  });
});

describe('findLines', () => {
  it('reads frequency and amplitude between the bins, with every window (no noise)', () => {
    for (const window of ['rectangular', 'hann', 'hamming', 'blackman', 'blackman-harris', 'flat-top', 'flat-top 1987', { kaiser: 8 }] as const) {
      fc.assert(fc.property(fc.double({ min: 60, max: 430, noNaN: true }), fc.double({ min: 0, max: 6, noNaN: true }), (f, phase) => {
        const c = channel(Float64Array.from({ length: 4096 }, (_, i) => 7 * Math.sin((2 * Math.PI * f * i) / 1000 + phase)));
        const [line] = findLines(lineSpectrum(c, { segment: 1024, window, detrend: 'none' }));
        expect(Math.abs(line!.frequency - f)).toBeLessThan(window === 'rectangular' ? 0.02 : 2e-3);
        expect(Math.abs(line!.amplitude / 7 - 1)).toBeLessThan(window === 'rectangular' ? 0.02 : 2e-3);
      }), { seed: 12, numRuns: 25 });
    }
  });
  it('finds every line of a mixture, strongest first, and none of their leakage', () => {
    const rng = createRandom(13);
    const lines = [[25, 100], [50.3, 30], [74.9, 8], [101.7, 300], [333.3, 2]] as const;
    const c = channel(Float64Array.from({ length: 30000 }, (_, i) => rng.normal() + lines.reduce((s, [f, a]) => s + a * Math.cos((2 * Math.PI * f * i) / 1000 + f), 0)));
    const found = findLines(powerDensity(c, { segment: 2000 }));
    expect(found.map((l) => Math.round(10 * l.frequency) / 10)).toEqual([101.7, 25, 50.3, 74.9, 333.3]);
    found.forEach((l, i) => expect(l.amplitude / [300, 100, 30, 8, 2][i]!).toBeCloseTo(1, 1));
    expect(found.every((l) => l.steady && l.kind === 'peak' && l.unit === 'N·m')).toBe(true);
    expect(findLines(powerDensity(c, { segment: 2000 }), { most: 2, from: 30 }).map((l) => Math.round(l.frequency))).toEqual([102, 50]);
  });
  it('has bounds that cover the truth about as often as they claim, at 95 %', () => {
    for (const [window, segment, level] of [['hann', 512, 0.4], ['hann', 512, 3], ['flat-top', 512, 1], ['blackman-harris', 256, 1]] as const) {
      let f = 0, a = 0;
      const trials = 200;
      for (let t = 0; t < trials; t++) {
        const rng = createRandom(1000 + t);
        const truth = 150 + 2 * rng.uniform();
        const c = channel(Float64Array.from({ length: 4096 }, (_, i) => level * rng.normal() + 5 * Math.cos((2 * Math.PI * truth * i) / 1000 + t)));
        const [line] = findLines(powerDensity(c, { segment, window }));
        if (line!.frequencyLow <= truth && truth <= line!.frequencyHigh) f++;
        if (line!.amplitudeLow <= 5 && 5 <= line!.amplitudeHigh) a++;
      }
      expect(f / trials).toBeGreaterThan(0.9);
      expect(a / trials).toBeGreaterThan(0.9);
      expect(Math.min(f, a) / trials).toBeLessThan(1);
    }
  });
  it('gives a false line in pure noise no more often than falseAlarm says', () => {
    let alarms = 0;
    for (let seed = 1; seed <= 300; seed++) if (findLines(powerDensity(channel(noise(2048, seed)), { segment: 256 }), { above: 0, falseAlarm: 0.05 }).length > 0) alarms++;
    expect(alarms / 300).toBeLessThan(0.12);
    expect(alarms).toBeGreaterThan(0);
  });
  it('says that a line of changing speed is not steady', () => {
    const c = channel(Float64Array.from({ length: 20000 }, (_, i) => Math.sin((2 * Math.PI * (100 * i + 0.0001 * i * i)) / 1000)));
    expect(findLines(powerDensity(c, { segment: 2000 }))[0]!.steady).toBe(false);
    expect(() => findLines(powerDensity(c, { segment: 2000 }), { from: 600 })).toThrow('at most 500 Hz');
  });
});
