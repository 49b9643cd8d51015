import { describe, expect, it } from 'vitest';
import { labelNames, makeRunC, runC, secondClock } from '../../sample-runs/run-c.mjs';
import { bridgePerTorque, chain } from '../../sample-runs/tarn-weir.mjs';
import { committed, mean, truthOf, worst } from './committed.js';

const run = makeRunC();
const { bridge, frame, speed, temperature } = run.channels;

describe('run (c)', () => {
  it('comes out of the generator as it is committed', () => {
    const columns = committed('run-c.csv.gz');
    [frame, bridge, speed, temperature].forEach((values, k) => expect(worst(columns[k + 1]!, values)).toBe(0));
    const second = committed('run-c.second.csv.gz');
    expect(worst(second[1]!, run.second.channels.speed)).toBe(0);
    expect(worst(second[2]!, run.second.channels.power)).toBe(0);
    expect(worst(committed('run-c.truth.csv.gz')[0]!, run.trueTorque)).toBeLessThan(0.501);
    expect(truthOf('run-c')).toEqual(JSON.parse(JSON.stringify(run.truth)));
  });
  it('labels every fault and nothing else: an unlabelled row is torque, zero and noise; a labelled one is what its label says', () => {
    const seen = new Set<string>();
    for (let r = 1; r < bridge.length; r++) {
      const i = run.trueIndex[r]!;
      const real = bridgePerTorque * run.trueTorque[i]! + run.trueZero[i]!;
      const label = labelNames[run.labels[r]!]!;
      seen.add(label);
      if (label === '' && !(Math.abs(bridge[r]! - real) < 6 * chain.noise)) expect.fail(`row ${r} is off by ${bridge[r]! - real} mV/V`);
      if (label === 'dropout' && bridge[r] !== 0) expect.fail(`row ${r} is no dropout`);
      if (label === 'rail' && bridge[r] !== run.truth.rail.value) expect.fail(`row ${r} is not at the rail`);
      if (label === 'spike' && !(Math.abs(bridge[r]! - real) > 0.14)) expect.fail(`row ${r} is no spike`);
    }
    expect([...seen].sort()).toEqual([...labelNames].sort());
  });
  it('loses time with every lost frame, as the frame counter says', () => {
    for (let r = 0; r < frame.length; r++) if (frame[r] !== run.trueIndex[r]! % 65536) expect.fail(`row ${r}`);
    const lost = run.truth.clock.lostFrames.reduce((sum: number, l: { frames: number }) => sum + l.frames, 0);
    expect(lost + bridge.length).toBe(run.truth.samples);
    expect(run.truth.clock.lostSeconds).toBeCloseTo(lost / runC.sampleRate, 9);
  });
  it('is barred against the friction of the glands, both ways', () => {
    for (const { from, to, sign } of run.truth.barring) {
      expect(mean(run.trueTorque, (from + 3) * runC.sampleRate, (to - 1) * runC.sampleRate)).toBeCloseTo(sign * run.truth.friction.pump, 0);
      expect(mean(run.trueSpeed, (from + 3) * runC.sampleRate, (to - 1) * runC.sampleRate)).toBeCloseTo(sign * run.truth.barring[0].speed, 3);
    }
  });
  it('rests without torque in its rest windows', () => {
    for (const { from, to } of run.truth.zero.rest) {
      expect(Math.max(...run.trueTorque.subarray(from * runC.sampleRate, to * runC.sampleRate).map(Math.abs))).toBeLessThan(1);
    }
  });
  it('has a second recorder that saw the same speed at τ = (t − offset)·(1 + skew), and not at the same stamps', () => {
    const { offset, skew, sampleRate } = secondClock;
    const off = (clockSkew: number): number => {
      let sum = 0, n = 0;
      // The trip at 208 s: the speed falls by hundreds of rpm in a second.
      for (let j = Math.round((207 - offset) * sampleRate); j < (209.5 - offset) * sampleRate; j++) {
        const t = offset + j / sampleRate / (1 + clockSkew);
        const x = t * runC.sampleRate, i = Math.floor(x);
        const w = run.trueSpeed[i]! + (x - i) * (run.trueSpeed[i + 1]! - run.trueSpeed[i]!);
        sum += (run.second.channels.speed[j]! - (w * 30) / Math.PI) ** 2;
        n++;
      }
      return Math.sqrt(sum / n);
    };
    expect(off(skew)).toBeLessThan(1.3 * chain.speedNoise);
    expect(off(0)).toBeGreaterThan(5 * chain.speedNoise);
  });
});
