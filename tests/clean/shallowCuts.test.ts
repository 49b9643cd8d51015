import { describe, expect, it } from 'vitest';
import { createRandom, findFaults, makeChannel } from '../../src/index.js';
import { findShallowCuts } from '../../src/clean/shallowCuts.js';
import { noiseDeviation } from '../../src/clean/findSaturation.js';

const n = 12_000;
type Random = ReturnType<typeof createRandom>;

/** Moving mean over 2·half + 1 samples, the ends held. */
function smoothed(x: Float64Array, half: number): Float64Array {
  return x.map((_, i) => {
    let sum = 0;
    for (let j = i - half; j <= i + half; j++) sum += x[Math.max(0, Math.min(x.length - 1, j))]!;
    return sum / (2 * half + 1);
  });
}

/** A load that ramps up, holds, ramps down and rests. */
const trapezoid = (r: Random): Float64Array => {
  const period = 200 + 400 * r.uniform(), ramp = 0.05 + 0.2 * r.uniform(), hold = 0.05 + 0.3 * r.uniform();
  return Float64Array.from({ length: n }, (_, i) => 1000 * Math.max(0, Math.min(1, ((i / period) % 1) / ramp, (2 * ramp + hold - ((i / period) % 1)) / ramp)));
};

/** Sound records with crests of about 1000. */
const kinds: Readonly<Record<string, (r: Random) => Float64Array>> = {
  'a sine of steady amplitude': (r) => {
    const period = 60 + 400 * r.uniform();
    return Float64Array.from({ length: n }, (_, i) => 1000 * Math.sin((2 * Math.PI * i) / period));
  },
  'beating sines': (r) => {
    const period = 80 + 200 * r.uniform(), other = period * (1.02 + 0.2 * r.uniform());
    return Float64Array.from({ length: n }, (_, i) => 600 * Math.sin((2 * Math.PI * i) / period) + 400 * Math.sin((2 * Math.PI * i) / other));
  },
  'a sine with harmonics': (r) => {
    const period = 150 + 300 * r.uniform(), [a, b, c, d] = [0.6 * r.uniform() - 0.3, 0.3 * r.uniform() - 0.15, 7 * r.uniform(), 7 * r.uniform()];
    return Float64Array.from({ length: n }, (_, i) => 800 * (Math.sin((2 * Math.PI * i) / period) + a * Math.sin((4 * Math.PI * i) / period + c) + b * Math.sin((6 * Math.PI * i) / period + d)));
  },
  'a second harmonic that makes every trough as flat as a fourth power': (r) => {
    const period = 150 + 300 * r.uniform();
    return Float64Array.from({ length: n }, (_, i) => 800 * (Math.cos((2 * Math.PI * i) / period) + 0.25 * Math.cos((4 * Math.PI * i) / period)));
  },
  'noise of a band': (r) => {
    const white = smoothed(smoothed(Float64Array.from({ length: n }, () => r.normal()), 20), 20);
    const top = white.reduce((m, v) => Math.max(m, Math.abs(v)), 0);
    return white.map((v) => (1000 * v) / top);
  },
  'ramps that hold': trapezoid,
  'ramps that hold, rounded': (r) => smoothed(trapezoid(r), 15),
  'starts and stops': (r) => {
    const period = 500 + 1000 * r.uniform(), tau = 20 + 80 * r.uniform();
    let y = 0;
    return Float64Array.from({ length: n }, (_, i) => (y += (((i / period) % 1 < 0.5 ? 1000 : 0) - y) / tau));
  },
  'pulses': (r) => {
    const period = 200 + 300 * r.uniform(), width = period * (0.05 + 0.1 * r.uniform());
    return Float64Array.from({ length: n }, (_, i) => 1000 * Math.exp(-((((i % period) - period / 2) / width) ** 2) / 2));
  },
};

/** Samples found as cut at the top of a record of that kind, and those that were. */
function tried(kind: string, seed: number, noise: number, level: number): { readonly found: number; readonly cut: number; readonly right: number; readonly low: number } {
  const random = createRandom(400 + seed);
  const clean = kinds[kind]!(random);
  const x = clean.map((v) => Math.min(level, v) + noise * random.normal());
  const valid = [{ from: 0, to: n }];
  const sigma = noiseDeviation(x, valid);
  const spans = findShallowCuts(x, valid, sigma, 1).spans;
  const right = spans.reduce((s, span) => s + clean.subarray(span.from, span.to).reduce((k, v) => k + (v > level ? 1 : 0), 0), 0);
  return { found: spans.reduce((s, span) => s + span.to - span.from, 0), cut: clean.reduce((k, v) => k + (v > level ? 1 : 0), 0), right, low: findShallowCuts(x, valid, sigma, -1).spans.length };
}

describe('crests cut off by little', () => {
  it.each(Object.keys(kinds))('are not seen in %s, at the top or the bottom, on 8 seeds in noise of 0.5 and 2 %%', (kind) => {
    for (let seed = 1; seed <= 8; seed++) for (const noise of [5, 20]) expect([seed, noise, tried(kind, seed, noise, Infinity)]).toEqual([seed, noise, { found: 0, cut: 0, right: 0, low: 0 }]);
  });
  it.each([
    ['a sine of steady amplitude', 5, 980, 0.8], ['a sine of steady amplitude', 20, 950, 0.6], ['beating sines', 5, 950, 0.75], ['a second harmonic that makes every trough as flat as a fourth power', 5, 980, 0.85], ['pulses', 5, 980, 0.8],
  ])('are found in %s in noise of %d at %d: %f of the cut samples or more, over 6 seeds, and few others', (kind, noise, level, least) => {
    const all = [1, 2, 3, 4, 5, 6].map((seed) => tried(kind, seed, noise, level));
    const sum = (of: (t: (typeof all)[number]) => number): number => all.reduce((s, t) => s + of(t), 0);
    expect(sum((t) => t.right) / sum((t) => t.cut)).toBeGreaterThanOrEqual(least);
    expect(sum((t) => t.found - t.right) / (6 * n)).toBeLessThan(0.005);
    expect(sum((t) => t.low)).toBe(0);
  });
  it('are found at the bottom too, not across a mask, and their level is told', () => {
    const random = createRandom(3);
    const values = Float64Array.from({ length: n }, (_, i) => Math.max(-970, 1000 * Math.sin(i * 0.03 + Math.sin(i * 0.0011))) + 5 * random.normal());
    const channel = makeChannel({ name: 'x', unit: 'N·m', sampleRate: 1000, values, invalid: [{ from: 4000, to: 4050, why: 'dropout' }] });
    const report = findFaults(channel, { spike: false });
    expect(report.spans.length).toBeGreaterThan(30);
    expect(report.spans.every((s) => s.why === 'saturation' && (s.to <= 4000 || s.from >= 4050))).toBe(true);
    const { low, high } = (report.rules as unknown as { saturation: { low: number; high: number | null } }).saturation;
    expect([Math.round(low / 3), high]).toEqual([-323, null]);
    expect(report.notes.some((note) => note.startsWith('The amplifier flattens crests at -9'))).toBe(true);
  });
  it('are none where there is no noise, or too little of anything', () => {
    expect(findShallowCuts(new Float64Array(50).fill(1), [{ from: 0, to: 50 }], 0, 1)).toEqual({ spans: [], level: null });
    expect(findShallowCuts(new Float64Array(0), [], 1, 1)).toEqual({ spans: [], level: null });
    expect(findShallowCuts(Float64Array.of(1, 2), [{ from: 0, to: 2 }], 1, 1)).toEqual({ spans: [], level: null });
  });
});
