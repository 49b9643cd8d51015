/** Answers the largest value between two indices. */
export interface RangeMaximum {
  /** The largest of values[from … to], both ends included. */
  between(from: number, to: number): number;
}

/**
 * Prepares values for many questions of the largest between two indices, by a tree of pairs.
 *
 * Cost: linear to prepare, logarithmic for a question.
 *
 * @example rangeMaximum(Float64Array.of(3, 1, 4, 1, 5)).between(1, 3) // => 4
 */
export function rangeMaximum(values: Float64Array): RangeMaximum {
  const n = values.length;
  const tree = new Float64Array(2 * n);
  tree.set(values, n);
  for (let i = n - 1; i > 0; i--) tree[i] = Math.max(tree[2 * i]!, tree[2 * i + 1]!);
  return {
    between: (from, to) => {
      let best = -Infinity;
      for (let a = from + n, b = to + n + 1; a < b; a >>= 1, b >>= 1) {
        if (a & 1) best = Math.max(best, tree[a++]!);
        if (b & 1) best = Math.max(best, tree[--b]!);
      }
      return best;
    },
  };
}
