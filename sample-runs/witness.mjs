// A second opinion on cycles, independent of the library: the three-point rule of ASTM E1049-85 (2017), 5.4.4, written out plainly.

/**
 * Σ n·ΔTᵐ over the rainflow cycles of a history, for each m: what any straight-line S-N curve makes its damage from.
 * Ranges that contain the starting point count as half cycles, as the standard has it.
 *
 * @param {Float64Array} values
 * @param {readonly number[]} exponents
 * @returns {{ exponent: number, sum: number }[]} (unit of values)ᵐ
 */
export function rangePowerSums(values, exponents) {
  const sums = exponents.map(() => 0);
  const add = (range, n) => exponents.forEach((m, k) => { sums[k] += n * range ** m; });
  const stack = [];
  for (const point of reversals(values)) {
    stack.push(point);
    while (stack.length >= 3) {
      const [a, b, c] = stack.slice(-3);
      if (Math.abs(c - b) < Math.abs(b - a)) break;
      if (stack.length === 3) {
        add(Math.abs(b - a), 0.5);
        stack.shift();
      } else {
        add(Math.abs(b - a), 1);
        stack.splice(-3, 2);
      }
    }
  }
  for (let i = 1; i < stack.length; i++) add(Math.abs(stack[i] - stack[i - 1]), 0.5);
  return exponents.map((exponent, k) => ({ exponent, sum: sums[k] }));
}

/** First value, every turning point, last value. */
function reversals(values) {
  const points = [values[0]];
  let up = 0;
  for (let i = 1; i < values.length; i++) {
    const d = Math.sign(values[i] - values[i - 1]);
    if (d === 0) continue;
    if (up !== 0 && d !== up) points.push(values[i - 1]);
    up = d;
  }
  points.push(values[values.length - 1]);
  return points;
}
