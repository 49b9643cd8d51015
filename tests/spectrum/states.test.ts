import { describe, expect, it } from 'vitest';
import { createRandom, eventTrend, makeChannel, segmentStates, torqueEvents, type Channel, type MachineState } from '../../src/index.js';
import { makeRunA } from '../../sample-runs/run-a.mjs';

const run = makeRunA();
const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: run.sampleRate, values: run.trueTorque }) as Channel<'N·m'>;
const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: run.sampleRate, values: run.channels.speed }) as Channel<'rpm'>;
const options = { speed, standstill: 0.5, speedChange: 0.5, torqueChange: 1200, block: 1 };
const times = Object.fromEntries(run.truth.events.map((e: { name: string; t: number }) => [e.name, e.t]));

describe('states of sample run (a)', () => {
  const found = segmentStates(torque, options);
  const named = (state: string): MachineState[] => found.states.filter((s) => s.state === state);
  it('begin and end with a stop and cover the record without gaps', () => {
    expect(found.states[0]).toMatchObject({ state: 'stop', from: 0 });
    expect(found.states.at(-1)).toMatchObject({ state: 'stop', to: 150 });
    found.states.slice(1).forEach((s, k) => expect(s.from).toBe(found.states[k]!.to));
  });
  it('hold one start and one trip, within a block of the truth', () => {
    expect(named('start').length).toBe(1);
    expect(Math.abs(named('start')[0]!.from - times.start)).toBeLessThanOrEqual(1);
    expect(named('trip').length).toBe(1);
    expect(Math.abs(named('trip')[0]!.from - times.trip)).toBeLessThanOrEqual(1);
    expect(named('coast-down').length).toBe(1);
  });
  it('are mostly steady between start and trip, at rated speed', () => {
    const steady = named('steady').reduce((s, x) => s + x.to - x.from, 0);
    expect(steady).toBeGreaterThan(60);
    for (const s of named('steady').filter((x) => x.to - x.from > 5)) expect(Math.abs((s.speed * 30) / Math.PI - 376)).toBeLessThan(12);
  });
  it('give events: the start overshoots the steady torque, the trip rings down in the first mode', () => {
    const { events, notes } = torqueEvents(torque, { states: found, after: 8, ringDown: { from: 5, to: 15 } });
    const start = events.find((e) => e.state === 'start')!;
    expect(start.against!.state).toBe('after');
    expect(start.amplification).toBeGreaterThan(1.2);
    expect(start.peak).toBe(Math.max(...run.trueTorque.subarray(Math.round(start.from * 1000), Math.round(start.to * 1000))));
    expect(start.riseTime).toBeGreaterThan(0);
    expect(start.riseTime).toBeLessThan(1);
    const trip = events.find((e) => e.state === 'trip')!;
    expect(trip.against!.state).toBe('before');
    for (const note of trip.ringDown!.notes) expect(notes.join(' ')).toContain(note);
    expect(trip.ringDown!.notes.length).toBeGreaterThan(0);
    expect(trip.ringDown!.modes[0]!.frequency.value).toBeGreaterThan(0.97 * run.truth.modes[0].frequency);
    expect(trip.ringDown!.modes[0]!.frequency.value).toBeLessThan(1.03 * run.truth.modes[0].frequency);
  });
});

describe('states', () => {
  const made = (rate: number, w: (t: number) => number, T: (t: number) => number, seconds: number): { torque: Channel<'N·m'>; speed: Channel<'rad/s'> } => ({
    torque: makeChannel({ name: 'T', unit: 'N·m', sampleRate: rate, values: Array.from({ length: rate * seconds }, (_, i) => T(i / rate)) }),
    speed: makeChannel({ name: 'n', unit: 'rad/s', sampleRate: rate, values: Array.from({ length: rate * seconds }, (_, i) => w(i / rate)) }),
  });
  it('tell a reverse run and a change of load at constant speed', () => {
    const m = made(20, (t) => (t < 10 ? 0 : t < 30 ? -20 : t < 40 ? 0 : 30), (t) => (t < 40 ? 0 : t < 60 ? 500 : 900), 80);
    const found = segmentStates(m.torque, { speed: m.speed, standstill: 0.5, speedChange: 1, torqueChange: 200, block: 1 });
    const names = found.states.map((s) => s.state);
    expect(names).toContain('reverse');
    expect(names).toContain('load change');
    expect(found.states.find((s) => s.state === 'load change')!.from).toBeCloseTo(60, 0);
  });
  it('do not flicker with noise around a limit', () => {
    const m = made(20, (t) => 0.75 + 0.2 * Math.sin(17 * t), () => 10, 60);
    expect(segmentStates(m.torque, { speed: m.speed, standstill: 0.5, speedChange: 1, torqueChange: 200, block: 1 }).states.length).toBe(1);
  });
  it('that flicker are noted, and a dwell settles them: every second is kept, no stretch shorter than asked', () => {
    const random = createRandom(5);
    const m = made(20, (t) => (t < 10 ? 0 : 30), (t) => (t < 10 ? 0 : 500), 300);
    const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 20, values: m.torque.values.map((v, i) => (i < 400 ? v : v + 300 * Math.sign(Math.sin(Math.floor(i / 20) * 1.7)) * (random.uniform() > 0.4 ? 1 : 0))) });
    const o = { speed: m.speed, standstill: 0.5, speedChange: 1, torqueChange: 200, block: 1 };
    const flicker = segmentStates(torque, o), settled = segmentStates(torque, { ...o, dwell: 5 });
    expect(flicker.notes.join(' ')).toContain('give dwell');
    expect(settled.states.length).toBeLessThan(flicker.states.length / 3);
    for (const s of settled.states) if (s.state === 'steady' || s.state === 'load change') expect(s.to - s.from).toBeGreaterThanOrEqual(5);
    expect(Object.values(settled.time).reduce((a, b) => a + b, 0)).toBeCloseTo(300, 9);
    expect(() => segmentStates(torque, { ...o, dwell: -1 })).toThrow('dwell must be');
  });
  it('say where a limit of standstill hides barring', () => {
    const m = made(20, (t) => (t < 30 ? 0 : t < 60 ? -0.12 : 30), () => 10, 120);
    const o = { speed: m.speed, standstill: 0.52, speedChange: 1, torqueChange: 200, block: 1 };
    expect(segmentStates(m.torque, o).notes.join(' ')).toContain('at up to 0.12 rad/s');
    const fine = segmentStates(m.torque, { ...o, standstill: 0.05 });
    expect(fine.notes).toEqual([]);
    expect(fine.states.some((s) => s.state === 'reverse')).toBe(true);
  });
  it('refuse limits that are not above 0, short records and edited states with a gap', () => {
    const m = made(20, () => 0, () => 0, 10);
    const o = { speed: m.speed, standstill: 0.5, speedChange: 1, torqueChange: 200, block: 1 };
    expect(() => segmentStates(m.torque, { ...o, standstill: 0 })).toThrow('standstill must be a finite number above 0 rad/s');
    expect(() => segmentStates(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 20, values: m.torque.values, invalid: [{ from: 0, to: 200, why: 'dropout' }] }), o)).toThrow('masked throughout');
    expect(() => segmentStates(m.torque, { ...o, block: 5 })).toThrow('at most a quarter of the record');
    expect(() => torqueEvents(m.torque, { states: [{ state: 'stop', from: 0, to: 2, speed: 0, torque: 0 }, { state: 'start', from: 3, to: 4, speed: 0, torque: 0 }] })).toThrow('states[1].from must be where the state before it ends (2 s), got 3');
  });
});

describe('event trend', () => {
  const event = (peak: number): never => ({ state: 'start', peak, amplification: null, riseTime: null }) as never;
  it('finds a drift and says nothing of one with two events', () => {
    const trend = eventTrend([100, 112, 119, 131, 140].map(event), 'peak');
    expect(trend.slope!.low).toBeGreaterThan(0);
    expect(trend).toMatchObject({ count: 5, least: 100, median: 119, largest: 140 });
    expect(eventTrend([1, 2].map(event), 'peak').slope).toBeNull();
    expect(() => eventTrend([event(1)], 'riseTime')).toThrow('at least one event with riseTime');
  });
});
