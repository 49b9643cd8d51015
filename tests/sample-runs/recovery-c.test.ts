import { beforeAll, describe, expect, it } from 'vitest';
import { alignChannels, findFaults, findRestStates, fitZero, lowpass, lossMap, makeChannel, markInvalid, pick, readRecording, removeZero, repairClock, toTorque, worstCase, type Channel, type ZeroModel } from '../../src/index.js';
import { makeRunC } from '../../sample-runs/run-c.mjs';
import { bridgePerTorque, chain } from '../../sample-runs/tarn-weir.mjs';
import { curves, damageOf, file, ratioGauge, section } from './processing.js';

const run = makeRunC();
const fullScale = chain.fullScaleTorque;
/** Highest torsional mode of the plant is 72 Hz. */
const spike = { highestMode: 75 };

describe('run (c), processed without knowing its truth', () => {
  const real = makeChannel({ name: 'true torque', unit: 'N·m', sampleRate: run.sampleRate, values: run.trueTorque });
  let bridge: Channel<'mV/V'>, speed: Channel<'rpm'>, temperature: Channel<'°C'>, frame: Channel<'count'>, raw: Channel<'N·m'>, torque: Channel<'N·m'>, model: ZeroModel;
  beforeAll(async () => {
    const recording = await readRecording(file('run-c.csv.gz'));
    bridge = pick(recording, 'bridge', 'mV/V');
    speed = pick(recording, 'speed', 'rpm');
    frame = pick(recording, 'frame', 'count');
    temperature = pick(recording, 'temperature', '°C');
    raw = toTorque(markInvalid(bridge, findFaults(bridge, { spike })), { gauge: ratioGauge, section });
    model = fitZero(raw, { rest: findRestStates({ speed, below: 0.05, minimum: 3, guard: 1 }), model: ['time', 'temperature'], temperature });
    torque = removeZero(raw, model, { temperature });
  });

  it('finds the faults in the file: recall of at least 99 %, fewer than 0.1 % false alarms', () => {
    const masked = new Uint8Array(bridge.values.length);
    for (const s of torque.invalid) masked.fill(1, s.from, s.to);
    let bad = 0, found = 0, alarms = 0;
    run.labels.forEach((label, i) => {
      if (label > 0) bad++;
      if (label > 0) found += masked[i]!;
      else alarms += masked[i]!;
    });
    expect(found / bad).toBeGreaterThan(0.99);
    expect(alarms / masked.length).toBeLessThan(0.001);
  });
  it('separates drift with temperature from drift with time', () => {
    const perKelvin = model.coefficients[model.terms.indexOf('temperature')]! * bridgePerTorque;
    const perSecond = model.coefficients[model.terms.indexOf('time')]! * bridgePerTorque;
    expect(Math.abs(perKelvin / run.truth.zero.perKelvin - 1)).toBeLessThan(0.02);
    expect(Math.abs(perSecond / run.truth.zero.perSecond - 1)).toBeLessThan(0.05);
  });
  it('gives the torque without its zero within 0.2 % of full scale, whatever the temperature', () => {
    // Means over half a second of rows: noise averages out, the zero does not.
    for (let r = 0; r + 250 < bridge.values.length; r += 250) {
      let off = 0, n = 0;
      for (let i = r; i < r + 250; i++) {
        if (run.labels[i] !== 0) continue;
        off += torque.values[i]! - run.trueTorque[run.trueIndex[i]!]!;
        n++;
      }
      if (n > 100) expect(Math.abs(off / n)).toBeLessThan(0.002 * fullScale);
    }
  });
  it('finds the friction of the glands from barring both ways', () => {
    // Windows as an observer would note them on the recorder's own, contracted, clock.
    const at = (t: number): number => run.trueIndex.findIndex((i) => i >= t * run.sampleRate) / run.sampleRate;
    const rest = run.truth.zero.rest.map((w) => ({ from: at(w.from), to: at(w.to) - 0.1 }));
    const barred = run.truth.barring.map((b) => ({ from: at(b.from + 2), to: at(b.to - 0.5) }));
    const both = fitZero(raw, { rest: [...rest, ...barred], model: ['time', 'temperature', 'friction'], temperature, speed });
    const friction = both.coefficients[both.terms.indexOf('friction')]!;
    expect(Math.abs(friction / run.truth.friction.pump - 1)).toBeLessThan(0.02);
  });
  it.each(curves.slice(0, 2))('gives the damage within 3 % of the truth by $name', (curve) => {
    // The clock first: across rows that lost frames have moved together a filter rings.
    const smooth = lowpass(repairClock(torque, { counter: frame, modulus: 65536 }), { cutoff: 100, cutoffAt: '-3dB', shortRuns: 'mask', gaps: 'bridge' });
    expect(Math.abs(damageOf(smooth, curve) / damageOf(real, curve) - 1)).toBeLessThan(0.03);
  });
  it('gives less than the true damage by a steep curve, which lives on the peaks that the rail and the gaps took', () => {
    const ratio = damageOf(torque, curves[2]!) / damageOf(real, curves[2]!);
    expect(ratio).toBeLessThan(0.97);
    expect(ratio).toBeGreaterThan(0.75);
  });
  it.each(curves)('brackets the true damage between what is left and the worst case of what was lost, by $name', (curve) => {
    const truth = damageOf(real, curve);
    // Bounds that an engineer would state: a little beyond the extremes that were seen, at the pace of the first mode.
    const worst = worstCase(torque, { low: -5000, high: 10_000, cyclesPerSecond: 8.5 });
    expect(damageOf(torque, curve)).toBeLessThan(truth);
    expect(damageOf(worst, curve)).toBeGreaterThan(truth);
  });
  it('would have given more than twice the damage without any correction', () => {
    expect(damageOf(toTorque(bridge, { gauge: ratioGauge, section }), curves[1]!) / damageOf(real, curves[1]!)).toBeGreaterThan(2);
  });
  it('gets its time back from the frame counter: every row on its true sample, every lost frame a masked gap', () => {
    const repaired = repairClock(torque, { counter: frame, modulus: 65536 });
    const last = run.trueIndex.at(-1)!;
    expect(repaired.values.length).toBe(last + 1);
    for (let r = 0; r < run.trueIndex.length; r++) if (repaired.values[run.trueIndex[r]!] !== torque.values[r]) expect.fail(`row ${r} is not at sample ${run.trueIndex[r]}`);
    const gaps = repaired.invalid.filter((s) => s.why === 'clock gap').reduce((n, s) => n + s.to - s.from, 0);
    expect(gaps).toBe(last + 1 - run.trueIndex.length);
  });
  it('is aligned with the second recorder within 1 ms and 2 ppm, once its own clock is repaired', async () => {
    const second = pick(await readRecording(file('run-c.second.csv.gz')), 'speed', 'rpm');
    const found = alignChannels(repairClock(speed, { counter: frame, modulus: 65536 }), second);
    const { offset, skew } = run.truth.clock.second;
    expect(Math.abs(found.offset - offset)).toBeLessThan(0.001);
    expect(Math.abs(found.skew - skew)).toBeLessThan(2e-6);
    expect(found.notes).toEqual([]);
    expect(Math.abs(found.drift)).toBeLessThan(0.0003);
    // As received, with frames lost, no one skew fits, and that is said.
    expect(alignChannels(speed, second).notes.join()).toMatch(/more than two crystal clocks differ by: one record has lost frames/);
    // Even six frames, 12 ms of 240 s, that a pause between two runs took: their 50 ppm alone might be a crystal's.
    const { values, invalid } = repairClock(speed, { counter: frame, modulus: 65536 });
    const short = makeChannel({ name: 'speed', unit: 'rpm', sampleRate: 500, values: values.filter((_, i) => i < 65_000 || i >= 65_006), invalid: invalid.flatMap((s) => (s.to <= 65_000 ? [s] : s.from >= 65_006 ? [{ ...s, from: s.from - 6, to: s.to - 6 }] : [])) });
    const six = alignChannels(short, second);
    expect(Math.abs(six.skew)).toBeLessThan(300e-6);
    expect(Math.abs(six.drift)).toBeGreaterThan(1e-3);
    expect(six.notes.join()).toMatch(/no one skew fits: parts of the record lie up to [\d.]+ ms off the law/);
  });
  it('loses most at one angle of the shaft, which the loss map names', () => {
    const source = { counter: frame, modulus: 65536 };
    const map = lossMap(repairClock(torque, source), { speed: repairClock(speed, source), why: ['dropout'] });
    expect(map.byAngle!.chance).toBeLessThan(0.001);
    expect(map.meanAngle!).toBeGreaterThan(run.truth.shadow.from - 0.1);
    expect(map.meanAngle!).toBeLessThan(run.truth.shadow.to + 0.1);
  });
});
