import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, findFaults, makeChannel, type Channel, type Span } from '../../src/index.js';

/** 1 kHz, modes at 8 and 60 Hz, noise. */
function modes(seed: number, n = 12_000): Float64Array {
  const random = createRandom(seed);
  return Float64Array.from({ length: n }, (_, i) => 3000 + 800 * Math.sin(i * 0.0503) + 150 * Math.sin(i * 0.377) + 8 * random.normal());
}
const channel = (values: ArrayLike<number>, unit: 'N·m' | 'count' = 'N·m'): Channel => makeChannel({ name: 'x', unit, sampleRate: 1000, values });
const spansOf = (c: Channel, why: string, options: object = {}): Span[] => findFaults(c, { spike: { highestMode: 60 }, ...options }).spans.filter((s) => s.why === why);

describe('spikes', () => {
  it('of one to three samples are found wherever they stand in modes and noise, and nothing else is', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1e6 }), fc.integer({ min: 20, max: 960 }), fc.integer({ min: 1, max: 3 }), fc.constantFrom(-1, 1), fc.double({ min: 1200, max: 4000, noNaN: true }), (seed, at, length, sign, height) => {
      const values = modes(seed, 1000);
      for (let i = at; i < at + length; i++) values[i]! += sign * height * (0.8 + 0.2 * Math.sin(i));
      expect(spansOf(channel(values), 'spike')).toEqual([{ from: at, to: at + length, why: 'spike' }]);
    }), { seed: 3, numRuns: 200 });
  });
  it('are found in pairs, whatever lies between them', () => {
    for (const apart of [2, 3, 5, 8, 15, 24, 25, 26, 40]) {
      for (const second of [1, -1, 0.5]) {
        const values = modes(apart, 12_000);
        const at = Array.from({ length: 20 }, (_, k) => 300 + 570 * k).flatMap((i) => [i, i + apart]);
        at.forEach((i, k) => { values[i]! += k % 2 === 0 ? 2400 : 2400 * second; });
        expect(spansOf(channel(values), 'spike')).toEqual(at.map((from) => ({ from, to: from + 1, why: 'spike' })));
      }
    }
  });
  it('are found in bursts of five of unlike heights', () => {
    const values = modes(9, 12_000);
    const random = createRandom(10);
    const at = Array.from({ length: 15 }, (_, k) => 300 + 700 * k).flatMap((i) => [0, 8, 15, 24, 32].map((d) => i + d));
    for (const i of at) values[i]! += 1500 + 1500 * random.uniform();
    expect(spansOf(channel(values), 'spike')).toEqual(at.map((from) => ({ from, to: from + 1, why: 'spike' })));
  });
  it('are none in a mode at the highest frequency told, steady, beating or as single pulses, at 8 samples a period or more', () => {
    for (const period of [8, 11, 14.3, 20, 33]) {
      const random = createRandom(3);
      const phase = 6 * random.uniform();
      const steady = Float64Array.from({ length: 4000 }, (_, i) => 1000 * Math.sin((2 * Math.PI * i) / period + phase) + 0.1 * random.normal());
      const beating = steady.map((v, i) => v * Math.sin(0.004 * i) ** 4);
      const pulses = Float64Array.from({ length: 4000 }, (_, i) => 500 * (1 - Math.cos((2 * Math.PI * Math.min(period, (i + 0.3) % 95)) / period)) + random.normal());
      for (const values of [steady, beating, pulses]) expect(spansOf(channel(values), 'spike', { spike: { highestMode: 1000 / period }, held: false })).toEqual([]);
    }
  });
  it('are none where a mode rings down after the jump, and none at a step', () => {
    const ring = modes(4, 4000);
    for (let i = 2000; i < 2400; i++) ring[i]! += 3000 * Math.sin((i - 1999) * 0.377) * Math.exp(-(i - 2000) / 40);
    expect(spansOf(channel(ring), 'spike')).toEqual([]);
    const step = modes(5, 4000);
    for (let i = 2000; i < 4000; i++) step[i]! += 1500;
    expect(spansOf(channel(step), 'spike')).toEqual([]);
  });
  it('are none where a short pulse of true torque has flanks: a break-away over seven samples', () => {
    const pulse = modes(15, 4000);
    [-0.15, -0.4, -0.65, -1.6, -1.2, -0.6, -0.2].forEach((v, j) => { pulse[2000 + j]! += 3000 * v; });
    expect(spansOf(channel(pulse), 'spike')).toEqual([]);
  });
  it('are looked for only when the highest mode is given', () => {
    const values = modes(6, 2000);
    values[1000]! += 5000;
    expect(findFaults(channel(values)).spans).toEqual([]);
    expect(findFaults(channel(values)).notes).toEqual(['Spikes were not looked for: give spike: { highestMode } in Hz.']);
  });
});

describe('saturation', () => {
  it.each([[1, 950, 0.99, 1], [1, 980, 0.99, 1], [2, 900, 0.99, 1], [2, 950, 0.99, 1], [3, 700, 0.99, 1], [3, 900, 0.99, 1], [3, 950, 0.98, 1], [5, 700, 0.99, 1], [5, 900, 0.98, 1], [5, 980, 0.95, 1], [10, 950, 0.94, 1], [20, 900, 0.8, 0.95], [20, 700, 0, 0.1]])('in noise %d of crests of 1000 cut off at %d is found as far as the docstring says (%f to %f), and besides it flanks within 9 deviations only', (sigma, level, least, most) => {
    const random = createRandom(7);
    const clean = Float64Array.from({ length: 20_000 }, (_, i) => 1000 * Math.sin(i * 0.02 + Math.sin(i * 0.0011)));
    const noisy = clean.map((v) => Math.min(level, v) + sigma * random.normal());
    let cut = 0, hit = 0;
    const mask = new Uint8Array(clean.length);
    for (const s of spansOf(channel(noisy), 'saturation', { spike: false })) mask.fill(1, s.from, s.to);
    clean.forEach((v, i) => {
      if (v > level) cut++;
      if (v > level) hit += mask[i]!;
      else if (mask[i] === 1) expect(noisy[i]).toBeGreaterThan(level - 9.5 * sigma);
    });
    expect(hit / cut).toBeGreaterThanOrEqual(least);
    expect(hit / cut).toBeLessThanOrEqual(most);
  });
  const clipped = (level: number): Float64Array => {
    const random = createRandom(7);
    return Float64Array.from({ length: 20_000 }, (_, i) => Math.min(level, 1000 * Math.sin(i * 0.02 + Math.sin(i * 0.0011))) + 2 * random.normal());
  };
  it('is found where noisy crests are flat, by both of their flanks', () => {
    const spans = spansOf(channel(clipped(700)), 'saturation');
    expect(spans.length).toBeGreaterThan(50);
    const clean = Float64Array.from({ length: 20_000 }, (_, i) => 1000 * Math.sin(i * 0.02 + Math.sin(i * 0.0011)));
    for (const s of spans) expect(clean[Math.floor((s.from + s.to) / 2)]).toBeGreaterThan(700);
    expect(findFaults(channel(clipped(700)), { spike: false }).notes.some((n) => n.includes('flattens crests'))).toBe(true);
  });
  it('is not seen in whole crests', () => {
    expect(spansOf(channel(clipped(2000)), 'saturation')).toEqual([]);
    expect(spansOf(channel(modes(8)), 'saturation')).toEqual([]);
  });
});

describe('wrap-around', () => {
  const counts = (seed: number): { wrapped: Float64Array; truth: Float64Array } => {
    const random = createRandom(seed);
    const truth = Float64Array.from({ length: 20_000 }, (_, i) => Math.round(20_000 + 14_000 * Math.sin(i * 0.01) + 20 * random.normal()));
    return { truth, wrapped: truth.map((v) => ((v + 32768) & 65535) - 32768) };
  };
  it('of 16-bit counts is found sample by sample, without being told the range', () => {
    const { wrapped, truth } = counts(9);
    const report = findFaults(channel(wrapped, 'count'), { spike: false });
    const masked = new Uint8Array(truth.length);
    for (const s of report.spans.filter((f) => f.why === 'wrap-around')) masked.fill(1, s.from, s.to);
    truth.forEach((v, i) => expect(masked[i]).toBe(v > 32767 ? 1 : 0));
    expect(report.rules).toMatchObject({ wrapAround: { modulus: 65536 } });
    expect(report.counts.map((c) => c.why)).toEqual(['wrap-around']);
  });
  it('in another unit is found when the range is told', () => {
    const { wrapped, truth } = counts(10);
    const spans = spansOf(channel(wrapped.map((v) => v * 0.5)), 'wrap-around', { wrapAround: { modulus: 32768 }, spike: false });
    expect(spans.reduce((n, s) => n + s.to - s.from, 0)).toBe(truth.filter((v) => v > 32767).length);
    expect(spansOf(channel(wrapped.map((v) => v * 0.5)), 'wrap-around', { spike: false })).toEqual([]);
  });
  it('is not seen in a full-range signal that does not wrap', () => {
    const full = Float64Array.from({ length: 5000 }, (_, i) => Math.round(32767 * Math.sin(i * 0.01)));
    expect(spansOf(channel(full, 'count'), 'wrap-around')).toEqual([]);
  });
});

describe('stuck bits', () => {
  const counts = (seed: number): Float64Array => {
    const random = createRandom(seed);
    return Float64Array.from({ length: 20_000 }, (_, i) => Math.round(2000 + 900 * Math.sin(i * 0.02) + 30 * random.normal()));
  };
  it('are found in counts, with the stretch in which they stand', () => {
    for (const bit of [2, 4, 6]) {
      const values = counts(11).map((v, i) => (i >= 6000 && i < 14_000 ? v | (1 << bit) : v));
      const report = findFaults(channel(values, 'count'), { spike: false, held: false, dropout: false });
      const spans = report.spans.filter((s) => s.why === 'stuck bit');
      expect(spans.length).toBe(1);
      expect(Math.abs(spans[0]!.from - 6000)).toBeLessThan(200);
      expect(Math.abs(spans[0]!.to - 14_000)).toBeLessThan(200);
      expect(report.notes).toContain(`Bit ${bit} of the counts stands at 1 for a while.`);
    }
  });
  it('show as a spell of coarse steps in any unit', () => {
    const values = counts(12).map((v, i) => (i >= 6000 && i < 14_000 ? 0.25 * 8 * Math.round(v / 8) : 0.25 * v));
    const report = findFaults(channel(values), { spike: false, held: false, dropout: false });
    expect(report.notes).toEqual(['The signal moves in steps of 8 quanta for a while: low bits stuck, or a coarser range.']);
    const covered = report.spans.reduce((n, s) => n + s.to - s.from, 0);
    expect(Math.abs(covered - 8000)).toBeLessThan(20);
  });
  it('are not seen in sound counts or in numbers without a quantum', () => {
    expect(findFaults(channel(counts(13), 'count'), { spike: false }).spans.filter((s) => s.why === 'stuck bit')).toEqual([]);
    expect(spansOf(channel(modes(14)), 'stuck bit')).toEqual([]);
  });
});

const treadmill = fileURLToPath(new URL('../../../shared/data/treadmill_pitch_moment/', import.meta.url));
const absent = !existsSync(treadmill);

describe('real records without known faults', () => {
  it.skipIf(absent)(`give no fault at all: 35 002 samples of force-plate moment and belt speed (Cleveland State University 2014, open data${absent ? '; skipped: ../shared/data is absent' : ''})`, () => {
    for (const run of ['RandomSlowSpeed1', 'RandomSlowSpeed2', 'RandomFastSpeed1', 'RandomFastSpeed2']) {
      const rows = readFileSync(`${treadmill}${run}.txt`, 'utf8').trim().split('\n').slice(1).map((line) => line.split('\t').map(Number));
      for (const column of [1, 2]) {
        const report = findFaults(makeChannel({ name: run, unit: 'N·m', sampleRate: 100, values: rows.map((r) => r[column]!) }), { spike: { highestMode: 20 } });
        expect(report.spans, `${run}, column ${column}`).toEqual([]);
      }
    }
  });
});
