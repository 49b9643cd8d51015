import type { OneCycle } from './largest.js';

/** Points in time order. */
export interface Points {
  readonly values: ArrayLike<number>;
  readonly at: ArrayLike<number>;
}

/**
 * Closes what the four-point rule closes with ties counted as closed on both sides (inner range ≤ both neighbours), for
 * the short residue at view time. The kernel settles ties by time; this closes what that leaves open.
 */
export function closeTies(points: Points): { readonly closed: readonly OneCycle[]; readonly values: readonly number[]; readonly at: readonly number[] } {
  const values: number[] = [];
  const at: number[] = [];
  const closed: OneCycle[] = [];
  for (let k = 0; k < points.values.length; k++) {
    const d = points.values[k]!;
    for (let n = values.length; n >= 3; n -= 2) {
      const a = values[n - 3]!, b = values[n - 2]!, c = values[n - 1]!;
      if (b > a ? c < a || d < b : c > a || d > b) break;
      closed.push({ from: b, to: c, fromAt: at[n - 2]!, at: at[n - 1]! });
      values.length = at.length = n - 2;
    }
    values.push(d);
    at.push(points.at[k]!);
  }
  return { closed, values, at };
}
