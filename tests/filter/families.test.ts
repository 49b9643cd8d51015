import { describe, expect, it } from 'vitest';
import { designHighpass, designLowpass, lowpass, makeChannel, responseOf, type FilterDesign } from '../../src/index.js';
import { kaiserFor } from '../../src/numeric/window.js';
import { complex, multiply, subtract } from '../../src/numeric/complex.js';
import { bessel, besselPolynomial, butterworth, chebyshev1 } from '../../src/filter/prototype.js';
import { bilinear, toLowpass, toSections } from '../../src/filter/digital.js';
import { close, published } from './golden.js';

/** Coefficients of Π (s − root), highest power first. */
const polynomial = (roots: readonly { re: number; im: number }[]): number[] => {
  let c = [complex(1)];
  for (const r of roots) c = [...c, complex(0)].map((v, i) => (i === 0 ? v : subtract(v, multiply(r, c[i - 1]!))));
  return c.map((v) => v.re);
};
const product = (sections: Float64Array, at: number): number[] => {
  let c = [1];
  for (let k = 0; k < sections.length; k += 6) {
    const q = sections.slice(k + at, k + at + 3);
    c = Array.from({ length: c.length + 2 }, (_, i) => q[0]! * (c[i] ?? 0) + q[1]! * (c[i - 1] ?? 0) + q[2]! * (c[i - 2] ?? 0));
  }
  return c;
};
const checkResponse = (d: FilterDesign, id: string): void => {
  const { inputs, expected, tolerance } = published(id);
  const { gain, phase } = responseOf(d, { frequency: inputs.freq_Hz });
  close(gain.map((g, i) => g * Math.cos(phase[i]!)), expected.H.re, tolerance.rel, tolerance.abs);
  close(gain.map((g, i) => g * Math.sin(phase[i]!)), expected.H.im, tolerance.rel, tolerance.abs);
};

describe('prototypes (reference cases)', () => {
  it('Chebyshev I denominators (cheby-polynomials; Weinberg, Zverev tables, from memory)', () => {
    const { expected, tolerance, published: tables } = published('cheby-polynomials');
    for (const [key, c] of Object.entries(expected) as [string, number[]][]) {
      const [, ripple, n] = /^([\d.]+) dB, n=(\d)$/.exec(key)!;
      const mine = polynomial(chebyshev1(Number(n), Number(ripple)).poles);
      close(mine, c, 0, tolerance.abs);
      close(mine.slice(0, (tables![key]!.value as number[]).length), tables![key]!.value as number[], 0, tables![key]!.abs);
    }
  });
  it('Bessel poles of unit delay (bessel-poles-delay; C. R. Bond, as quoted in SciPy 1.10.1 tests)', () => {
    const { expected, tolerance } = published('bessel-poles-delay');
    for (const [order, { re, im }] of Object.entries(expected) as [string, { re: number[]; im: number[] }][]) {
      const upper = bessel(Number(order), 'delay').poles.filter((p) => p.im >= 0).sort((a, b) => b.im - a.im);
      close(upper.map((p) => p.re), re, 0, tolerance.abs);
      close(upper.map((p) => p.im), im, 0, tolerance.abs);
    }
  });
  it('Bessel polynomial of order 6 (bessel-poly-6; C. R. Bond)', () => {
    expect(besselPolynomial(6).reverse()).toEqual(published('bessel-poly-6').expected.coeff);
  });
});

describe('bilinear designs (reference cases)', () => {
  it('order 6 of Oppenheim & Schafer section 7.1 (oppenheim-bilinear-6; from memory)', () => {
    const { inputs, expected, tolerance, published: book } = published('oppenheim-bilinear-6');
    const level = (db: number): number => Math.sqrt(10 ** (db / 10) - 1);
    const [p, s] = [Math.tan(inputs.wp / 2), Math.tan(inputs.ws / 2)];
    const exact = Math.log(level(inputs.As_dB) / level(inputs.Ap_dB)) / Math.log(s / p);
    expect(exact).toBeCloseTo(expected.N_exact, 5);
    const w = s / level(inputs.As_dB) ** (1 / expected.N);
    expect(2 * w).toBeCloseTo(expected.Omega_c, 6);
    const sections = toSections(bilinear(toLowpass(butterworth(6), w)));
    expect(sections[0]! / expected.gain).toBeCloseTo(1, 6);
    const rows = [0, 6, 12].map((k) => [sections[k + 4]!, sections[k + 5]!]).sort((a, b) => a[0]! - b[0]!);
    close(rows.map((r) => r[0]!), expected.sections_a1, tolerance.rel);
    close(rows.map((r) => r[1]!), expected.sections_a2, tolerance.rel);
    close(rows.map((r) => r[0]!), book!.sections_a1!.value as number[], 0, book!.sections_a1!.abs);
  });
  it('fourth order at 45 Hz of 360 Hz (butter4-45-360; P. Pas, with the misprint of the pre-warp noted in the case)', () => {
    const { expected, tolerance, published: page } = published('butter4-45-360');
    const { sections } = designLowpass({ cutoff: 45, sampleRate: 360 });
    close(product(sections, 0), expected.b, tolerance.rel, tolerance.abs);
    close(product(sections, 3), expected.a, tolerance.rel, tolerance.abs);
    close(product(sections, 3).slice(0, 2).map((a) => a / product(sections, 0)[0]!), page!.a_over_b0_first2!.value as number[], 0, 0.06);
    expect(720 * Math.tan(Math.PI / 8)).toBeCloseTo(expected.prewarped_rad_s, 9);
  });
  it('first order at 0.3 of Nyquist (butter1-0.3; SciPy 1.10.1 test suite)', () => {
    const { expected, tolerance } = published('butter1-0.3');
    const [b0, b1, , , a1] = designLowpass({ cutoff: 0.3, order: 1, sampleRate: 2 }).sections as unknown as number[];
    close([-a1!, b0!, b1! / b0!], [expected.p, expected.k, -expected.z], tolerance.rel);
  });
  it.each([
    ['sos-butter4-lp', designLowpass({ cutoff: 50, sampleRate: 1000 })],
    ['sos-butter2-hp', designHighpass({ cutoff: 2, order: 2, sampleRate: 1000 })],
    ['sos-cheby1-4', designLowpass({ cutoff: 50, family: 'chebyshev 1', ripple: 1, sampleRate: 1000 })],
    ['sos-cheby2-4', designLowpass({ cutoff: 80, family: 'chebyshev 2', stopband: 40, sampleRate: 1000 })],
    ['sos-bessel4-mag', designLowpass({ cutoff: 50, family: 'bessel', sampleRate: 1000 })],
  ])('response of %s (SciPy golden array) and its sections', (id, design) => {
    checkResponse(design, id);
    close(design.sections, (published(id).expected.sos as number[][]).flat(), 1e-9, 1e-9);
  });
  it('the channel classes of SAE J211 are second-order Butterworth at 2.0775 × class (cfc-coeff-sae, cfc-response)', () => {
    const { inputs, expected, tolerance } = published('cfc-coeff-sae');
    for (const cfc of inputs.classes as number[]) {
      const [b0, b1, b2, , a1, a2] = designLowpass({ cutoff: inputs.k * cfc, order: 2, sampleRate: 1 / inputs.T_s }).sections as unknown as number[];
      const e = expected[String(cfc)];
      close([b0!, b1!, b2!, -a1!, -a2!], [e.a0, e.a1, e.a2, e.b1, e.b2], Math.max(tolerance.rel, 1e-11));
    }
    const r = published('cfc-response');
    const { gain } = responseOf(designLowpass({ cutoff: 2.0775 * r.inputs.CFC, order: 2, sampleRate: r.inputs.fs }), { frequency: r.inputs.freq_over_CFC.map((f: number) => f * r.inputs.CFC), passes: 2 });
    close(gain.map((g) => 20 * Math.log10(g)), r.expected.two_pass_dB, r.tolerance.rel, r.tolerance.abs);
  });
});

describe('precision', () => {
  it('holds the gain where it passes to a millionth down to the finest edge taken, at every order, and refuses a finer one', () => {
    for (const order of [1, 2, 4, 8, 20]) {
      expect(Math.abs(responseOf(designLowpass({ cutoff: 0.002, order, sampleRate: 1000 }), { frequency: [0] }).gain[0]! - 1)).toBeLessThan(2e-6);
      expect(Math.abs(responseOf(designLowpass({ cutoff: 1, order, sampleRate: 1000 }), { frequency: [0] }).gain[0]! - 1)).toBeLessThan(1e-10);
    }
    expect(() => designLowpass({ cutoff: 0.001, sampleRate: 1000 })).toThrow('at least 0.000002 of the sample rate (0.002 Hz), below which rounding spoils the filter, got 0.001 Hz. Use decimate first.');
  });
});

describe('other reference cases', () => {
  it('cfc180-pulse: SAE J211 class 180 run forwards and backwards with odd ends is a zero-phase low-pass of order 2 (golden array; the start rule of the standard is not settled, as the case says)', () => {
    const { inputs, expected, tolerance } = published('cfc180-pulse');
    const c = makeChannel({ name: 'pulse', unit: 'N·m', sampleRate: 1 / inputs.T_s, values: Float64Array.from(inputs.x) });
    close(lowpass(c, { cutoff: inputs.k * inputs.CFC, order: 2 }).values, expected.y_filtfilt_odd, 0, tolerance.abs);
  });
  it('kaiser-order: 60 dB and a transition of 0.2 π give β = 5.653 and 38 taps (Kaiser 1974; Oppenheim & Schafer, from memory)', () => {
    const { inputs, expected } = published('kaiser-order');
    const { beta, taps } = kaiserFor(inputs.A_dB, inputs.dw_rad);
    expect(beta).toBeCloseTo(expected.beta, 9);
    expect(taps).toBe(expected.numtaps);
  });
});

describe('responseOf', () => {
  it('unwraps the phase and gives none for two passes', () => {
    const d = designLowpass({ cutoff: 50, order: 8, sampleRate: 1000 });
    const { phase, frequency } = responseOf(d);
    for (let i = 1; i < phase.length; i++) expect(phase[i]!).toBeLessThan(phase[i - 1]! + 1e-9);
    expect(phase.at(-1)!).toBeLessThan(-2 * Math.PI);
    expect(frequency.length).toBe(512);
    expect(Array.from(responseOf(d, { frequency: [10, 60], passes: 2 }).phase)).toEqual([0, 0]);
  });
  it.each<[unknown, object, string]>([
    [{}, {}, 'design must be a FilterDesign'],
    [designLowpass({ cutoff: 50, sampleRate: 1000 }), { frequency: [501] }, 'at most 500 Hz'],
    [designLowpass({ cutoff: 50, sampleRate: 1000 }), { passes: 3 }, 'passes must be 1 or 2'],
  ])('refuses %j %j', (design, options, message) => {
    expect(() => responseOf(design as never, options as never)).toThrow(message);
  });
});
