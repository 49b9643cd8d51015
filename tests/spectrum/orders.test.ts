import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, findPulses, learnTarget, lineSpectrum, makeChannel, orderSpectrum, orderTracks, pulsesFromTimes, replay, speedFromPulses, speedFromTrain, toShaftAngle, type Channel, type Span } from '../../src/index.js';
import { close } from '../filter/golden.js';
import { published } from './golden.js';

/** Revolutions at time t of a run-up from f0 rev/s by a rev/s². */
const turns = (f0: number, a: number) => (t: number): number => f0 * t + (a / 2) * t * t;
const torque = (n: number, rate: number, at: (t: number) => number, invalid: Span[] = []): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: rate, values: Float64Array.from({ length: n }, (_, i) => at(i / rate)), invalid });
const speedOf = (n: number, rate: number, f0: number, a: number): Channel<'rad/s'> => makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: rate, values: Float64Array.from({ length: n }, (_, i) => 2 * Math.PI * (f0 + (a * i) / rate)) });
/** A pick-up whose pulse j of P stands `late[j]` rad late: a smooth bump a pulse. */
const pickup = (n: number, rate: number, revs: (t: number) => number, P: number, late: ArrayLike<number> = new Float64Array(P), invalid: Span[] = []): Channel<'V'> => makeChannel({
  name: 'pick-up', unit: 'V', sampleRate: rate, invalid,
  values: Float64Array.from({ length: n }, (_, i) => {
    const u = revs(i / rate) * P;
    const j = Math.round(u);
    const off = u - j - (late[((j % P) + P) % P]! * P) / (2 * Math.PI);
    return 2 * Math.sin(2 * Math.PI * off) * (Math.abs(off) < 0.5 ? 1 : 0) + 1;
  }),
});

describe('order analysis', () => {
  it('reference case order-runup-sampled: orders 2 and 4 of a linear run-up within 0.2 % and 1°', () => {
    const { inputs, expected } = published('order-runup-sampled');
    const { f0_rev_s: f0, accel_rev_s2: a, fs, A2, phi2, A4, phi4 } = inputs;
    const c = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: fs, values: Float64Array.from(expected.x) });
    const s = orderSpectrum(toShaftAngle(c, { speed: speedOf(250, fs, f0, a), samplesPerRevolution: 64 }), { revolutions: 3 });
    for (const [order, amplitude, phase] of [[2, A2, phi2], [4, A4, phi4]] as const) {
      expect(Math.abs(s.amplitude[3 * order]! / amplitude - 1)).toBeLessThan(0.002);
      expect(Math.abs(s.phase[3 * order]! - phase)).toBeLessThan(Math.PI / 180);
    }
  });
  it('a longer run-up, with orders 1 and 3 too and noise: within 0.1 %, by speed and by pulses', () => {
    const revs = turns(5, 4);
    const rng = createRandom(20);
    const rate = 2000, n = 16000;
    const c = torque(n, rate, (t) => { const th = 2 * Math.PI * revs(t); return 50 + 8 * Math.cos(th + 1) + 3 * Math.cos(2 * th + 0.5) + 2 * Math.cos(3 * th - 2) + Math.cos(4 * th - 0.7) + 0.02 * rng.normal(); });
    const late = 0.1;
    const bySpeed = toShaftAngle(c, { speed: speedOf(n / 20, rate / 20, 5, 4), samplesPerRevolution: 128 });
    const byPulses = toShaftAngle(c, { pulses: findPulses(pickup(n, rate, (t) => revs(t) - late, 12), { pulsesPerRevolution: 12 }), samplesPerRevolution: 128 });
    for (const record of [bySpeed, byPulses]) {
      const s = orderSpectrum(record, { revolutions: 8 });
      for (const [o, amplitude] of [[1, 8], [2, 3], [3, 2], [4, 1]] as const) {
        expect(Math.abs(s.amplitude[8 * o]! / amplitude - 1)).toBeLessThan(o === 4 ? 0.002 : 0.001);
        expect(s.steadiness[8 * o]!).toBeGreaterThan(0.999);
      }
      expect(s.steadiness[8 * 10 + 3]!).toBeLessThan(0.6);
    }
    // By pulses the phase is that of the mark: pulse 0 of the train is the first whole pulse, a whole number of pitches after the mark.
    const s = orderSpectrum(byPulses, { revolutions: 8 });
    const zero = 2 * Math.PI * (Math.ceil(-late * 12 + 1e-9) / 12 + late);
    for (const [o, phase] of [[1, 1], [2, 0.5], [3, -2]] as const) expect(Math.abs(Math.sin((s.phase[8 * o]! - phase - o * zero) / 2))).toBeLessThan(Math.PI / 360);
  });
  it('stands still where a spectrum over time smears', () => {
    const revs = turns(10, 2);
    const c = torque(10000, 1000, (t) => 5 * Math.cos(2 * Math.PI * 3 * revs(t)));
    const smeared = Math.max(...lineSpectrum(c, { segment: 2000 }).amplitude);
    const s = orderSpectrum(toShaftAngle(c, { speed: speedOf(10000, 1000, 10, 2), samplesPerRevolution: 32 }), { revolutions: 20 });
    expect(smeared).toBeLessThan(2.5);
    expect(s.amplitude[60]!).toBeCloseTo(5, 2);
  });
  it('lets nothing above its orders fold in', () => {
    const c = torque(20000, 4000, (t) => Math.sin(2 * Math.PI * 1500 * t));
    const r = toShaftAngle(c, { speed: speedOf(500, 100, 20, 1), samplesPerRevolution: 32 });
    const { values } = r.pieces[0]!;
    expect(values.slice(400, -400).reduce((m, v) => Math.max(m, Math.abs(v)), 0)).toBeLessThan(1e-3);
  });
  it('tracks follow amplitude and phase over speed', () => {
    const revs = turns(5, 1);
    const amp = (t: number): number => 2 + 0.3 * t;
    const c = torque(20000, 1000, (t) => amp(t) * Math.cos(2 * Math.PI * 1.5 * revs(t) + 0.4) + 10 * Math.cos(2 * Math.PI * revs(t)));
    const t = orderTracks(toShaftAngle(c, { speed: speedOf(20000, 1000, 5, 1), samplesPerRevolution: 40 }), { orders: [1, 1.5], revolutions: 8 });
    t.time.forEach((at, i) => {
      expect(t.speed[i]! / (2 * Math.PI * (5 + at))).toBeCloseTo(1, 2);
      if (i === 0 || i + 1 === t.time.length) return;
      expect(t.tracks[1]!.amplitude[i]! / amp(at)).toBeCloseTo(1, 1);
      expect(t.tracks[0]!.amplitude[i]!).toBeCloseTo(10, 1);
      expect(t.tracks[1]!.phase[i]!).toBeCloseTo(0.4, 1);
    });
  });
  it('reads no masked sample and leaves out what turns too slowly', () => {
    const revs = turns(5, 0);
    const c = torque(8000, 1000, (t) => (t > 2 && t < 3 ? 1e9 : 4 * Math.cos(2 * Math.PI * 2 * revs(t))), [{ from: 2000, to: 3001, why: 'dropout' }]);
    const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 100, values: Float64Array.from({ length: 800 }, (_, i) => (i < 100 ? 0 : 10 * Math.PI)) });
    const r = toShaftAngle(c, { speed, samplesPerRevolution: 32 });
    expect(r.pieces.length).toBe(2);
    expect(r.notes.some((note) => note.includes('100 of 800 speed samples'))).toBe(true);
    expect(orderSpectrum(r, { revolutions: 4 }).amplitude[8]!).toBeCloseTo(4, 2);
  });
  it.each<[object, string]>([
    [{ samplesPerRevolution: 32 }, 'pulses must be given, or speed, one of the two, got neither'],
    [{ samplesPerRevolution: 3, speed: speedOf(100, 100, 5, 0) }, 'samplesPerRevolution must be a whole number at least 4'],
    [{ samplesPerRevolution: 32, speed: torque(100, 100, () => 1) }, "unit of torque must be rad/s, got N·m. Use convert(speed, 'rad/s')."],
    [{ samplesPerRevolution: 32, speed: makeChannel({ name: 's', unit: 'rad/s', sampleRate: 10, values: new Float64Array(50).fill(-3) }) }, 'A shaft that turns the other way'],
    [{ samplesPerRevolution: 32, pulses: {} }, 'a PulseTrain'],
  ])('toShaftAngle refuses %j', (options, message) => {
    expect(() => toShaftAngle(torque(1000, 100, (t) => t), options as never)).toThrow(message);
  });
  it('refuses pulses so far out of place that the angle would turn back (which gave no number there)', () => {
    const pulses = pulsesFromTimes([0, 1.45, ...Array.from({ length: 40 }, (_, i) => i + 2)].map((t) => t / 10), { pulsesPerRevolution: 8 });
    expect(() => toShaftAngle(torque(4000, 1000, () => 1), { pulses, samplesPerRevolution: 32 })).toThrow('an angle that rises throughout, got one that turns back at');
  });
  it('order verbs refuse what is no record over angle, orders outside it and too many revolutions', () => {
    const r = toShaftAngle(torque(2000, 1000, (t) => t), { speed: speedOf(2000, 1000, 5, 0), samplesPerRevolution: 16 });
    expect(() => orderSpectrum({} as never, { revolutions: 2 })).toThrow('an AngleRecord');
    expect(() => orderSpectrum(r, { revolutions: 50 })).toThrow('no more than the longest piece has (');
    expect(() => orderTracks(r, { orders: [9], revolutions: 2 })).toThrow('orders must be a finite number at least 0.5 and below 8, got 9.');
    // Half the samples of a revolution is its own mirror; below one cycle a segment an order is not told from the mean.
    for (const o of [8, 0.4]) expect(() => orderTracks(r, { orders: [o], revolutions: 2 })).toThrow('at least 0.5 and below 8');
    expect(() => orderTracks(r, { orders: [], revolutions: 2 })).toThrow('at least one order');
  });
});

describe('pulses and speed', () => {
  it('give the speed of a run-up to 1e-4, and replay', () => {
    const p = pickup(40000, 10000, turns(5, 5), 20);
    const s = speedFromPulses(p, { pulsesPerRevolution: 20, sampleRate: 200 });
    for (let i = 20; i < 780; i++) expect(s.values[i]! / (2 * Math.PI * (5 + (5 * i) / 200))).toBeCloseTo(1, 4);
    expect(replay(p, s.trail)).toEqual(s);
    expect(s.invalid.every((span) => span.why === 'out of range')).toBe(true);
  });
  it('are mended: missing and extra ones leave the speed and the angle as they are', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1000 }), (seed) => {
      const rng = createRandom(seed);
      const P = 20, rate = 10000, n = 40000;
      const clean = pickup(n, rate, turns(6, 2), P);
      const values = clean.values.slice();
      // Ten pulses wiped out, ten spikes added between pulses.
      const at = (k: number): number => { let i = 2000 + k * 1700; while (!(values[i - 1]! < 1 && values[i]! >= 1)) i++; return i; };
      for (let k = 0; k < 10; k++) {
        const i = at(2 * k);
        const pitch = rate / (P * (6 + (2 * i) / rate));
        values.fill(0.9, Math.floor(i - 0.52 * pitch), Math.floor(i + 0.45 * pitch));
        const e = at(2 * k + 1) + Math.floor(pitch * (0.2 + 0.2 * rng.uniform()));
        values[e] = -1;
        values[e + 1] = 3;
      }
      const spoilt = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: rate, values });
      const train = findPulses(spoilt, { pulsesPerRevolution: P, threshold: 1, hysteresis: 0.4 });
      expect(train.runs.length).toBe(1);
      expect(train.missing).toBeGreaterThanOrEqual(8);
      expect(train.extra).toBeGreaterThanOrEqual(8);
      const good = findPulses(clean, { pulsesPerRevolution: P, threshold: 1, hysteresis: 0.4 });
      const a = train.runs[0]!, b = good.runs[0]!;
      expect(a.index.at(-1)).toBe(b.index.at(-1));
      const s = speedFromPulses(spoilt, { pulsesPerRevolution: P, threshold: 1, hysteresis: 0.4, sampleRate: 100 });
      for (let i = 10; i < 390; i++) expect(Math.abs(s.values[i]! / (2 * Math.PI * (6 + (2 * i) / 100)) - 1)).toBeLessThan(0.05);
    }), { seed: 16, numRuns: 10 });
  });
  it('a long absence ends the train, and the speed is masked there', () => {
    const p = pickup(20000, 5000, turns(8, 0), 10, undefined, [{ from: 8000, to: 9000, why: 'dropout' }]);
    const s = speedFromPulses(p, { pulsesPerRevolution: 10, sampleRate: 500 });
    expect(findPulses(p, { pulsesPerRevolution: 10 }).runs.length).toBe(2);
    expect(s.invalid.some((span) => span.from > 750 && span.to < 950)).toBe(true);
    expect(s.values[400]!).toBeCloseTo(16 * Math.PI, 3);
  });
  it('an uneven target is learnt, and at least 95 % of its false orders go', () => {
    const P = 24, rate = 20000;
    const rng = createRandom(30);
    const late = Float64Array.from({ length: P }, (_, j) => (j === 0 ? 0 : 0.01 * rng.normal()));
    const p = pickup(200000, rate, turns(6, 1.5), P, late);
    const options = { pulsesPerRevolution: P };
    const train = findPulses(p, options);
    const learnt = learnTarget(train);
    // The train's pulse 0 need not be the target's: turn the truth to it, and take its own offset off.
    const firstPulse = Math.round(turns(6, 1.5)(train.runs[0]!.time[0]!) * P) % P;
    const truth = Float64Array.from({ length: P }, (_, j) => late[(j + firstPulse) % P]! - late[firstPulse]!);
    close(learnt.offsets, truth, 0, 2e-4);
    const falseOrders = (offsets?: ArrayLike<number>): number => {
      const s = speedFromPulses(p, { ...options, ...(offsets ? { offsets: Array.from(offsets) } : {}), sampleRate: 2000 });
      const o = orderSpectrum(toShaftAngle(s, { pulses: train, ...(offsets ? { offsets } : {}), samplesPerRevolution: 64 }), { revolutions: 10, detrend: 'linear' });
      let sum = 0;
      for (let k = 1; k < P / 2; k++) sum += o.amplitude[10 * k]! ** 2;
      return Math.sqrt(sum);
    };
    expect(falseOrders(learnt.offsets) / falseOrders()).toBeLessThan(0.05);
  });
  it.each<[object, string]>([
    [{}, 'pulsesPerRevolution must be given'],
    [{ pulsesPerRevolution: 1.5 }, 'a whole number'],
    [{ pulsesPerRevolution: 10, edge: 'up' }, "edge must be one of 'rising', 'falling'"],
    [{ pulsesPerRevolution: 10, threshold: 99 }, 'a signal with at least four pulses in a row'],
    [{ pulsesPerRevolution: 10, offsets: [0, 1] }, 'offsets must be one number a pulse, 10 in all, got 2'],
  ])('speedFromPulses refuses %j', (options, message) => {
    expect(() => speedFromPulses(pickup(2000, 1000, turns(5, 0), 10), options as never)).toThrow(message);
  });
  it('findPulses refuses a pick-up that is masked throughout', () => {
    expect(() => findPulses(pickup(2000, 1000, turns(5, 0), 10, undefined, [{ from: 0, to: 2000, why: 'dropout' }]), { pulsesPerRevolution: 10 })).toThrow('masked throughout');
  });
  it('learnTarget refuses a short train', () => {
    expect(() => learnTarget(findPulses(pickup(4000, 2000, turns(2, 0), 10), { pulsesPerRevolution: 10 }))).toThrow('at least 10 revolutions without a break');
  });
});

describe('pulses given as time stamps', () => {
  it('are the train that the sampled pick-up gives: same numbers, same times', () => {
    const pickup = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: 2000, values: Float64Array.from({ length: 8000 }, (_, i) => Math.sin(2 * Math.PI * (40 * (i / 2000) + 5 * (i / 2000) ** 2) + 0.1)) });
    const sampled = findPulses(pickup, { pulsesPerRevolution: 8 });
    const stamped = pulsesFromTimes(sampled.runs[0]!.time, { pulsesPerRevolution: 8 });
    expect(stamped.runs[0]!.time).toEqual(sampled.runs[0]!.time);
    expect(stamped.runs[0]!.index).toEqual(sampled.runs[0]!.index);
    const speed = speedFromTrain(stamped, { sampleRate: 500, samples: 2000 });
    const other = speedFromPulses(pickup, { pulsesPerRevolution: 8, sampleRate: 500 });
    expect(speed.invalid).toEqual(other.invalid);
    expect(Math.max(...speed.values.map((v, i) => Math.abs(v - other.values[i]!)))).toBe(0);
  });
  it('lose extra stamps, keep their numbers over missing ones, and the speed is that of the shaft', () => {
    const times = Array.from({ length: 400 }, (_, i) => 0.01 * i).filter((_, i) => i % 97 !== 50).concat([1.2345]).sort((a, b) => a - b);
    const train = pulsesFromTimes(times, { pulsesPerRevolution: 10 });
    expect([train.found, train.extra, train.missing, train.runs.length]).toEqual([397, 1, 4, 1]);
    const speed = speedFromTrain(train, { sampleRate: 100, samples: 399 });
    expect(Math.max(...speed.values.map((v) => Math.abs(v / (2 * Math.PI * 10) - 1)))).toBeLessThan(1e-9);
    expect(speed.trail[0]!.op).toBe('speedFromTrain');
  });
  it('refuse times that do not rise, too few, and offsets of another target', () => {
    expect(() => pulsesFromTimes([0, 1, 1, 2], { pulsesPerRevolution: 1 })).toThrow('times[2] must be above the one before');
    expect(() => pulsesFromTimes([0, 1], { pulsesPerRevolution: 1 })).toThrow('at least four pulses in a row');
    expect(() => speedFromTrain(pulsesFromTimes([0, 1, 2, 3, 4], { pulsesPerRevolution: 2 }), { sampleRate: 1, samples: 4, offsets: [0] })).toThrow('one number a pulse, 2 in all');
    expect(() => speedFromTrain({} as never, { sampleRate: 1, samples: 4 })).toThrow('a PulseTrain');
  });
});
