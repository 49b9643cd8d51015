import { describe, expect, it } from 'vitest';
import { makeRunA } from '../../sample-runs/run-a.mjs';
import { makeRunB } from '../../sample-runs/run-b.mjs';
import { simulate, still } from '../../sample-runs/model.mjs';
import { rangePowerSums } from '../../sample-runs/witness.mjs';
import { zeroAt } from '../../sample-runs/chain.mjs';
import { bridgePerTorque, chain, freeModes, plant } from '../../sample-runs/tarn-weir.mjs';
import { committed, mean, truthOf, unpack, worst } from './committed.js';
import { leastSquares } from '../../src/numeric/leastSquares.js';

/** Frequency and damping of a decaying oscillation. */
function ringDown(x: Float64Array, sampleRate: number): { frequency: number; damping: number } {
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

const run = makeRunA();

describe('run (a)', () => {
  it('comes out of the generator as it is committed', () => {
    const [time, bridge, speed] = committed('run-a.csv.gz');
    expect(unpack('run-a.csv.gz').split('\n', 2)).toEqual(['time,bridge,speed', 's,mV/V,rpm']);
    expect(worst(time!, run.trueTorque.map((_, i) => i / run.sampleRate))).toBeLessThan(1e-9);
    expect(worst(bridge!, run.channels.bridge)).toBe(0);
    expect(worst(speed!, run.channels.speed)).toBe(0);
    expect(worst(committed('run-a.truth.csv.gz')[0]!, run.trueTorque)).toBeLessThan(0.0501);
    expect(truthOf('run-a')).toEqual(JSON.parse(JSON.stringify(run.truth)));
  });
  it('obeys the pump law in steady duty: T = pumpTorque · valve · (ω/ω₀)² + friction', () => {
    for (const [from, to, valve] of [[28, 37, 0.6], [48, 59, 0.75], [70, 81, 1], [108, 117, 0.85]] as const) {
      const [a, b] = [from * run.sampleRate, to * run.sampleRate];
      const squares = run.trueSpeed.map((w) => w * w);
      const law = plant.pumpTorque * valve * (mean(squares, a, b) / plant.ratedSpeed ** 2) + plant.friction.pump;
      // What turbulence (2 % of the load in a band of 30 Hz) can leave in a mean of some ten seconds.
      expect(Math.abs(mean(run.trueTorque, a, b) / law - 1)).toBeLessThan(0.01);
    }
  });
  it('balances energy over the coast-down: what the train held is what water and friction took, within 1 %', () => {
    const { inertia, friction } = plant;
    // From 3 s after the trip the non-return valve is shut: load share 0.85 · 0.12 at the speed that the water has followed to.
    const [trip, a, b] = [118 * run.sampleRate, 121 * run.sampleRate, 137 * run.sampleRate];
    const law = (plant.pumpTorque * 0.85 * plant.nonReturn.share) / plant.ratedSpeed ** 2;
    let work = 0;
    let followed = mean(run.trueSpeed, trip - 100, trip);
    for (let i = trip; i < b; i++) {
      const w = run.trueSpeed[i]!;
      followed += (w - followed) / (plant.waterLag * run.sampleRate);
      if (i >= a) work += (law * followed ** 2 * w + (friction.motor + friction.gear + friction.pump) * w) / run.sampleRate;
    }
    const w0 = mean(run.trueSpeed, a - 59, a + 59);
    const held = 0.5 * (inertia.motor + inertia.gear + inertia.pump) * w0 ** 2;
    expect(run.trueSpeed[b]!).toBeLessThan(1e-3);
    expect(Math.abs(work / held - 1)).toBeLessThan(0.01);
  });
  it('rings after the trip at the eigenvalue of the lumped model, within 0.5 % in frequency and 6 % in damping (turbulence), for this seed and two more', () => {
    const mode = freeModes()[0]!;
    for (const r of [run, makeRunA({ seed: 200 }), makeRunA({ seed: 300 })]) {
      const ring = ringDown(r.trueTorque.subarray(119.5 * r.sampleRate, 125 * r.sampleRate), r.sampleRate);
      expect(Math.abs(ring.frequency / mode.frequency - 1)).toBeLessThan(0.005);
      expect(Math.abs(ring.damping / mode.damping - 1)).toBeLessThan(0.06);
    }
  });
  it('shows the zero in its rest windows, and a straight line between them misses the warm-up by less than 0.1 % of full scale', () => {
    const { zero } = run.truth;
    for (const { from, to } of zero.windows) {
      const seen = mean(run.channels.bridge, from * run.sampleRate, to * run.sampleRate);
      let real = 0;
      for (let i = from * run.sampleRate; i < to * run.sampleRate; i++) real += zeroAt(zero, i / run.sampleRate) / ((to - from) * run.sampleRate);
      expect(Math.abs(seen - real)).toBeLessThan((4 * chain.noise) / Math.sqrt((to - from) * run.sampleRate));
    }
    const [first, last] = [zeroAt(zero, 6), zeroAt(zero, 144)];
    for (let t = 0; t <= 150; t++) {
      const line = first + ((last - first) * (t - 6)) / 138;
      expect(Math.abs(line - zeroAt(zero, t)) / bridgePerTorque).toBeLessThan(0.001 * chain.fullScaleTorque);
    }
  });
});

describe('the model', () => {
  it('without water and friction rings at its eigenvalue within 0.01 % in frequency and 0.5 % in damping', () => {
    const bare = { ...plant, pumpTorque: 0, friction: { ...plant.friction, motor: 0, gear: 0, pump: 0 } };
    const twist = 1000 / plant.stiffness.lineShaft;
    const { torque } = simulate({ seconds: 8, sampleRate: 1000, substeps: 4, seed: 1, plant: bare, state: [0, twist, 0, 0, 0, 0, 0], duty: () => still });
    const mode = freeModes()[0]!;
    const ring = ringDown(torque.subarray(1000), 1000);
    expect(Math.abs(ring.frequency / mode.frequency - 1)).toBeLessThan(1e-4);
    expect(Math.abs(ring.damping / mode.damping - 1)).toBeLessThan(0.005);
  });
  it('keeps to its rigid-body law: the same torque on all makes the speed that torque and inertia say', () => {
    const bare = { ...plant, pumpTorque: 0, friction: { ...plant.friction, motor: 0, gear: 0, pump: 0 } };
    const { speed } = simulate({ seconds: 4, sampleRate: 1000, substeps: 4, seed: 1, plant: bare, duty: () => ({ ...still, torque: -200 }) });
    const { motor, gear, pump } = plant.inertia;
    expect(speed[3900]! / ((200 * 3.9) / (motor + gear + pump))).toBeCloseTo(1, 2);
  });
});

describe('run (b)', () => {
  it('comes out of the generator as it is committed', () => {
    const b = makeRunB();
    const [, bridge, speed] = committed('run-b.csv.gz');
    expect(worst(bridge!, b.channels.bridge)).toBe(0);
    expect(worst(speed!, b.channels.speed)).toBe(0);
    expect(worst(committed('run-b.truth.csv.gz')[0]!, b.trueTorque)).toBeLessThan(0.501);
    for (const { from, to, why } of b.truth.faults.bridge) {
      const lost = b.channels.bridge.subarray(from, to);
      expect(lost.every((v) => v === (why === 'dropout' ? 0 : b.channels.bridge[from - 1]))).toBe(true);
    }
  });
});

describe('the witness of cycles', () => {
  it('counts the history of ASTM E1049-85 (2017) figure 6: 3 ½, 4 1 ½, 6 ½, 8 ½ ½, 9 ½', () => {
    const history = Float64Array.from([-2, 1, -3, 5, -1, 3, -4, 4, -2]);
    const byHand = (m: number): number => 0.5 * 3 ** m + 1.5 * 4 ** m + 0.5 * 6 ** m + 1 * 8 ** m + 0.5 * 9 ** m;
    for (const { exponent, sum } of rangePowerSums(history, [1, 3, 5])) expect(sum).toBeCloseTo(byHand(exponent), 6);
  });
});
