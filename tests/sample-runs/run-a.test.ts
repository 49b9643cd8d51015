import { describe, expect, it } from 'vitest';
import { makeRunA } from '../../sample-runs/run-a.mjs';
import { zeroAt } from '../../sample-runs/chain.mjs';
import { bridgePerTorque, chain, freeModes, plant } from '../../sample-runs/tarn-weir.mjs';
import { committed, mean, truthOf, unpack, worst } from './committed.js';
import { ringDown } from './ringDown.js';

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
