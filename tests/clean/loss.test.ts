import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, lossMap, makeChannel, markInvalid, removeDrift, removeSpikes, replay, worstCase, type Channel, type Span } from '../../src/index.js';

const rate = 500;
const n = 60_000;
/** 5 rad/s … 40 rad/s turning, torque with a slow swing. */
const angleAt = (t: number): number => 30 * t + 2 * Math.sin(t);
const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: rate, values: Float64Array.from({ length: n }, (_, i) => 3000 + 1000 * Math.sin(i / 3000) + 100 * Math.sin(i / 7)) });
const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 100, values: Float64Array.from({ length: n / 5 + 1 }, (_, i) => 30 + 2 * Math.cos(i / 100)) });

/** Gaps where a shadow and chance say so. */
function lose(chance: (i: number) => number, seed: number, length = 8): Channel<'N·m'> {
  const random = createRandom(seed);
  const spans: Span[] = [];
  for (let i = 10; i + length < n; i++) {
    if (random.uniform() >= chance(i)) continue;
    spans.push({ from: i, to: i + length, why: 'dropout' });
    i += length + 1;
  }
  return markInvalid(torque, spans);
}

describe('lossMap', () => {
  const inShadow = (i: number): boolean => ((angleAt(i / rate) % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI) < 0.4;
  it('adds up: every sample and every lost one lies in one class', () => {
    const lost = lose(() => 0.002, 1);
    const map = lossMap(lost, { speed });
    for (const classes of [map.byLevel, map.byAngle!]) {
      expect(classes.samples.reduce((s, v) => s + v, 0)).toBe(n);
      expect(classes.lost.reduce((s, v) => s + v, 0)).toBe(map.lost);
      expect(classes.gaps.reduce((s, v) => s + v, 0)).toBe(map.gaps);
    }
    expect(map.share).toBeCloseTo(map.lost / n, 15);
  });
  it('does not warn of random loss, and warns of an antenna that looks away, from speed, angle or pulses', () => {
    let warnings = 0;
    for (let seed = 1; seed <= 30; seed++) warnings += lossMap(lose(() => 0.002, seed), { speed }).notes.filter((s) => s.includes('not random')).length;
    expect(warnings).toBe(0);
    const shadow = lose((i) => (inShadow(i) ? 0.05 : 0.0005), 3);
    const angle = makeChannel({ name: 'a', unit: 'rad', sampleRate: rate, values: Float64Array.from({ length: n }, (_, i) => angleAt(i / rate)) });
    const pulses = makeChannel({ name: 'p', unit: 'V', sampleRate: rate * 4, values: Float64Array.from({ length: n * 4 }, (_, i) => 5 * Math.cos(angleAt(i / rate / 4) + Math.PI / 2 - Math.PI)) });
    for (const source of [{ speed }, { angle }, { pulses: { channel: pulses, level: 0, perRevolution: 1 } }]) {
      const map = lossMap(shadow, source);
      expect(map.notes[0]).toContain('The antenna looks away there once a revolution');
      expect(map.concentration).toBeGreaterThan(0.5);
      expect(map.byAngle!.chance).toBeLessThan(1e-6);
    }
    expect(lossMap(shadow, { angle }).meanAngle).toBeCloseTo(0.2, 1);
  });
  it('warns of loss at high load', () => {
    const map = lossMap(lose((i) => (torque.values[i]! > 3500 ? 0.006 : 0.0005), 4));
    expect(map.notes[0]).toContain('Peaks are missing more often than the rest, so damage scaled by valid time is too small.');
    expect(map.byAngle).toBe(null);
  });
  it('counts only the reasons asked for', () => {
    const two = markInvalid(torque, [{ from: 100, to: 200, why: 'rail' }, { from: 300, to: 310, why: 'dropout' }]);
    expect(lossMap(two).lost).toBe(10);
    expect(lossMap(two, { why: ['rail', 'dropout'] }).lost).toBe(110);
    expect(() => lossMap(two, { why: ['boredom' as never] })).toThrow('why must be one of');
    expect(() => lossMap(two, { speed, angle: makeChannel({ name: 'a', unit: 'rev', sampleRate: 1, values: [1] }) })).toThrow('one source of the shaft angle');
  });
});

describe('worstCase', () => {
  it('fills gaps with swings between the bounds, rails to their side, and leaves the rest', () => {
    const c = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, 0, 0, 0, 0, 3, 9, 9, 4], invalid: [{ from: 2, to: 6, why: 'dropout' }, { from: 7, to: 9, why: 'rail' }] });
    const filled = worstCase(c, { low: -5, high: 12, cyclesPerSecond: 0 });
    expect(Array.from(filled.values)).toEqual([1, 2, 12, 12, -5, -5, 3, 12, 12, 4]);
    expect(filled.invalid).toEqual([]);
    expect(Array.from(worstCase(c, { low: -5, high: 12, cyclesPerSecond: 4.9, why: ['dropout'] }).values)).toEqual([1, 2, 12, -5, 12, -5, 3, 9, 9, 4]);
    expect(replay(c, filled.trail)).toEqual(filled);
    expect(() => worstCase(c, { low: 1, high: 0, cyclesPerSecond: 0 })).toThrow('high must be a finite number above 1');
    expect(() => worstCase(c, { low: -5, high: 12 } as never)).toThrow('cyclesPerSecond must be given');
    expect(() => worstCase(c, { low: -5, high: 12, cyclesPerSecond: 0, why: ['spike'] })).toThrow('reasons for which something is masked');
  });
  it('never leaves less than the whole swing in a gap of two samples or more', () => {
    fc.assert(fc.property(fc.integer({ min: 0, max: 80 }), fc.integer({ min: 2, max: 19 }), fc.double({ min: 0, max: 4.9, noNaN: true }), (from, length, cyclesPerSecond) => {
      const c = markInvalid(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: new Float64Array(100).fill(2) }), [{ from, to: from + length, why: 'held value' }]);
      const gap = worstCase(c, { low: -1, high: 7, cyclesPerSecond }).values.slice(from, from + length);
      expect(Math.min(...gap)).toBe(-1);
      expect(Math.max(...gap)).toBe(7);
    }), { seed: 6, numRuns: 200 });
  });
});

describe('removeSpikes', () => {
  it('puts back what a band-limited signal had there, within what a cubic misses', () => {
    const clean = Float64Array.from({ length: 4000 }, (_, i) => 800 * Math.sin(i * 0.05) + 20 * Math.sin(i * 0.2));
    const hit = clean.slice();
    [500, 1200, 1201, 3000, 3001, 3002].forEach((i) => { hit[i]! += 2500; });
    const raw = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: hit });
    const done = removeSpikes(raw, { highestMode: 32 });
    const found = done.trail.at(-1)!.found as { spikes: number; samples: number; missedAtHighestMode: number };
    expect([found.spikes, found.samples]).toEqual([3, 6]);
    done.values.forEach((v, i) => expect(Math.abs(v - clean[i]!)).toBeLessThan(20 * found.missedAtHighestMode + 0.1));
    expect(replay(raw, done.trail)).toEqual(done);
    expect(() => removeSpikes(raw, {} as never)).toThrow('highestMode must be given');
  });
  it('puts a pair back from what is no spike beside it', () => {
    const clean = Float64Array.from({ length: 4000 }, (_, i) => 800 * Math.sin(i * 0.05) + 0.1 * ((i * 7) % 5));
    const hit = clean.slice();
    for (const [at, apart] of [[500, 2], [1500, 3], [2500, 4]] as const) for (const i of [at, at + apart]) hit[i]! += 2500;
    const done = removeSpikes(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: hit }), { highestMode: 32 });
    expect(done.trail.at(-1)!.found).toMatchObject({ spikes: 6, samples: 6 });
    done.values.forEach((v, i) => expect(Math.abs(v - clean[i]!)).toBeLessThan(1.5));
  });
});

describe('removeDrift', () => {
  it('takes a straight drift off exactly and keeps ranges within a window', () => {
    const values = Float64Array.from({ length: 10_000 }, (_, i) => 500 + 0.03 * i + 50 * Math.sin(2 * Math.PI * i / 100));
    const done = removeDrift(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values }), { window: 10 });
    const flat = done.values.map((v, i) => v - 50 * Math.sin(2 * Math.PI * i / 100));
    for (let i = 0; i < flat.length; i++) expect(Math.abs(flat[i]! - flat[0]!)).toBeLessThan(2);
  });
  it('tells what part of the span it took, and does not read masked samples', () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => (i < 500 ? 0 : 100));
    const step = removeDrift(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values }), { window: 10 });
    expect((step.trail.at(-1)!.found as { partOfSpan: number }).partOfSpan).toBeCloseTo(1, 12);
    const masked = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: values.map((v, i) => (i >= 500 ? 1e9 : v)), invalid: [{ from: 500, to: 1000, why: 'rail' }] });
    expect(removeDrift(masked, { window: 10 }).values[10]).toBe(0);
    expect(() => removeDrift(masked, { window: 60 })).toThrow('at most half the record (50 s)');
    expect(() => removeDrift(masked, {} as never)).toThrow('window must be given');
  });
});
