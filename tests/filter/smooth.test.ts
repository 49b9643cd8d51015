import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, firLowpass, makeChannel, replay, savitzkyGolay, type Channel, type Span } from '../../src/index.js';
import { firLowpassTaps } from '../../src/numeric/fir.js';
import { polynomialWeights } from '../../src/numeric/savitzkyGolay.js';
import { close, golden, published, smooth } from './golden.js';

const channel = (values: ArrayLike<number>, invalid: readonly Span[] = []): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from(values), invalid });
const x = golden.x.slice(0, 200);
const gap: Span = { from: 90, to: 95, why: 'dropout' };

describe('savitzkyGolay', () => {
  it('has the weights of the original paper for five points and a parabola: (−3, 12, 17, 12, −3)/35 (Savitzky and Golay 1964, from memory)', () => {
    close(polynomialWeights(5, 2, 2), [-3, 12, 17, 12, -3].map((v) => v / 35), 1e-14, 1e-16);
  });
  it('agrees with the reference case savgol-filter (SciPy 1.10.1, window 11, degree 3, ends by the polynomial)', () => {
    const { inputs, expected, tolerance } = published('savgol-filter');
    close(savitzkyGolay(channel(inputs.x), { samples: inputs.window, degree: inputs.polyorder }).values, expected.y_interp, 0, tolerance.abs);
  });
  it.each(smooth.savgol)('agrees with $by over a window of $samples and degree $degree', ({ samples, degree, y }) => {
    close(savitzkyGolay(channel(x), { samples, degree }).values, y, 0, 1e-9);
  });
  it('leaves polynomials up to its degree alone, the ends too', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: -2, max: 2, noNaN: true }), { minLength: 1, maxLength: 5 }), fc.integer({ min: 3, max: 20 }), (coefficients, h) => {
      const values = Float64Array.from({ length: 60 }, (_, i) => coefficients.reduceRight((s, c) => s * (i / 30 - 1) + c, 0));
      close(savitzkyGolay(channel(values), { samples: 2 * h + 1, degree: coefficients.length - 1 }).values, values, 0, 1e-10);
    }), { seed: 2, numRuns: 100 });
  });
  it('smooths each valid run on its own, keeps what stands under a mask, and replays', () => {
    const c = channel(x, [gap]);
    const done = savitzkyGolay(c, { samples: 7, degree: 2 });
    expect(done.values.slice(0, 90)).toEqual(savitzkyGolay(channel(x.slice(0, 90)), { samples: 7, degree: 2 }).values);
    expect(done.values.slice(90, 95)).toEqual(c.values.slice(90, 95));
    expect(replay(c, done.trail)).toEqual(done);
  });
  it.each<[object, string]>([
    [{ samples: 5 }, 'degree must be given'], [{ samples: 6, degree: 2 }, 'samples must be odd, so that a sample lies in the middle, got 6.'], [{ samples: 5, degree: 5 }, 'degree must be a whole number at least 0 and at most 4, got 5.'],
    [{ samples: 201, degree: 2 }, 'longer than 200 samples'], [{ samples: 5, degree: 2, deriv: 1 }, "the unknown key 'deriv'"], [{ samples: Number.NaN, degree: 2 }, 'samples must be a whole number'],
  ])('refuses %j', (options, message) => {
    expect(() => savitzkyGolay(channel(x), options as never)).toThrow(message);
  });
});

describe('firLowpass', () => {
  it.each(['firwin-hamming-21', 'firwin-hann-31'])('has the coefficients of the reference case %s (window method, SciPy)', (id) => {
    const { inputs, expected, tolerance } = published(id);
    close(firLowpassTaps(inputs.numtaps, inputs.cutoff / inputs.fs_Hz, inputs.window), expected.h, 0, tolerance.abs);
  });
  it.each(smooth.fir)('agrees with SciPy: $taps coefficients, $cutoff Hz, $window, odd extension', ({ taps, cutoff, window, h, y }) => {
    close(firLowpassTaps(taps, cutoff / 1000, window), h, 0, 1e-14);
    close(firLowpass(channel(x), { taps, cutoff, window }).values, y, 0, 1e-10);
  });
  it('halves a tone at the cutoff, keeps a slow one in place, and takes a fast one away by 50 dB', () => {
    const tone = (f: number): number => firLowpass(channel(Float64Array.from({ length: 2001 }, (_, i) => Math.cos((2 * Math.PI * f * (i - 1000)) / 1000))), { cutoff: 100, taps: 101 }).values[1000]!;
    expect(tone(100)).toBeCloseTo(0.5, 3);
    expect(tone(60)).toBeCloseTo(1, 2);
    expect(Math.abs(tone(140))).toBeLessThan(0.0032);
  });
  it('states the gain at its cutoff, and refuses coefficients too few for it, naming how many do', () => {
    const tone = (cutoff: number): Channel<'N·m'> => channel(Float64Array.from({ length: 2001 }, (_, i) => Math.cos((2 * Math.PI * cutoff * (i - 1000)) / 1000)));
    for (const [cutoff, taps] of [[20, 61], [60, 21], [100, 31], [440, 21], [480, 61]] as const) {
      const done = firLowpass(tone(cutoff), { cutoff, taps });
      const stated = (done.trail.at(-1)!.found as { gainAtCutoff: number }).gainAtCutoff;
      expect(stated).toBeCloseTo(done.values[1000]!, 4);
      expect(Math.abs(stated - 0.5)).toBeLessThanOrEqual(0.15);
    }
    for (const [cutoff, taps, left] of [[5, 21, '0.99'], [20, 21, '0.88'], [490, 21, '0.79']] as const) {
      let message = '';
      try { firLowpass(tone(cutoff), { cutoff, taps }); } catch (e) { message = (e as Error).message; }
      expect(message).toContain(`taps must be enough for a gain of one half at ${cutoff} Hz (within 0.15), got 21, which leave ${left}.`);
      const enough = Number(/Use (\d+) or more/.exec(message)![1]);
      expect(firLowpass(tone(cutoff), { cutoff, taps: enough }).values[1000]).toBeLessThanOrEqual(0.65);
      expect(enough).toBeLessThan(1.2 * 1000 / Math.min(cutoff, 500 - cutoff));
    }
  });
  it('feels nothing beyond half its length, in valid runs only', () => {
    const random = createRandom(3);
    const base = Float64Array.from({ length: 200 }, () => random.normal());
    const other = base.map((v, i) => (i > 110 ? v + 100 : v));
    const at = (values: Float64Array): Float64Array => firLowpass(channel(values), { cutoff: 100, taps: 21 }).values.slice(0, 101);
    expect(at(other)).toEqual(at(base));
    const c = channel(base, [gap]);
    const done = firLowpass(c, { cutoff: 100, taps: 21 });
    expect(done.values.slice(95)).toEqual(firLowpass(channel(base.slice(95)), { cutoff: 100, taps: 21 }).values);
    expect(done.values.slice(90, 95)).toEqual(base.slice(90, 95));
    expect(replay(c, done.trail)).toEqual(done);
  });
  it.each<[object, string]>([
    [{ taps: 21 }, 'cutoff must be given'], [{ cutoff: 60, taps: 20 }, 'taps must be odd, so that nothing is shifted in time, got 20.'], [{ cutoff: 500, taps: 21 }, 'cutoff must be below half the sample rate (500 Hz)'],
    [{ cutoff: 60, taps: 21, window: 'kaiser' }, "window must be one of 'rectangular', 'hann', 'hamming', 'blackman'"], [{ cutoff: 60, taps: 401 }, 'longer than 200 samples'],
  ])('refuses %j', (options, message) => {
    expect(() => firLowpass(channel(x), options as never)).toThrow(message);
  });
});
