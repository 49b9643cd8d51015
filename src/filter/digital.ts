import { add, complex, divide, modulus, multiply, product, scale, squareRoot, subtract, type Complex } from '../numeric/complex.js';
import type { Sections } from '../numeric/sections.js';
import type { ZeroPoleGain } from './prototype.js';

const minus = (a: Complex): Complex => scale(a, -1);
const excess = (f: ZeroPoleGain): number => f.poles.length - f.zeros.length;

/** Low-pass of cutoff w from one of cutoff 1: s → s/w. */
export function toLowpass(f: ZeroPoleGain, w: number): ZeroPoleGain {
  return { zeros: f.zeros.map((z) => scale(z, w)), poles: f.poles.map((p) => scale(p, w)), gain: f.gain * w ** excess(f) };
}

/** High-pass of cutoff w from a low-pass of cutoff 1: s → w/s. */
export function toHighpass(f: ZeroPoleGain, w: number): ZeroPoleGain {
  const turn = (r: Complex): Complex => divide(complex(w), r);
  return {
    zeros: [...f.zeros.map(turn), ...new Array<Complex>(excess(f)).fill(complex(0))], poles: f.poles.map(turn),
    gain: f.gain * divide(product(f.zeros.map(minus)), product(f.poles.map(minus))).re,
  };
}

/** Both roots of s² − 2·h·s + w² = 0: h ± √(h² − w²). */
function bothRoots(halves: readonly Complex[], w: number): Complex[] {
  const offsets = halves.map((h) => squareRoot(subtract(multiply(h, h), complex(w * w))));
  return [...halves.map((h, i) => add(h, offsets[i]!)), ...halves.map((h, i) => subtract(h, offsets[i]!))];
}

/** Band-pass of centre w and bandwidth b from a low-pass of cutoff 1: s → (s² + w²)/(b·s). */
export function toBandpass(f: ZeroPoleGain, w: number, b: number): ZeroPoleGain {
  const halve = (r: Complex): Complex => scale(r, b / 2);
  return {
    zeros: [...bothRoots(f.zeros.map(halve), w), ...new Array<Complex>(excess(f)).fill(complex(0))], poles: bothRoots(f.poles.map(halve), w),
    gain: f.gain * b ** excess(f),
  };
}

/** Band-stop of centre w and bandwidth b from a low-pass of cutoff 1: s → b·s/(s² + w²). */
export function toBandstop(f: ZeroPoleGain, w: number, b: number): ZeroPoleGain {
  const turn = (r: Complex): Complex => divide(complex(b / 2), r);
  const more = excess(f);
  return {
    zeros: [...bothRoots(f.zeros.map(turn), w), ...new Array<Complex>(more).fill(complex(0, w)), ...new Array<Complex>(more).fill(complex(0, -w))],
    poles: bothRoots(f.poles.map(turn), w),
    gain: f.gain * divide(product(f.zeros.map(minus)), product(f.poles.map(minus))).re,
  };
}

/** The bilinear transform s = (z − 1)/(z + 1), for which an analogue ω stands at ω = tan(π·f/sampleRate). */
export function bilinear(f: ZeroPoleGain): ZeroPoleGain {
  const one = complex(1);
  const map = (s: Complex): Complex => divide(add(one, s), subtract(one, s));
  const gain = divide(product(f.zeros.map((z) => subtract(one, z))), product(f.poles.map((p) => subtract(one, p)))).re;
  return { zeros: [...f.zeros.map(map), ...new Array<Complex>(excess(f)).fill(complex(-1))], poles: f.poles.map(map), gain: f.gain * gain };
}

/** One of each conjugate pair (the one with im > 0, sorted by re, then im), then the real ones, sorted. */
function representatives(roots: readonly Complex[]): Complex[] {
  const isReal = (r: Complex): boolean => Math.abs(r.im) <= 100 * Number.EPSILON * modulus(r);
  const upper = roots.filter((r) => !isReal(r) && r.im > 0).sort((a, b) => a.re - b.re || a.im - b.im);
  const real = roots.filter(isReal).map((r) => complex(r.re)).sort((a, b) => a.re - b.re);
  return [...upper, ...real];
}

function take(list: Complex[], cost: (r: Complex) => number): Complex {
  let best = 0;
  list.forEach((r, i) => { if (cost(r) < cost(list[best]!)) best = i; });
  return list.splice(best, 1)[0]!;
}

/** Coefficients 1, c1, c2 of (1 − r·z⁻¹)(1 − q·z⁻¹); q is the conjugate of a complex r. */
function quadratic(r: Complex, q: Complex | null): readonly number[] {
  if (r.im !== 0) return [1, -2 * r.re, r.re * r.re + r.im * r.im];
  return [1, -(r.re + q!.re), r.re * q!.re];
}

/**
 * Zeros and poles in pairs, as second-order sections: the pole nearest to the unit circle goes into the last section
 * with the zero nearest to it, and so on towards the first, which carries the gain. This is the pairing of
 * scipy.signal.zpk2sos by default, so that sections can be compared number by number.
 */
export function toSections(f: ZeroPoleGain): Sections {
  const even = f.poles.length % 2 === 0;
  const poles = representatives(even ? f.poles : [...f.poles, complex(0)]);
  const zeros = representatives(even ? f.zeros : [...f.zeros, complex(0)]);
  const rows: number[][] = [];
  const onlyReal = (r: Complex): number => (r.im === 0 ? 0 : Infinity);
  while (poles.length > 0) {
    const worst = (r: Complex): number => Math.abs(1 - modulus(r));
    const p = take(poles, worst);
    const near = (r: Complex): number => modulus(subtract(r, p));
    const lastPair = p.im !== 0 && poles.length + 1 === zeros.length && poles.filter((r) => r.im === 0).length === 1 && zeros.filter((r) => r.im === 0).length === 1;
    const p2 = p.im === 0 ? take(poles, (r) => worst(r) + onlyReal(r)) : null;
    const z = take(zeros, (r) => near(r) + (lastPair && r.im === 0 ? Infinity : 0));
    const z2 = z.im === 0 ? take(zeros, (r) => near(r) + onlyReal(r)) : null;
    rows.unshift([...quadratic(z, z2), ...quadratic(p, p2)]);
  }
  const sections = Float64Array.from(rows.flat());
  for (let i = 0; i < 3; i++) sections[i]! *= f.gain;
  return sections;
}
