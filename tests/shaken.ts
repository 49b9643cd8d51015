import { createRandom, makeChannel, type Channel } from '../src/index.js';

/** A torque at 100 Hz whose mode of 8 Hz, 2 % damped, answers noise: 12 000 samples. */
export function shaken(): Channel<'N·m'> {
  const random = createRandom(4);
  const a = 2 * Math.exp(-0.02 * 2 * Math.PI * 0.08) * Math.cos(2 * Math.PI * 0.08), b = -Math.exp(-0.04 * 2 * Math.PI * 0.08);
  const y = new Float64Array(12000);
  for (let i = 2; i < y.length; i++) y[i] = a * y[i - 1]! + b * y[i - 2]! + random.normal();
  return makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: y });
}
