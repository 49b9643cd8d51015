import { checkNumber, checkOptions, checkResult, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';

/** A one-sided power density on evenly spaced frequencies, as powerDensity gives it. */
export interface DensityData {
  /** Hz, evenly spaced. */
  readonly frequency: ArrayLike<number>;
  /** Unit² per Hz, not negative. */
  readonly density: ArrayLike<number>;
  /** The unit of what was measured. */
  readonly of: Unit;
}

/** Moments of a power density and what follows from them. */
export interface SpectralMoments {
  /** mₖ = Σ fᵏ·G(f)·Δf. */
  readonly m0: number;
  readonly m1: number;
  readonly m2: number;
  readonly m4: number;
  /** Upward zero crossings a second, √(m₂/m₀). */
  readonly crossings: number;
  /** Peaks a second, √(m₄/m₂). */
  readonly peaks: number;
  /** m₁/√(m₀m₂). */
  readonly alpha1: number;
  /** m₂/√(m₀m₄), crossings over peaks: 1 for a narrow band. */
  readonly alpha2: number;
}

/**
 * Gives the moments of a power density, mₖ = Σ fᵏ·G(f)·Δf over a band, and the rates and bandwidth figures of a Gaussian
 * process with it. The line at 0 Hz is left out unless the band begins there: it holds the mean, not a cycle.
 *
 * The fourth moment grows with the noise at high frequency: give the band that the process fills.
 *
 * Cost: one pass.
 *
 * @param density evenly spaced frequencies in Hz and a one-sided density
 * @param band from and to, Hz, both included; all but 0 Hz unless told
 * @returns moments in unit²·Hzᵏ, rates in 1/s
 * @throws InputError for columns of different length, uneven frequencies, a negative density, or no power in the band
 * @see spectralDamage
 * @references S. O. Rice, Mathematical analysis of random noise, Bell System Technical Journal 23 (1944) 282 and 24 (1945) 46: rates of crossings and of peaks; from memory.
 * @example spectralMoments({ frequency: [1, 2, 3], density: [0, 4, 0], of: 'Pa' }).crossings // => 2
 */
export function spectralMoments(density: DensityData, band: { readonly from?: number; readonly to?: number } = {}): SpectralMoments {
  const where = 'spectralMoments';
  checkOptions(where, band, { optional: ['from', 'to'] });
  const { frequency, density: power } = density ?? {};
  if (!frequency || !power || frequency.length < 2 || frequency.length !== power.length) {
    throw new InputError({ where, argument: 'density', expected: 'a PowerDensity, or { frequency, density, of } with two columns of one length', given: show(density) });
  }
  const last = frequency.length - 1;
  const step = (checkNumber(where, `frequency[${last}]`, frequency[last], { unit: 'Hz' }) - checkNumber(where, 'frequency[0]', frequency[0], { unit: 'Hz' })) / last;
  checkNumber(where, 'spacing of the frequencies', step, { above: 0, unit: 'Hz' });
  const from = checkNumber(where, 'from', band.from ?? step / 2, { min: 0, unit: 'Hz' });
  const to = checkNumber(where, 'to', band.to ?? frequency[frequency.length - 1]!, { above: from, unit: 'Hz' });
  let m0 = 0, m1 = 0, m2 = 0, m4 = 0;
  for (let k = 0; k < frequency.length; k++) {
    const f = frequency[k]!;
    const g = power[k]!;
    if (typeof f !== 'number' || typeof g !== 'number') throw new InputError({ where, argument: 'density', expected: 'numbers throughout', given: `${show(f)} and ${show(g)} at line ${k}` });
    if (!(Math.abs(f - (frequency[0]! + k * step)) <= 1e-6 * step)) throw new InputError({ where, argument: 'frequency', expected: 'evenly spaced', given: `${f} Hz at line ${k}` });
    if (!(g >= 0 && g < Infinity)) throw new InputError({ where, argument: 'density', expected: 'not negative and finite', given: `${g} at ${f} Hz` });
    if (f < from - 1e-9 * step || f > to + 1e-9 * step) continue;
    m0 += g * step;
    m1 += g * f * step;
    m2 += g * f * f * step;
    m4 += g * f ** 4 * step;
  }
  if (!(m0 > 0 && m2 > 0)) throw new InputError({ where, argument: 'density', expected: `a density with power between ${from} and ${to} Hz`, given: 'none there' });
  return makeResult<SpectralMoments>('SpectralMoments', checkResult(where, 'density', {
    m0, m1, m2, m4, crossings: Math.sqrt(m2 / m0), peaks: Math.sqrt(m4 / m2), alpha1: m1 / Math.sqrt(m0 * m2), alpha2: m2 / Math.sqrt(m0 * m4),
  }), (m) => `SpectralMoments: ${m.crossings.toPrecision(4)} crossings and ${m.peaks.toPrecision(4)} peaks a second, bandwidth ${m.alpha2.toPrecision(3)}`);
}
