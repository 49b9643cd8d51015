import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, crossSpectrum, envelope, envelopeSpectrum, gapSpectrum, lineSpectrum, makeChannel, powerDensity, replay, spectrogram, zoomSpectrum, type Channel, type Span, type WindowChoice } from '../../src/index.js';
import { lombScargle } from '../../src/numeric/lombScargle.js';
import { chirpZ } from '../../src/numeric/chirpZ.js';
import { close } from '../filter/golden.js';
import { golden, published } from './golden.js';

const channel = (values: ArrayLike<number>, invalid: Span[] = [], sampleRate = 1000, name = 'torque'): Channel<'N·m'> => makeChannel({ name, unit: 'N·m', sampleRate, values: Float64Array.from(values), invalid });
const noise = (n: number, seed: number): Float64Array => { const rng = createRandom(seed); return Float64Array.from({ length: n }, () => rng.normal()); };

describe('crossSpectrum', () => {
  it.each(golden.cross)('equals SciPy csd and coherence: $segment samples, $window', ({ segment, window, re, im, xx, yy, coherence }) => {
    const c = crossSpectrum(channel(golden.x), channel(golden.y), { segment, window: window as WindowChoice });
    const top = Math.max(...xx);
    close(c.re, re, 1e-9, 1e-13 * top);
    close(c.im, im, 1e-9, 1e-13 * top);
    close(c.inputDensity, xx, 1e-9, 1e-14 * top);
    close(c.outputDensity, yy, 1e-9, 1e-14 * top);
    close(c.coherence, coherence, 1e-9, 1e-10);
  });
  it('reference case csd-coherence-h1 (Bendat and Piersol; SciPy golden array) holds', () => {
    const { inputs, expected, tolerance } = published('csd-coherence-h1');
    const c = crossSpectrum(channel(inputs.x, [], inputs.fs), channel(inputs.y, [], inputs.fs), { segment: inputs.nperseg });
    close(c.frequency, expected.f, tolerance.rel);
    close(c.re, expected.Pxy.re, tolerance.rel, tolerance.abs);
    close(c.im, expected.Pxy.im, tolerance.rel, tolerance.abs);
    close(c.coherence, expected.coherence, tolerance.rel, tolerance.abs);
    close(c.h1.gain.map((g, k) => g * Math.cos(c.h1.phase[k]!)), expected.H1.re, tolerance.rel, tolerance.abs);
    close(c.h1.gain.map((g, k) => g * Math.sin(c.h1.phase[k]!)), expected.H1.im, tolerance.rel, tolerance.abs);
    close(c.h2.gain, expected.H2_abs, tolerance.rel, tolerance.abs);
  });
  it('brackets a known response: H1 is low by noise in the input, H2 high by noise in the output', () => {
    const x = noise(60000, 1), nx = noise(60000, 2), ny = noise(60000, 3);
    const c = crossSpectrum(channel(x.map((v, i) => v + 0.5 * nx[i]!)), channel(x.map((v, i) => 2 * v + ny[i]!)), { segment: 256 });
    for (let k = 5; k < 120; k++) {
      expect(c.h1.gain[k]! / 1.6).toBeCloseTo(1, 0);
      expect(c.h2.gain[k]!).toBeGreaterThan(2);
      expect(c.h1.gain[k]!).toBeLessThan(2);
    }
  });
  it('sees a delay as a phase that falls with frequency', () => {
    const x = noise(20000, 4);
    const c = crossSpectrum(channel(x.slice(3)), channel(x.slice(0, -3)), { segment: 512 });
    for (const k of [10, 20, 40]) expect(c.h1.phase[k]!).toBeCloseTo((-2 * Math.PI * 3 * k) / 512, 1);
  });
  it('does not lose a small channel beside a large one', () => {
    const x = noise(4000, 5);
    const c = crossSpectrum(channel(x.map((v) => v * 1e12)), channel(x.map((v) => v * 1e-9)), { segment: 256 });
    for (let k = 1; k < 128; k++) expect(c.h1.gain[k]! / 1e-21).toBeCloseTo(1, 9);
  });
  it('of two unrelated channels stays below its limit as often as it says', () => {
    let above = 0, count = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const c = crossSpectrum(channel(noise(4000, seed)), channel(noise(4000, 1000 + seed)), { segment: 128 });
      for (let k = 2; k < 63; k++, count++) if (c.coherence[k]! > c.coherenceLimit) above++;
    }
    expect(above / count).toBeGreaterThan(0.035);
    expect(above / count).toBeLessThan(0.065);
  });
  it('reads only what is valid in both', () => {
    const a = golden.x.slice(), b = golden.y.slice();
    a[100] = b[500] = 1e9;
    const c = crossSpectrum(channel(a, [{ from: 100, to: 101, why: 'spike' }]), channel(b, [{ from: 500, to: 501, why: 'spike' }]), { segment: 100 });
    expect(c.segments).toBe(1 + 6 + 6);
    expect(Math.max(...c.inputDensity)).toBeLessThan(10);
  });
  it('refuses two clocks, and one segment alone', () => {
    const c = channel(golden.x);
    expect(() => crossSpectrum(c, channel(golden.y, [], 500, 'speed'), { segment: 100 })).toThrow('sampleRate of speed must be 1000 Hz as torque, got 500 Hz. Bring both to one clock');
    expect(() => crossSpectrum(c, channel(golden.y.slice(1)), { segment: 100 })).toThrow('length of torque must be 900 samples');
    expect(() => crossSpectrum(c, channel(golden.y), { segment: 900 })).toThrow('the coherence of one is always 1');
    expect(() => crossSpectrum(c, channel(golden.y), {} as never)).toThrow('got neither');
  });
});

describe('envelope', () => {
  it('equals |scipy.signal.hilbert|, even and odd lengths', () => {
    close(envelope(channel(golden.x)).values, golden.hilbert.even, 1e-9, 1e-10);
    const mean = golden.x.reduce((s, v) => s + v / 900, 0);
    close(envelope(channel(golden.x.slice(0, 255).map((v) => v - mean)), { center: false }).values, golden.hilbert.odd, 1e-9, 1e-10);
  });
  it('reference case hilbert-am (exact for a periodic record) holds', () => {
    const { inputs, expected, tolerance } = published('hilbert-am');
    close(envelope(channel(inputs.x)).values, expected.envelope, 0, tolerance.abs);
  });
  it('never lies below the signal, per run, and replays', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 10, max: 60 }), (seed, from) => {
      const x = noise(120, seed);
      const c = channel(x, [{ from, to: from + 5, why: 'dropout' }]);
      const e = envelope(c, { center: false });
      for (let i = 0; i < 120; i++) expect(e.values[i]! + 1e-9).toBeGreaterThanOrEqual(Math.abs(x[i]!) * (i >= from && i < from + 5 ? 0 : 1) - (i >= from && i < from + 5 ? Math.abs(x[i]!) + 1 : 0));
      expect(Array.from(e.values.slice(from, from + 5))).toEqual(Array.from(x.slice(from, from + 5)));
      expect(replay(c, e.trail)).toEqual(e);
    }), { seed: 14, numRuns: 50 });
  });
  it('spectrum shows the modulation of a gear mesh at shaft frequency', () => {
    const c = channel(Float64Array.from({ length: 20000 }, (_, i) => 100 + 30 * Math.sin(0.03 * i) + (4 + 1.5 * Math.cos(2 * Math.PI * 0.0125 * i)) * Math.sin(2 * Math.PI * 0.25 * i)));
    const s = envelopeSpectrum(c, { from: 200, to: 300, segment: 2000 });
    expect(s.amplitude[25]!).toBeCloseTo(1.5, 2);
    expect(s.amplitude.findIndex((a) => a === Math.max(...s.amplitude))).toBe(25);
    expect(() => envelopeSpectrum(c, { from: 200, segment: 2000 } as never)).toThrow('to must be given');
  });
});

describe('zoomSpectrum', () => {
  it('equals scipy.signal.zoom_fft', () => {
    const { from, to, points, re, im } = golden.zoom;
    const out = chirpZ(Float64Array.from(golden.x), from / 1000, (to - from) / points / 1000, points);
    const top = Math.max(...re.map(Math.abs));
    close(out.filter((_, j) => j % 2 === 0), re, 0, 1e-9 * top);
    close(out.filter((_, j) => j % 2 === 1), im, 0, 1e-9 * top);
  });
  it('agrees with the line spectrum on the bins, gives phase, and finds a line between them', () => {
    const c = channel(Float64Array.from({ length: 1000 }, (_, i) => 9 + 5 * Math.cos(2 * Math.PI * 0.1003 * i + 0.7)));
    const z = zoomSpectrum(c, { from: 95, to: 105, points: 1001 });
    const s = lineSpectrum(c, { segment: 1000 });
    for (let k = 95; k <= 105; k++) expect(z.amplitude[(k - 95) * 100]).toBeCloseTo(s.amplitude[k]!, 9);
    const top = z.amplitude.indexOf(Math.max(...z.amplitude));
    expect(z.frequency[top]).toBeCloseTo(100.3, 1);
    expect(z.amplitude[530]).toBeCloseTo(5, 3);
    expect(z.phase[530]).toBeCloseTo(0.7, 2);
    expect(z.resolution).toBeCloseTo(1.5, 9);
  });
  it('reads the longest run and says so', () => {
    const z = zoomSpectrum(channel(golden.x, [{ from: 200, to: 300, why: 'dropout' }]), { from: 50, to: 70 });
    expect([z.fromSample, z.toSample]).toEqual([300, 900]);
    expect(z.notes).toEqual(['only the longest of 2 valid runs was read: 600 of 900 samples']);
    expect(() => zoomSpectrum(channel(golden.x), { from: 60, to: 50 })).toThrow('to must be a finite number above 60 Hz');
    expect(() => zoomSpectrum(channel(golden.x), { from: 60, to: 600 })).toThrow('at most 500 Hz');
  });
});

describe('gapSpectrum', () => {
  it('equals SciPy lombscargle on the valid samples', () => {
    const { keep, frequency, power } = golden.lomb;
    close(lombScargle(keep.map((i) => i / 1000), keep.map((i) => golden.x[i]! - keep.reduce((s, j) => s + golden.x[j]!, 0) / keep.length), frequency), power, 1e-9, 1e-10);
    const valid = new Set(keep);
    const invalid = golden.x.flatMap((_, i): Span[] => (valid.has(i) ? [] : [{ from: i, to: i + 1, why: 'dropout' }]));
    frequency.slice(0, -1).forEach((f, k) => {
      const g = gapSpectrum(channel(golden.x, invalid), { from: f, to: f + 2, step: 1 });
      expect(g.amplitude[0]! / Math.sqrt((4 * power[k]!) / 300)).toBeCloseTo(1, 8);
    });
  });
  it('reference case lomb-scargle-uneven (Scargle 1982; golden array) holds', () => {
    const { inputs, expected, tolerance } = published('lomb-scargle-uneven');
    close(lombScargle(inputs.t, inputs.x, inputs.freq_Hz), expected.P, tolerance.rel, tolerance.abs);
  });
  it('reads a line right through long gaps, in which nothing is read', () => {
    const x = Float64Array.from({ length: 5000 }, (_, i) => 40 + 7 * Math.cos(2 * Math.PI * 0.0337 * i + 1));
    const invalid: Span[] = [{ from: 400, to: 1900, why: 'dropout' }, { from: 2000, to: 3100, why: 'dropout' }, { from: 3150, to: 4700, why: 'dropout' }];
    for (const s of invalid) x.fill(NaN, s.from, s.to);
    const g = gapSpectrum(channel(x, invalid), { from: 20, to: 50, step: 0.02 });
    const top = g.amplitude.indexOf(Math.max(...g.amplitude));
    expect(g.frequency[top]).toBeCloseTo(33.7, 2);
    expect(g.amplitude[top]).toBeCloseTo(7, 1);
    expect(g.coverage).toBeCloseTo(850 / 5000, 9);
    expect(g.pattern[0]).toBeCloseTo(1, 12);
    expect(() => powerDensity(channel(x, invalid), { segment: 1000 })).toThrow('gap-aware estimate (gapSpectrum)');
  });
  it('of noise stays below its limit in about 99 of 100 records', () => {
    let above = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const g = gapSpectrum(channel(noise(500, seed), [{ from: 100, to: 300, why: 'dropout' }]), { from: 10, to: 490 });
      if (Math.max(...g.amplitude) > g.limit) above++;
    }
    expect(above).toBeLessThan(12);
  });
  it('refuses a band outside the record and a record without samples', () => {
    expect(() => gapSpectrum(channel(golden.x), { from: 0, to: 10 })).toThrow('from must be a finite number above 0 Hz');
    expect(() => gapSpectrum(channel(golden.x, [{ from: 2, to: 900, why: 'dropout' }]), { from: 1, to: 10 })).toThrow('at least three valid samples, got 2');
    expect(() => gapSpectrum(channel(golden.x), { from: 1, to: 400, step: 1e-6 })).toThrow('at most ten million frequencies');
  });
});

describe('spectrogram', () => {
  it('reference case spectrogram-128 (SciPy golden array) holds', () => {
    const { inputs, expected, tolerance } = published('spectrogram-128');
    const s = spectrogram(channel(inputs.x), { segment: inputs.nperseg });
    close(s.time, expected.t, 1e-12);
    close(s.frequency, expected.f, 1e-12);
    s.density.forEach((d, t) => close(d, expected.Sxx.map((row: number[]) => row[t]!), tolerance.rel, tolerance.abs));
  });
  it('averages to the power density and leaves masked segments out', () => {
    const c = channel(golden.x, [{ from: 310, to: 311, why: 'spike' }]);
    const s = spectrogram(c, { segment: 99 });
    const p = powerDensity(c, { segment: 99 });
    close(p.density, p.density.map((_, k) => s.density.reduce((a, d) => a + d[k]!, 0) / s.density.length), 1e-10, 1e-18);
    expect(Array.from(s.time).every((t) => t < 0.26 + 1e-9 || t > 0.36)).toBe(true);
  });
});
