/**
 * Weights that give the value at sample `at` of the polynomial fitted to `samples` points by least squares.
 *
 * Definition: wⱼ = Σ_k p_k(t_at)·p_k(tⱼ)/⟨p_k, p_k⟩ over the polynomials orthogonal on the points, p₀ = 1, p₁ = t, p_{k+1} = t·p_k − (⟨p_k, p_k⟩/⟨p_{k−1}, p_{k−1}⟩)·p_{k−1}, with t from −1 to 1.
 */
export function polynomialWeights(samples: number, degree: number, at: number): Float64Array {
  const half = (samples - 1) / 2;
  const t = Float64Array.from({ length: samples }, (_, j) => (j - half) / half);
  let before = new Float64Array(samples), now = new Float64Array(samples).fill(1);
  let normBefore = 1;
  const weights = new Float64Array(samples);
  for (let k = 0; k <= degree; k++) {
    const norm = now.reduce((s, v) => s + v * v, 0);
    for (let j = 0; j < samples; j++) weights[j]! += (now[at]! * now[j]!) / norm;
    const ratio = k === 0 ? 0 : norm / normBefore;
    const next = now.map((v, j) => t[j]! * v - ratio * before[j]!);
    [before, now, normBefore] = [now, next, norm];
  }
  return weights;
}

/** Fits a polynomial to the window about every sample of input[from … to) and writes its value there; the first and last half window are read off the first and last polynomial. */
export function savitzkyGolayRun(input: Float64Array, output: Float64Array, from: number, to: number, samples: number, degree: number): void {
  const half = (samples - 1) / 2;
  const middle = polynomialWeights(samples, degree, half);
  for (let i = from + half; i < to - half; i++) output[i] = product(middle, input, i - half);
  for (let k = 0; k < half; k++) {
    const weights = polynomialWeights(samples, degree, k);
    output[from + k] = product(weights, input, from);
    output[to - 1 - k] = product(weights.reverse(), input, to - samples);
  }
}

function product(weights: Float64Array, x: Float64Array, from: number): number {
  let sum = 0;
  for (let j = 0; j < weights.length; j++) sum += weights[j]! * x[from + j]!;
  return sum;
}
