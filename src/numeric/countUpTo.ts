/**
 * How many of `length` rising values are at most `limit`, by halving.
 *
 * @example countUpTo(4, (k) => [1, 3, 3, 7][k], 3) // => 3
 */
export function countUpTo(length: number, valueAt: (k: number) => number, limit: number): number {
  let low = 0, high = length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (valueAt(middle) <= limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
