import { beforeAll, describe, expect, it } from 'vitest';
import { lowpass, makeChannel, pick, readRecording, slice, toTorque, zeroAt, type Channel, type ZeroModel } from '../../src/index.js';
import { makeRunB } from '../../sample-runs/run-b.mjs';
import { zeroAt as trueZeroAt } from '../../sample-runs/chain.mjs';
import { bridgePerTorque, chain } from '../../sample-runs/tarn-weir.mjs';
import { curves, damageOf, file, prepare, ratioGauge, section } from './processing.js';

/** The recorder stored amplifier volts. */
const gauge = { ...ratioGauge, excitation: chain.excitation, gain: chain.gain };

describe('run (b), processed without knowing its truth', () => {
  const run = makeRunB();
  const real = makeChannel({ name: 'true torque', unit: 'N·m', sampleRate: run.sampleRate, values: run.trueTorque });
  let bridge: Channel<'V'>, torque: Channel<'N·m'>, model: ZeroModel;
  beforeAll(async () => {
    const recording = await readRecording(file('run-b.csv.gz'));
    bridge = pick(recording, 'bridge', 'V');
    ({ torque, model } = prepare(bridge, pick(recording, 'speed', 'rpm'), gauge));
  });

  it('gives the zero within 0.2 % of full scale over twenty minutes', () => {
    for (let t = 0; t <= 1200; t += 10) {
      expect(Math.abs(zeroAt(model, { time: t }).zero - trueZeroAt(run.truth.zero, t) / bridgePerTorque)).toBeLessThan(0.002 * chain.fullScaleTorque);
    }
  });
  it('masks 99 % and more of the lost samples and less than 0.1 % of the good ones', () => {
    const bad = new Uint8Array(torque.values.length);
    for (const { from, to } of run.truth.faults.bridge) bad.fill(1, from, to);
    const masked = new Uint8Array(bad.length);
    for (const { from, to } of torque.invalid) masked.fill(1, from, to);
    let found = 0, lost = 0, falseAlarms = 0;
    bad.forEach((b, i) => {
      lost += b;
      found += b & masked[i]!;
      falseAlarms += (1 - b) & masked[i]!;
    });
    expect(found / lost).toBeGreaterThan(0.99);
    expect(falseAlarms / bad.length).toBeLessThan(0.001);
  });
  it.each(curves)('gives the damage within 3 % of the truth by $name', (curve) => {
    const truth = damageOf(real, curve);
    expect(Math.abs(damageOf(lowpass(torque, { cutoff: 60, cutoffAt: '-3dB', shortRuns: 'mask' }), curve) / truth - 1)).toBeLessThan(0.03);
  });
  it('would have gained false cycles without the masks', () => {
    expect(damageOf(toTorque(bridge, { gauge, section }), curves[1]!) / damageOf(real, curves[1]!)).toBeGreaterThan(1.01);
  });
  it('puts the damage where the intake was blocked: a tenth of the time, most of the damage', () => {
    const blocked = (run.truth.events as { name: string; from: number; to: number }[]).filter((e) => e.name === 'intake blocked');
    const curve = curves[0]!;
    const inside = blocked.reduce((sum, { from, to }) => sum + damageOf(slice(torque, { from, to: to + 5 }), curve), 0);
    expect(inside / damageOf(torque, curve)).toBeGreaterThan(0.6);
  });
});
