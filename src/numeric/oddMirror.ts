/** input[from … to) with `half` more samples at each end, its odd mirror image about the end's own value; the run must be longer than `half`. */
export function oddMirror(input: Float64Array, from: number, to: number, half: number): Float64Array {
  const n = to - from;
  const line = new Float64Array(n + 2 * half);
  line.set(input.subarray(from, to), half);
  for (let i = 1; i <= half; i++) {
    line[half - i] = 2 * input[from]! - input[from + i]!;
    line[half + n - 1 + i] = 2 * input[to - 1]! - input[to - 1 - i]!;
  }
  return line;
}
