import { checkList, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';

/** A resonance curve: amplitude over frequency. */
export interface ResonanceCurve {
  /** Hz, rising. */
  readonly frequency: ArrayLike<number>;
  /** Not negative, in any unit. */
  readonly amplitude: ArrayLike<number>;
}

/** What halfPowerDamping takes. */
export interface HalfPowerOptions {
  /** Band that holds the resonance, Hz; default the whole curve. */
  readonly from?: number;
  readonly to?: number;
  /** How fast the exciting frequency ran through it, Hz/s; 0 (default) for a steady state. */
  readonly sweepRate?: number;
  /** Bandwidth of the analysis that made the curve (enbw of a spectrum), Hz; 0 by default. */
  readonly enbw?: number;
}

/** A damping read from a resonance curve. */
export interface HalfPowerDamping {
  /** Hz, of the peak (parabola through three points). */
  readonly frequency: number;
  readonly dampingRatio: number;
  /** Hz, where the amplitude is 1/√2 of the peak. */
  readonly lower: number;
  readonly upper: number;
  readonly peak: number;
  readonly notes: readonly string[];
}

const where = 'halfPowerDamping';

/**
 * Reads damping from the width of a resonance: ζ = (f₂² − f₁²)/(4 f₀²), f₁ and f₂ where the amplitude is 1/√2 of the peak.
 *
 * It holds for one mode, in a steady state, read more finely than the resonance is wide. So it refuses where the curve rises again
 * before both points are reached or has not the shape of one mode (another close by), where the sweep rate exceeds a quarter of the squared bandwidth, and where the analysis
 * is wider than a quarter of the bandwidth: fitSweep and fitRingDown do not have these limits.
 *
 * @param curve amplitude (not power) over frequency
 * @param options from, to: band, Hz; sweepRate, Hz/s; enbw, Hz
 * @returns frequency, damping ratio and the two points
 * @throws InputError for a curve without a peak inside, with a second mode close by, swept too fast or analysed too coarsely
 * @see fitSweep, fitRingDown
 * @example
 * const frequency = Array.from({ length: 4001 }, (_, i) => 8 + i / 4000);
 * const amplitude = frequency.map((f) => 1 / Math.hypot(1 - (f / 8.4) ** 2, 2 * 0.01 * (f / 8.4)));
 * halfPowerDamping({ frequency, amplitude }).dampingRatio // => 0.01000
 * @references W. T. Thomson, Theory of Vibration with Applications (sharpness of resonance; from memory). The limit on the sweep: of the order of ISO 7626-2 (from memory), set by own simulation so that the bias stays below 5 %.
 */
export function halfPowerDamping(curve: ResonanceCurve, options: HalfPowerOptions = {}): HalfPowerDamping {
  checkOptions(where, options, { optional: ['from', 'to', 'sweepRate', 'enbw'] });
  const f = checkList(where, 'frequency', curve?.frequency, 'a list of numbers, Hz'), a = checkList(where, 'amplitude', curve?.amplitude, 'a list of numbers');
  if (f.length !== a.length || f.length < 5) throw new InputError({ where, argument: 'curve', expected: 'frequency and amplitude of one length, at least 5', given: `${f.length} and ${a.length}` });
  for (let i = 0; i < f.length; i++) {
    checkNumber(where, `frequency[${i}]`, f[i], i === 0 ? { min: 0, unit: 'Hz' } : { above: f[i - 1]!, unit: 'Hz' });
    checkNumber(where, `amplitude[${i}]`, a[i], { min: 0 });
  }
  const from = checkNumber(where, 'from', options.from ?? f[0]!, { min: 0, unit: 'Hz' });
  const to = checkNumber(where, 'to', options.to ?? f[f.length - 1]!, { above: from, unit: 'Hz' });
  const sweepRate = checkNumber(where, 'sweepRate', options.sweepRate ?? 0, { min: 0, unit: 'Hz/s' });
  const enbw = checkNumber(where, 'enbw', options.enbw ?? 0, { min: 0, unit: 'Hz' });
  let k = -1;
  for (let i = 0; i < f.length; i++) if (f[i]! >= from && f[i]! <= to && (k < 0 || a[i]! > a[k]!)) k = i;
  if (k < 1 || k > f.length - 2 || a[k - 1]! > a[k]! || a[k + 1]! > a[k]!) {
    throw new InputError({ where, argument: 'curve', expected: `a peak inside ${from} to ${to} Hz`, given: 'its largest amplitude at the edge', remedy: 'Widen the band.' });
  }
  const { frequency, peak } = vertex(f, a, k);
  const level = peak / Math.SQRT2;
  const lower = crossing(f, a, k, -1, level);
  const upper = crossing(f, a, k, 1, level);
  const width = upper - lower;
  if (sweepRate > width * width / 4) {
    throw new InputError({ where, argument: 'sweepRate', expected: `below a quarter of the squared bandwidth (${(width * width / 4).toPrecision(2)} Hz/s for ${width.toPrecision(3)} Hz)`, given: `${sweepRate} Hz/s`, remedy: 'The peak had no time to build up and looks too wide: use fitSweep, or fitRingDown after a trip.' });
  }
  if (enbw > width / 4) {
    throw new InputError({ where, argument: 'enbw', expected: `below a quarter of the bandwidth (${(width / 4).toPrecision(2)} Hz)`, given: `${enbw} Hz`, remedy: 'Use longer segments, or fitRingDown.' });
  }
  const dampingRatio = (upper * upper - lower * lower) / (4 * frequency * frequency);
  checkShape(f, a, k, peak, frequency, dampingRatio);
  const notes = dampingRatio > 0.1 ? ['Above 10 % the width no longer follows the damping closely: take this as a rough figure.'] : [];
  return makeResult('HalfPowerDamping', { frequency, dampingRatio, lower, upper, peak, notes: Object.freeze(notes) }, (r) => `Half-power damping ${(100 * r.dampingRatio).toPrecision(3)} % at ${r.frequency.toPrecision(4)} Hz`);
}

/** One mode alone has the width 2ζ·√(1/α² − 1) at every level α; another width near the top or further down betrays a second one (or a curve bent by noise). */
function checkShape(f: ArrayLike<number>, a: ArrayLike<number>, k: number, peak: number, frequency: number, dampingRatio: number): void {
  for (const level of [0.9, 0.55]) {
    const width = crossing(f, a, k, 1, level * peak) ** 2 - crossing(f, a, k, -1, level * peak) ** 2;
    const ratio = width / (4 * frequency * frequency * Math.sqrt(1 / level ** 2 - 1)) / dampingRatio;
    if (ratio > 1.15 || ratio < 1 / 1.15) {
      throw new InputError({ where, argument: 'curve', expected: 'the shape of one mode', given: `a width at ${Math.round(100 * level)} % of the peak that is ${ratio.toPrecision(2)} times that of one`, remedy: 'Another mode is close, or the curve is noisy: use fitRingDown with two modes.' });
    }
  }
}

/** Top of the parabola through a peak and its neighbours, at uneven spacing too. */
function vertex(f: ArrayLike<number>, a: ArrayLike<number>, k: number): { readonly frequency: number; readonly peak: number } {
  const [x0, x2] = [f[k - 1]! - f[k]!, f[k + 1]! - f[k]!];
  const [y0, y2] = [a[k - 1]! - a[k]!, a[k + 1]! - a[k]!];
  const c = (y2 / x2 - y0 / x0) / (x2 - x0);
  if (!(c < 0)) return { frequency: f[k]!, peak: a[k]! };
  const b = y0 / x0 - c * x0;
  return { frequency: f[k]! - b / (2 * c), peak: a[k]! - (b * b) / (4 * c) };
}

function crossing(f: ArrayLike<number>, a: ArrayLike<number>, k: number, side: 1 | -1, level: number): number {
  let lowest = a[k]!;
  for (let i = k + side; i >= 0 && i < f.length; i += side) {
    if (a[i]! <= level) {
      const share = (level - a[i]!) / (a[i - side]! - a[i]!);
      return f[i]! + share * (f[i - side]! - f[i]!);
    }
    lowest = Math.min(lowest, a[i]!);
    if (a[i]! > lowest * 1.05) {
      throw new InputError({ where, argument: 'curve', expected: 'one mode alone', given: `a curve that rises again at ${f[i]!.toPrecision(4)} Hz before it falls to 1/√2 of the peak`, remedy: 'Another mode is close (or the curve is noisy): use fitRingDown with two modes, or a smoother curve.' });
    }
  }
  throw new InputError({ where, argument: 'curve', expected: 'to fall to 1/√2 of its peak on both sides', given: `an end at ${f[side < 0 ? 0 : f.length - 1]!.toPrecision(4)} Hz before that`, remedy: 'Widen the band.' });
}
