/**
 * A cascade of second-order sections, six numbers a section: b0 b1 b2 1 a1 a2 of
 * H(z) = Π (b0 + b1·z⁻¹ + b2·z⁻²) / (1 + a1·z⁻¹ + a2·z⁻²).
 */
export type Sections = Float64Array;

/** What a cascade remembers between blocks: x₋₁ x₋₂ y₋₁ y₋₂ of every section (direct form I). */
export type SectionState = Float64Array;

/** How many sections a cascade has. */
export function sectionCount(sections: Sections): number {
  return sections.length / 6;
}

/** Samples after which what a cascade remembers has faded to a hundredth, by its slowest pole. */
export function settlingSamples(sections: Sections): number {
  let slowest = 0;
  for (let k = 0; k < sectionCount(sections); k++) {
    const a1 = sections[6 * k + 4]!, a2 = sections[6 * k + 5]!;
    const root = a1 * a1 - 4 * a2;
    slowest = Math.max(slowest, root < 0 ? Math.sqrt(a2) : (Math.abs(a1) + Math.sqrt(root)) / 2);
  }
  return slowest === 0 ? 0 : Math.ceil(Math.log(0.01) / Math.log(slowest));
}

/** The state of a cascade that has had the constant input `level` for ever; level 0 is a cascade at rest. */
export function settledState(sections: Sections, level: number): SectionState {
  const n = sectionCount(sections);
  const state = new Float64Array(4 * n);
  let value = level;
  for (let k = 0; k < n; k++) {
    state[4 * k] = state[4 * k + 1] = value;
    value *= (sections[6 * k]! + sections[6 * k + 1]! + sections[6 * k + 2]!) / (1 + sections[6 * k + 4]! + sections[6 * k + 5]!);
    state[4 * k + 2] = state[4 * k + 3] = value;
  }
  return state;
}

/** Where a walk over samples reads and writes: output[to + i·step] from input[from + i·step], i = 0 … count − 1. */
export interface Walk {
  readonly input: Float64Array;
  readonly from: number;
  readonly output: Float64Array;
  readonly to: number;
  readonly count: number;
  /** 1 forwards, −1 backwards. */
  readonly step: 1 | -1;
}

/**
 * Runs a cascade over a block of samples and carries the state. Input and output may be one array at one place.
 * Blocks one after another give the same bytes as one call over the whole.
 *
 * Definition: y[n] = b0·x[n] + b1·x[n−1] + b2·x[n−2] − a2·y[n−2] − a1·y[n−1], section by section.
 * Cost: two sections in each walk over the samples, 5 products a sample and section; nothing is allocated per sample.
 */
export function runSections(sections: Sections, state: SectionState, walk: Walk): void {
  const n = sectionCount(sections);
  let next = walk;
  for (let k = 0; k < n; k += 2) {
    if (k + 1 < n) runTwo(sections, state, k, next);
    else runOne(sections, state, k, next);
    next = { ...walk, input: walk.output, from: walk.to };
  }
}

function runOne(s: Sections, state: SectionState, k: number, { input, from, output, to, count, step }: Walk): void {
  const b0 = s[6 * k]!, b1 = s[6 * k + 1]!, b2 = s[6 * k + 2]!, a1 = s[6 * k + 4]!, a2 = s[6 * k + 5]!;
  let x1 = state[4 * k]!, x2 = state[4 * k + 1]!, y1 = state[4 * k + 2]!, y2 = state[4 * k + 3]!;
  for (let i = 0, r = from, w = to; i < count; i++, r += step, w += step) {
    const x = input[r]!;
    const y = b0 * x + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
    x2 = x1; x1 = x;
    y2 = y1; y1 = y;
    output[w] = y;
  }
  state[4 * k] = x1; state[4 * k + 1] = x2; state[4 * k + 2] = y1; state[4 * k + 3] = y2;
}

/** Two samples a turn: the registers of the older pair are reused, which saves a quarter of the time. */
function runTwo(s: Sections, state: SectionState, k: number, { input, from, output, to, count, step }: Walk): void {
  const p = 6 * k, q = p + 6, m = 4 * k;
  const b0 = s[p]!, b1 = s[p + 1]!, b2 = s[p + 2]!, a1 = s[p + 4]!, a2 = s[p + 5]!;
  const d0 = s[q]!, d1 = s[q + 1]!, d2 = s[q + 2]!, c1 = s[q + 4]!, c2 = s[q + 5]!;
  let x1 = state[m]!, x2 = state[m + 1]!, y1 = state[m + 2]!, y2 = state[m + 3]!, z1 = state[m + 6]!, z2 = state[m + 7]!;
  let i = 0, r = from, w = to;
  for (; i + 1 < count; i += 2, r += 2 * step, w += 2 * step) {
    const xa = input[r]!, xb = input[r + step]!;
    const ya = b0 * xa + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
    const za = d0 * ya + d1 * y1 + d2 * y2 - c2 * z2 - c1 * z1;
    const yb = b0 * xb + b1 * xa + b2 * x1 - a2 * y1 - a1 * ya;
    const zb = d0 * yb + d1 * ya + d2 * y1 - c2 * z1 - c1 * za;
    output[w] = za;
    output[w + step] = zb;
    x2 = xa; x1 = xb;
    y2 = ya; y1 = yb;
    z2 = za; z1 = zb;
  }
  if (i < count) {
    const xa = input[r]!;
    const ya = b0 * xa + b1 * x1 + b2 * x2 - a2 * y2 - a1 * y1;
    const za = d0 * ya + d1 * y1 + d2 * y2 - c2 * z2 - c1 * z1;
    output[w] = za;
    x2 = x1; x1 = xa;
    y2 = y1; y1 = ya;
    z2 = z1; z1 = za;
  }
  state[m] = x1; state[m + 1] = x2;
  state[m + 2] = state[m + 4] = y1; state[m + 3] = state[m + 5] = y2;
  state[m + 6] = z1; state[m + 7] = z2;
}

/** How many samples zeroPhase extends a run at each end: 3·(2n + 1 − the number of first-order sections). A run must be longer. */
export function zeroPhasePadding(sections: Sections): number {
  const n = sectionCount(sections);
  let noB2 = 0, noA2 = 0;
  for (let k = 0; k < n; k++) {
    if (sections[6 * k + 2] === 0) noB2++;
    if (sections[6 * k + 5] === 0) noA2++;
  }
  return 3 * (2 * n + 1 - Math.min(noB2, noA2));
}

/**
 * Runs a cascade forwards, then backwards over input[from … to) into output at the same places, so that no frequency
 * is shifted: the gain is |H|², the phase zero.
 *
 * Each end is continued by its odd mirror image 2·x₀ − x₁ … 2·x₀ − x_p over p samples (zeroPhasePadding), and each
 * pass starts settled at the first sample that it meets, as scipy.signal.sosfiltfilt does by default.
 */
export function zeroPhase(sections: Sections, input: Float64Array, output: Float64Array, from: number, to: number): void {
  const p = zeroPhasePadding(sections);
  const head = new Float64Array(p), tail = new Float64Array(p);
  for (let i = 0; i < p; i++) {
    head[i] = 2 * input[from]! - input[from + p - i]!;
    tail[i] = 2 * input[to - 1]! - input[to - 2 - i]!;
  }
  const ahead = settledState(sections, head[0]!);
  runSections(sections, ahead, { input: head, from: 0, output: head, to: 0, count: p, step: 1 });
  runSections(sections, ahead, { input, from, output, to: from, count: to - from, step: 1 });
  runSections(sections, ahead, { input: tail, from: 0, output: tail, to: 0, count: p, step: 1 });
  const back = settledState(sections, tail[p - 1]!);
  runSections(sections, back, { input: tail, from: p - 1, output: tail, to: p - 1, count: p, step: -1 });
  runSections(sections, back, { input: output, from: to - 1, output, to: to - 1, count: to - from, step: -1 });
}
