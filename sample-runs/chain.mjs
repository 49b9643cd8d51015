// The measuring chain: what bridge, radio and recorder make of the true torque and speed.
import { createRandom } from 'quillshaft';
import { bridgePerTorque, chain } from './tarn-weir.mjs';

/**
 * Warm-up of the bridge: zero(t) = offset + rise · (1 − exp(−t/lag)), mV/V.
 *
 * @typedef {{ offset: number, rise: number, lag: number }} Zero
 */
/** The zero at t seconds, mV/V. */
export function zeroAt(zero, t) {
  return zero.offset + zero.rise * (1 - Math.exp(-t / zero.lag));
}

/**
 * Bridge signal, mV/V, before radio and recorder: torque, zero and noise.
 *
 * @param {Float64Array} torque N·m
 * @param {number} sampleRate Hz
 * @param {Zero} zero
 * @param {number} seed
 */
export function bridgeSignal(torque, sampleRate, zero, seed) {
  const random = createRandom(seed);
  return torque.map((t, i) => bridgePerTorque * t + zeroAt(zero, i / sampleRate) + chain.noise * random.normal());
}

/** Speed as the recorder sees it, rpm: a standing shaft gives exact zeros. */
export function speedSignal(speed, seed) {
  const random = createRandom(seed);
  return quantise(speed.map((w) => (Math.abs(w) < 0.01 ? 0 : (w * 30) / Math.PI + chain.speedNoise * random.normal())), chain.speedStep);
}

/** To the nearest whole number of steps (the decimal fraction that prints shortest). */
export function quantise(values, step) {
  const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  const scale = 10 ** digits;
  return values.map((v) => Math.round(Math.round(v / step) * step * scale) / scale + 0);
}

/**
 * Radio faults, in place: 'dropout' sends exact zeros, 'held value' repeats the last sample.
 *
 * @param {Float64Array} values
 * @param {readonly { from: number, to: number, why: string }[]} faults
 */
export function lose(values, faults) {
  for (const { from, to, why } of faults) values.fill(why === 'dropout' ? 0 : values[from - 1], from, to);
  return values;
}

/**
 * Spans of lost radio in the times given: `count` of them, `shortest` … `longest` seconds (log-uniform), never touching.
 *
 * @returns {{ from: number, to: number, why: 'dropout' | 'held value' }[]} in samples, from ≤ i < to
 */
export function radioFaults({ seed, sampleRate, count, from, to, shortest, longest, held }) {
  const random = createRandom(seed);
  const spans = [];
  while (spans.length < count) {
    const length = Math.round(sampleRate * shortest * (longest / shortest) ** random.uniform());
    const at = Math.round(sampleRate * (from + (to - from) * random.uniform()));
    const why = random.uniform() < held ? 'held value' : 'dropout';
    const span = { from: at, to: at + length, why };
    const gap = Math.round(0.5 * sampleRate);
    if (span.to < sampleRate * to && spans.every((s) => s.to + gap < span.from || span.to + gap < s.from)) spans.push(span);
  }
  return spans.sort((a, b) => a.from - b.from);
}
