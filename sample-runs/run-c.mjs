// Run (c): a cold start with everything that goes wrong. Barred both ways, started twice; the first recorder loses radio frames (and
// with them time), rails at peaks, catches spikes, goes blind once per revolution; a second, wired recorder has its own clock.
import { createRandom } from 'quillshaft';
import { bridgePerTorque, chain, plant } from './tarn-weir.mjs';
import { driven, makePushes, rise, simulate, still, strikes } from './model.mjs';
import { lose, quantise, radioFaults, speedSignal } from './chain.mjs';
import { plantTruth, torqueTruth } from './truth.mjs';

export const runC = Object.freeze({ sampleRate: 500, seconds: 240, seed: 20284 });
/** Zero, mV/V: offset at coldest, then per kelvin above it and per second. */
const zero = Object.freeze({ offset: 0.0524, perKelvin: 0.0011, perSecond: -2.2e-5, coldest: 12 });
const warmth = Object.freeze({ still: 12, running: 36, lag: 70 });
const bars = Object.freeze([{ from: 12, to: 24, sign: 1 }, { from: 26, to: 38, sign: -1 }, { from: 126, to: 137, sign: 1 }, { from: 139, to: 149, sign: -1 }]);
const runs = Object.freeze([{ start: 46, stop: 104, valve: 0.95 }, { start: 154, stop: 208, valve: 0.9 }]);
const blockages = Object.freeze([{ from: 66, to: 92 }, { from: 176, to: 196 }]);
const barringSpeed = (2 * Math.PI) / 30;
/** Cold glands sit tight. */
const coldPlant = Object.freeze({ ...plant, friction: Object.freeze({ ...plant.friction, pump: 260 }) });
/** The recorder's range was set a little too tight: this share of the highest signal that came. */
const rangeShare = 0.978;
/** The second recorder switches on late, and its clock is fast. */
export const secondClock = Object.freeze({ offset: 1.2345, skew: 50e-6, sampleRate: 100 });
const shadow = Object.freeze({ from: 3.4, to: 3.66, chance: 0.25 });
/** What a label says of a row of the bridge signal. */
export const labelNames = Object.freeze(['', 'dropout', 'held value', 'rail', 'spike']);

function makeDuty(list) {
  const strike = makePushes(list);
  // Plain loops, since this is asked at every step of integration.
  return (t) => {
    for (const bar of bars) if (t >= bar.from && t < bar.to) return { drive: /** @type {const} */ ('barring'), target: bar.sign * barringSpeed * rise(t, bar.from, 1), valve: still.valve, turbulence: still.turbulence, torque: still.torque };
    const run = t < runs[0].stop + 15 ? runs[0] : runs[1];
    let depth = 0;
    for (const { from, to } of blockages) if (t >= from && t < to) depth = rise(t, from, 2) * (1 - rise(t, to - 2, 2));
    const duty = driven(t, { start: run.start, stop: run.stop, target: plant.ratedSpeed, valve: run.valve * (1 - 0.3 * depth) });
    duty.turbulence = 1 + 2 * depth;
    duty.torque = strike(t);
    return duty;
  };
}

/** Shaft temperature, °C: a first-order lag towards what rest or running would make of it. */
function temperature(samples, sampleRate) {
  const out = new Float64Array(samples);
  let now = warmth.still;
  for (let i = 0; i < samples; i++) {
    const t = i / sampleRate;
    out[i] = now;
    now += ((runs.some((r) => t >= r.start && t < r.stop) ? warmth.running : warmth.still) - now) / (warmth.lag * sampleRate);
  }
  return out;
}

/** 1- to 3-sample spikes, 0.15 mV/V at least away from the signal and inside the range. Marks them in labels. */
function addSpikes(bridge, labels, random, count, rail) {
  for (let n = 0; n < count;) {
    const at = 10 + random.below(bridge.length - 20);
    const length = 1 + random.below(3);
    const height = 0.25 + 0.65 * random.uniform();
    if (labels.subarray(at - 8, at + length + 8).some((l) => l !== 0)) continue;
    const sign = bridge[at] + height > 0.98 * rail ? -1 : bridge[at] - height < -0.98 * rail || random.uniform() < 0.5 ? 1 : -1;
    for (let i = at; i < at + length; i++) {
      bridge[i] += sign * height * (0.6 + 0.4 * random.uniform());
      labels[i] = 4;
    }
    n++;
  }
}

/** Blind angles: while the antenna looks away, some revolutions lose the samples of that angle. */
function shadowFaults(angle, random) {
  const spans = [];
  let lostTurn = Number.NaN, turnBefore = Number.NaN;
  for (let i = 0; i < angle.length; i++) {
    const turn = Math.floor(angle[i] / (2 * Math.PI));
    const part = angle[i] - 2 * Math.PI * turn;
    if (turn !== turnBefore) {
      if (random.uniform() < shadow.chance) lostTurn = turn;
      turnBefore = turn;
    }
    if (turn !== lostTurn || part < shadow.from || part >= shadow.to) continue;
    const last = spans.at(-1);
    if (last && last.to === i) last.to = i + 1;
    else spans.push({ from: i, to: i + 1, why: 'dropout' });
  }
  return spans;
}

/** Rows that arrive: all but bursts of lost frames, mostly short, some of an eighth of a second. */
function arrivals(samples, random, bursts) {
  const lost = new Uint8Array(samples);
  for (let n = 0; n < bursts; n++) {
    const at = 500 + random.below(samples - 1000);
    lost.fill(1, at, at + Math.ceil(1.5 * 40 ** random.uniform()));
  }
  return Int32Array.from({ length: samples }, (_, i) => i).filter((i) => lost[i] === 0);
}

/** Value at a fractional index, by a straight line. */
const between = (values, x) => {
  const i = Math.min(values.length - 2, Math.max(0, Math.floor(x)));
  return values[i] + (x - i) * (values[i + 1] - values[i]);
};

/** What the wired recorder holds: speed, rpm, and motor power, kW, on its own clock. */
function secondRecorder(speed, motorPower, sampleRate, seed) {
  const { offset, skew, sampleRate: rate } = secondClock;
  const count = Math.floor((speed.length / sampleRate - offset - 1) * rate);
  const at = Float64Array.from({ length: count }, (_, j) => (offset + j / rate / (1 + skew)) * sampleRate);
  return {
    sampleRate: rate,
    channels: { speed: speedSignal(at.map((x) => between(speed, x)), seed), power: quantise(at.map((x) => between(motorPower, x) / 1000), 0.1) },
  };
}

/** Spans of equal labels, in rows. */
function labelSpans(labels) {
  const spans = [];
  for (let i = 0; i < labels.length; i++) {
    if (labels[i] === 0) continue;
    const last = spans.at(-1);
    if (last && last.to === i && last.why === labelNames[labels[i]]) last.to = i + 1;
    else spans.push({ from: i, to: i + 1, why: labelNames[labels[i]] });
  }
  return spans;
}

/**
 * Makes run (c) in memory. `channels` and `labels` have one entry a row that arrived; row i is sample trueIndex[i] of the true time
 * line, on which trueTorque (N·m), trueSpeed (rad/s), trueAngle (rad) and trueZero (mV/V) stand. The second recorder's time τ and the true
 * time t: τ = (t − offset)·(1 + skew).
 *
 * @param {{ seed?: number }} [options]
 */
export function makeRunC({ seed = runC.seed } = {}) {
  const { sampleRate, seconds } = runC;
  const random = createRandom(seed + 7);
  const list = strikes(seed + 4, blockages, { least: 2000, most: 4600 });
  const { torque, speed, angle, motorPower } = simulate({ seconds, sampleRate, substeps: 4, seed, duty: makeDuty(list), plant: coldPlant });
  const samples = torque.length;
  const warm = temperature(samples, sampleRate);
  const trueZero = warm.map((T, i) => zero.offset + zero.perKelvin * (T - zero.coldest) + (zero.perSecond * i) / sampleRate);
  const whole = quantise(torque.map((T, i) => bridgePerTorque * T + trueZero[i] + chain.noise * random.normal()), chain.step);
  const rail = quantise([rangeShare * whole.reduce((a, b) => Math.max(a, Math.abs(b)), 0)], 0.002)[0];
  const labels = new Uint8Array(samples);
  whole.forEach((v, i) => {
    if (Math.abs(v) < rail) return;
    whole[i] = Math.sign(v) * rail;
    labels[i] = 3;
  });
  const radio = radioFaults({ seed: seed + 1, sampleRate, count: 26, from: 8, to: 232, shortest: 0.03, longest: 0.3, held: 0.5 });
  const faults = [...radio, ...shadowFaults(angle, random)];
  for (const { from, to, why } of faults) labels.fill(labelNames.indexOf(why), from, to);
  addSpikes(whole, labels, random, 70, rail);
  lose(whole, radio);
  lose(whole, faults.filter((f) => f.why === 'dropout'));
  for (const { from, to, why } of radio) labels.fill(labelNames.indexOf(why), from, to);
  const trueIndex = arrivals(samples, random, 48);
  const rows = (values) => Float64Array.from(trueIndex, (i) => values[i]);
  const rowLabels = Uint8Array.from(trueIndex, (i) => labels[i]);
  const lost = [];
  for (let r = 1; r < trueIndex.length; r++) if (trueIndex[r] - trueIndex[r - 1] > 1) lost.push({ row: r, frames: trueIndex[r] - trueIndex[r - 1] - 1 });
  const truth = {
    run: 'c', seed, sampleRate, samples, rows: trueIndex.length, seconds, ...plantTruth(), friction: coldPlant.friction,
    zero: { law: 'zero = offset + perKelvin · (T − coldest) + perSecond · t', unit: 'mV/V', ...zero, rest: [{ from: 0.5, to: 11.5 }, { from: 118, to: 125.5 }, { from: 222, to: 239.5 }] },
    temperature: { unit: '°C', ...warmth }, barring: bars.map((b) => ({ ...b, speed: barringSpeed })),
    events: [...runs.map((r) => ({ name: 'run', ...r })), ...blockages.map((b) => ({ name: 'intake blocked', ...b })), ...list.map((s) => ({ name: 'strike', ...s }))],
    rail: { value: rail, unit: 'mV/V' }, shadow: { unit: 'rad', ...shadow },
    clock: { lostFrames: lost, lostSeconds: (samples - trueIndex.length) / sampleRate, second: { law: 'τ = (t − offset) · (1 + skew)', ...secondClock } },
    faults: { unit: 'row', bridge: labelSpans(rowLabels) }, torque: torqueTruth(torque, sampleRate),
  };
  const frame = Float64Array.from(trueIndex, (i) => i % 65536);
  const channels = { frame, bridge: rows(quantise(whole, chain.step)), speed: rows(speedSignal(speed, seed + 3)), temperature: rows(quantise(warm, 0.05)) };
  return {
    sampleRate, channels, labels: rowLabels, trueIndex, second: secondRecorder(speed, motorPower, sampleRate, seed + 5),
    trueTorque: torque, trueSpeed: speed, trueAngle: angle, trueZero, truth,
  };
}
