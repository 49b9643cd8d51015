/**
 * Passes of a mixed-radix transform without bit reversal (Stockham): each reads one interleaved array and writes another, so that all reads and writes run in order.
 *
 * A pass of radix r takes the transforms of length r·count, `stride` of them side by side, apart into r transforms of length count:
 * y[(r·p + j)·stride + q] = w^{pj}·Σ_m x[(p + m·count)·stride + q]·e^{−2πi·mj/r}, w = e^{−2πi/(r·count)}.
 */
export interface Pass {
  readonly radix: number;
  /** p = 0 … count − 1. */
  readonly count: number;
  /** q = 0 … stride − 1. */
  readonly stride: number;
  /** w^{pj}, j = 1 … radix − 1, place by place, interleaved. */
  readonly turns: Float64Array;
}

/** Greatest radix that is done by its sum; a size with a greater prime factor needs Bluestein's way. */
const greatest = 13;

/** The passes for a size, or null where it has a prime factor above 13. */
export function planPasses(size: number): readonly Pass[] | null {
  const radices: number[] = [];
  let rest = size;
  for (const r of [4, 2, 3, 5, 7, 11, greatest]) {
    while (rest % r === 0) {
      radices.push(r);
      rest /= r;
    }
  }
  if (rest > 1) return null;
  let length = size, stride = 1;
  return radices.map((radix) => {
    const count = length / radix;
    const turns = new Float64Array(2 * (radix - 1) * count);
    for (let p = 0; p < count; p++) {
      for (let j = 1; j < radix; j++) {
        const angle = (-2 * Math.PI * ((p * j) % length)) / length;
        const at = 2 * ((radix - 1) * p + j - 1);
        turns[at] = Math.cos(angle);
        turns[at + 1] = Math.sin(angle);
      }
    }
    const pass = { radix, count, stride, turns };
    length = count;
    stride *= radix;
    return pass;
  });
}

/** Runs one pass from x to y. */
export function runPass(pass: Pass, x: Float64Array, y: Float64Array): void {
  if (pass.radix === 4) {
    if (pass.count === 1) lastFour(pass.stride, x, y);
    else if (pass.stride === 1) firstFour(pass, x, y);
    else four(pass, x, y);
  } else if (pass.radix === 2) two(pass, x, y);
  else if (pass.radix === 5) five(pass, x, y);
  else any(pass, x, y);
}

/** Radix 4 where stride is 1: a loop over the places only. */
function firstFour({ count, turns }: Pass, x: Float64Array, y: Float64Array): void {
  const o1 = 2 * count, o2 = 4 * count, o3 = 6 * count;
  for (let p = 0, i = 0, o = 0, t = 0; p < count; p++, i += 2, o += 8, t += 6) {
    const ar = x[i]!, ai = x[i + 1]!, br = x[i + o1]!, bi = x[i + o1 + 1]!, cr = x[i + o2]!, ci = x[i + o2 + 1]!, dr = x[i + o3]!, di = x[i + o3 + 1]!;
    const sr = ar + cr, si = ai + ci, tr = ar - cr, ti = ai - ci, ur = br + dr, ui = bi + di, vr = br - dr, vi = bi - di;
    const e1r = tr + vi, e1i = ti - vr, e2r = sr - ur, e2i = si - ui, e3r = tr - vi, e3i = ti + vr;
    const w1r = turns[t]!, w1i = turns[t + 1]!, w2r = turns[t + 2]!, w2i = turns[t + 3]!, w3r = turns[t + 4]!, w3i = turns[t + 5]!;
    y[o] = sr + ur;
    y[o + 1] = si + ui;
    y[o + 2] = e1r * w1r - e1i * w1i;
    y[o + 3] = e1r * w1i + e1i * w1r;
    y[o + 4] = e2r * w2r - e2i * w2i;
    y[o + 5] = e2r * w2i + e2i * w2r;
    y[o + 6] = e3r * w3r - e3i * w3i;
    y[o + 7] = e3r * w3i + e3i * w3r;
  }
}

function four({ count, stride, turns }: Pass, x: Float64Array, y: Float64Array): void {
  const S = 2 * stride, o1 = count * S, o2 = 2 * o1, o3 = 3 * o1;
  for (let p = 0, t = 0; p < count; p++, t += 6) {
    const w1r = turns[t]!, w1i = turns[t + 1]!, w2r = turns[t + 2]!, w2i = turns[t + 3]!, w3r = turns[t + 4]!, w3i = turns[t + 5]!;
    for (let i = p * S, o = 4 * i, end = i + S; i < end; i += 2, o += 2) {
      const ar = x[i]!, ai = x[i + 1]!, br = x[i + o1]!, bi = x[i + o1 + 1]!, cr = x[i + o2]!, ci = x[i + o2 + 1]!, dr = x[i + o3]!, di = x[i + o3 + 1]!;
      const sr = ar + cr, si = ai + ci, tr = ar - cr, ti = ai - ci, ur = br + dr, ui = bi + di, vr = br - dr, vi = bi - di;
      const e1r = tr + vi, e1i = ti - vr, e2r = sr - ur, e2i = si - ui, e3r = tr - vi, e3i = ti + vr;
      y[o] = sr + ur;
      y[o + 1] = si + ui;
      y[o + S] = e1r * w1r - e1i * w1i;
      y[o + S + 1] = e1r * w1i + e1i * w1r;
      y[o + 2 * S] = e2r * w2r - e2i * w2i;
      y[o + 2 * S + 1] = e2r * w2i + e2i * w2r;
      y[o + 3 * S] = e3r * w3r - e3i * w3i;
      y[o + 3 * S + 1] = e3r * w3i + e3i * w3r;
    }
  }
}

/** Radix 4 where count is 1: nothing to turn. */
function lastFour(stride: number, x: Float64Array, y: Float64Array): void {
  const S = 2 * stride;
  for (let i = 0; i < S; i += 2) {
    const ar = x[i]!, ai = x[i + 1]!, br = x[i + S]!, bi = x[i + S + 1]!, cr = x[i + 2 * S]!, ci = x[i + 2 * S + 1]!, dr = x[i + 3 * S]!, di = x[i + 3 * S + 1]!;
    const sr = ar + cr, si = ai + ci, tr = ar - cr, ti = ai - ci, ur = br + dr, ui = bi + di, vr = br - dr, vi = bi - di;
    y[i] = sr + ur;
    y[i + 1] = si + ui;
    y[i + S] = tr + vi;
    y[i + S + 1] = ti - vr;
    y[i + 2 * S] = sr - ur;
    y[i + 2 * S + 1] = si - ui;
    y[i + 3 * S] = tr - vi;
    y[i + 3 * S + 1] = ti + vr;
  }
}

function two({ count, stride, turns }: Pass, x: Float64Array, y: Float64Array): void {
  const S = 2 * stride, o1 = count * S;
  for (let p = 0; p < count; p++) {
    const wr = turns[2 * p]!, wi = turns[2 * p + 1]!;
    for (let i = p * S, o = 2 * i, end = i + S; i < end; i += 2, o += 2) {
      const ar = x[i]!, ai = x[i + 1]!, br = x[i + o1]!, bi = x[i + o1 + 1]!, er = ar - br, ei = ai - bi;
      y[o] = ar + br;
      y[o + 1] = ai + bi;
      y[o + S] = er * wr - ei * wi;
      y[o + S + 1] = er * wi + ei * wr;
    }
  }
}

const c1 = Math.cos((2 * Math.PI) / 5), c2 = Math.cos((4 * Math.PI) / 5), s1 = Math.sin((2 * Math.PI) / 5), s2 = Math.sin((4 * Math.PI) / 5);

function five({ count, stride, turns }: Pass, x: Float64Array, y: Float64Array): void {
  const S = 2 * stride, n = count * S;
  for (let p = 0, t = 0; p < count; p++, t += 8) {
    for (let i = p * S, o = 5 * i, end = i + S; i < end; i += 2, o += 2) {
      const ar = x[i]!, ai = x[i + 1]!, br = x[i + n]!, bi = x[i + n + 1]!, cr = x[i + 2 * n]!, ci = x[i + 2 * n + 1]!;
      const dr = x[i + 3 * n]!, di = x[i + 3 * n + 1]!, er = x[i + 4 * n]!, ei = x[i + 4 * n + 1]!;
      const ur = br + er, ui = bi + ei, vr = br - er, vi = bi - ei, fr = cr + dr, fi = ci + di, gr = cr - dr, gi = ci - di;
      const m1r = ar + c1 * ur + c2 * fr, m1i = ai + c1 * ui + c2 * fi, m2r = ar + c2 * ur + c1 * fr, m2i = ai + c2 * ui + c1 * fi;
      const n1r = s1 * vr + s2 * gr, n1i = s1 * vi + s2 * gi, n2r = s2 * vr - s1 * gr, n2i = s2 * vi - s1 * gi;
      y[o] = ar + ur + fr;
      y[o + 1] = ai + ui + fi;
      turned(y, o + S, m1r + n1i, m1i - n1r, turns, t);
      turned(y, o + 2 * S, m2r + n2i, m2i - n2r, turns, t + 2);
      turned(y, o + 3 * S, m2r - n2i, m2i + n2r, turns, t + 4);
      turned(y, o + 4 * S, m1r - n1i, m1i + n1r, turns, t + 6);
    }
  }
}

function turned(y: Float64Array, o: number, re: number, im: number, turns: Float64Array, t: number): void {
  const wr = turns[t]!, wi = turns[t + 1]!;
  y[o] = re * wr - im * wi;
  y[o + 1] = re * wi + im * wr;
}

/** Any radix, by its sum: radix² products. */
function any({ radix, count, stride, turns }: Pass, x: Float64Array, y: Float64Array): void {
  const S = 2 * stride, n = count * S;
  const roots = Float64Array.from({ length: 2 * radix }, (_, k) => (k % 2 === 0 ? Math.cos((Math.PI * k) / radix) : -Math.sin((Math.PI * (k - 1)) / radix)));
  for (let p = 0; p < count; p++) {
    for (let i = p * S, o = radix * i, end = i + S; i < end; i += 2, o += 2) {
      for (let j = 0; j < radix; j++) {
        let re = 0, im = 0;
        for (let m = 0, r = 0; m < radix; m++, r = (r + j) % radix) {
          const a = x[i + m * n]!, b = x[i + m * n + 1]!, c = roots[2 * r]!, s = roots[2 * r + 1]!;
          re += a * c - b * s;
          im += a * s + b * c;
        }
        if (j === 0) {
          y[o] = re;
          y[o + 1] = im;
        } else turned(y, o + j * S, re, im, turns, 2 * ((radix - 1) * p + j - 1));
      }
    }
  }
}
