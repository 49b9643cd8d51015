/** Index of the first number in sorted[0 … count) that is not below x. */
function lowerBound(sorted: Float64Array, count: number, x: number): number {
  let low = 0, high = count;
  while (low < high) {
    const mid = (low + high) >> 1;
    if (sorted[mid]! < x) low = mid + 1;
    else high = mid;
  }
  return low;
}

/**
 * Running median of input[from … to) into output at the same places, over an odd number of samples; the first and the
 * last value are repeated beyond the ends. Cost: one sorted window, in which one number is replaced per sample.
 */
export function runningMedian(input: Float64Array, output: Float64Array, from: number, to: number, samples: number): void {
  const half = (samples - 1) / 2;
  const at = (i: number): number => input[i < from ? from : i >= to ? to - 1 : i]!;
  const sorted = Float64Array.from({ length: samples }, (_, j) => at(from - half + j)).sort();
  for (let i = from; ; i++) {
    output[i] = sorted[half]!;
    if (i + 1 >= to) return;
    const gone = lowerBound(sorted, samples, at(i - half));
    sorted.copyWithin(gone, gone + 1, samples);
    const x = at(i + 1 + half);
    const place = lowerBound(sorted, samples - 1, x);
    sorted.copyWithin(place + 1, place, samples - 1);
    sorted[place] = x;
  }
}
