/**
 * The order that sorts whole numbers 0 ≤ x < 2⁴⁸, by radix of 16 bits, stable. Cost: linear; digits that all keys share are skipped.
 *
 * @example orderOf(Float64Array.of(30, 10, 20)) // => [1,2,0]
 */
export function orderOf(keys: Float64Array): Uint32Array {
  const n = keys.length;
  if (n < 4096) return orderOfFloats(keys);
  let order = new Uint32Array(n);
  for (let i = 0; i < n; i++) order[i] = i;
  let next = new Uint32Array(n);
  for (let divisor = 1; divisor < 2 ** 48; divisor *= 65536) {
    const starts = new Uint32Array(65537);
    for (let i = 0; i < n; i++) starts[digit(keys[i]!, divisor) + 1]!++;
    if (n === 0 || starts[digit(keys[0]!, divisor) + 1] === n) continue;
    for (let d = 0; d < 65536; d++) starts[d + 1]! += starts[d]!;
    for (let i = 0; i < n; i++) next[starts[digit(keys[order[i]!]!, divisor)]!++] = order[i]!;
    [order, next] = [next, order];
  }
  return order;
}

function digit(key: number, divisor: number): number {
  return Math.floor(key / divisor) & 65535;
}

/**
 * The order that sorts finite numbers, rising, equal ones in the order they came in.
 *
 * @example orderOfFloats(Float64Array.of(0.3, -0.1, 0.2)) // => [1,2,0]
 */
export function orderOfFloats(keys: Float64Array): Uint32Array {
  return Uint32Array.from({ length: keys.length }, (_, i) => i).sort((i, j) => keys[i]! - keys[j]! || i - j);
}
