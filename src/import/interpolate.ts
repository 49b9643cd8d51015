import type { Span } from '../record/span.js';

/** Values on a uniform clock, and the samples that lie in intervals too long to bridge. */
export interface Interpolated {
  readonly values: Float64Array;
  readonly gaps: readonly Span[];
}

/**
 * Interpolates linearly in time onto t₀ + i / sampleRate, i = 0 … ⌊(t₁ − t₀)·sampleRate⌋.
 *
 * @param times seconds, rising (equal neighbours are the caller's to remove)
 * @param maxGap samples strictly inside an interval longer than this are NaN and masked
 */
export function interpolateInTime(times: Float64Array, values: Float64Array, sampleRate: number, maxGap: number): Interpolated {
  const first = times[0]!;
  const count = Math.floor((times.at(-1)! - first) * sampleRate + 1e-9) + 1;
  const out = new Float64Array(count);
  const gaps: Span[] = [];
  let row = 0;
  for (let i = 0; i < count; i++) {
    const t = first + i / sampleRate;
    while (row < times.length - 2 && times[row + 1]! <= t) row++;
    const a = times[row]!;
    const b = times[row + 1]!;
    const part = Math.min(1, (t - a) / (b - a));
    if (part === 0) out[i] = values[row]!;
    else if (part === 1) out[i] = values[row + 1]!;
    else if (b - a > maxGap) {
      out[i] = NaN;
      const last = gaps.at(-1);
      if (last && last.to === i) gaps[gaps.length - 1] = { ...last, to: i + 1 };
      else gaps.push({ from: i, to: i + 1, why: 'clock gap' });
    } else out[i] = values[row]! + part * (values[row + 1]! - values[row]!);
  }
  return { values: out, gaps };
}
