/**
 * First-order sensitivity index of each input, Var(E[y | x]) / Var(y), from draws that were made anyway: the draws are cut
 * into up to 40 classes of equal number by x, and what an input without effect would show is taken off.
 *
 * @param y results of the draws, finite
 * @param inputs the draws of each input, as long as y
 * @returns one share from 0 for each input; all 0 where y does not vary
 * @example firstOrderIndex(Float64Array.from({ length: 400 }, (_, i) => i), [Float64Array.from({ length: 400 }, (_, i) => i)])[0] // => 0.98
 * @references A. Saltelli and others, Global Sensitivity Analysis, 2008, section 1.2.5; the classes: common practice, no source.
 */
export function firstOrderIndex(y: Float64Array, inputs: readonly Float64Array[]): Float64Array {
  const n = y.length;
  let mean = 0, total = 0;
  for (let i = 0; i < n; i++) mean += y[i]! / n;
  for (let i = 0; i < n; i++) total += (y[i]! - mean) ** 2;
  // What is left of the rounding of equal values is no variance.
  if (total <= n * (1e-13 * mean) ** 2) total = 0;
  const classes = Math.max(2, Math.min(40, Math.floor(n / 50)));
  const free = (classes - 1) / (n - 1);
  return Float64Array.from(inputs, (x) => {
    if (total === 0) return 0;
    const order = Uint32Array.from({ length: n }, (_, i) => i).sort((i, j) => x[i]! - x[j]!);
    let between = 0;
    for (let c = 0; c < classes; c++) {
      const from = Math.floor((c * n) / classes);
      const to = Math.floor(((c + 1) * n) / classes);
      let sum = 0;
      for (let i = from; i < to; i++) sum += y[order[i]!]! - mean;
      between += (sum * sum) / (to - from);
    }
    return Math.max(0, (between / total - free) / (1 - free));
  });
}

/**
 * Ranks from 0, ties at their middle; ±Infinity may be among the values.
 *
 * @example ranks(Float64Array.of(5, Infinity, 1, 5)) // => [1.5,3,0,1.5]
 */
export function ranks(values: Float64Array): Float64Array {
  const order = Uint32Array.from({ length: values.length }, (_, i) => i).sort((i, j) => (values[i] === values[j] ? 0 : values[i]! < values[j]! ? -1 : 1));
  const out = new Float64Array(values.length);
  for (let i = 0; i < order.length;) {
    let j = i;
    while (j < order.length && values[order[j]!] === values[order[i]!]) j++;
    for (let k = i; k < j; k++) out[order[k]!] = (i + j - 1) / 2;
    i = j;
  }
  return out;
}
