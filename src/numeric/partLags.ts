/** One block of samples in the fit of a lag: its part of the scores and of their derivative; the lag is the third unknown of four. */
export interface Block {
  readonly score: readonly number[];
  readonly normal: readonly (readonly number[])[];
}

/** The lag of one part of a record beyond what offset and skew of the whole explain, s, with its standard error. */
export interface PartLag {
  readonly lag: number;
  readonly error: number;
}

/** The lags of all parts, and the degrees of freedom behind their standard errors; 0 where there is too little to tell them from. */
export interface PartLags {
  readonly lags: readonly PartLag[];
  readonly degreesOfFreedom: number;
}

/** A part is read in so many shares. */
const shares = 4;

/**
 * One step of least squares for the lag alone, in parts of equal weight: lag = Σ s / Σ w over the blocks of a part, with s a block's score and w its weight.
 *
 * Its variance is v / Σ w. A clock that jumps or wanders moves neighbours together, noise does not: so v is taken from the differences d of lags of neighbours, each part in four shares of equal weight,
 * as the mean of d² / (1/w₁ + 1/w₂), which has two thirds as many degrees of freedom as differences. Scatter about the lag of a part would take a jump within it for noise.
 *
 * @references J. von Neumann, R. H. Kent, H. R. Bellinson, B. I. Hart, The mean square successive difference, Ann. Math. Stat. 12 (1941) 153 (from memory).
 */
export function partLags(blocks: readonly Block[], parts: number): PartLags {
  const fine = sharesOf(blocks, shares * parts);
  const squares = fine.slice(1).map((b, i) => (b.lag - fine[i]!.lag) ** 2 / (1 / b.weight + 1 / fine[i]!.weight));
  const variance = squares.reduce((s, q) => s + q, 0) / squares.length;
  return {
    lags: sharesOf(blocks, parts).map(({ lag, weight }) => ({ lag, error: Math.sqrt(variance / weight) })),
    degreesOfFreedom: squares.length < shares ? 0 : (2 / 3) * squares.length,
  };
}

/** Neighbouring blocks together until each share has its part of all weight; fewer shares where single blocks hold more than one. */
function sharesOf(blocks: readonly Block[], count: number): { readonly lag: number; readonly weight: number }[] {
  const total = blocks.reduce((s, b) => s + Math.max(0, b.normal[2]![2]!), 0);
  const found: { readonly lag: number; readonly weight: number }[] = [];
  let seen = 0, score = 0, weight = 0;
  blocks.forEach(({ score: s, normal }, i) => {
    seen += Math.max(0, normal[2]![2]!);
    score += s[2]!;
    weight += normal[2]![2]!;
    if ((seen < (total * (found.length + 1)) / count * (1 - 1e-9) && i < blocks.length - 1) || !(weight > 0)) return;
    found.push({ lag: score / weight, weight });
    score = weight = 0;
  });
  return found;
}
