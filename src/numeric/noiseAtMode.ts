/** What is left about the frequency of a decaying mode once the mode is fitted. */
export interface NoiseAtMode {
  /** Variance of the fitted decay and frequency over that for white noise as strong as the residuals. */
  readonly inflation: number;
  /** Rms amplitude of what the shaft's mode still does because it is driven; 0 where white noise explains the residuals. */
  readonly driven: number;
}

/**
 * Parts the residuals of a fitted decay, seen as amplitude about its frequency, into white noise (variance w²) and the mode itself driven by turbulence (variance s², correlation e^(−σ|τ|)), and
 * gives what both do to the fit.
 *
 * With envelope e = (I − H)n over blocks of a period, H the projector on e^(−σt) and t·e^(−σt), and Ω = w²I + s²R: E Σ|e|² and E Σ Re eᵢe*ᵢ₊₁ are linear in w² and s², which the two sums
 * therefore give; variance (GᵀG)⁻¹GᵀΩG(GᵀG)⁻¹. A correlation that chance makes (below two standard errors of it) counts as white noise.
 *
 * @param residuals what the fit leaves, at times t (s)
 * @param sigma decay, 1/s
 * @param omega frequency, rad/s
 */
export function noiseAtMode(residuals: Float64Array, t: Float64Array, sigma: number, omega: number): NoiseAtMode {
  const { re, im, time, samples } = envelope(residuals, t, omega);
  const n = time.length;
  const none = { inflation: 1, driven: 0 };
  if (n < 8) return none;
  const g0 = time.map((v) => Math.exp(-sigma * v)), g1 = g0.map((g, i) => g * time[i]! * sigma);
  const K = inverseGram(g0, g1);
  if (!K) return none;
  const h = (i: number, a0: number, a1: number): number => g0[i]! * (K[0] * a0 + K[1] * a1) + g1[i]! * (K[1] * a0 + K[2] * a1);
  const rg0 = smoothed(g0, time, sigma), rg1 = smoothed(g1, time, sigma);
  const q00 = dot(g0, rg0), q01 = dot(g0, rg1), q11 = dot(g1, rg1);
  // Elements of MM and of MRM, M = I − H, on the diagonal and beside it.
  const white = (i: number, j: number): number => (i === j ? 1 : 0) - h(i, g0[j]!, g1[j]!);
  const driven = (i: number, j: number): number => {
    const k0 = K[0] * g0[j]! + K[1] * g1[j]!, k1 = K[1] * g0[j]! + K[2] * g1[j]!;
    return Math.exp(-sigma * Math.abs(time[i]! - time[j]!)) - h(i, rg0[j]!, rg1[j]!) - h(j, rg0[i]!, rg1[i]!) + h(i, q00 * k0 + q01 * k1, q01 * k0 + q11 * k1);
  };
  let power = 0, lag = 0, w0 = 0, w1 = 0, s0 = 0, s1 = 0;
  for (let i = 0; i < n; i++) {
    power += re[i]! ** 2 + im[i]! ** 2;
    w0 += white(i, i);
    s0 += driven(i, i);
    if (i + 1 === n) break;
    lag += re[i]! * re[i + 1]! + im[i]! * im[i + 1]!;
    w1 += white(i, i + 1);
    s1 += driven(i, i + 1);
  }
  const variance = residuals.reduce((sum, v) => sum + v * v, 0) / residuals.length;
  const plain = (4 * variance) / samples;
  if (!(plain > 0)) return none;
  const correlated = lag - (w1 / w0) * power > 2 * (power / w0) * Math.sqrt(n / 2);
  const det = w0 * s1 - w1 * s0;
  const s2 = correlated ? Math.min((w0 * lag - w1 * power) / det, power / s0) : 0;
  const w2 = Math.max(0, (power - s2 * s0) / w0);
  // The second diagonal element of (GᵀG)⁻¹GᵀRG(GᵀG)⁻¹.
  const spread = K[1] * K[1] * q00 + 2 * K[1] * K[2] * q01 + K[2] * K[2] * q11;
  return { inflation: (w2 + (s2 * spread) / K[2]) / plain, driven: Math.sqrt(s2) };
}

/** Amplitude about a frequency over blocks of a period (longer where there would be more than 400), from blocks at least half of which is there. */
function envelope(y: Float64Array, t: Float64Array, omega: number): { readonly re: Float64Array; readonly im: Float64Array; readonly time: Float64Array; readonly samples: number } {
  const period = (2 * Math.PI) / omega;
  const block = period * Math.max(1, Math.ceil(t.at(-1)! / (400 * period)));
  const full = Math.max(1, block / smallestStep(t));
  const blocks: [c: number, s: number, at: number][] = [];
  for (let from = 0, i = 0; from < t.length; from = i) {
    const index = Math.floor(t[from]! / block);
    let c = 0, s = 0;
    for (i = from; i < t.length && Math.floor(t[i]! / block) === index; i++) {
      c += y[i]! * Math.cos(omega * t[i]!);
      s += y[i]! * Math.sin(omega * t[i]!);
    }
    if (i - from >= full / 2) blocks.push([(2 * c) / (i - from), (-2 * s) / (i - from), (index + 0.5) * block]);
  }
  return { re: Float64Array.from(blocks, (b) => b[0]), im: Float64Array.from(blocks, (b) => b[1]), time: Float64Array.from(blocks, (b) => b[2]), samples: full };
}

function smallestStep(t: Float64Array): number {
  let step = Infinity;
  for (let i = 1; i < t.length; i++) step = Math.min(step, t[i]! - t[i - 1]!);
  return step;
}

/** (GᵀG)⁻¹ as [00, 01, 11], null where the columns are one. */
function inverseGram(a: Float64Array, b: Float64Array): readonly [number, number, number] | null {
  const aa = dot(a, a), ab = dot(a, b), bb = dot(b, b);
  const det = aa * bb - ab * ab;
  return det > 1e-9 * aa * bb ? [bb / det, -ab / det, aa / det] : null;
}

/** R·g with R = e^(−σ|τ|). */
function smoothed(g: Float64Array, time: Float64Array, sigma: number): Float64Array {
  return time.map((at) => {
    let sum = 0;
    for (let j = 0; j < g.length; j++) sum += g[j]! * Math.exp(-sigma * Math.abs(at - time[j]!));
    return sum;
  });
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
