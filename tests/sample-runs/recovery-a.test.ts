import { beforeAll, describe, expect, it } from 'vitest';
import { findLines, fitRingDown, lowpass, makeChannel, pick, powerDensity, readRecording, shearStress, staticMargin, toTorque, zeroAt, torsionalModes, type Channel, type RingDownMode, type ZeroModel } from '../../src/index.js';
import { makeRunA } from '../../sample-runs/run-a.mjs';
import { zeroAt as trueZeroAt } from '../../sample-runs/chain.mjs';
import { bridgePerTorque, chain, freeModes, plant } from '../../sample-runs/tarn-weir.mjs';
import { curves, damageOf, file, prepare, ratioGauge, section } from './processing.js';

const fullScale = chain.fullScaleTorque;

/** The first mode from the ring-down after the trip, which the speed shows: two to eight seconds behind the last sample at nine tenths of full speed. */
function ringAfterTrip(torque: Channel<'N·m'>, speed: Channel<'rpm'>): RingDownMode {
  let last = speed.values.length - 1;
  while (speed.values[last]! < 0.9 * 376) last--;
  const trip = last / speed.sampleRate;
  return fitRingDown(torque, { from: trip + 2, to: trip + 8, band: { from: 6, to: 12 } }).modes[0]!;
}

/** Frequency within 0.1 % of the eigenvalue; damping within 6 % (orders and turbulence still push the shaft while it rings) and near its own interval. */
function expectFirstMode(ring: RingDownMode): void {
  const mode = freeModes()[0]!;
  expect(Math.abs(ring.frequency.value / mode.frequency - 1)).toBeLessThan(0.001);
  expect(Math.abs(ring.dampingRatio.value / mode.damping - 1)).toBeLessThan(0.06);
  expect(Math.abs(ring.dampingRatio.value - mode.damping)).toBeLessThan(2 * (ring.dampingRatio.high - ring.dampingRatio.low));
}

describe('run (a), processed without knowing its truth', () => {
  const run = makeRunA();
  const real = makeChannel({ name: 'true torque', unit: 'N·m', sampleRate: run.sampleRate, values: run.trueTorque });
  let speed: Channel<'rpm'>, torque: Channel<'N·m'>, model: ZeroModel, filtered: Channel<'N·m'>;
  beforeAll(async () => {
    const recording = await readRecording(file('run-a.csv.gz'));
    speed = pick(recording, 'speed', 'rpm');
    ({ torque, model } = prepare(pick(recording, 'bridge', 'mV/V'), speed));
    filtered = lowpass(torque, { cutoff: 120, cutoffAt: '-3dB' });
  });

  it('gives offset and drift within 0.2 % of full scale of the truth everywhere', () => {
    let worst = 0;
    for (let t = 0; t <= 150; t += 0.5) worst = Math.max(worst, Math.abs(zeroAt(model, { time: t }).zero - trueZeroAt(run.truth.zero, t) / bridgePerTorque));
    expect(worst).toBeLessThan(0.002 * fullScale);
    // and the straight line, not luck, is what limits it
    expect(worst).toBeGreaterThan(0.0001 * fullScale);
  });
  it('masks every dropout and hardly anything else', () => {
    const masked = new Uint8Array(torque.values.length);
    for (const { from, to } of torque.invalid) masked.fill(1, from, to);
    let missed = 0, lost = 0;
    for (const { from, to } of run.truth.faults.bridge) {
      for (let i = from; i < to; i++) missed += 1 - masked[i]!;
      lost += to - from;
    }
    expect(missed).toBe(0);
    expect(masked.reduce((s, v) => s + v, 0) - lost).toBeLessThan(0.0002 * masked.length);
  });
  it('gives the torque itself within 0.3 % of full scale at every valid sample', () => {
    let worst = 0, i = 0;
    for (const span of [...torque.invalid, { from: torque.values.length, to: torque.values.length }]) {
      for (; i < span.from; i++) worst = Math.max(worst, Math.abs(torque.values[i]! - run.trueTorque[i]!));
      i = span.to;
    }
    expect(worst).toBeLessThan(0.003 * fullScale);
  });
  it('shows the first torsional line within 0.5 % of the eigenvalue', () => {
    const lines = findLines(powerDensity(torque, { segment: 8192 }), { from: 7, to: 12 });
    expect(Math.abs(lines[0]!.frequency / freeModes()[0]!.frequency - 1)).toBeLessThan(0.005);
  });
  it('rings down after the trip with the frequency and damping of the eigenvalue', () => {
    expectFirstMode(ringAfterTrip(torque, speed));
  });
  it('agrees with the modes of the geared train as the library computes them from the parts', () => {
    const { inertia, stiffness, damping, gear } = plant;
    const train = {
      inertias: [{ name: 'motor', inertia: inertia.motor / gear.ratio ** 2 }, { name: 'pinion', inertia: 1e-9 }, { name: 'wheel', inertia: inertia.gear }, { name: 'pump', inertia: inertia.pump }],
      shafts: [
        { name: 'motor shaft', from: 'motor', to: 'pinion', stiffness: stiffness.motorShaft / gear.ratio ** 2, damping: damping.motorShaft / gear.ratio ** 2 },
        { name: 'line shaft', from: 'wheel', to: 'pump', stiffness: stiffness.lineShaft, damping: damping.lineShaft },
      ],
      gears: [{ from: 'pinion', to: 'wheel', ratio: 1 / gear.ratio }],
    };
    const found = torsionalModes(train).modes.slice(1);
    freeModes().forEach((mode, i) => {
      // The library gives undamped frequencies: f·√(1 − ζ²) is what rings.
      expect((found[i]!.frequency * Math.sqrt(1 - mode.damping ** 2)) / mode.frequency).toBeCloseTo(1, 4);
      expect(found[i]!.dampingRatio / mode.damping).toBeCloseTo(1, 2);
    });
  });
  it.each(curves)('gives the damage of the noise-free truth within 2 % by $name', (curve) => {
    const truth = damageOf(real, curve);
    expect(truth).toBeGreaterThan(0);
    expect(Math.abs(damageOf(filtered, curve) / truth - 1)).toBeLessThan(0.02);
  });
  it('would have been far off without the masks: each dropout makes a false cycle', async () => {
    const bridge = pick(await readRecording(file('run-a.csv.gz')), 'bridge', 'mV/V');
    const raw = toTorque(bridge, { gauge: ratioGauge, section });
    expect(damageOf(raw, curves[1]!) / damageOf(real, curves[1]!)).toBeGreaterThan(1.05);
  });
  it('keeps its peak: the static margin is that of the truth within 0.5 %', () => {
    const margin = (channel: Channel<'N·m'>): number => staticMargin(shearStress(channel, section), { yieldStrength: plant.steel.yield }).margin;
    expect(Math.abs(margin(filtered) / margin(real) - 1)).toBeLessThan(0.005);
  });
  it('does all that for five further seeds, in memory', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const other = makeRunA({ seed });
      const speedOf = makeChannel({ name: 'speed', unit: 'rpm', sampleRate: other.sampleRate, values: other.channels.speed });
      const got = prepare(makeChannel({ name: 'bridge', unit: 'mV/V', sampleRate: other.sampleRate, values: other.channels.bridge }), speedOf);
      expectFirstMode(ringAfterTrip(got.torque, speedOf));
      for (const t of [0, 40, 75, 110, 150]) {
        expect(Math.abs(zeroAt(got.model, { time: t }).zero - trueZeroAt(other.truth.zero, t) / bridgePerTorque)).toBeLessThan(0.002 * fullScale);
      }
      const truth = makeChannel({ name: 'true torque', unit: 'N·m', sampleRate: other.sampleRate, values: other.trueTorque });
      const smooth = lowpass(got.torque, { cutoff: 120, cutoffAt: '-3dB' });
      for (const curve of curves) expect(Math.abs(damageOf(smooth, curve) / damageOf(truth, curve) - 1)).toBeLessThan(0.02);
    }
  });
});
