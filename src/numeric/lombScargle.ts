/** Sums over the samples at one frequency that a least-squares sine needs. */
export interface SineSums {
  /** Σ x·cos ωt and Σ x·sin ωt. */
  readonly xc: number;
  readonly xs: number;
  /** Σ cos 2ωt and Σ sin 2ωt. */
  readonly c2: number;
  readonly s2: number;
  /** How many samples. */
  readonly count: number;
}

/**
 * The power by which the best sine of one frequency lowers the sum of squares: ½·[(Σ x·cos ω(t−τ))²/Σ cos² + (Σ x·sin ω(t−τ))²/Σ sin²], tan 2ωτ = Σ sin 2ωt/Σ cos 2ωt, from
 * sums that do not know τ. A sine of amplitude A gives about count·A²/4.
 *
 * @references J. D. Scargle, Studies in astronomical time series analysis II, Astrophysical Journal 263 (1982) 835, eq. 10; W. H. Press and G. B. Rybicki, ibid. 338 (1989) 277.
 */
export function sinePower({ xc, xs, c2, s2, count }: SineSums): number {
  const twist = Math.atan2(s2, c2) / 2;
  const c = Math.cos(twist), s = Math.sin(twist);
  const a = xc * c + xs * s, b = xs * c - xc * s;
  const half = Math.hypot(c2, s2) / 2;
  const cc = count / 2 + half, ss = count / 2 - half;
  return ((cc > 0 ? (a * a) / cc : 0) + (ss > 1e-12 * count ? (b * b) / ss : 0)) / 2;
}

/** Scargle's power at each frequency (Hz) of samples at any times (s). Cost: samples × frequencies. */
export function lombScargle(time: ArrayLike<number>, values: ArrayLike<number>, frequency: ArrayLike<number>): Float64Array {
  return Float64Array.from(frequency as ArrayLike<number>, (f) => {
    let xc = 0, xs = 0, c2 = 0, s2 = 0;
    for (let i = 0; i < time.length; i++) {
      const angle = 2 * Math.PI * f * time[i]!;
      const c = Math.cos(angle), s = Math.sin(angle);
      xc += values[i]! * c;
      xs += values[i]! * s;
      c2 += c * c - s * s;
      s2 += 2 * c * s;
    }
    return sinePower({ xc, xs, c2, s2, count: time.length });
  });
}
