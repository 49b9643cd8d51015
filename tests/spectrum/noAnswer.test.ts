import { describe, expect, it } from 'vitest';
import {
  compareModes, createRandom, crossSpectrum, driveOrders, envelope, envelopeSpectrum, eventTrend, findLines, fitPowerLaw, fitStiffness, forcedResponse, gapSpectrum, halfPowerDamping, levelQuantile, lineSpectrum, makeChannel,
  nameLines, noiseFloor, powerDensity, spectrogram, speedCrossings, speedFromLines, speedMap, summarise, toShaftAngle, torsionalModes, zoomSpectrum, InputError, type Channel, type Train,
} from '../../src/index.js';

const n = 2000;
const torque = (at: (i: number) => number, o: { length?: number; masked?: boolean } = {}): Channel<'N·m'> => {
  const { length = n, masked = false } = o;
  return makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length }, (_, i) => at(i)), invalid: masked ? [{ from: 0, to: length, why: 'dropout' }] : [] });
};
const random = createRandom(1);
const noise = torque(() => random.normal());
const zeros = torque(() => 0);
const masked = torque(() => 7, { masked: true });
const one = torque(() => 1, { length: 1 });
const speed = (at: (i: number) => number, hidden = false): Channel<'rad/s'> => makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 100, values: Float64Array.from({ length: n }, (_, i) => at(i)), invalid: hidden ? [{ from: 0, to: n, why: 'dropout' }] : [] });
const rising = speed((i) => 2 * Math.PI * (3 + i / 1000));
const anything = (call: unknown): ((...args: unknown[]) => unknown) => call as (...args: unknown[]) => unknown;

describe('channels that hold no answer', () => {
  const line = { order: 2, from: 10, to: 30, segmentSeconds: 2, mostChange: 2 };
  it.each<[string, (c: Channel<'N·m'>) => unknown]>([
    ['crossSpectrum', (c) => crossSpectrum(c, noise, { segment: 200 })],
    ['envelope', (c) => envelope(c)],
    ['envelopeSpectrum', (c) => envelopeSpectrum(c, { from: 10, to: 20, segment: 200 })],
    ['gapSpectrum', (c) => gapSpectrum(c, { from: 1, to: 10 })],
    ['lineSpectrum', (c) => lineSpectrum(c, { segment: 200 })],
    ['powerDensity', (c) => powerDensity(c, { segment: 200 })],
    ['spectrogram', (c) => spectrogram(c, { segment: 200 })],
    ['speedFromLines', (c) => speedFromLines(c, line)],
    ['speedMap', (c) => speedMap(c, { axis: 'frequency', speed: rising, classWidth: 1, segment: 200 })],
    ['summarise', (c) => summarise(c)],
    ['toShaftAngle', (c) => toShaftAngle(c, { speed: rising, samplesPerRevolution: 16 })],
    ['zoomSpectrum', (c) => zoomSpectrum(c, { from: 1, to: 10 })],
  ])('masked throughout are refused by %s', (_, call) => {
    expect(() => call(masked)).toThrow(InputError);
    expect(() => call(masked)).toThrow(/masked|0 samples|at least three valid|got none/);
  });
  it('of zeros: power and amplitude are 0, no line is found, and no line is followed', () => {
    const s = powerDensity(zeros, { segment: 200 });
    expect(Math.max(...s.density)).toBe(0);
    expect(findLines(s)).toEqual([]);
    expect(Math.max(...zoomSpectrum(zeros, { from: 1, to: 10 }).amplitude, ...gapSpectrum(zeros, { from: 1, to: 10 }).amplitude, ...noiseFloor(s).density)).toBe(0);
    expect(summarise(zeros)).toMatchObject({ mean: 0, rms: 0, crest: null });
    expect(() => speedFromLines(zeros, line)).toThrow('0 of 73 segments reach');
  });
  it('that do not vary have no response and no coherence', () => {
    for (const [a, b] of [[zeros, noise], [noise, zeros], [torque(() => 0.1), noise], [zeros, zeros]] as const) expect(() => crossSpectrum(a, b, { segment: 200 })).toThrow('a channel that varies where both are valid');
    expect(() => crossSpectrum(noise, torque((i) => 1e200 * noise.values[i]!), { segment: 200 })).toThrow('whose square is a number');
  });
  it('of one sample, or a few, are refused where a frequency is asked', () => {
    expect(() => zoomSpectrum(one, { from: 1, to: 10 })).toThrow('1 samples, which tell 100 Hz');
    expect(() => gapSpectrum(one, { from: 1, to: 10 })).toThrow('at least three valid samples');
    expect(() => noiseFloor(powerDensity(noise, { segment: 4 }))).toThrow('at least three bins');
    expect(() => noiseFloor(powerDensity(noise, { segment: 200 }), { bins: 1001 })).toThrow('at most 98');
  });
  it('of noise alone give no speed by their lines, in 40 seeded records, and a limit that noise reaches is refused with the one that holds', () => {
    for (let seed = 1; seed <= 40; seed++) {
      const rng = createRandom(seed);
      expect(() => speedFromLines(torque(() => rng.normal(), { length: 6000 }), { ...line, above: 12 })).toThrow('more often than noise alone would');
    }
    expect(() => speedFromLines(noise, { ...line, above: 6 })).toThrow('above must be at least 7.71 dB for a band of 41 bins');
    expect(() => speedFromLines(noise, { ...line, above: 0 })).toThrow('above must be at least 7.71 dB');
  });
  it('speeds that are masked throughout, stand still or turn back say so', () => {
    for (const axis of ['frequency', 'order'] as const) {
      const map = (s: Channel<'rad/s'>): unknown => speedMap(noise, { speed: s, classWidth: 1, axis, ...(axis === 'frequency' ? { segment: 200 } : { revolutions: 2, samplesPerRevolution: 16 }) });
      expect(() => map(speed(() => 20, true))).toThrow('speed n must be a channel with valid samples, got one that is masked throughout');
      expect(() => map(speed(() => 0))).toThrow('got at most 0 rad/s');
      expect(() => map(speed(() => -20))).toThrow('turns the other way');
    }
    const back = speedMap(noise, { axis: 'frequency', speed: speed((i) => 6 * Math.PI * Math.cos(i / 300)), classWidth: 1, segment: 200 });
    expect(back.notes.join(' ')).toMatch(/9\d\d of 2000 speed samples .* backwards/);
    expect(Math.min(...back.speed)).toBeGreaterThan(0);
  });
});

describe('statistics without a right answer', () => {
  it('windows that are none, or share samples, are refused, for those would count twice', () => {
    expect(() => summarise(noise, { windows: [] })).toThrow('windows must be a list of at least one stretch');
    expect(() => anything(summarise)(noise, { windows: [null] })).toThrow('from must be given');
    expect(() => summarise(noise, { windows: [{ from: 5, to: 15 }, { from: 0, to: 10 }] })).toThrow('windows[0] must be apart from windows[1], which ends at 10 s, got one from 5 s');
    expect(summarise(noise, { windows: [{ from: 10, to: 20 }, { from: 0, to: 10 }] }).moments.count).toBe(2000);
    expect(() => summarise(torque((i) => (i % 2 ? 1 : -1) * 1e200))).toThrow('within the range of double precision');
    expect(() => anything(levelQuantile)(null, 0.5)).toThrow('a Summary');
  });
  it('events of several kinds have no one spread, and a measure that is no number is refused', () => {
    const event = (state: string, peak: number): never => ({ state, peak }) as never;
    expect(() => eventTrend([event('start', 1), event('trip', 100)], 'peak')).toThrow('events must be of one kind, got start, trip');
    expect(() => eventTrend([event('start', NaN)], 'peak')).toThrow('peak of events[0] must be a finite number, got NaN');
    expect(() => anything(eventTrend)([{}], 'peak')).toThrow('peak of events[0]');
    expect(() => anything(eventTrend)({}, 'peak')).toThrow('a list of at least one event');
  });
  it('a cubic law to the last digit is called a cubic law', () => {
    expect(fitPowerLaw({ speed: [10, 20, 40], power: [1000, 8000, 64000] }).notes[0]).toContain('lies within');
    expect(() => anything(fitPowerLaw)({ speed: null, power: [1] })).toThrow('speed must be a list of numbers');
  });
  it('readings of a mode without a name or a number are refused', () => {
    const e = (value: number, standardError: number) => ({ value, standardError, low: value - standardError, high: value + standardError });
    const reading = { from: 'trip', frequency: e(8, 0.1), dampingRatio: e(0.01, 0.001) };
    expect(() => anything(compareModes)([null, reading])).toThrow('readings[0].from must be the name of the way');
    expect(() => compareModes([reading, { ...reading, frequency: e(NaN, 0.1) }])).toThrow('readings[1].frequency.value must be a finite number');
  });
  it('curves with holes have no half-power points', () => {
    expect(() => anything(halfPowerDamping)()).toThrow('frequency must be a list of numbers');
    expect(() => halfPowerDamping({ frequency: [1, 2, 3, 4, 5, 6], amplitude: [0, 1, NaN, 1, 0, 0] })).toThrow('amplitude[2] must be a finite number');
    expect(() => halfPowerDamping({ frequency: [1, 2, 2, 4, 5, 6], amplitude: [0, 1, 2, 1, 0, 0] })).toThrow('frequency[2] must be a finite number above 2');
  });
  it('lines and orders that are none are refused', () => {
    const orders = driveOrders({ pump: { blades: 4 } });
    for (const lines of [[null], [{}]]) expect(() => anything(nameLines)(lines, { speed: 10, orders, tolerance: 1 })).toThrow('frequency of lines[0] must be a finite number');
    expect(() => anything(nameLines)([], { speed: 10, orders: [null], tolerance: 1 })).toThrow('orders[0].order');
    expect(() => anything(nameLines)([], { speed: 10, orders, tolerance: 1, natural: 5 })).toThrow('natural must be a list of frequencies');
    expect(() => anything(driveOrders)()).toThrow('an object with the parts by the name of their shaft');
    expect(speedCrossings({ frequencies: Float64Array.of(24) as never, damping: 0.02, orders: [2], from: 10, to: 200, running: 100 }).crossings.length).toBe(1);
  });
});

describe('trains that are none', () => {
  const train: Train = { inertias: [{ name: 'a', inertia: 2 }, { name: 'b', inertia: 3 }], shafts: [{ name: 's', from: 'a', to: 'b', stiffness: 12000 }] };
  const shaft = train.shafts[0]!;
  it.each<[string, unknown, string]>([
    ['no inertias', { inertias: [], shafts: [] }, 'a list of at least one inertia'],
    ['an object for the list', { inertias: {}, shafts: [] }, 'a list of at least one inertia'],
    ['an inertia that is null', { inertias: [null], shafts: [] }, 'an object with name, inertia'],
    ['a shaft with an unknown key', { ...train, shafts: [{ ...shaft, dampng: 3 }] }, "Did you mean 'damping'?"],
    ['a shaft from a part to itself', { ...train, shafts: [{ ...shaft, to: 'a' }] }, 'both ends at a'],
    ['an inertia called ground', { ...train, inertias: [...train.inertias, { name: 'ground', inertia: 1 }] }, 'names other than ground'],
    ['a section modulus of 0', { ...train, shafts: [{ ...shaft, polarModulus: 0 }] }, 'polarModulus of s must be a finite number above 0 m³'],
  ])('are refused: %s', (_, given, message) => {
    for (const call of [torsionalModes, (t: Train) => forcedResponse(t, { at: 'a', frequency: [1] }), (t: Train) => fitStiffness(t, { uncertain: ['s'], lines: [{ mode: 1, frequency: 16, uncertainty: 0.1 }] })]) expect(() => anything(call)(given)).toThrow(message);
  });
  it('a mode that drowns in the rounding of a much stiffer shaft is refused, not called free', () => {
    const apart = (stiff: number): Train => ({ inertias: [{ name: 'a', inertia: 1000 }, { name: 'b', inertia: 0.001 }, { name: 'c', inertia: 1000 }], shafts: [{ name: 's', from: 'a', to: 'b', stiffness: stiff }, { name: 't', from: 'b', to: 'c', stiffness: 100 }] });
    expect(() => torsionalModes(apart(1e10))).toThrow('Make one inertia of those that a very stiff shaft joins');
    expect(torsionalModes(apart(1e7)).modes[1]!.angularFrequency).toBeCloseTo(Math.sqrt(0.2), 4);
    // Free to turn are as many ways as the train has parts that nothing holds together.
    expect(torsionalModes({ ...apart(1e4), shafts: [] }).modes.map((m) => m.frequency)).toEqual([0, 0, 0]);
  });
  it('responses and fits without a list of frequencies, shafts or lines are refused', () => {
    for (const frequency of [5, null, []]) expect(() => anything(forcedResponse)(train, { at: 'a', frequency })).toThrow(/frequency must be/);
    const l = { mode: 1, frequency: 16, uncertainty: 0.1 };
    expect(() => anything(fitStiffness)(train, { uncertain: 's', lines: [l] })).toThrow('a list of at least one name of a shaft');
    expect(() => anything(fitStiffness)(train, { uncertain: ['s'], lines: [null] })).toThrow('lines[0].frequency');
    expect(() => fitStiffness(train, { uncertain: ['s', 's'], lines: [l, l] })).toThrow('every shaft once');
  });
  it('more lines than shafts: the uncertainty follows the lines, also where they agree to the last digit, and lines that do not agree are noted', () => {
    const three: Train = { inertias: [5, 11, 22].map((inertia, i) => ({ name: `J${i}`, inertia })), shafts: [{ name: 'k1', from: 'J0', to: 'J1', stiffness: 1e5 }, { name: 'k2', from: 'J1', to: 'J2', stiffness: 2e5 }] };
    const lines = torsionalModes(three).modes.slice(1).map((m, i) => ({ mode: i + 1, frequency: m.frequency, uncertainty: 0.002 * m.frequency }));
    const exact = fitStiffness(three, { uncertain: ['k1'], lines });
    const moved = lines.map((_, i) => fitStiffness(three, { uncertain: ['k1'], lines: lines.map((v, j) => (i === j ? { ...v, frequency: v.frequency + 0.01 * v.uncertainty } : v)) }).stiffness[0]!.value);
    expect(exact.stiffness[0]!.uncertainty / Math.hypot(...moved.map((v) => (v - 1e5) / 0.01))).toBeCloseTo(1, 2);
    expect(exact.notes).toEqual([]);
    expect(fitStiffness(three, { uncertain: ['k1'], lines: [lines[0]!, { ...lines[1]!, frequency: 1.1 * lines[1]!.frequency }] }).notes[0]).toContain('do not agree with the train');
  });
});
