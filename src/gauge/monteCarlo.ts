import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { InputError } from '../record/errors.js';
import { momentsOf, standardDeviation } from '../numeric/moments.js';
import { createRandom } from '../numeric/random.js';
import { drawInput, inputAtScore, type PreparedInput } from './Uncertain.js';

/** What the draws of a budget gave. */
export interface MonteCarlo {
  readonly draws: number;
  readonly seed: number;
  readonly mean: number;
  readonly standardUncertainty: number;
  /** Interval with equal probability on both sides. */
  readonly low: number;
  readonly high: number;
  /** Shortest interval of the same coverage. */
  readonly shortestLow: number;
  readonly shortestHigh: number;
  /** True where both ends of the first-order interval lie within half a unit in the second figure of u of the ends found here. */
  readonly firstOrderHolds: boolean;
  /** Draws per class between low − and high + one tenth of the range: edges has one more entry than counts. */
  readonly histogram: { readonly edges: readonly number[]; readonly counts: readonly number[] };
}

/** What drawOutputs needs. */
export interface DrawPlan {
  readonly inputs: readonly PreparedInput[];
  readonly f: (x: Float64Array) => number;
  /** Correlations of the inputs, or null where all are independent. */
  readonly correlation: readonly (readonly number[])[] | null;
  readonly draws: number;
  readonly seed: number;
  readonly coverage: number;
  readonly first: { readonly value: number; readonly standardUncertainty: number; readonly expandedUncertainty: number };
}

/** Draws the inputs, sends them through the model and sums up what comes out. */
export function drawOutputs(where: string, plan: DrawPlan): MonteCarlo {
  const { inputs, f, draws, coverage } = plan;
  const random = createRandom(plan.seed);
  const root = plan.correlation ? squareRoot(where, plan.correlation) : null;
  const tied = plan.correlation?.map((row, i) => row.some((c, j) => i !== j && c !== 0));
  const outputs = new Float64Array(draws);
  const x = new Float64Array(inputs.length);
  const z = new Float64Array(inputs.length);
  for (let d = 0; d < draws; d++) {
    if (root) for (let i = 0; i < z.length; i++) z[i] = random.normal();
    for (let i = 0; i < x.length; i++) {
      if (!tied?.[i]) {
        x[i] = drawInput(inputs[i]!, random);
        continue;
      }
      let score = 0;
      for (let j = 0; j < z.length; j++) score += root![i]![j]! * z[j]!;
      x[i] = inputAtScore(inputs[i]!, score);
    }
    outputs[d] = f(x);
  }
  outputs.sort();
  if (!Number.isFinite(outputs[0]!) || !Number.isFinite(outputs[draws - 1]!)) {
    throw new InputError({ where, argument: 'model', expected: 'a function that gives a finite number wherever the inputs may lie', given: 'draws without one' });
  }
  const inside = Math.min(draws - 1, Math.max(1, Math.round(coverage * draws)));
  const tail = Math.floor((draws - inside) / 2);
  let shortest = 0;
  for (let i = 1; i + inside < draws; i++) if (outputs[i + inside]! - outputs[i]! < outputs[shortest + inside]! - outputs[shortest]!) shortest = i;
  const moments = momentsOf(outputs);
  const low = outputs[tail]!;
  const high = outputs[tail + inside]!;
  const { value, standardUncertainty, expandedUncertainty } = plan.first;
  const tolerance = standardUncertainty > 0 ? 0.5 * 10 ** (Math.floor(Math.log10(standardUncertainty)) - 1) : 0;
  const firstOrderHolds = Math.abs(value - expandedUncertainty - low) <= tolerance && Math.abs(value + expandedUncertainty - high) <= tolerance;
  return Object.freeze({
    draws, seed: plan.seed, mean: moments.mean, standardUncertainty: draws > 1 ? standardDeviation(moments) : 0, low, high,
    shortestLow: outputs[shortest]!, shortestHigh: outputs[shortest + inside]!, firstOrderHolds, histogram: histogramOf(outputs),
  });
}

/** Sixty classes between the 0.05 % and 99.95 % draws, the outermost open. */
function histogramOf(sorted: Float64Array): MonteCarlo['histogram'] {
  const n = sorted.length;
  const a = sorted[Math.floor(0.0005 * n)]!;
  const b = sorted[Math.min(n - 1, Math.floor(0.9995 * n))]!;
  const classes = b > a ? 60 : 1;
  const width = b > a ? (b - a) / classes : 1;
  const counts = new Array<number>(classes).fill(0);
  for (const v of sorted) counts[Math.min(classes - 1, Math.max(0, Math.floor((v - a) / width)))]!++;
  return Object.freeze({ edges: Object.freeze(Array.from({ length: classes + 1 }, (_, i) => a + i * width)), counts: Object.freeze(counts) });
}

/** A square root of a correlation matrix, so that root · (independent normals) has it. */
function squareRoot(where: string, correlation: readonly (readonly number[])[]): number[][] {
  const eigen = new EigenvalueDecomposition(new Matrix(correlation.map((row) => [...row])), { assumeSymmetric: true });
  if (eigen.realEigenvalues.some((v) => v < -1e-9)) throw new InputError({ where, argument: 'correlations', expected: 'possible together (a matrix without negative eigenvalues)', given: 'coefficients that contradict each other' });
  return eigen.eigenvectorMatrix.to2DArray().map((row) => row.map((v, j) => v * Math.sqrt(Math.max(0, eigen.realEigenvalues[j]!))));
}
