// Run (a): rest – start – load steps – trip – coast-down – rest, with a bridge that warms up.
import { chain, plant } from './tarn-weir.mjs';
import { driven, push, rise, simulate } from './model.mjs';
import { bridgeSignal, lose, quantise, radioFaults, speedSignal } from './chain.mjs';
import { plantTruth, torqueTruth, zeroTruth } from './truth.mjs';

export const runA = Object.freeze({ sampleRate: 1000, seconds: 150, seed: 800 });
const zero = Object.freeze({ offset: 0.0731, rise: 0.082, lag: 600 });
const at = Object.freeze({ start: 12, steps: [{ t: 38, valve: 0.75 }, { t: 60, valve: 1 }, { t: 100, valve: 0.85 }], debris: 82, trip: 118 });
const firstValve = 0.6;

/** @param {number} t */
function duty(t) {
  let valve = firstValve;
  for (const step of at.steps) valve += (step.valve - valve) * rise(t, step.t, 0.3);
  return { ...driven(t, { start: at.start, stop: at.trip, target: plant.ratedSpeed, valve }), torque: push(t, at.debris, 0.045, 4200) };
}

/**
 * Makes run (a) in memory.
 *
 * @param {{ seed?: number }} [options]
 * @returns {{ sampleRate: number, channels: { bridge: Float64Array, speed: Float64Array }, trueTorque: Float64Array, trueSpeed: Float64Array, truth: Record<string, any> }}
 * bridge in mV/V and speed in rpm as recorded; true torque in N·m, true speed in rad/s
 */
export function makeRunA({ seed = runA.seed } = {}) {
  const { sampleRate, seconds } = runA;
  const { torque, speed } = simulate({ seconds, sampleRate, substeps: 4, seed, duty });
  const faults = radioFaults({ seed: seed + 1, sampleRate, count: 6, from: 20, to: 112, shortest: 0.02, longest: 0.2, held: 0 })
    .filter((f) => Math.abs(f.from / sampleRate - at.debris) > 3);
  const bridge = lose(quantise(bridgeSignal(torque, sampleRate, zero, seed + 2), chain.step), faults);
  const windows = [{ from: 0.5, to: 11.5 }, { from: 138, to: 149.5 }];
  const truth = {
    run: 'a', seed, sampleRate, samples: torque.length, seconds, ...plantTruth(), zero: zeroTruth(zero, seconds, windows),
    events: [
      { name: 'start', t: at.start }, ...at.steps.map((s) => ({ name: 'load step', ...s })), { name: 'debris strikes the impeller', t: at.debris },
      { name: 'trip', t: at.trip },
    ],
    faults: { bridge: faults }, torque: torqueTruth(torque, sampleRate),
  };
  return { sampleRate, channels: { bridge, speed: speedSignal(speed, seed + 3) }, trueTorque: torque, trueSpeed: speed, truth };
}
