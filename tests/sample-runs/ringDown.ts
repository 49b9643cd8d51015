import { freeModes } from '../../sample-runs/tarn-weir.mjs';
import { leastSquares } from '../../src/numeric/leastSquares.js';

/** Frequency and damping of a decaying oscillation near the first mode: an estimator of these tests, independent of the library. */
export function ringDown(x: Float64Array, sampleRate: number): { frequency: number; damping: number } {
  // A complex demodulator at the model's frequency, over whole periods, turns the ring into a slow exponential whose logarithm is a straight line.
  const w = 2 * Math.PI * freeModes()[0]!.frequency;
  const period = Math.round((2 * Math.PI * sampleRate) / w);
  const logs: number[] = [], phases: number[] = [], times: number[] = [];
  for (let from = 0; from + 4 * period < x.length; from += period) {
    let re = 0, im = 0;
    for (let i = 0; i < 4 * period; i++) {
      const taper = 1 - Math.cos((Math.PI * i) / (2 * period));
      re += taper * x[from + i]! * Math.cos((w * (from + i)) / sampleRate);
      im -= taper * x[from + i]! * Math.sin((w * (from + i)) / sampleRate);
    }
    let phase = Math.atan2(im, re);
    const last = phases.at(-1) ?? phase;
    phase += 2 * Math.PI * Math.round((last - phase) / (2 * Math.PI));
    logs.push(Math.log(Math.hypot(re, im)));
    phases.push(phase);
    times.push(from / sampleRate);
  }
  const ones = times.map(() => 1);
  const decay = -leastSquares([ones, times], logs)!.coefficients[1]!;
  const shift = leastSquares([ones, times], phases)!.coefficients[1]!;
  const wd = w + shift;
  return { frequency: wd / (2 * Math.PI), damping: decay / Math.hypot(wd, decay) };
}
