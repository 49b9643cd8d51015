import { complex, divide, modulus, multiply, product, scale, subtract, type Complex } from '../numeric/complex.js';

/** Zeros, poles and gain of H(s) = gain · Π(s − zero) / Π(s − pole); for a digital filter, of z. */
export interface ZeroPoleGain {
  readonly zeros: readonly Complex[];
  readonly poles: readonly Complex[];
  readonly gain: number;
}

/** The angles π·m/(2n), m = −n + 1, −n + 3 … n − 1. */
function angles(order: number): number[] {
  return Array.from({ length: order }, (_, i) => (Math.PI * (2 * i + 1 - order)) / (2 * order));
}

/**
 * The Butterworth low-pass of cutoff 1 rad/s (−3.01 dB): poles −e^{iθ}, |H|² = 1/(1 + ω^{2n}).
 *
 * @references S. Butterworth, On the theory of filter amplifiers, Wireless Engineer 7 (1930) 536.
 */
export function butterworth(order: number): ZeroPoleGain {
  return { zeros: [], poles: angles(order).map((t) => complex(-Math.cos(t), -Math.sin(t))), gain: 1 };
}

/** The Chebyshev I low-pass whose gain has fallen by the ripple (dB) at 1 rad/s: |H|² = 1/(1 + ε²·Tₙ²(ω)), ε² = 10^{ripple/10} − 1. */
export function chebyshev1(order: number, ripple: number): ZeroPoleGain {
  const e = Math.sqrt(10 ** (ripple / 10) - 1);
  const mu = Math.asinh(1 / e) / order;
  const poles = angles(order).map((t) => complex(-Math.sinh(mu) * Math.cos(t), -Math.cosh(mu) * Math.sin(t)));
  const k = product(poles.map((p) => scale(p, -1))).re;
  return { zeros: [], poles, gain: order % 2 === 0 ? k / Math.sqrt(1 + e * e) : k };
}

/** The Chebyshev II low-pass whose gain has fallen to the stop-band level (dB) at 1 rad/s: |H|² = 1/(1 + 1/(ε²·Tₙ²(1/ω))). */
export function chebyshev2(order: number, stopband: number): ZeroPoleGain {
  const mu = Math.asinh(Math.sqrt(10 ** (stopband / 10) - 1)) / order;
  const zeros = angles(order).filter((t) => Math.abs(t) > 1e-9).map((t) => complex(0, 1 / Math.sin(t)));
  const poles = angles(order).map((t) => divide(complex(1), complex(-Math.sinh(mu) * Math.cos(t), -Math.cosh(mu) * Math.sin(t))));
  return { zeros, poles, gain: divide(product(poles.map((p) => scale(p, -1))), product(zeros.map((z) => scale(z, -1)))).re };
}

/** Coefficients of the reverse Bessel polynomial θₙ(s), constant first: (2n − k)! / (2^{n−k}·k!·(n − k)!). */
export function besselPolynomial(order: number): number[] {
  const c: number[] = new Array<number>(order + 1).fill(1);
  for (let k = order - 1; k >= 0; k--) c[k] = (c[k + 1]! * (2 * order - k) * (k + 1)) / (2 * (order - k));
  return c;
}

/**
 * The Bessel low-pass, flattest in group delay. `'delay'`: unit delay at rest; `'-3dB'`: −3.01 dB at 1 rad/s.
 *
 * Poles are the roots of θₙ(s), found all at once by Aberth's iteration from a circle.
 *
 * @references W. E. Thomson, Delay networks having maximally flat frequency characteristics, Proc. IEE 96 III (1949) 487.
 */
export function bessel(order: number, norm: 'delay' | '-3dB'): ZeroPoleGain {
  const c = besselPolynomial(order);
  const delayPoles = polynomialRoots(c);
  if (norm === 'delay') return { zeros: [], poles: delayPoles, gain: c[0]! };
  const w = besselCutoff(c);
  const poles = delayPoles.map((p) => scale(p, 1 / w));
  return { zeros: [], poles, gain: product(poles.map((p) => scale(p, -1))).re };
}

/** ω at which |θₙ(0)/θₙ(iω)|² = 1/2, by bisection: the gain falls steadily. */
function besselCutoff(c: readonly number[]): number {
  let low = 0, high = 4 * c.length;
  for (let i = 0; i < 200 && high - low > 1e-16 * high; i++) {
    const mid = (low + high) / 2;
    if (modulus(evaluate(c, complex(0, mid))) > c[0]! * Math.SQRT2) high = mid;
    else low = mid;
  }
  return (low + high) / 2;
}

function evaluate(c: readonly number[], s: Complex): Complex {
  let value = complex(0);
  for (let k = c.length - 1; k >= 0; k--) value = { re: value.re * s.re - value.im * s.im + c[k]!, im: value.re * s.im + value.im * s.re };
  return value;
}

/** All roots of Σ c[k]·s^k, conjugate pairs exactly conjugate. */
function polynomialRoots(c: readonly number[]): Complex[] {
  const n = c.length - 1;
  const slope = c.slice(1).map((v, k) => v * (k + 1));
  const radius = Math.abs(c[0]! / c[n]!) ** (1 / n);
  let roots = Array.from({ length: n }, (_, i) => complex(radius * Math.cos((2 * Math.PI * i) / n + 0.4), radius * Math.sin((2 * Math.PI * i) / n + 0.4)));
  for (let round = 0; round < 200; round++) {
    let moved = 0;
    roots = roots.map((r, i) => {
      const newton = divide(evaluate(c, r), evaluate(slope, r));
      let others = complex(0);
      roots.forEach((q, j) => { if (j !== i) { const d = divide(complex(1), subtract(r, q)); others = { re: others.re + d.re, im: others.im + d.im }; } });
      const move = divide(newton, subtract(complex(1), multiply(newton, others)));
      moved = Math.max(moved, modulus(move) / modulus(r));
      return subtract(r, move);
    });
    if (moved < 1e-15) break;
  }
  const upper = roots.filter((r) => r.im > 1e-9 * radius);
  const real = roots.filter((r) => Math.abs(r.im) <= 1e-9 * radius).map((r) => complex(r.re));
  return [...upper.map((r) => complex(r.re, -r.im)), ...real, ...upper];
}
