import { inverse, Matrix } from 'ml-matrix';
import { partLags, type Block, type PartLags } from './partLags.js';

/** Numbers at a steady rate with a mask: NaN where there is none. */
export interface Sampled {
  readonly values: Float64Array;
  /** Hz. */
  readonly sampleRate: number;
  /** Time of the first value, s. */
  readonly first: number;
}

/** Mean over a symmetric Hann window of `half` samples to each side; NaN where any sample under it is NaN. Odd symmetry keeps ramps in place. */
export function smooth(values: Float64Array, half: number): Float64Array {
  const weights = Float64Array.from({ length: 2 * half + 1 }, (_, j) => 1 + Math.cos((Math.PI * (j - half)) / (half + 1)));
  const total = weights.reduce((s, w) => s + w, 0);
  const out = new Float64Array(values.length).fill(NaN);
  for (let i = half; i < values.length - half; i++) {
    let sum = 0;
    for (let j = 0; j <= 2 * half; j++) sum += weights[j]! * values[i + j - half]!;
    out[i] = sum / total;
  }
  return out;
}

/** Offset and skew of one clock against another, by least squares on the signals. */
export interface LagFit {
  readonly offset: number;
  readonly skew: number;
  readonly gain: number;
  readonly bias: number;
  /** Covariance of (offset, skew): residuals of one block belong together, blocks are independent. */
  readonly offsetVariance: number;
  readonly skewVariance: number;
  readonly covariance: number;
  readonly correlation: number;
  readonly samples: number;
  readonly converged: boolean;
  /** How far the features of eight parts of the record lie from the one law, by the other's time; each part holds an equal share of what fixes the lag. */
  readonly parts: PartLags;
}

/**
 * Finds offset, skew, gain and bias that solve Σ J·r = 0, r = other(τ) − bias − gain·reference(t), with J the derivatives of the
 * model from the reference: the normal equations of least squares. Their derivative is taken as −Σ J·J′, with J′ from
 * the other signal, whose noise is independent: noise in the slopes would otherwise make steps and errors too small.
 *
 * Fits other(τ) ≈ bias + gain·reference(t), τ = (t − offset)·(1 + skew), over the samples of `other`;
 * the reference is read between its samples by a straight line. Both should have been smoothed over the same time.
 *
 * @param start first offset, s; the skew starts at 0
 * @param block seconds over which residuals belong together, longer than the smoothing
 */
export function fitLag(reference: Sampled, other: Sampled, start: number, block: number): LagFit | null {
  let offset = start, skew = 0, gain = 1, bias = 0;
  let last: ReturnType<typeof accumulate> | null = null;
  let converged = false;
  for (let round = 0; round < 40 && !converged; round++) {
    if (round === 0) {
      const first = accumulate(reference, other, offset, skew, 0, 0, block);
      const line = first && solve(first.linear, first.linearRight);
      if (!line) return null;
      [bias, gain] = [line[0]!, line[1]!];
    }
    last = accumulate(reference, other, offset, skew, gain, bias, block);
    const step = last && solve(last.normal, last.right);
    if (!last || !step) return null;
    bias += step[0]!;
    gain += step[1]!;
    // The derivative of the model by time carries −gain; a step that leaves the feature is shortened.
    const limit = 0.5;
    const shrink = Math.min(1, limit / Math.max(1e-300, Math.abs(step[2]!), Math.abs(step[3]!) * last.span));
    offset += shrink * step[2]!;
    skew += shrink * step[3]!;
    converged = Math.abs(step[2]!) < 1e-9 && Math.abs(step[3]!) * last.span < 1e-9;
  }
  last = accumulate(reference, other, offset, skew, gain, bias, block);
  const inverse = last && invert(last.normal);
  if (!last || !inverse) return null;
  const covariance = blockCovariance(inverse, last.blocks);
  return { offset, skew, gain, bias, offsetVariance: covariance[2]![2]!, skewVariance: covariance[3]![3]!, covariance: covariance[2]![3]!, correlation: last.correlation, samples: last.samples, converged, parts: partLags(last.blocks, 8) };
}

/**
 * Covariance by leaving out one block at a time: A⁻¹·(Σ s̃·s̃ᵀ)·A⁻ᵀ with s̃ = (I − A_b·A⁻¹)⁻¹·s_b, which a block with much of
 * the information cannot make too small. NaN for fewer than nine blocks.
 */
function blockCovariance(inverseA: readonly (readonly number[])[], blocks: readonly Block[]): number[][] {
  const A = new Matrix(inverseA.map((r) => [...r]));
  const middle = Matrix.zeros(4, 4);
  for (const { score, normal } of blocks) {
    const rest = Matrix.eye(4, 4).sub(new Matrix(normal).mmul(A));
    let turned: Matrix;
    try {
      turned = inverse(rest).mmul(Matrix.columnVector(score));
    } catch {
      return zeros(4).map((r) => r.fill(NaN));
    }
    middle.add(turned.mmul(turned.transpose()));
  }
  return blocks.length > 8 ? A.mmul(middle).mmul(A.transpose()).to2DArray() : zeros(4).map((r) => r.fill(NaN));
}

interface Sums {
  readonly normal: number[][];
  readonly right: number[];
  readonly linear: number[][];
  readonly linearRight: number[];
  readonly correlation: number;
  readonly samples: number;
  readonly blocks: readonly Block[];
  readonly span: number;
}

function accumulate(reference: Sampled, other: Sampled, offset: number, skew: number, gain: number, bias: number, block: number): Sums | null {
  const normal = zeros(4), linear = zeros(2);
  const right = [0, 0, 0, 0], linearRight = [0, 0], second = [0, 0, 0, 0], row = [1, 0, 0, 0], twin = [1, 0, 0, 0];
  const { values: x, sampleRate } = reference;
  const perSecond = Math.max(1, Math.round(block * other.sampleRate));
  let samples = 0, sx = 0, sy = 0, sxx = 0, syy = 0, sxy = 0;
  const blocks: Block[] = [];
  let inBlock = 0;
  let part = zeros(4);
  const flush = (): void => {
    if (inBlock > 0) blocks.push({ score: [...second], normal: part });
    for (let i = 0; i < 4; i++) for (let j = 0; j < 4; j++) normal[i]![j]! += part[i]![j]!;
    part = zeros(4);
    inBlock = 0;
    second.fill(0);
  };
  for (let k = 0; k < other.values.length; k++) {
    if (k % perSecond === 0) flush();
    const y = other.values[k]!;
    const tau = other.first + k / other.sampleRate;
    const t = offset + tau / (1 + skew);
    const place = (t - reference.first) * sampleRate;
    const i = Math.floor(place);
    if (y !== y || i < 1 || i + 2 >= x.length) continue;
    const f = place - i;
    const v = x[i]! + f * (x[i + 1]! - x[i]!);
    const slope = ((1 - f) * (x[i + 1]! - x[i - 1]!) + f * (x[i + 2]! - x[i]!)) * 0.5 * sampleRate;
    const slopeOther = (other.values[k + 1]! - other.values[k - 1]!) * 0.5 * other.sampleRate;
    if (v !== v || slope !== slope || slopeOther !== slopeOther) continue;
    const r = y - bias - gain * v;
    row[1] = v;
    row[2] = gain * slope;
    row[3] = -gain * slope * tau / (1 + skew) ** 2;
    twin[1] = gain === 0 ? v : (y - bias) / gain;
    twin[2] = slopeOther * (1 + skew);
    twin[3] = -slopeOther * tau / (1 + skew);
    for (let p = 0; p < 4; p++) {
      right[p]! += row[p]! * r;
      second[p]! += row[p]! * r;
      for (let q = 0; q < 4; q++) part[p]![q]! += row[p]! * twin[q]!;
    }
    linear[0]![0]!++;
    linear[0]![1]! += v;
    linear[1]![0]! += v;
    linear[1]![1]! += v * v;
    linearRight[0]! += y;
    linearRight[1]! += y * v;
    samples++;
    inBlock++;
    sx += v;
    sy += y;
    sxx += v * v;
    syy += y * y;
    sxy += v * y;
  }
  flush();
  if (samples < 16) return null;
  const correlation = (sxy - (sx * sy) / samples) / Math.sqrt(Math.max(1e-300, (sxx - (sx * sx) / samples) * (syy - (sy * sy) / samples)));
  return { normal, right, linear, linearRight, correlation, samples, blocks, span: other.values.length / other.sampleRate };
}

function zeros(n: number): number[][] {
  return Array.from({ length: n }, () => new Array<number>(n).fill(0));
}

/** A⁻¹ after the unknowns were scaled to one size; null where A is singular. */
function invert(A: readonly (readonly number[])[]): number[][] | null {
  const scale = A.map((r, i) => 1 / Math.sqrt(Math.abs(r[i]!)));
  if (!scale.every(Number.isFinite)) return null;
  const scaled = new Matrix(A.map((r, i) => r.map((v, j) => v * scale[i]! * scale[j]!)));
  try {
    return inverse(scaled).to2DArray().map((r, i) => r.map((v, j) => v * scale[i]! * scale[j]!));
  } catch {
    return null;
  }
}

function solve(A: readonly (readonly number[])[], b: readonly number[]): number[] | null {
  const inverse = invert(A);
  return inverse && inverse.map((r) => r.reduce((s, v, j) => s + v * b[j]!, 0));
}
