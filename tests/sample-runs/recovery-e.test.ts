import { beforeAll, describe, expect, it } from 'vitest';
import {
  bandpass, findLines, fitRingDown, fitSweep, fitZero, learnTarget, makeChannel, orderSpectrum, pick, powerDensity, pulsesFromTimes, readRecording, removeZero, slice, speedFromTrain, toShaftAngle, toTorque,
  type Channel, type PulseTrain, type SpectralLine,
} from '../../src/index.js';
import { makeRunE } from '../../sample-runs/run-e.mjs';
import { freeModes } from '../../sample-runs/tarn-weir.mjs';
import { committed } from './committed.js';
import { file, ratioGauge, section } from './processing.js';

/** Unevenness learnt from the stamps of a window in which nothing resonates, turned to the numbering of the whole train. */
function learnIn(stamps: Float64Array, train: PulseTrain, window: { from: number; to: number }): Float64Array {
  const P = train.pulsesPerRevolution;
  const part = pulsesFromTimes(stamps.filter((t) => t >= window.from && t < window.to), { pulsesPerRevolution: P });
  const learnt = learnTarget(part).offsets;
  const whole = train.runs[0]!;
  const first = whole.index[whole.time.indexOf(part.runs[0]!.time[0]!)]! % P;
  const at = (j: number): number => learnt[(j - first + P) % P]!;
  return Float64Array.from({ length: P }, (_, j) => at(j) - at(0));
}

describe('run (e), processed without knowing its truth', () => {
  const run = makeRunE();
  const { marks, missing, extra } = run.truth.target;
  let bridge: Channel<'mV/V'>, torque: Channel<'N·m'>, pulses: PulseTrain, offsets: Float64Array, speed: Channel<'rad/s'>;
  beforeAll(async () => {
    bridge = pick(await readRecording(file('run-e.csv.gz')), 'bridge', 'mV/V');
    const raw = toTorque(bridge, { gauge: ratioGauge, section });
    torque = removeZero(raw, fitZero(raw, { rest: [{ from: 0.5, to: 7 }, { from: 116, to: 129 }], model: 'constant' }));
    const [stamps] = committed('run-e.pulses.csv.gz') as [Float64Array];
    pulses = pulsesFromTimes(stamps, { pulsesPerRevolution: marks.length });
    offsets = learnIn(stamps, pulses, { from: 65, to: 97 });
    speed = speedFromTrain(pulses, { offsets, sampleRate: 500, samples: bridge.values.length });
  });

  it('shows the mains pick-up at full speed and at rest: frequency within 5 mHz, amplitude within 5 %', () => {
    const { frequency, amplitudes } = run.truth.mains;
    for (const window of [{ from: 84, to: 97 }, { from: 116, to: 129 }]) {
      const lines = findLines(powerDensity(slice(bridge, window), { segment: 2500 }), { from: 40 });
      [1, 2].forEach((harmonic, k) => {
        const line = lines.reduce((best: SpectralLine, l) => (Math.abs(l.frequency - harmonic * frequency) < Math.abs(best.frequency - harmonic * frequency) ? l : best));
        expect(Math.abs(line.frequency - harmonic * frequency)).toBeLessThan(0.005);
        expect(Math.abs(line.amplitude / amplitudes[k]! - 1)).toBeLessThan(0.05);
      });
    }
  });
  it('takes out the extra pulses and leaves open the missing ones', () => {
    expect(Math.abs(pulses.extra - extra.length)).toBeLessThanOrEqual(1);
    expect(Math.abs(pulses.missing - missing.length)).toBeLessThanOrEqual(1);
  });
  it('learns the uneven target: 95 % and more of the unevenness is removed', () => {
    // The first pulse is mark 0 on both sides, because the record begins before the first revolution is over.
    const real = marks.map((m, j) => m - marks[0]! - (2 * Math.PI * j) / marks.length);
    const rms = (list: readonly number[]): number => Math.sqrt(list.reduce((s, v) => s + v * v, 0) / list.length);
    expect(rms(real.map((m, j) => m - offsets[j]!)) / rms(real)).toBeLessThan(0.05);
  });
  it('gives the speed within 0.1 % of full speed wherever the shaft turns', () => {
    let worst = 0;
    for (let i = 12 * 500; i < 108 * 500; i++) worst = Math.max(worst, Math.abs(speed.values[i]! - run.trueSpeed[i]!));
    expect(worst).toBeLessThan(0.001 * 39.4);
  });
  it('refuses the coast-down as a ring-down: orders still drive the shaft, and 8.55 Hz at 0.4 % was what a fit made of it', () => {
    for (const to of [2, 5, 8]) expect(() => fitRingDown(torque, { from: 98.2, to: 98 + to, band: { from: 6, to: 12 } })).toThrow(/rings freely|dies down|stands out of the noise/);
  });
  it('fits the slow run-up through the critical of order 2: frequency within 0.2 %, damping within 5 %', () => {
    const fit = fitSweep(bandpass(torque, { from: 5, to: 13 }), { from: 45, to: 75, speed, order: 2, excitation: 'constant' });
    const mode = freeModes()[0]!;
    expect(Math.abs(fit.frequency.value / mode.frequency - 1)).toBeLessThan(0.002);
    expect(Math.abs(fit.dampingRatio.value / mode.damping - 1)).toBeLessThan(0.05);
  });
  it('reads orders 1 and 2 at full speed as the true torque holds them, within 3 %', () => {
    const of = (channel: Channel<'N·m'>): ReturnType<typeof orderSpectrum> => orderSpectrum(toShaftAngle(slice(channel, { from: 85, to: 97 }), { speed: slice(speed, { from: 85, to: 97 }), samplesPerRevolution: 64 }), { revolutions: 20, window: 'flat-top' });
    const found = of(torque);
    const real = of(makeChannel({ name: 'true', unit: 'N·m', sampleRate: 500, values: run.trueTorque }));
    for (const order of [1, 2]) {
      const k = found.order.findIndex((o) => Math.abs(o - order) < 1e-9);
      expect(Math.abs(found.amplitude[k]! / real.amplitude[k]! - 1)).toBeLessThan(0.03);
    }
  });
});
