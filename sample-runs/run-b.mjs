// Run (b): twenty minutes of steady duty with blocked intakes and a bad radio path, rest at both ends. The recorder stores amplifier volts.
import { chain, plant } from './tarn-weir.mjs';
import { driven, makePushes, rise, simulate, strikes } from './model.mjs';
import { bridgeSignal, lose, quantise, radioFaults, speedSignal } from './chain.mjs';
import { plantTruth, torqueTruth, zeroTruth } from './truth.mjs';

export const runB = Object.freeze({ sampleRate: 250, seconds: 1200, seed: 281 });
const zero = Object.freeze({ offset: -0.0412, rise: 0.075, lag: 2600 });
const at = Object.freeze({ start: 25, stop: 1160 });
const blockages = Object.freeze([{ from: 210, to: 244 }, { from: 455, to: 476 }, { from: 702, to: 760 }, { from: 988, to: 1013 }]);

/** The duty as a function of time; call it with rising t (see makePushes). */
function makeDuty(list) {
  const strike = makePushes(list);
  return (t) => {
    const blockage = blockages.find((b) => t >= b.from && t < b.to);
    const depth = blockage ? rise(t, blockage.from, 2) * (1 - rise(t, blockage.to - 2, 2)) : 0;
    // The starved pump loses a third of its load and gulps: slow surges that never quite repeat.
    const surge = depth * 0.16 * (Math.sin(2 * Math.PI * 0.61 * t) + Math.sin(2 * Math.PI * 0.87 * t + 1));
    const valve = 0.9 * (1 - 0.34 * depth + surge);
    return { ...driven(t, { start: at.start, stop: at.stop, target: plant.ratedSpeed, valve }), turbulence: 1 + 3 * depth, torque: strike(t) };
  };
}

/**
 * Makes run (b) in memory.
 *
 * @param {{ seed?: number }} [options]
 * @returns {{ sampleRate: number, channels: { bridge: Float64Array, speed: Float64Array }, trueTorque: Float64Array, trueSpeed: Float64Array, truth: Record<string, any> }}
 * bridge in V (excitation 5 V, gain 1000: 5 V per mV/V) and speed in rpm as recorded; true torque in N·m, true speed in rad/s
 */
export function makeRunB({ seed = runB.seed } = {}) {
  const { sampleRate, seconds } = runB;
  const list = strikes(seed + 4, blockages);
  const { torque, speed } = simulate({ seconds, sampleRate, substeps: 8, seed, duty: makeDuty(list) });
  const faults = radioFaults({ seed: seed + 1, sampleRate, count: 28, from: 40, to: 1150, shortest: 0.04, longest: 1.6, held: 0.4 });
  const voltsPerRatio = (chain.excitation * chain.gain) / 1000;
  const volts = bridgeSignal(torque, sampleRate, zero, seed + 2).map((v) => v * voltsPerRatio);
  const bridge = lose(quantise(volts, chain.step * voltsPerRatio), faults);
  const windows = [{ from: 1, to: 24 }, { from: 1182, to: 1199 }];
  const truth = {
    run: 'b', seed, sampleRate, samples: torque.length, seconds, ...plantTruth(), zero: zeroTruth(zero, seconds, windows), voltsPerRatio,
    events: [{ name: 'start', t: at.start }, ...blockages.map((b) => ({ name: 'intake blocked', ...b })), ...list.map((s) => ({ name: 'strike', ...s })), { name: 'stop', t: at.stop }],
    faults: { bridge: faults }, torque: torqueTruth(torque, sampleRate),
  };
  return { sampleRate, channels: { bridge, speed: speedSignal(speed, seed + 3) }, trueTorque: torque, trueSpeed: speed, truth };
}
