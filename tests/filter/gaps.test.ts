import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandstop, countCycles, createRandom, highpass, lowpass, makeChannel, markInvalid, notch, replay, type Channel, type Span } from '../../src/index.js';
import { cubicAcross } from '../../src/numeric/cubicAcross.js';

const channel = (values: ArrayLike<number>, invalid: readonly Span[] = []): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 500, values: Float64Array.from(values), invalid });
const found = (c: Channel): Record<string, unknown> => c.trail.at(-1)!.found as Record<string, unknown>;
const line = Float64Array.from({ length: 400 }, (_, i) => 3 + 0.25 * i);

describe('the cubic across a gap', () => {
  it('gives any cubic back', () => {
    const x = Float64Array.from({ length: 20 }, (_, i) => 2 - i + 0.3 * i * i - 0.01 * i ** 3);
    cubicAcross(x, 7, 5).forEach((v, j) => expect(v).toBeCloseTo(x[7 + j]!, 9));
  });
});

describe("filters with gaps: 'apart'", () => {
  it('tell how many samples lie so close to a gap that they feel it', () => {
    const swing = Float64Array.from({ length: 20_000 }, (_, i) => 100 * Math.sin((2 * Math.PI * 5 * i) / 2000));
    const at2kHz = (invalid: readonly Span[]): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values: swing, invalid });
    const holes: Span[] = Array.from({ length: 20 }, (_, k) => ({ from: 487 * (2 * k + 1), to: 487 * (2 * k + 1) + 1, why: 'spike' }));
    const whole = lowpass(at2kHz([]), { cutoff: 20 });
    const done = lowpass(at2kHz(holes), { cutoff: 20 });
    const { samples, within } = found(done)['nearGaps'] as { samples: number; within: number };
    expect(samples).toBe(2 * 20 * within);
    let inside = 0, outside = 0;
    done.values.forEach((v, i) => {
      const distance = Math.min(...holes.map((h) => Math.abs(i - h.from)));
      if (distance === 0) return;
      const off = Math.abs(v - whole.values[i]!);
      if (distance <= within) inside = Math.max(inside, off); else outside = Math.max(outside, off);
    });
    expect(inside).toBeGreaterThan(20);
    expect(outside).toBeLessThan(0.02 * inside);
    expect(found(whole)['nearGaps']).toBeUndefined();
    expect(found(lowpass(at2kHz(holes), { cutoff: 20, gaps: 'bridge' }))['nearGaps']).toBeUndefined();
    expect((found(lowpass(at2kHz(holes), { cutoff: 20, zeroPhase: false }))['nearGaps'] as { samples: number }).samples).toBe(20 * within);
  });
});

describe("filters with gaps: 'bridge'", () => {
  const gap: Span = { from: 200, to: 206, why: 'rail' };
  it('read a straight line across a gap as the line, so that the answer is that without a gap', () => {
    const spoilt = line.map((v, i) => (i >= 200 && i < 206 ? 1e6 : v));
    const whole = lowpass(channel(line), { cutoff: 20 });
    const done = lowpass(channel(spoilt, [gap]), { cutoff: 20, gaps: 'bridge' });
    for (let i = 0; i < 400; i++) if (i < 200 || i >= 206) expect(done.values[i]).toBeCloseTo(whole.values[i]!, 9);
    expect(done.values.slice(200, 206)).toEqual(spoilt.slice(200, 206));
    expect(done.invalid).toEqual([gap]);
    expect(found(done)).toMatchObject({ runs: 1, bridged: { gaps: 1, samples: 6, longest: 12 } });
  });
  it('keep a masked crest from overshooting, by every filter', () => {
    // Swings of 8.5 Hz, the crest of one of them masked in its middle.
    const swing = Float64Array.from({ length: 1000 }, (_, i) => 1000 * Math.sin((2 * Math.PI * 8.5 * i) / 500));
    const crest: Span = { from: 482, to: 489, why: 'rail' };
    for (const run of [
      (c: Channel<'N·m'>, gaps: 'apart' | 'bridge') => lowpass(c, { cutoff: 20, gaps }), (c: Channel<'N·m'>, gaps: 'apart' | 'bridge') => highpass(c, { cutoff: 0.5, order: 2, gaps }),
      (c: Channel<'N·m'>, gaps: 'apart' | 'bridge') => bandstop(c, { from: 20, to: 60, order: 2, gaps }), (c: Channel<'N·m'>, gaps: 'apart' | 'bridge') => notch(c, { frequency: 50, width: 10, gaps }),
    ]) {
      const whole = run(channel(swing), 'apart');
      const off = (gaps: 'apart' | 'bridge'): number => {
        const done = run(channel(swing, [crest]), gaps);
        return done.values.reduce((worst, v, i) => (i >= 482 && i < 489 ? worst : Math.max(worst, Math.abs(v - whole.values[i]!))), 0);
      };
      expect(off('bridge')).toBeLessThan(5);
      expect(off('bridge')).toBeLessThan(0.2 * off('apart'));
    }
  });
  it('give the largest cycle of a noisy record with gaps just behind its crests as without gaps, where runs apart give it more than 2 % too large', () => {
    const random = createRandom(8);
    const swing = Float64Array.from({ length: 2000 }, (_, i) => 1000 * Math.sin((2 * Math.PI * 8.5 * i) / 500) + random.normal());
    const behind: Span[] = Array.from({ length: 15 }, (_, k) => Math.round((2 * k + 1.25) * (500 / 8.5))).map((top) => ({ from: top + 2, to: top + 9, why: 'dropout' }));
    const largest = (c: Channel<'N·m'>): number => countCycles(c).largest[0]!.range;
    const whole = largest(markInvalid(lowpass(channel(swing), { cutoff: 20 }), behind));
    expect(Math.abs(largest(lowpass(channel(swing, behind), { cutoff: 20, gaps: 'bridge' })) / whole - 1)).toBeLessThan(0.001);
    expect(largest(lowpass(channel(swing, behind), { cutoff: 20 })) / whole - 1).toBeGreaterThan(0.02);
  });
  it('keep runs apart at gaps longer than half a period of the cutoff or without two samples beside them: there the answer is that of apart', () => {
    fc.assert(fc.property(fc.integer({ min: 30, max: 200 }), fc.integer({ min: 16, max: 60 }), fc.boolean(), (from, length, zeroPhase) => {
      const c = channel(line.map((v, i) => v + Math.sin(i)), [{ from, to: from + length, why: 'dropout' }]);
      const bridge = lowpass(c, { cutoff: 30, zeroPhase, gaps: 'bridge' });
      expect(bridge.values).toEqual(lowpass(c, { cutoff: 30, zeroPhase }).values);
      expect(found(bridge)).toMatchObject({ runs: 2, bridged: { gaps: 0, samples: 0 } });
    }), { seed: 6, numRuns: 30 });
    const lone = channel(line, [{ from: 100, to: 103, why: 'spike' }, { from: 104, to: 107, why: 'spike' }]);
    expect(found(lowpass(lone, { cutoff: 30, gaps: 'bridge', shortRuns: 'mask' }))).toMatchObject({ runs: 2, bridged: { gaps: 0 }, masked: { samples: 1 } });
  });
  it('leave whole what lies between two short gaps, where runs apart mask it', () => {
    const c = channel(line, [{ from: 100, to: 103, why: 'spike' }, { from: 110, to: 113, why: 'dropout' }]);
    expect(lowpass(c, { cutoff: 30, shortRuns: 'mask' }).invalid.length).toBe(3);
    expect(lowpass(c, { cutoff: 30, gaps: 'bridge' }).invalid).toEqual(c.invalid);
    // Still too short when joined: each sound piece is masked as a filter edge, and the reasons of the gaps stay.
    const short = channel(line, [{ from: 40, to: 80, why: 'dropout' }, { from: 84, to: 86, why: 'spike' }, { from: 90, to: 130, why: 'dropout' }]);
    expect(lowpass(short, { cutoff: 30, gaps: 'bridge', shortRuns: 'mask' }).invalid).toEqual([
      { from: 40, to: 80, why: 'dropout' }, { from: 80, to: 84, why: 'filter edge' }, { from: 84, to: 86, why: 'spike' }, { from: 86, to: 90, why: 'filter edge' }, { from: 90, to: 130, why: 'dropout' },
    ]);
  });
  it('come closer to the answer without gaps than runs apart do, up to the longest gap bridged, with noise and without', () => {
    for (const [cutoff, sigma] of [[20, 0], [20, 5], [100, 0], [100, 5]] as const) {
      const random = createRandom(4);
      const swing = Float64Array.from({ length: 20_000 }, (_, i) => 100 * Math.sin((2 * Math.PI * 5 * i) / 2000) + sigma * random.normal());
      const at2kHz = (invalid: readonly Span[]): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 2000, values: swing, invalid });
      const whole = lowpass(at2kHz([]), { cutoff }).values;
      for (const length of cutoff === 20 ? [1, 8, 20, 33, 50] : [1, 3, 6, 10, 15]) {
        const holes: Span[] = Array.from({ length: 38 }, (_, k) => ({ from: 487 * k + 300, to: 487 * k + 300 + length, why: 'spike' }));
        const off = (gaps: 'apart' | 'bridge'): number => {
          const done = markInvalid(lowpass(at2kHz(holes), { cutoff, gaps }), holes);
          return Math.sqrt(done.values.reduce((sum, v, i) => sum + (holes.some((h) => i >= h.from && i < h.to) ? 0 : (v - whole[i]!) ** 2), 0) / whole.length);
        };
        expect(off('bridge')).toBeLessThanOrEqual((cutoff === 20 ? 0.2 : 1) * off('apart'));
      }
    }
  });
  it('replay to the same bytes, and refuse another word', () => {
    const c = channel(line, [gap]);
    const done = lowpass(c, { cutoff: 30, gaps: 'bridge' });
    expect(replay(c, done.trail)).toEqual(done);
    expect(() => lowpass(c, { cutoff: 30, gaps: 'fill' as never })).toThrow("lowpass: gaps must be one of 'apart', 'bridge'");
  });
});
