import type { Run, Span } from '../record/span.js';

/** Samples that an amplifier cut off, and the level at which it did; none where the crests do not show it. */
export interface ShallowCuts {
  readonly spans: readonly Span[];
  /** In the sense of `sign`; null without spans. */
  readonly level: number | null;
}

/** Crests that must speak for a cut, and by how much of the noise variance each. */
const least = 3, margin = 9;
/** Parts of a crest's own length that are read on either side of it. */
const flanks = [1, 0.5] as const;
/** Least curvature of the flanks for that which they give the crest between them: 1 in a parabola, 0 in straight flanks, whose crest is no crest. */
const leastBend = 0.4;
const shortest = 5, longest = 500;

/**
 * Finds crests cut off by little more than the noise, with noise added behind the limit, by their shape.
 *
 * A crest is what stands above the record's extreme less 8 noise deviations (up to two samples in a row may fall below), with flanks as long as it or half as long. Two models compete for all its samples: a smooth curve, the polynomial of degree 6 through
 * everything, and a cut one, the polynomial of degree 4 through the flanks alone, cut at one level for the whole record. A crest speaks for the model whose sum of squares is smaller by 9 noise variances or more; it has no voice where neither fits within the noise.
 * A cut is claimed where three crests or more, and more than speak against it, speak for it. Steady amplitude makes no cut: the crests of a sine agree in height, but a smooth curve fits them. Where the flanks are as good as straight nothing is claimed: a load may ramp and hold.
 */
export function findShallowCuts(x: Float64Array, valid: readonly Run[], noise: number, sign: 1 | -1): ShallowCuts {
  if (!(noise > 0)) return { spans: [], level: null };
  const swells = swellsOf(x, valid, noise, sign);
  if (swells.length < least) return { spans: [], level: null };
  for (const flank of flanks) {
    const found = judged(x, swells, noise, sign, flank);
    if (found !== null) return found;
  }
  return { spans: [], level: null };
}

/** A stretch near the extreme, within its run. */
interface Swell {
  readonly from: number;
  readonly to: number;
  readonly run: Run;
}

function swellsOf(x: Float64Array, valid: readonly Run[], noise: number, sign: 1 | -1): Swell[] {
  let top = Number.NEGATIVE_INFINITY;
  for (const { from, to } of valid) for (let i = from; i < to; i++) if (sign * x[i]! > top) top = sign * x[i]!;
  const bottom = top - 8 * noise;
  const found: Swell[] = [];
  for (const run of valid) {
    let from = -1, last = -1;
    for (let i = run.from; i <= run.to + 2; i++) {
      if (i < run.to && sign * x[i]! >= bottom) {
        if (from < 0) from = i;
        last = i;
      } else if (from >= 0 && i - last > 2) {
        if (last + 1 - from >= shortest && last + 1 - from <= longest) found.push({ from, to: last + 1, run });
        from = -1;
      }
    }
  }
  return found;
}

/** A crest with what its flanks say of it. */
interface Judged {
  readonly from: number;
  readonly to: number;
  readonly flank: number;
  readonly values: Float64Array;
  /** The polynomial through the flanks, over the whole window. */
  readonly predicted: Float64Array;
  /** Sum of squares about the smooth curve. */
  readonly smooth: number;
  /** Mean of the middle half. */
  readonly middle: number;
  /** How far the flanks put the middle above that, and the standard error of it. */
  readonly over: number;
  readonly error: number;
}

function judged(x: Float64Array, swells: readonly Swell[], noise: number, sign: 1 | -1, flank: number): ShallowCuts | null {
  const shapes = new Map<number, Shape>();
  const crests = swells.flatMap(({ from, to, run }): Judged[] => {
    const f = Math.max(8, Math.round(flank * (to - from)));
    if (from - f < run.from || to + f > run.to) return [];
    let shape = shapes.get(to - from);
    if (!shape) shapes.set(to - from, (shape = shapeOf(to - from, f)));
    return [readCrest(shape, x.slice(from - f, to + f).map((v) => sign * v), noise, from, to, f)];
  });
  const higher = crests.filter((c) => c.over > 2 * c.error);
  if (higher.length < least || bend(higher) < leastBend) return null;
  const level = higher.reduce((s, c) => s + c.middle * (c.to - c.from), 0) / higher.reduce((s, c) => s + c.to - c.from, 0);
  let pro = 0, con = 0;
  for (const { values, predicted, smooth } of crests) {
    let cut = 0;
    for (let i = 0; i < values.length; i++) cut += (values[i]! - Math.min(level, predicted[i]!)) ** 2;
    const free = values.length - 7;
    if (Math.min(cut, smooth) > noise ** 2 * free * (1 + 4 * Math.sqrt(2 / free))) continue;
    if (smooth - cut > margin * noise ** 2) pro++;
    if (cut - smooth > margin * noise ** 2) con++;
  }
  return pro < least || pro <= con ? null : { spans: higher.map((c) => cutOf(c, level)), level };
}

/** Curvature of the flanks over that of the curve which they put between them, by second differences of thirds. */
function bend(crests: readonly Judged[]): number {
  const second = (x: Float64Array, from: number, length: number): number => {
    const [a, b] = [Math.floor(length / 3), Math.ceil((2 * length) / 3)];
    return (mean(x, from, from + a) - 2 * mean(x, from + a, from + b) + mean(x, from + b, from + length)) / length ** 2;
  };
  const between = crests.reduce((s, c) => s + second(c.predicted, c.flank, c.to - c.from), 0);
  const beside = crests.reduce((s, { values, flank }) => s + (second(values, 0, flank) + second(values, values.length - flank, flank)) / 2, 0);
  return beside / between;
}

/** The samples of a crest that its flanks put above the level. */
function cutOf({ from, to, flank, predicted }: Judged, level: number): Span {
  let [a, b] = [from, to];
  while (a < b - 1 && predicted[flank + a - from]! <= level) a++;
  while (b > a + 1 && predicted[flank + b - 1 - from]! <= level) b--;
  return { from: a, to: b, why: 'saturation' };
}

/** Polynomials over a window, orthonormal on all of it, and on its flanks. */
interface Shape {
  readonly all: readonly Float64Array[];
  readonly beside: readonly Float64Array[];
  readonly middle: Run;
  /** Variance of what the flanks say of the middle less its mean, for noise 1. */
  readonly variance: number;
}

function shapeOf(length: number, flank: number): Shape {
  const n = length + 2 * flank;
  const beside = polynomials(n, 4, (i) => i < flank || i >= flank + length);
  const middle = { from: flank + (length >> 2), to: flank + length - (length >> 2) };
  return { all: polynomials(n, 6, () => true), beside, middle, variance: 1 / (middle.to - middle.from) + beside.reduce((s, q) => s + mean(q, middle.from, middle.to) ** 2, 0) };
}

/** Polynomials up to a degree over n places, orthonormal over those that count (Gram and Schmidt, twice). */
function polynomials(n: number, degree: number, counts: (i: number) => boolean): Float64Array[] {
  const weight = Float64Array.from({ length: n }, (_, i) => (counts(i) ? 1 : 0));
  const dot = (a: Float64Array, b: Float64Array): number => a.reduce((s, v, i) => s + weight[i]! * v * b[i]!, 0);
  const found: Float64Array[] = [];
  for (let d = 0; d <= degree; d++) {
    let next = d === 0 ? new Float64Array(n).fill(1) : found[d - 1]!.map((v, i) => v * ((2 * i) / (n - 1) - 1));
    for (let twice = 0; twice < 2; twice++) {
      for (const q of found) {
        const along = dot(q, next);
        next = next.map((v, i) => v - along * q[i]!);
      }
    }
    const size = Math.sqrt(dot(next, next));
    found.push(next.map((v) => v / size));
  }
  return found;
}

function readCrest(shape: Shape, values: Float64Array, noise: number, from: number, to: number, flank: number): Judged {
  const predicted = new Float64Array(values.length);
  for (const q of shape.beside) {
    let along = 0;
    for (let i = 0; i < values.length; i++) if (i < flank || i >= values.length - flank) along += q[i]! * values[i]!;
    for (let i = 0; i < values.length; i++) predicted[i]! += along * q[i]!;
  }
  const left = values.slice();
  for (const q of shape.all) {
    let along = 0;
    for (let i = 0; i < left.length; i++) along += q[i]! * left[i]!;
    for (let i = 0; i < left.length; i++) left[i]! -= along * q[i]!;
  }
  const middle = mean(values, shape.middle.from, shape.middle.to);
  return {
    from, to, flank, values, predicted, middle, smooth: left.reduce((s, v) => s + v * v, 0),
    over: mean(predicted, shape.middle.from, shape.middle.to) - middle, error: noise * Math.sqrt(shape.variance),
  };
}

function mean(x: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += x[i]!;
  return sum / (to - from);
}
