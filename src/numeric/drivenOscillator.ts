/** A linear oscillator and what drives it. */
export interface DrivenOscillator {
  /** ω₀, rad/s. */
  readonly omega: number;
  /** ζ, below 1. */
  readonly zeta: number;
  /** Seconds between samples. */
  readonly step: number;
  /** Phase of the drive at each sample, rad. */
  readonly phase: Float64Array;
  /** Amplitude of the drive at each sample; null for 1. */
  readonly gain: Float64Array | null;
}

/** Responses from rest to a cosine and a sine drive, and two free decays. */
export interface DrivenBasis {
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
  readonly freeCosine: Float64Array;
  readonly freeSine: Float64Array;
}

/**
 * Integrates x″ + 2ζω₀x′ + ω₀²x = ω₀²·u from rest for u = g·cos φ and u = g·sin φ, and gives the free decays e^(−ζω₀t)·cos ω_d t and ·sin ω_d t.
 *
 * Between samples u goes straight, which would take a cosine of δ rad a sample down to (sin(δ/2)/(δ/2))² of its size; so the drive is divided by that. What is left is what the corners hold above half the sample rate.
 *
 * State step: Φ = e^(A·T) in closed form; the parts of u at the beginning and of its rise follow from A⁻¹(Φ − I) and A⁻¹(A⁻¹(Φ − I)/T − I).
 *
 * @references School knowledge (first-order hold of a second-order system).
 */
export function drivenBasis({ omega, zeta, step: T, phase, gain }: DrivenOscillator): DrivenBasis {
  const n = phase.length;
  const sigma = zeta * omega;
  const wd = omega * Math.sqrt(1 - zeta * zeta);
  const e = Math.exp(-sigma * T), c = Math.cos(wd * T), s = Math.sin(wd * T);
  // Φ for the state (x, v), v = x′.
  const p11 = e * (c + (sigma / wd) * s), p12 = (e * s) / wd, p21 = (-omega * omega * e * s) / wd, p22 = e * (c - (sigma / wd) * s);
  // A⁻¹ = [[−2ζ/ω, −1/ω²], [1, 0]]; B = (0, ω²).
  const g0x = 1 - p11, g0v = -p21;
  const rise = (2 * zeta) / omega;
  const g1x = -rise * (g0x / T) - (g0v / T) / (omega * omega) + 1, g1v = g0x / T;
  const cosine = new Float64Array(n), sine = new Float64Array(n), freeCosine = new Float64Array(n), freeSine = new Float64Array(n);
  let xc = 0, vc = 0, xs = 0, vs = 0, fc = 1, fs = 0;
  let uc = driveAt(phase, gain, 0) * Math.cos(phase[0]!), us = driveAt(phase, gain, 0) * Math.sin(phase[0]!);
  freeCosine[0] = 1;
  for (let i = 1; i < n; i++) {
    const g = driveAt(phase, gain, i);
    const nc = g * Math.cos(phase[i]!), ns = g * Math.sin(phase[i]!);
    const dc = nc - uc, ds = ns - us;
    const xc1 = p11 * xc + p12 * vc + g0x * uc + g1x * dc;
    vc = p21 * xc + p22 * vc + g0v * uc + g1v * dc;
    xc = xc1;
    const xs1 = p11 * xs + p12 * vs + g0x * us + g1x * ds;
    vs = p21 * xs + p22 * vs + g0v * us + g1v * ds;
    xs = xs1;
    uc = nc;
    us = ns;
    const fc1 = e * (c * fc - s * fs);
    fs = e * (s * fc + c * fs);
    fc = fc1;
    cosine[i] = xc;
    sine[i] = xs;
    freeCosine[i] = fc;
    freeSine[i] = fs;
  }
  return { cosine, sine, freeCosine, freeSine };
}

/** The drive's amplitude at sample i over what straight lines between samples leave of it. */
function driveAt(phase: Float64Array, gain: Float64Array | null, i: number): number {
  const a = Math.max(0, i - 1), b = Math.min(phase.length - 1, i + 1);
  const half = b > a ? (phase[b]! - phase[a]!) / (2 * (b - a)) : 0;
  const left = Math.abs(half) < 1e-6 ? 1 : (Math.sin(half) / half) ** 2;
  return (gain ? gain[i]! : 1) / left;
}
