import { describe, expect, it } from 'vitest';
import { makeRunE, runE } from '../../sample-runs/run-e.mjs';
import { freeModes, plant } from '../../sample-runs/tarn-weir.mjs';
import { committed, truthOf, worst } from './committed.js';

const run = makeRunE();

/** Amplitude of the harmonic at that order of the shaft angle, over samples from … to, by least squares on whole turns. */
function orderAmplitude(order: number, from: number, to: number): number {
  let re = 0, im = 0;
  for (let i = from; i < to; i++) {
    re += run.trueTorque[i]! * Math.cos(order * run.trueAngle[i]!);
    im += run.trueTorque[i]! * Math.sin(order * run.trueAngle[i]!);
  }
  return (2 * Math.hypot(re, im)) / (to - from);
}

/** First sample at which the shaft has that many turns behind it. */
const atTurn = (turns: number): number => run.trueAngle.findIndex((a) => a >= 2 * Math.PI * turns);

describe('run (e)', () => {
  it('comes out of the generator as it is committed', () => {
    expect(worst(committed('run-e.csv.gz')[1]!, run.channels.bridge)).toBe(0);
    expect(worst(committed('run-e.pulses.csv.gz')[0]!, run.pulses)).toBe(0);
    const truth = committed('run-e.truth.csv.gz');
    expect(worst(truth[0]!, run.trueTorque)).toBeLessThan(0.0501);
    expect(worst(truth[1]!, run.trueSpeed.map((w) => (w * 30) / Math.PI))).toBeLessThan(0.00501);
    expect(truthOf('run-e')).toEqual(JSON.parse(JSON.stringify(run.truth)));
  });
  it('swings most where the second order meets the first mode, in the slow run-up', () => {
    const critical = run.truth.criticals.find((c) => c.order === 2)!;
    expect(critical.speed).toBeCloseTo(Math.PI * freeModes()[0]!.frequency, 9);
    const peak = run.trueTorque.indexOf(run.trueTorque.reduce((a, b) => Math.max(a, b)));
    // A sweep upwards peaks a little after the critical: within 3 s at 0.23 Hz/s of the order's frequency.
    expect(peak / runE.sampleRate).toBeGreaterThan(critical.passed[0]!.t);
    expect(peak / runE.sampleRate).toBeLessThan(critical.passed[0]!.t + 3);
  });
  it('answers at full speed as the two-inertia law says: order 2 torque = excitation · share / |1 − (f/f₁)²|', () => {
    const { motor, gear, pump } = plant.inertia;
    const from = atTurn(run.trueAngle[86 * runE.sampleRate]! / (2 * Math.PI));
    const to = atTurn(Math.floor((run.trueAngle[97 * runE.sampleRate]! - run.trueAngle[from]!) / (2 * Math.PI)) + run.trueAngle[from]! / (2 * Math.PI));
    const f = (2 * run.trueSpeed[90 * runE.sampleRate]!) / (2 * Math.PI);
    const share = (motor + gear) / (motor + gear + pump);
    const expected = (42 * share) / Math.abs(1 - (f / freeModes()[0]!.frequency) ** 2);
    // The gear is not rigid with the motor, and turbulence adds to the line: 5 %.
    expect(Math.abs(orderAmplitude(2, from, to) / expected - 1)).toBeLessThan(0.05);
  });
  it('has one pulse for every mark that passed, less the missing ones, more the extra ones, at the true angle of the mark', () => {
    const { marks, missing, extra, markPassings } = run.truth.target;
    expect(run.pulses.length).toBe(markPassings - missing.length + extra.length);
    const angleAt = (t: number): number => {
      const x = t * runE.sampleRate, i = Math.floor(x), s = x - i;
      return run.trueAngle[i]! + s * (run.trueAngle[i + 1]! - run.trueAngle[i]!);
    };
    const extras = new Set(extra.map((t) => Number(t.toFixed(6))));
    for (const t of run.pulses) {
      if (extras.has(t)) continue;
      const a = angleAt(t) % (2 * Math.PI);
      const near = Math.min(...marks.map((m) => Math.abs(m - a)));
      if (!(near < 2e-4)) expect.fail(`pulse at ${t} s is ${near} rad from any mark`);
    }
  });
});
