// Run (d): twelve one-minute files of start–stop duty, cut from one record without regard to what the pump was doing. The station's
// own logger stores zeroed torque.
import { createRandom } from 'quillshaft';
import { plant } from './tarn-weir.mjs';
import { driven, makePushes, rise, simulate } from './model.mjs';
import { quantise } from './chain.mjs';
import { plantTruth, torqueTruth } from './truth.mjs';

export const runD = Object.freeze({ sampleRate: 200, files: 12, secondsPerFile: 60, seed: 20290, noise: 3, step: 1 });
/** The logger's plant starts softly: no breakaway boost. */
const softPlant = Object.freeze({ ...plant, drive: Object.freeze({ ...plant.drive, boost: 0, ramp: 8 }) });
const runs = Object.freeze([
  { start: 20, stop: 100, valve: 0.7 }, { start: 135, stop: 221, valve: 0.95 }, { start: 258, stop: 337, valve: 0.8 },
  { start: 372, stop: 466, valve: 1 }, { start: 497, stop: 581, valve: 0.6 }, { start: 612, stop: 704, valve: 0.9 },
]);
const pushes = Object.freeze([{ t: 171, seconds: 0.045, height: 3600 }, { t: 430, seconds: 0.05, height: 4200 }, { t: 655, seconds: 0.04, height: -3000 }]);

/**
 * Makes run (d) in memory: `files` are the twelve pieces of `torque` in time order, N·m.
 *
 * @param {{ seed?: number }} [options]
 */
export function makeRunD({ seed = runD.seed } = {}) {
  const { sampleRate, files, secondsPerFile, noise, step } = runD;
  const random = createRandom(seed + 2);
  const push = makePushes(pushes);
  const duty = (t) => {
    const run = runs.find((r) => t < r.stop + 25) ?? runs[runs.length - 1];
    // The river level moves the load slowly while the pump runs.
    const valve = run.valve * (1 + 0.06 * Math.sin((2 * Math.PI * t) / 41) * rise(t, run.start, 10));
    return { ...driven(t, { ...run, target: plant.ratedSpeed, valve, first: 0, plant: softPlant }), torque: push(t) };
  };
  const { torque: real, speed } = simulate({ seconds: files * secondsPerFile, sampleRate, substeps: 10, seed, duty, plant: softPlant });
  const torque = quantise(real.map((v) => v + noise * random.normal()), step);
  const samples = sampleRate * secondsPerFile;
  const truth = {
    run: 'd', seed, sampleRate, files, samplesPerFile: samples, ...plantTruth(), noise: { value: noise, unit: 'N·m rms' },
    events: [...runs.map((r) => ({ name: 'run', ...r })), ...pushes.map((p) => ({ name: 'strike', ...p }))],
    torque: torqueTruth(real, sampleRate), recorded: torqueTruth(torque, sampleRate).rainflow,
  };
  return { sampleRate, files: Array.from({ length: files }, (_, k) => torque.slice(k * samples, (k + 1) * samples)), torque, trueTorque: real, trueSpeed: speed, truth };
}
