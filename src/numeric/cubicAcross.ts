/** Weights of the cubic through samples −2, −1, k, k + 1 at position j of the k samples between. */
export function cubicWeights(k: number, j: number): Float64Array {
  return weightsAt([-2, -1, k, k + 1], j);
}

/** Weights at position j of the polynomial through samples at these positions. */
export function weightsAt(nodes: readonly number[], j: number): Float64Array {
  return Float64Array.from(nodes, (x, i) => nodes.reduce((w, other, m) => (m === i ? w : (w * (j - other)) / (x - other)), 1));
}

/** The cubic through two samples on either side, at the k samples from `from` on. */
export function cubicAcross(x: Float64Array, from: number, k: number): Float64Array {
  return Float64Array.from({ length: k }, (_, j) => {
    const w = cubicWeights(k, j);
    return w[0]! * x[from - 2]! + w[1]! * x[from - 1]! + w[2]! * x[from + k]! + w[3]! * x[from + k + 1]!;
  });
}
