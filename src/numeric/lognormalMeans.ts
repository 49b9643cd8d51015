import type { Random } from './random.js';

/** Added to every value before its logarithm is taken, as a share of their mean: a value of 0 then has a logarithm, and values near 0 do not rule the spread. */
const floorShare = 0.05;

/** Logarithms of values to each of which a share of their mean was added, and what was added. */
export function flooredLogs(values: Float64Array): { readonly logs: Float64Array; readonly added: number } {
  const added = (floorShare * values.reduce((a, b) => a + b, 0)) / values.length;
  return { logs: values.map((v) => Math.log(v + added)), added };
}

/**
 * Draws the mean of the distribution that a few positive values come from, their logarithms (of the value and a twentieth
 * of the mean) being taken as normal: exp(y − z·s/√(u·k) + s²/(2u)) less what was added, with y and s the mean and the standard
 * deviation of the k logarithms, z a standard normal and (k − 1)·u a chi-square of k − 1 degrees of freedom.
 *
 * Where neighbouring values are alike and count as n < k independent ones, n stands for k under the root, and s² is raised by (k − 1)/(k − k/n),
 * for values that are alike spread less about their own mean.
 *
 * @param independent as how many independent values they count; all of them unless told
 * @returns the draws, rising; not below 0
 * @references K. Krishnamoorthy and T. Mathew, Inferences on the means of lognormal distributions using generalized p-values and generalized confidence intervals, Journal of Statistical Planning and Inference 115 (2003) 103, from memory.
 */
export function lognormalMeans(values: Float64Array, draws: number, random: Random, independent: number = values.length): Float64Array {
  const k = values.length;
  const { logs, added } = flooredLogs(values);
  const mean = logs.reduce((a, b) => a + b, 0) / k;
  const variance = logs.reduce((sum, y) => sum + (y - mean) ** 2, 0) / (k - k / independent);
  return Float64Array.from({ length: draws }, () => {
    let chiSquare = 0;
    for (let j = 1; j < k; j++) chiSquare += random.normal() ** 2;
    const drawn = (variance * (k - 1)) / chiSquare;
    return Math.max(0, Math.exp(mean - random.normal() * Math.sqrt(drawn / independent) + drawn / 2) - added);
  }).sort();
}
