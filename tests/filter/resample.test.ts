import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, decimate, designNotch, makeChannel, movingMedian, notch, replay, resample, responseOf, upsamplePeaks, type Channel, type Span } from '../../src/index.js';
import { close, golden, published } from './golden.js';

const channel = (values: ArrayLike<number>, invalid: Span[] = [], sampleRate = 1000): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate, values: Float64Array.from(values), invalid });
const noise = (n: number, seed = 1): Float64Array => { const rng = createRandom(seed); return Float64Array.from({ length: n }, () => rng.normal()); };

describe('notch', () => {
  it.each(golden.notches)('design equals SciPy iirnotch at $frequency Hz', ({ frequency, width, b, a }) => {
    close(designNotch({ frequency, width, sampleRate: 1000 }).sections, [...b, ...a], 1e-12, 1e-12);
  });
  it('has gain 0 at every multiple, 0.707 half a width away and 1 far off', () => {
    const d = designNotch({ frequency: 50, width: 1, harmonics: 3, sampleRate: 10000 });
    close(responseOf(d, { frequency: [50, 100, 150, 49.5, 50.5, 0, 75, 4000] }).gain, [0, 0, 0, Math.SQRT1_2, Math.SQRT1_2, 1, 1, 1], 0, 5e-3);
  });
  it('takes the hum of 50 Hz and 150 Hz out of a slow signal', () => {
    const t = (i: number): number => i / 1000;
    const slow = Float64Array.from({ length: 8000 }, (_, i) => 100 + 20 * Math.sin(2 * Math.PI * 2 * t(i)));
    const done = notch(channel(slow.map((v, i) => v + 3 * Math.sin(2 * Math.PI * 50 * t(i)) + Math.cos(2 * Math.PI * 150 * t(i)))), { frequency: 50, width: 2, harmonics: 3 });
    close(done.values.slice(2000, 6000), slow.slice(2000, 6000), 0, 0.01);
    expect(done.trail.at(-1)!.found).toMatchObject({ frequencies: [50, 100, 150], passes: 2 });
  });
  it.each<[object, string]>([
    [{ frequency: 50 }, 'width must be given'],
    [{ frequency: 200, width: 1, harmonics: 3 }, 'frequency × 3 must be below half the sample rate (500 Hz), got 600 Hz.'],
    [{ frequency: 50, width: 0 }, 'width must be a finite number above 0 Hz'],
  ])('refuses %j', (options, message) => {
    expect(() => notch(channel(golden.x), options as never)).toThrow(message);
  });
});

describe('movingMedian', () => {
  it('holds reference case median-5 with repeated ends (golden array of scipy.ndimage)', () => {
    const { inputs, expected } = published('median-5');
    expect(Array.from(movingMedian(channel(inputs.x), { samples: 5 }).values)).toEqual(expected.y_edge_replicate);
  });
  it('equals sorting every window (slow twin), on values with many equal ones', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: -4, max: 4 }), { minLength: 11, maxLength: 60 }), fc.constantFrom(3, 5, 11), (values, samples) => {
      const h = (samples - 1) / 2;
      const twin = values.map((_, i) => Array.from({ length: samples }, (_x, j) => values[Math.min(values.length - 1, Math.max(0, i - h + j))]!).sort((a, b) => a - b)[h]!);
      expect(Array.from(movingMedian(channel(values), { samples }).values)).toEqual(twin);
    }), { seed: 6, numRuns: 300 });
  });
  it('reads no masked sample and refuses short runs or masks them', () => {
    const c = channel([1, 2, 3, 999, 4, 5, 999, 6, 7, 8, 9], [{ from: 3, to: 4, why: 'spike' }, { from: 6, to: 7, why: 'spike' }]);
    expect(() => movingMedian(c, { samples: 3 })).toThrow('1 shorter, the first with 2 samples at sample 4');
    const done = movingMedian(c, { samples: 3, shortRuns: 'mask' });
    expect(Array.from(done.values)).toEqual([1, 2, 3, 999, 4, 5, 999, 6, 7, 8, 9]);
    expect(done.invalid[1]).toEqual({ from: 4, to: 6, why: 'filter edge' });
    expect(() => movingMedian(c, { samples: 4 })).toThrow('odd, so that the median is a sample in the middle, got 4');
  });
});

describe('decimate', () => {
  it('equals SciPy decimate (reference case decimate-iir-4 and golden arrays)', () => {
    const { inputs, expected, tolerance } = published('decimate-iir-4');
    close(decimate(channel(inputs.x), { factor: 4 }).values, expected.y_iir, 0, tolerance.abs);
    for (const [q, y] of Object.entries(golden.decimate)) close(decimate(channel(golden.x), { factor: Number(q) }).values, y, 1e-8, 1e-7);
  });
  it('keeps a slow sine, takes away what would fold, at factors up to 100', () => {
    for (const factor of [3, 25, 100]) {
      const rate = 1000 / factor;
      const n = 600 * factor;
      const tone = (f: number): Float64Array => Float64Array.from({ length: n }, (_, i) => Math.sin((2 * Math.PI * f * i) / 1000));
      const slow = decimate(channel(tone(0.2 * rate)), { factor }).values;
      for (let i = 200; i < 400; i++) expect(slow[i]).toBeCloseTo(Math.sin(0.4 * Math.PI * i), 1);
      const fast = decimate(channel(tone(0.83 * rate)), { factor }).values.slice(200, 400);
      expect(Math.max(...fast)).toBeLessThan(1e-4);
    }
  });
  it('lets no gap vanish, however short', () => {
    const done = decimate(channel(golden.x, [{ from: 201, to: 202, why: 'spike' }]), { factor: 5 });
    expect(done.invalid).toEqual([{ from: 40, to: 41, why: 'spike' }]);
    expect(done.sampleRate).toBe(200);
    expect(() => decimate(channel(golden.x), { factor: 1.5 })).toThrow('factor must be a whole number at least 2');
  });
});

describe('upsamplePeaks', () => {
  it('keeps every recorded sample exactly, for any factor and masks', () => {
    fc.assert(fc.property(fc.integer({ min: 2, max: 9 }), fc.integer({ min: 40, max: 100 }), fc.integer({ min: 1, max: 20 }), (factor, from, length) => {
      const x = noise(200);
      const c = channel(x, [{ from, to: from + length, why: 'dropout' }]);
      const done = upsamplePeaks(c, { factor });
      expect(done.values.length).toBe(199 * factor + 1);
      for (let i = 0; i < 200; i++) expect(done.values[i * factor]).toBe(x[i]);
      expect(done.invalid).toEqual([{ from: (from - 1) * factor + 1, to: (from + length) * factor, why: 'dropout' }]);
    }), { seed: 7, numRuns: 40 });
  });
  it('finds the true peak of a sine sampled 2.3 times a period, to 1e-4', () => {
    const w = (2 * Math.PI) / 2.3;
    const c = channel(Float64Array.from({ length: 600 }, (_, i) => Math.sin(w * i + 0.3)));
    const y = upsamplePeaks(c, { factor: 16 }).values;
    for (let m = 16 * 100; m < 16 * 500; m++) expect(Math.abs(y[m]! - Math.sin((w * m) / 16 + 0.3))).toBeLessThan(1e-4);
  });
  it('reads a straight line straight, to the ends', () => {
    const y = upsamplePeaks(channel(Float64Array.from({ length: 80 }, (_, i) => 5 + 2 * i)), { factor: 4 }).values;
    y.forEach((v, m) => expect(v).toBeCloseTo(5 + m / 2, 3));
  });
  it('refuses short runs', () => {
    expect(() => upsamplePeaks(channel(noise(32)), { factor: 2 })).toThrow('longer than 32 samples');
    expect(() => upsamplePeaks(channel(noise(60)), { factor: 1 })).toThrow('at least 2');
  });
});

describe('resample', () => {
  it('up and down again gives the slow part back', () => {
    const slow = Float64Array.from({ length: 800 }, (_, i) => 30 * Math.sin(0.3 * i) + 7 * Math.cos(1.1 * i));
    const there = resample(channel(slow), { sampleRate: 1250 });
    const back = resample(there, { sampleRate: 1000 }).values;
    close(back.slice(100, 700), slow.slice(100, 700), 0, 5e-3);
    expect(there.trail.at(-1)!.found).toMatchObject({ up: 5, down: 4, trueBelow: 450 });
  });
  it('takes away what would fold', () => {
    const c = channel(Float64Array.from({ length: 4000 }, (_, i) => Math.sin((2 * Math.PI * 140 * i) / 1000)));
    expect(Math.max(...resample(c, { sampleRate: 250 }).values.slice(200, 800))).toBeLessThan(2e-5);
  });
  it('masks every new sample that lies next to a masked one, and no other', () => {
    const c = channel(noise(400), [{ from: 150, to: 160, why: 'clock gap' }]);
    const done = resample(c, { sampleRate: 700 });
    const at = (m: number): number => (m * 1000) / 700;
    done.values.forEach((_, m) => {
      const masked = done.invalid.some((s) => s.from <= m && m < s.to);
      expect(masked).toBe(at(m) > 149 && at(m) < 160);
    });
    expect(replay(c, done.trail)).toEqual(done);
  });
  it('refuses a rate that is no simple ratio', () => {
    expect(() => resample(channel(noise(400)), { sampleRate: 1000 * Math.SQRT2 })).toThrow('a ratio of whole numbers up to 10 000');
  });
});
