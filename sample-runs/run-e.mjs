// Run (e): a commissioning run with the pump casing nearly drained. Slow run-up and free coast-down, both through the speed at which
// the second order meets the first torsional mode; an uneven pulse target with missing and extra pulses; mains pick-up in the bridge.
import { createRandom } from 'quillshaft';
import { chain, freeModes, plant } from './tarn-weir.mjs';
import { simulate, still } from './model.mjs';
import { bridgeSignal, quantise } from './chain.mjs';
import { plantTruth, torqueTruth } from './truth.mjs';

export const runE = Object.freeze({ sampleRate: 500, seconds: 130, seed: 10281 });
const at = Object.freeze({ start: 8, top: 83, stop: 98 });
const zero = Object.freeze({ offset: 0.0318, rise: 0, lag: 600 });
/** Mains pick-up in the bridge signal: first and second harmonic, mV/V. */
const mains = Object.freeze({ frequency: 49.97, amplitudes: [0.0011, 0.0006] });
/** The shaft as it was found: misaligned coupling (order 2), and a bent motor coupling seen at the gear ratio and twice that. N·m. */
const excitation = Object.freeze([
  { order: 1, torque: 25, phase: 0.4 }, { order: 2, torque: 42, phase: 1.2 }, { order: plant.gear.ratio, torque: 18, phase: 2.3 },
  { order: 2 * plant.gear.ratio, torque: 9, phase: 0.2 }, { order: 5, torque: 22, phase: 1.1 },
]);
const drained = Object.freeze({
  ...plant, pumpTorque: 0.15 * plant.pumpTorque, orders: Object.freeze(excitation.map((e) => Object.freeze({ ...e, share: 0 }))),
  friction: Object.freeze({ ...plant.friction, pump: 60 }),
});
const target = Object.freeze({ marks: 24, unevenness: 0.012, missing: 30, extra: 20 });

/** @param {number} t */
function duty(t) {
  if (t < at.start || t >= at.stop) return still;
  return { ...still, drive: /** @type {const} */ ('converter'), target: plant.ratedSpeed * Math.min(1, (t - at.start) / (at.top - at.start)), turbulence: 0.5 };
}

/** Times at which the shaft, turning forwards, first passes each of the angles (rising), by cubic Hermite interpolation of angle and speed. */
function passings(angle, speed, sampleRate, angles) {
  const times = [];
  let i = 0;
  for (const wanted of angles) {
    while (i + 1 < angle.length && angle[i + 1] < wanted) i++;
    if (i + 1 >= angle.length) break;
    const [a, b, h] = [angle[i], angle[i + 1], 1 / sampleRate];
    let low = 0, high = 1;
    for (let n = 0; n < 50; n++) {
      const s = (low + high) / 2, r = 1 - s;
      const here = a * r * r * (1 + 2 * s) + b * s * s * (1 + 2 * r) + h * s * r * (speed[i] * r - speed[i + 1] * s);
      if (here < wanted) low = s;
      else high = s;
    }
    times.push((i + high) * h);
  }
  return times;
}

/** Pulse stamps, s to the microsecond, of an uneven target: some marks do not show, some pulses belong to no mark. */
function pulseTrain(angle, speed, sampleRate, seed) {
  const random = createRandom(seed);
  const marks = Array.from({ length: target.marks }, (_, k) => (2 * Math.PI * k) / target.marks + target.unevenness * random.normal()).map((m, k) => (k === 0 ? 0.05 : m + 0.05));
  const turns = Math.floor(angle[angle.length - 1] / (2 * Math.PI)) + 1;
  const angles = Array.from({ length: turns }, (_, n) => marks.map((m) => m + 2 * Math.PI * n)).flat();
  const times = passings(angle, speed, sampleRate, angles);
  const missing = new Set();
  while (missing.size < target.missing) missing.add(40 + random.below(times.length - 80));
  const extra = Array.from({ length: target.extra }, () => {
    const n = 40 + random.below(times.length - 80);
    return times[n] + (0.25 + 0.5 * random.uniform()) * (times[n + 1] - times[n]);
  }).sort((a, b) => a - b);
  const kept = times.filter((_, n) => !missing.has(n));
  const stamps = quantise(Float64Array.from([...kept, ...extra].sort((a, b) => a - b)), 1e-6);
  return { stamps, truth: { unit: 's', marks, missing: [...missing].sort((a, b) => a - b).map((n) => times[n]), extra, markPassings: times.length } };
}

/** When the shaft passes a speed, rad/s: first time upwards, last time downwards, with the acceleration there, rad/s². */
function crossings(speed, sampleRate, wanted) {
  const slope = (i) => ((speed[i + 250] - speed[i - 250]) * sampleRate) / 500;
  const up = speed.findIndex((w) => w >= wanted);
  let down = speed.length - 1;
  while (speed[down] < wanted) down--;
  return [up, down].map((i) => ({ t: i / sampleRate, acceleration: slope(i) }));
}

/**
 * Makes run (e) in memory: bridge, mV/V, and pulse stamps, s; true torque (N·m), speed (rad/s) and angle (rad) of the line shaft on the
 * bridge's time line.
 *
 * @param {{ seed?: number }} [options]
 */
export function makeRunE({ seed = runE.seed } = {}) {
  const { sampleRate, seconds } = runE;
  const { torque, speed, angle } = simulate({ seconds, sampleRate, substeps: 6, seed, duty, plant: drained });
  const pulses = pulseTrain(angle, speed, sampleRate, seed + 6);
  const w = 2 * Math.PI * mains.frequency;
  const bridge = quantise(bridgeSignal(torque, sampleRate, zero, seed + 2).map((v, i) => {
    const t = i / sampleRate;
    return v + mains.amplitudes[0] * Math.sin(w * t) + mains.amplitudes[1] * Math.sin(2 * w * t + 0.7);
  }), chain.step);
  const mode = freeModes()[0];
  const truth = {
    run: 'e', seed, sampleRate, samples: torque.length, seconds, ...plantTruth(), load: 0.15, friction: drained.friction,
    zero: { ...zero, unit: 'mV/V' }, mains: { ...mains, unit: 'Hz, mV/V' }, excitation: { unit: 'N·m on the impeller, per revolution of the line shaft', orders: excitation },
    events: [{ name: 'run-up begins', t: at.start }, { name: 'full speed', t: at.top }, { name: 'drive off', t: at.stop }],
    criticals: excitation.map(({ order }) => ({ order, speed: (2 * Math.PI * mode.frequency) / order })).filter((c) => c.speed < plant.ratedSpeed)
      .map((c) => ({ ...c, passed: crossings(speed, sampleRate, c.speed) })),
    target: pulses.truth, torque: torqueTruth(torque, sampleRate),
  };
  return { sampleRate, channels: { bridge }, pulses: pulses.stamps, trueTorque: torque, trueSpeed: speed, trueAngle: angle, truth };
}
