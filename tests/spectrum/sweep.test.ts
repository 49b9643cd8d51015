import { describe, expect, it } from 'vitest';
import { createRandom, fitSweep, halfPowerDamping, makeChannel, type Channel } from '../../src/index.js';
import { drivenBasis } from '../../src/numeric/drivenOscillator.js';

/** A run of the exciting frequency from f0 to f1 at a rate, and the response of one mode, integrated at four (`inner`) times the sample rate by Runge and Kutta's rule. */
function sweep(o: { f0: number; f1: number; rate: number; f: number; zeta: number; sampleRate?: number; noise?: number; seed?: number; speedNoise?: number; inner?: number }): { torque: Channel<'N·m'>; speed: Channel<'rpm'>; seconds: number } {
  const { f0, f1, rate, f, zeta, sampleRate = 100, noise = 0, seed = 1, speedNoise = 0, inner = 4 } = o;
  const seconds = Math.abs(f1 - f0) / rate;
  const n = Math.floor(seconds * sampleRate);
  const slope = Math.sign(f1 - f0) * rate;
  const w = 2 * Math.PI * f;
  const h = 1 / (sampleRate * inner);
  const u = (t: number): number => Math.cos(2 * Math.PI * (f0 * t + (slope * t * t) / 2) + 0.7);
  const acc = (x: number, v: number, t: number): number => w * w * (u(t) - x) - 2 * zeta * w * v;
  const random = createRandom(seed);
  const values = new Float64Array(n);
  let x = 0, v = 0;
  for (let i = 0; i < n; i++) {
    values[i] = 100 * x + noise * random.normal();
    for (let k = 0; k < inner; k++) {
      const t = i / sampleRate + k * h;
      const a1 = acc(x, v, t), v2 = v + (h / 2) * a1, a2 = acc(x + (h / 2) * v, v2, t + h / 2);
      const v3 = v + (h / 2) * a2, a3 = acc(x + (h / 2) * v2, v3, t + h / 2), v4 = v + h * a3, a4 = acc(x + h * v3, v4, t + h);
      x += (h / 6) * (v + 2 * v2 + 2 * v3 + v4);
      v += (h / 6) * (a1 + 2 * a2 + 2 * a3 + a4);
    }
  }
  const speed = Float64Array.from({ length: Math.ceil(seconds * 20) + 2 }, (_, i) => 60 * (f0 + (slope * i) / 20) + speedNoise * random.normal());
  return { torque: makeChannel({ name: 'T', unit: 'N·m', sampleRate, values }), speed: makeChannel({ name: 'n', unit: 'rpm', sampleRate: 20, values: speed }), seconds: n / sampleRate };
}

describe('driven oscillator', () => {
  it('at a steady frequency settles to the harmonic magnifier (Den Hartog, Rao, Thomson)', () => {
    const step = 1 / 2000;
    const phase = Float64Array.from({ length: 60000 }, (_, i) => 2 * Math.PI * 9 * i * step);
    const { cosine } = drivenBasis({ omega: 2 * Math.PI * 10, zeta: 0.05, step, phase, gain: null });
    const r = 0.9;
    const M = 1 / Math.hypot(1 - r * r, 2 * 0.05 * r);
    expect(M).toBeCloseTo(4.756514941544942, 12);
    expect(Math.max(...cosine.subarray(50000)) / M).toBeCloseTo(1, 3);
  });
  it('keeps that at twelve samples a period, where straight lines between samples would take 2 % off', () => {
    const step = 1 / 108;
    const phase = Float64Array.from({ length: 6000 }, (_, i) => 2 * Math.PI * 9 * i * step);
    const { cosine, sine } = drivenBasis({ omega: 2 * Math.PI * 10, zeta: 0.05, step, phase, gain: null });
    for (const i of [5900, 5950, 5999]) expect(Math.hypot(cosine[i]!, sine[i]!) / 4.756514941544942).toBeCloseTo(1, 4);
  });
});

describe('sweep fit', () => {
  it('of a clean slow and a clean fast sweep, up and down, gives the mode that made it', () => {
    for (const [f0, f1, rate] of [[6, 11, 0.2], [11, 6, 0.2], [5, 14, 3], [14, 5, 3]] as const) {
      const { torque, speed, seconds } = sweep({ f0, f1, rate, f: 8.44, zeta: 0.0071, sampleRate: 200 });
      const fit = fitSweep(torque, { from: 0, to: seconds, speed, order: 1, excitation: 'constant' });
      expect(Math.abs(fit.frequency.value / 8.44 - 1)).toBeLessThan(1e-4);
      expect(Math.abs(fit.dampingRatio.value / 0.0071 - 1)).toBeLessThan(0.01);
      expect(fit.criticalSpeed).toBeCloseTo(60 * 8.44, -1);
    }
  });
  it('over 500 seeded sweeps (ζ 0.3 to 5 %, 0.1 to 5 Hz/s) is unbiased to 5 % and its 90 % intervals hold the truth in 85 to 95 %', () => {
    const random = createRandom(5);
    const count = 500;
    let inside = 0, insideF = 0, bias = 0, biasF = 0;
    for (let k = 0; k < count; k++) {
      const zeta = 0.003 * (0.05 / 0.003) ** random.uniform();
      const rate = 0.1 * 50 ** random.uniform();
      const f = 7 + 3 * random.uniform();
      // Long enough to pass the resonance by several bandwidths and the reach of the sweep.
      const reach = 1 + 2.5 * Math.sqrt(rate) + 3 * zeta * f;
      const up = random.uniform() > 0.5;
      const { torque, speed, seconds } = sweep({ f0: up ? f - reach : f + reach, f1: up ? f + reach : f - reach, rate, f, zeta, noise: 60, seed: k + 1 });
      const { dampingRatio, frequency } = fitSweep(torque, { from: 0, to: seconds, speed, order: 1, excitation: 'constant' });
      bias += (dampingRatio.value / zeta - 1) / count;
      biasF += (frequency.value / f - 1) / count;
      if (dampingRatio.low <= zeta && zeta <= dampingRatio.high) inside++;
      if (frequency.low <= f && f <= frequency.high) insideF++;
    }
    expect(Math.abs(bias)).toBeLessThan(0.05);
    expect(Math.abs(biasF)).toBeLessThan(0.001);
    for (const share of [inside / count, insideF / count]) {
      expect(share).toBeGreaterThan(0.85);
      expect(share).toBeLessThan(0.95);
    }
  });
  it('of sweeps with next to no noise the intervals still hold the truth, at five and at ten samples a period: the error of the integration is in them', () => {
    for (const [sampleRate, inner] of [[45, 32], [100, 16]] as const) {
      const random = createRandom(6);
      let inside = 0, insideF = 0;
      for (let k = 0; k < 40; k++) {
        const zeta = 0.003 * (0.05 / 0.003) ** random.uniform(), rate = 0.3 * (5 / 0.3) ** random.uniform(), f = 7 + 3 * random.uniform();
        const reach = (1 + 2.5 * Math.sqrt(rate) + 3 * zeta * f) * (k % 2 ? 1 : -1);
        const { torque, speed, seconds } = sweep({ f0: f - reach, f1: f + reach, rate, f, zeta, sampleRate, inner, noise: k % 4 < 2 ? 0 : 0.1, seed: k + 1 });
        const { dampingRatio, frequency } = fitSweep(torque, { from: 0, to: seconds, speed, order: 1, excitation: 'constant' });
        if (dampingRatio.low <= zeta && zeta <= dampingRatio.high) inside++;
        if (frequency.low <= f && f <= frequency.high) insideF++;
        expect(Math.abs(frequency.value / f - 1)).toBeLessThan(1e-4);
        expect(Math.abs(dampingRatio.value / zeta - 1)).toBeLessThan(5e-3);
      }
      expect(inside / 40).toBeGreaterThanOrEqual(0.85);
      expect(insideF / 40).toBeGreaterThanOrEqual(0.85);
    }
  });
  it('with a measured speed of 2 rpm noise still holds the truth in 85 to 95 % of 150 seeded sweeps, up and down, and says what the speed does', () => {
    const random = createRandom(15);
    let inside = 0, insideF = 0, said = 0;
    for (let k = 0; k < 150; k++) {
      const zeta = 0.003 * (0.05 / 0.003) ** random.uniform();
      const rate = 0.3 * (5 / 0.3) ** random.uniform();
      const f = 7 + 3 * random.uniform();
      const reach = (1 + 2.5 * Math.sqrt(rate) + 3 * zeta * f) * (k % 2 ? 1 : -1);
      const { torque, speed, seconds } = sweep({ f0: f - reach, f1: f + reach, rate, f, zeta, noise: 20, speedNoise: 2, seed: k + 1 });
      const found = fitSweep(torque, { from: 0, to: seconds, speed, order: 1, excitation: 'constant' });
      if (found.dampingRatio.low <= zeta && zeta <= found.dampingRatio.high) inside++;
      if (found.frequency.low <= f && f <= found.frequency.high) insideF++;
      if (found.notes.join(' ').includes('Noise of the speed')) said++;
    }
    expect(inside / 150).toBeGreaterThan(0.85);
    expect(inside / 150).toBeLessThanOrEqual(0.95);
    expect(insideF / 150).toBeGreaterThan(0.85);
    expect(said).toBeGreaterThan(75);
  });
  it('refuses masked samples, a short speed channel and a resonance outside the sweep', () => {
    const { torque, speed, seconds } = sweep({ f0: 6, f1: 8, rate: 0.5, f: 12, zeta: 0.01 });
    const options = { from: 0, to: seconds, speed, order: 1, excitation: 'constant' } as const;
    expect(() => fitSweep(torque, options)).toThrow(/resonance inside the swept band|order drives one mode/);
    expect(() => fitSweep(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: torque.values, invalid: [{ from: 5, to: 9, why: 'dropout' }] }), options)).toThrow('a window without masked samples');
    expect(() => fitSweep(torque, { ...options, speed: makeChannel({ name: 'n', unit: 'rpm', sampleRate: 20, values: speed.values.slice(0, 20) }) })).toThrow('a speed that covers the window');
  });
});

describe('half-power damping', () => {
  const curve = (modes: readonly (readonly [f: number, zeta: number, weight: number])[], from = 5, to = 12): { frequency: Float64Array; amplitude: Float64Array } => {
    const frequency = Float64Array.from({ length: 7001 }, (_, i) => from + ((to - from) * i) / 7000);
    return { frequency, amplitude: frequency.map((f) => modes.reduce((s, [f0, z, w]) => s + w / Math.hypot(1 - (f / f0) ** 2, (2 * z * f) / f0), 0)) };
  };
  it('of one mode gives its ratio within 1 % from 0.3 to 5 %', () => {
    for (const zeta of [0.003, 0.01, 0.03, 0.05]) expect(Math.abs(halfPowerDamping(curve([[8.44, zeta, 1]])).dampingRatio / zeta - 1)).toBeLessThan(0.01);
  });
  it('refuses modes that are close', () => {
    expect(() => halfPowerDamping(curve([[8, 0.02, 1], [8.36, 0.02, 0.9]]))).toThrow(/rises again|the shape of one mode/);
    expect(() => halfPowerDamping(curve([[8, 0.02, 1], [8.6, 0.02, 0.9]]))).toThrow(/rises again|the shape of one mode/);
    expect(() => halfPowerDamping(curve([[8, 0.01, 1], [8.13, 0.01, 0.9]]))).toThrow('the shape of one mode');
  });
  it('refuses a reading at 1 Hz/s, and the reason is right: the peak of that sweep is far too wide', () => {
    const { torque, speed, seconds } = sweep({ f0: 4, f1: 13, rate: 1, f: 8.44, zeta: 0.0071, sampleRate: 400 });
    // Envelope of the response against the frequency at that time.
    const frequency: number[] = [], amplitude: number[] = [];
    for (let i = 25; i + 25 < torque.values.length; i += 10) {
      frequency.push(4 + i / 400);
      amplitude.push(Math.max(...torque.values.subarray(i - 25, i + 25).map(Math.abs)));
    }
    const smooth = amplitude.map((_, i) => amplitude.slice(Math.max(0, i - 8), i + 9).reduce((s, v) => s + v, 0) / amplitude.slice(Math.max(0, i - 8), i + 9).length);
    const band = { from: 7.5, to: 9.5 };
    // The width of its peak at 1/√2, were it read as damping, would be more than three times too much.
    const top = Math.max(...smooth);
    const wide = frequency.filter((_, i) => smooth[i]! > top / Math.SQRT2);
    expect((wide.at(-1)! - wide[0]!) / (2 * 8.44)).toBeGreaterThan(3 * 0.0071);
    expect(() => halfPowerDamping({ frequency, amplitude: smooth }, { ...band, sweepRate: 1 })).toThrow('had no time to build up');
    expect(fitSweep(torque, { from: 0, to: seconds, speed, order: 1, excitation: 'constant' }).dampingRatio.value).toBeCloseTo(0.0071, 4);
  });
  it('refuses an analysis that is too coarse, a peak at the edge and curves of different length', () => {
    expect(() => halfPowerDamping(curve([[8.44, 0.0071, 1]]), { enbw: 0.37 })).toThrow('enbw must be below a quarter of the bandwidth');
    expect(() => halfPowerDamping(curve([[8.44, 0.0071, 1]]), { from: 9, to: 12 })).toThrow('a peak inside 9 to 12 Hz');
    expect(() => halfPowerDamping({ frequency: [1, 2, 3, 4, 5], amplitude: [1, 2] })).toThrow('of one length');
  });
});
