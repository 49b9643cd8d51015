import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, createRandom, lifeCurve, spectralDamage, spectralMoments, type LifeCurve } from '../../src/index.js';
import { dirlik, tovoWeight, wirschingLight, zhaoBaker } from '../../src/fatigue/spectralDamage.js';
import { damageFunction } from '../../src/fatigue/LifeCurve.js';
import { fftPlan } from '../../src/numeric/fft.js';

const line = (slope: number, constant: number, more: object = {}): LifeCurve => lifeCurve({
  name: `m ${slope}`, kind: 'direct', measure: 'range', through: { stress: 1, cycles: constant }, slope, knee: null, beyond: 'same-slope', ratio: null, survival: null, tested: null,
  notch: 'in the curve', source: 'test', ...more,
});
/** Flat from f1 to f2 in cells, so that sums are integrals. */
const flat = (f1: number, f2: number, cells = 20_000): { frequency: number[]; density: number[]; of: 'Pa' } => {
  const step = f2 / cells;
  const frequency = Array.from({ length: cells }, (_, k) => (k + 0.5) * step);
  return { frequency, density: frequency.map((f) => (f >= f1 ? 1 : 0)), of: 'Pa' };
};

/** Γ(x) by Stirling's series after a shift (Abramowitz and Stegun 6.1.41). */
function gammaFunction(x: number): number {
  let shift = 1;
  while (x < 12) shift *= x++;
  return Math.exp((x - 0.5) * Math.log(x) - x + 0.5 * Math.log(2 * Math.PI) + 1 / (12 * x) - 1 / (360 * x ** 3) + 1 / (1260 * x ** 5)) / shift;
}

describe('spectral damage', () => {
  it('SP-01: of narrow-band stress is the closed form (JCSS PMC 3.12, appendix B1; formula found, numbers own)', () => {
    // σ 25, ν₀ 2 /s, m 3, log a 12.164 in MPa: E[Sᵐ] 469 992.801, rate 6.44349064e-7 /s.
    const density = { frequency: [1, 2, 3], density: [0, 625, 0], of: 'Pa' as const };
    const result = spectralDamage(density, { curve: line(3, 10 ** 12.164) });
    expect(result.perHour['narrow-band']! / 3600).toBeCloseTo(6.44349064e-7, 14);
    expect(result.perHour['narrow-band']! / 3600 / 2 * 10 ** 12.164 / 469992.801).toBeCloseTo(1, 8);
  });
  it('SP-03: of a two-block spectrum (N. Bishop and co-workers, 1990s: moments from memory; damage rates own computation)', () => {
    const density = { frequency: Array.from({ length: 11 }, (_, k) => k), density: [0, 10000, 0, 0, 0, 0, 0, 0, 0, 0, 2500], of: 'Pa' as const };
    const m = spectralMoments(density);
    expect([m.m0, m.m1, m.m2, m.m4]).toEqual([12500, 35000, 260000, 25010000]);
    const near = (value: number, expected: number): void => expect(Math.abs(value / expected - 1)).toBeLessThan(1e-5);
    near(m.crossings, 4.5607);
    near(m.peaks, 9.8078);
    near(m.alpha2, 0.46501);
    near(m.alpha1, 0.613940614);
    const result = spectralDamage(density, { curve: line(4.2, 1e15) });
    near(result.perHour['narrow-band']! / 3600, 0.000316945304);
    near(result.perHour.Dirlik! / 3600, 0.000132577256);
    near(result.ratio['Tovo–Benasciutti']!, 0.448377797);
    near(result.ratio['Wirsching–Light']!, 0.787417527);
    near(tovoWeight(m), 0.396294047);
    near(dirlik(m).parts[0]!.share, 0.113883549);
    near(dirlik(m).parts[1]!.share, 0.704317654);
    near(dirlik(m).parts[2]!.share, 0.181798796);
    near(dirlik(m).parts[0]!.scale, 0.142354437);
    near(dirlik(m).parts[1]!.scale / Math.SQRT2, 0.38369177);
    near(result.deviation, 111.803399);
  });
  it('SP-04: of ideal low-pass noise (formulae of Dirlik 1985, Benasciutti & Tovo 2005, Wirsching & Light 1980; from memory, numbers own)', () => {
    const density = flat(0, 100);
    const m = spectralMoments(density, { from: 0 });
    expect(m.alpha1).toBeCloseTo(Math.sqrt(3) / 2, 7);
    expect(m.alpha2).toBeCloseTo(Math.sqrt(5) / 3, 7);
    expect(m.crossings).toBeCloseTo(57.7350269, 6);
    expect(m.peaks).toBeCloseTo(77.4596669, 6);
    const { ratio } = spectralDamage(density, { curve: line(3, 1e12), from: 0 });
    expect(ratio.Dirlik).toBeCloseTo(0.800914748, 6);
    expect(ratio['Tovo–Benasciutti']).toBeCloseTo(0.806583969, 6);
    expect(ratio['Wirsching–Light']).toBeCloseTo(0.83888022, 6);
    expect(tovoWeight(m)).toBeCloseTo(0.56481393, 6);
    expect(dirlik(m).parts.reduce((s, p) => s + p.share, 0)).toBeCloseTo(1, 12);
    dirlik(m).parts.forEach((p, i) => expect(p.share).toBeCloseTo([0.115639288, 0.352382817, 0.531977895][i]!, 6));
    expect(dirlik(m).parts[0]!.scale).toBeCloseTo(0.144549111, 6);
    expect(dirlik(m).parts[1]!.scale / Math.SQRT2).toBeCloseTo(0.567580606, 6);
    expect(wirschingLight(m, 3)).toBeCloseTo(0.83888022, 6);
  });
  it('SP-07: after Zhao and Baker keeps the mean range of a Gaussian process (JCSS PMC 3.12, appendix B2; formulae found, numbers own)', () => {
    const m = { ...spectralMoments(flat(0, 100), { from: 0 }), alpha2: Math.sqrt(5) / 3 };
    const [weibull, rayleigh] = zhaoBaker(m)!.parts;
    expect([weibull!.scale, weibull!.shape, weibull!.share]).toEqual([expect.closeTo(0.394427223, 8), expect.closeTo(1.1, 12), expect.closeTo(0.36569186, 7)]);
    const moment = (p: number): number => [weibull!, rayleigh!].reduce((s, { share, scale, shape }) => {
      let sum = 0;
      for (let z = 0.0005; z < 40; z += 0.001) sum += z ** p * (shape / scale) * (z / scale) ** (shape - 1) * Math.exp(-((z / scale) ** shape)) * 0.001;
      return s + share * sum;
    }, 0);
    expect(moment(1)).toBeCloseTo(0.934165203, 4);
    expect(moment(3)).toBeCloseTo(2.48158808, 4);
    expect(spectralDamage(flat(0, 100), { curve: line(3, 1), from: 0 }).perHour['Zhao–Baker']! / 3600 / m.peaks / (8 * m.m0 ** 1.5)).toBeCloseTo(2.48158808, 5);
  });
  it('goes to the Rayleigh closed form as the band narrows, for random spectra and slopes: with the square of the relative width, Wirsching–Light with the width itself', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: 0.01, max: 1, noNaN: true }), { minLength: 3, maxLength: 20 }), fc.double({ min: 1, max: 10, noNaN: true }), fc.double({ min: -6, max: -1, noNaN: true }), (shape, slope, decade) => {
      const width = 10 ** decade;
      const step = (50 * width) / (shape.length - 1);
      const density = { frequency: shape.map((_, k) => 50 + (k - (shape.length - 1) / 2) * step), density: shape.map((g) => 1e4 * g), of: 'Pa' as const };
      const { ratio, perHour } = spectralDamage(density, { curve: line(slope, 1e12) });
      // 3600·ν·(2√2·σ)ᵐ·Γ(1 + m/2)/K, from the sums over the spectrum themselves.
      const moment = (k: number): number => density.density.reduce((sum, g, i) => sum + g * density.frequency[i]! ** k * step, 0);
      const closed = (3600 * Math.sqrt(moment(2) / moment(0)) * (2 * Math.SQRT2 * Math.sqrt(moment(0))) ** slope * gammaFunction(1 + slope / 2)) / 1e12;
      expect(Math.abs(perHour['narrow-band']! / closed - 1)).toBeLessThan(1e-9);
      for (const method of ['Dirlik', 'Tovo–Benasciutti', 'Zhao–Baker'] as const) expect(Math.abs(ratio[method]! - 1)).toBeLessThan(3 * width ** 2 + 1e-5);
      expect(Math.abs(ratio['Wirsching–Light']! - 1)).toBeLessThan(6 * width + 1e-9);
    }), { numRuns: 10_000, seed: 4 });
    expect(spectralDamage({ frequency: [1, 2, 3], density: [0, 5, 0], of: 'Pa' }, { curve: line(5, 1e12) }).ratio).toEqual({ 'narrow-band': 1, 'Wirsching–Light': 1, Dirlik: 1, 'Tovo–Benasciutti': 1, 'Zhao–Baker': 1 });
  });
  it('on a curve with a knee is the integral of the density over the curve', () => {
    fc.assert(fc.property(fc.double({ min: 0.3, max: 3, noNaN: true }), fc.constantFrom('cut-off', 'same-slope', 'reduced-slope'), (level, continuation) => {
      const density = flat(0, 10, 500);
      const curve = line(3, 1e9, { knee: 1e7, bend: { cycles: 1e6, slope: 5 } });
      const scaled = { ...density, density: density.density.map((g) => g * level * 20) };
      const result = spectralDamage(scaled, { curve, from: 0, continuation: continuation as 'cut-off' });
      const each = damageFunction(curve, continuation as 'cut-off');
      const sigma = result.deviation;
      let sum = 0;
      for (let z = 0.0005; z < 12; z += 0.001) sum += z * Math.exp(-z * z / 2) * 0.001 * each(2 * z * sigma);
      expect(result.perHour['narrow-band']! / (3600 * result.moments.crossings * sum)).toBeCloseTo(1, 3);
      // The bend has another slope, so there is no single one.
      expect(result.perHour['Wirsching–Light']).toBe(null);
    }), { numRuns: 100, seed: 5 });
  });
  it('SP-06: rainflow of simulated low-pass noise does 0.850 of narrow band at m = 3 within its own confidence, its residue closed by repetition; left out, it is missing what the residue does', () => {
    // Own simulation, 12 × 400 000 samples, residue left out: 0.850 ± 0.0014. Here each run is one period of a periodic signal, so that 'repeat' is its exact
    // count and independent of the length. The residue holds the largest ranges of the run, so leaving it out is always lower, by a part that
    // shrinks as the run grows. Found here: 0.8516 ± 0.0043 closed, 0.8330 left out, so 0.850 is met by the closed count; the words "residue left out" of the
    // case are not borne out at this length (0.8330/0.850 − 1 = −2.0 %, its whole tolerance, and four of our standard errors).
    const n = 262_144;
    const runs = 12;
    const random = createRandom(7);
    const plan = fftPlan(n);
    const cut = Math.round(n / 40);
    const both = Array.from({ length: runs }, () => {
      const spectrum = new Float64Array(2 * n);
      for (let k = 1; k <= cut; k++) {
        const [a, b] = [random.normal(), random.normal()];
        spectrum[2 * k] = spectrum[2 * (n - k)] = a;
        spectrum[2 * k + 1] = b;
        spectrum[2 * (n - k) + 1] = -b;
      }
      const wave = new Float64Array(2 * n);
      plan.inverse(wave, spectrum);
      const x = Float64Array.from({ length: n }, (_, i) => wave[2 * i]! * n);
      const variance = 2 * 2 * cut;
      const crossings = cut / Math.sqrt(3);
      const count = countCycles(x);
      return (['repeat', 'drop'] as const).map((residue) => closeResidue(count, residue).range.reduce((sum, r) => sum + r ** 3, 0) / (crossings * (8 * variance) ** 1.5 * gammaFunction(2.5)));
    });
    const ratios = both.map(([repeated]) => repeated!);
    const mean = ratios.reduce((a, b) => a + b, 0) / runs;
    const error = Math.sqrt(ratios.reduce((a, b) => a + (b - mean) ** 2, 0) / (runs - 1) / runs);
    expect(error).toBeLessThan(0.006);
    expect(Math.abs(mean - 0.85)).toBeLessThan(2.5 * Math.hypot(error, 0.0014));
    const dropped = both.reduce((sum, [, without]) => sum + without! / runs, 0);
    // What the residue does: 1 − 0.8330/0.8516 = 2.2 %.
    expect(1 - dropped / mean).toBeGreaterThan(0.015);
    expect(1 - dropped / mean).toBeLessThan(0.03);
  });
  it.each([
    [() => spectralDamage({ frequency: [1, 2], density: [1, 1], of: 'N·m' }, { curve: line(3, 1) }), 'Pa of local stress per unit'],
    [() => spectralDamage({ frequency: [1, 2, 4], density: [1, 1, 1], of: 'Pa' }, { curve: line(3, 1) }), 'evenly spaced'],
    [() => spectralDamage({ frequency: [1, 2], density: [1, -1], of: 'Pa' }, { curve: line(3, 1) }), 'not negative'],
    [() => spectralDamage({ frequency: [0, 1], density: [1, 0], of: 'Pa' }, { curve: line(3, 1) }), 'none there'],
    [() => spectralDamage({ frequency: [0, 1], density: [1], of: 'Pa' }, { curve: line(3, 1) }), 'two columns of one length'],
    [() => spectralDamage({ frequency: [0, 1], density: [1, 1], of: 'Pa' }, {} as never), 'curve must be given'],
  ])('refuses %s', (call, message) => {
    expect(call).toThrow(message);
  });
});
