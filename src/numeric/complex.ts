/** A complex number. */
export interface Complex {
  readonly re: number;
  readonly im: number;
}

/** re + i·im. */
export function complex(re: number, im = 0): Complex {
  return { re, im };
}

/** a + b. */
export function add(a: Complex, b: Complex): Complex {
  return { re: a.re + b.re, im: a.im + b.im };
}

/** a − b. */
export function subtract(a: Complex, b: Complex): Complex {
  return { re: a.re - b.re, im: a.im - b.im };
}

/** a · b. */
export function multiply(a: Complex, b: Complex): Complex {
  return { re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re };
}

/** a / b. */
export function divide(a: Complex, b: Complex): Complex {
  const d = b.re * b.re + b.im * b.im;
  return { re: (a.re * b.re + a.im * b.im) / d, im: (a.im * b.re - a.re * b.im) / d };
}

/** s · a for a real s. */
export function scale(a: Complex, s: number): Complex {
  return { re: a.re * s, im: a.im * s };
}

/** |a|. */
export function modulus(a: Complex): number {
  return Math.hypot(a.re, a.im);
}

/** The square root with the non-negative real part. */
export function squareRoot(a: Complex): Complex {
  const r = modulus(a);
  const re = Math.sqrt(Math.max(0, (r + a.re) / 2));
  const im = Math.sqrt(Math.max(0, (r - a.re) / 2));
  // The smaller part by division, so that it keeps its digits.
  if (re >= im) return re === 0 ? { re: 0, im: 0 } : { re, im: a.im / (2 * re) };
  const sign = a.im < 0 ? -1 : 1;
  return { re: Math.abs(a.im) / (2 * im), im: sign * im };
}

/** The product of all. */
export function product(list: readonly Complex[]): Complex {
  return list.reduce(multiply, { re: 1, im: 0 });
}
