import { from, op, table } from 'arquero';
import * as danfo from 'danfojs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, curveLibrary, cycleMatrix, cyclesFromTable, damage, exceedance, faults, findFaults, findRestStates, fitZero, fromDataFrame, fromTable, fromToMatrix, life, lineSpectrum, makeChannel,
  makeRecording, MPa, powerDensity, rpm, stressCycles, summaryTable, tablesOf, toDataFrame, toTable, torsionalModes, turningPoints, designLowpass, responseOf, fitCalibration, levelCrossings, peakCounts, timeAtLevel, countEvents, lifeBand, tornado, crossSpectrum, zoomSpectrum, gapSpectrum, spectrogram, orderSpectrum, orderTracks, speedMap, speedCrossings,
  fitRingDown, lossMap, toShaftAngle, damageByTime, damageConvergence, dutyMix, segmentStates, torqueEvents, torqueSpeedMap, vibrationLimits, forcedResponse, noiseFloor, uncertaintyBudget, meanStressBounds, localStress, notchFactor, criticalPlane, fitLifeCurve, poolCounts, compareModes, segmentChoices, type Channel,
} from '../../src/index.js';
import { tabularKinds } from '../../src/tables/parts.js';

const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 8, start: '2026-03-01T08:00:00.000Z', values: [0, 900, NaN, 200, 800, 0, 1000, 0], invalid: [{ from: 4, to: 5, why: 'rail' }] });
const plain = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: [-2, 1, -3, 5, -1, 3, -4, 4, -2] });
const cycles = closeResidue(countCycles(plain), 'half');

describe('toTable', () => {
  it('has a time column, the values as recorded, and a reason beside every masked sample', () => {
    const t = toTable(torque);
    expect(t.columnNames()).toEqual(['time [s]', 'torque [N·m]', 'torque fault']);
    expect(Array.from(t.array('time [s]') as Iterable<number>)).toEqual([0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875]);
    expect(t.array('torque fault')).toEqual([null, null, 'not a number', null, 'rail', null, null, null]);
    expect(t.get('torque [N·m]', 4)).toBe(800);
  });
  it('works with Arquero’s own verbs, units in the names', () => {
    const t = toTable(cycles);
    expect(t.columnNames()).toEqual(['range [N·m]', 'mean [N·m]', 'from [N·m]', 'to [N·m]', 'count', 'sample']);
    const sums = t.groupby('range [N·m]').rollup({ n: op.sum('count') }).orderby('range [N·m]').objects();
    // ASTM E1049-85 (2017), figure 6: rainflow counts by range.
    expect(sums).toEqual([{ 'range [N·m]': 3, n: 0.5 }, { 'range [N·m]': 4, n: 1.5 }, { 'range [N·m]': 6, n: 0.5 }, { 'range [N·m]': 8, n: 1 }, { 'range [N·m]': 9, n: 0.5 }]);
  });
  it('gives every part of a result by name', () => {
    const count = countCycles(plain);
    for (const part of tablesOf(count)) expect(toTable(count, { part }).numCols()).toBeGreaterThan(0);
    expect(toTable(count, { part: 'residue' }).numRows()).toBe(count.residue.values.length);
    expect(toTable(torque, { part: 'trail' }).array('op')).toEqual(['makeChannel']);
    expect(() => toTable(count, { part: 'residues' })).toThrow("part must be one of 'closed', 'residue', 'largest', 'sources'");
  });
  const wave = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: 400 }, (_, i) => Math.sin(i) + (i % 7) / 9) });
  const local = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(90), MPa(70)], count: [1e3, 1e4], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
  const summed = damage(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
  const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 1, values: [0, 0, 0, 0, 900, 900, 0, 0, 0, 0, 0] });
  const results: Record<string, object> = {
    Channel: torque, Recording: makeRecording('run', [torque]), TurningPoints: turningPoints(plain), CycleCount: countCycles(plain), Cycles: cycles, Exceedance: exceedance(cycles),
    CountMatrix: cycleMatrix(cycles, { rangeEdges: [0, 5, 10], meanEdges: [-2, 0, 2] }), Damage: summed, Life: life(summed), PowerDensity: powerDensity(wave, { segment: 64 }), LineSpectrum: lineSpectrum(wave, { segment: 64 }),
    FaultReport: findFaults(torque), RestStates: findRestStates({ speed, below: rpm(5), minimum: 2, guard: 1 }), ZeroModel: fitZero(plain, { rest: [{ from: 0, to: 4 }], model: 'constant' }),
    TorsionalModes: torsionalModes({ inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000 }] }),
    FrequencyResponse: responseOf(designLowpass({ cutoff: 10, order: 2, sampleRate: 100 })), Calibration: fitCalibration([{ applied: 0, signal: 0 }, { applied: 100, signal: 1.01 }, { applied: 200, signal: 2 }], { unit: 'mV/V' }),
  };
  const turning = makeChannel({ name: 'w', unit: 'rad/s', sampleRate: 100, values: Float64Array.from({ length: 400 }, () => 20 * Math.PI) });
  const record = toShaftAngle(wave, { speed: turning, samplesPerRevolution: 16 });
  const inputs = { gauge: { shape: 'normal', deviation: 0.02 } } as const;
  Object.assign(results, {
    LevelCrossings: levelCrossings(plain, { levels: [-2, 0, 2], reference: 0 }), PeakCounts: peakCounts(plain, { reference: 0 }), TimeAtLevel: timeAtLevel(plain, { edges: [-5, 0, 5] }),
    EventCounts: countEvents(plain, { running: { on: 2, off: 1 } }), LifeBand: lifeBand(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs, draws: 100 }),
    Tornado: tornado(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', inputs, alternatives: [] }), CrossSpectrum: crossSpectrum(wave, makeChannel({ name: 'w', unit: 'rad/s', sampleRate: 100, values: wave.values.map((v, i) => 20 * Math.PI + v * Math.cos(i)) }), { segment: 64 }), ZoomSpectrum: zoomSpectrum(wave, { from: 10, to: 20 }),
    GapSpectrum: gapSpectrum(wave, { from: 10, to: 20 }), Spectrogram: spectrogram(wave, { segment: 64 }), OrderSpectrum: orderSpectrum(record, { revolutions: 10 }), OrderTracks: orderTracks(record, { revolutions: 4, orders: [1, 2] }),
    SpeedMap: speedMap(wave, { axis: 'frequency', speed: turning, classWidth: rpm(60), segment: 64 }), SpeedCrossings: speedCrossings({ frequencies: [24], damping: 0.02, orders: [1], from: rpm(300), to: rpm(1800), running: rpm(990) }),
    RingDown: fitRingDown(makeChannel({ name: 'r', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: 1000 }, (_, i) => 900 * Math.exp(-i / 250) * Math.cos(0.3 * i)) }), { from: 0, to: 2 }),
    VibrationLimits: vibrationLimits({ tensileStrength: MPa(600), steel: 'carbon', diameter: 0.3, feature: 1, speedRatios: [0.5, 0.9, 1] }),
    ForcedResponse: forcedResponse({ inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000, damping: 1 }] }, { at: 'motor', frequency: [1, 2, 3] }),
    LossMap: lossMap(wave), NoiseFloor: noiseFloor(powerDensity(wave, { segment: 64 })), UncertaintyBudget: uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 } }, model: ({ a }) => a!, draws: 0 }),
  });
  const w = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Array.from({ length: 600 }, (_, i) => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8))) });
  const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array.from(w.values, (v) => 3 * v * v) });
  const states = segmentStates(T, { speed: w, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 });
  const stress = makeChannel({ name: 's', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 4000 }, (_, i) => MPa(90) * Math.sin(i) * (1 + Math.sin(i / 300))) });
  const timed = damage(stressCycles(countCycles(stress), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
  Object.assign(results, {
    MachineStates: states, TorqueEvents: torqueEvents(T, { states }), TorqueSpeedMap: torqueSpeedMap(T, { speed: w, torqueEdges: [0, 2000, 5000], speedEdges: [0, 10, 20, 50] }), DamageConvergence: damageConvergence(timed, { within: 0.2 }),
    DamageByTime: damageByTime(timed, { every: 40 }), DutyMix: dutyMix([{ name: 'all', damage: timed, hours: 8000 }]),
  });
  const one = { shear: notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 'smooth' }), direct: notchFactor({ kind: 'direct', value: 1, basis: 'fatigue', source: 'smooth' }) };
  const synthetic = curveLibrary.synthetic({ kind: 'shear', ultimate: MPa(700), enduranceLimit: MPa(90) });
  const nominal = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(200)], mean: [MPa(150)], count: [100], hours: 1 }), { basis: 'nominal', kind: 'shear', source: 'by hand' });
  const near = (value: number): { value: number; standardError: number; low: number; high: number } => ({ value, standardError: 0.01, low: value - 0.01, high: value + 0.01 });
  Object.assign(results, {
    MeanStressBounds: meanStressBounds(localStress(nominal, one.shear), { curve: synthetic, meanStress: { rule: 'goodman', ultimate: MPa(700), shear: 'von Mises' }, residue: 'half' }),
    CriticalPlane: criticalPlane(stress, { rotatingBending: 0, speed: rpm(60), notch: one, sensitivity: 0.25, curve: synthetic, residue: 'half', planes: 18 }),
    LifeFit: fitLifeCurve([948, 834, 703, 631].map((s, i) => ({ stress: MPa(s), cycles: [222, 992, 6004, 14130][i]! })), { name: 'x', kind: 'direct', measure: 'amplitude', ratio: -1, notch: 'in the stress', source: 'by hand', knee: null, beyond: 'same-slope', survival: 0.95, confidence: 0.95 }),
    PooledCount: poolCounts([{ shaft: 'pump 1', count: countCycles(plain) }, { shaft: 'pump 2', count: countCycles(makeChannel({ name: 'second', unit: 'N·m', sampleRate: 1, values: [0, 6, 0] })) }], 'half'),
    ModeComparison: compareModes([{ from: 'ring-down', frequency: near(8.44), dampingRatio: near(0.007) }, { from: 'sweep', frequency: near(8.45), dampingRatio: near(0.012) }]), SegmentChoices: segmentChoices(wave, { shortest: 64 }),
  });
  it('is tested for every kind: those that are not here stand in fitsAndSums.test.ts, but one, which needs a file', () => {
    expect(tabularKinds.filter((kind) => !(kind in results)).sort()).toEqual([
      'AmbientFit', 'AngleRecord', 'ClockFit', 'EquivalentRange', 'EventTrend', 'FileDescription', 'FilterDesign', 'HalfPowerDamping', 'PowerBalance', 'PowerLawFit', 'PulseTrain', 'SpectralDamage', 'StiffnessFit',
      'StrainLifeDamage', 'StressCycles', 'Summary', 'SweepFit', 'TailExtrapolation', 'TargetPattern', 'WindowFigures', 'ZeroStability',
    ]);
  });
  it('has maps in long form, one row for each field', () => {
    const map = spectrogram(wave, { segment: 64 });
    const t = toTable(map);
    expect(t.numRows()).toBe(map.time.length * map.frequency.length);
    expect([t.get('time [s]', 34), t.get('frequency [Hz]', 34), t.get('density [(N·m)²/Hz]', 34)]).toEqual([map.time[1], map.frequency[1], map.density[1]![1]]);
  });
  it.each(Object.keys(results))('has equal columns in every table of a %s', (kind) => {
    expect(tabularKinds).toContain(kind);
    const result = results[kind]!;
    expect(tablesOf(result).length).toBeGreaterThan(0);
    for (const part of tablesOf(result)) {
      const t = toTable(result, { part });
      for (const name of t.columnNames()) expect((t.array(name) as ArrayLike<unknown>).length, `${part}, ${name}`).toBe(t.numRows());
    }
  });
  it('keeps the sums: cycles of a matrix, damage of the classes', () => {
    const m = fromToMatrix(cycles, { edges: [-5, 0, 6] });
    expect(toTable(m).rollup({ n: op.sum('cycles') }).get('n')).toBe(m.total);
    expect(toTable(summed).rollup({ d: op.sum('damage') }).get('d')).toBeCloseTo(summed.total, 15);
  });
  it('refuses what has no table and channels of different clocks', () => {
    expect(() => toTable({})).toThrow('a result with a table (Channel, Recording');
    const slow = makeChannel({ name: 't', unit: '°C', sampleRate: 1, values: [20] });
    expect(() => toTable(makeRecording('run', [torque, slow]))).toThrow('toTable(pick(recording, name))');
    expect(toTable(makeRecording('run', [torque, slow]), { part: 'channels' }).numRows()).toBe(2);
  });
});

const anyChannel = fc.record({
  values: fc.array(fc.oneof(fc.double({ noNaN: true }), fc.constant(NaN)), { minLength: 2, maxLength: 60 }), sampleRate: fc.constantFrom(0.1, 1, 3, 50, 1000, 2048, 44100),
  spans: fc.array(fc.tuple(fc.nat(59), fc.integer({ min: 1, max: 9 }), fc.constantFrom(...faults)), { maxLength: 4 }), unit: fc.constantFrom('N·m', 'mV/V', '°C', 'rpm', 'µstrain'),
}).map(({ values, sampleRate, spans, unit }) => makeChannel({
  name: 'signal 1', unit: unit as 'N·m', sampleRate, values, invalid: spans.filter(([a]) => a < values.length).map(([from, n, why]) => ({ from, to: Math.min(values.length, from + n), why })),
}));
const essence = (c: Channel): object => ({ name: c.name, unit: c.unit, sampleRate: c.sampleRate, start: c.start, values: Array.from(c.values), invalid: c.invalid });

describe('round trips', () => {
  it('through an Arquero table give values, unit, rate and masks back exactly', () => {
    fc.assert(fc.property(anyChannel, (c) => {
      expect(essence(fromTable(toTable(c)).channels[0]!)).toEqual(essence(c));
    }), { numRuns: 500, seed: 3 });
  });
  it('through a danfo.js DataFrame too', () => {
    const frame = toDataFrame(torque, danfo);
    expect(frame).toBeInstanceOf(danfo.DataFrame);
    expect(frame.columns).toEqual(['time [s]', 'torque [N·m]', 'torque fault']);
    expect(essence(fromDataFrame(frame, { start: torque.start! }).channels[0]!)).toEqual(essence(torque));
    expect(toDataFrame(cycles, danfo).shape).toEqual([cycles.range.length, 6]);
  });
  it('keep the start and the name that are stated, and say where the channel came from', () => {
    const back = fromTable(toTable(torque), { start: '2026-03-01T08:00:00.000Z', name: 'again' });
    expect(back.name).toBe('again');
    expect(back.channels[0]!.start).toBe(torque.start);
    expect(back.channels[0]!.trail.map((s) => s.op)).toEqual(['fromTable']);
  });
});

describe('fromTable', () => {
  it('reads the clock in any unit of time, or takes a stated rate', () => {
    expect(fromTable(table({ 'time [ms]': [0, 4, 8], 'a [V]': [1, 2, 3] })).channels[0]!.sampleRate).toBe(250);
    expect(fromTable(table({ 'a [V]': [1, 2, 3] }), { sampleRate: 10 }).channels[0]!.unit).toBe('V');
    expect(fromTable(table({ a: [1, null, 3] }), { sampleRate: 10 }).channels[0]!.invalid).toEqual([{ from: 1, to: 2, why: 'not a number' }]);
  });
  it('refuses rather than guesses', () => {
    expect(() => fromTable([] as never)).toThrow('table must be an Arquero table');
    expect(() => fromTable(table({ a: [1, 2] }))).toThrow('sampleRate');
    expect(() => fromTable(table({ time: [0, 1, 3], a: [1, 2, 3] }))).toThrow('a uniform rising clock');
    expect(() => fromTable(table({ time: [2, 1, 0], a: [1, 2, 3] }))).toThrow('a uniform rising clock');
    expect(() => fromTable(table({ 'a [furlong]': [1, 2] }), { sampleRate: 1 })).toThrow('unit of a [furlong]');
    expect(() => fromTable(table({ a: [1, 'x'] }), { sampleRate: 1 })).toThrow('row 1 of a must be a number or empty, got "x"');
    expect(() => fromTable(table({ a: [1, 2], 'a fault': [null, 'because'] }), { sampleRate: 1 })).toThrow("row 1 of a fault must be empty or one of 'dropout'");
    expect(() => fromTable(table({ time: [0, 1] }))).toThrow('a column besides the time');
    expect(() => fromDataFrame([] as never)).toThrow('frame must be a danfo.js DataFrame');
    expect(() => toDataFrame(torque, {} as never)).toThrow("import * as danfo from 'danfojs'");
  });
});

describe('summaryTable', () => {
  it('gives the statistics of the valid samples, by hand', () => {
    const t = summaryTable([makeChannel({ name: 'a', unit: 'N·m', sampleRate: 2, values: [2, 4, 4, 4, 5, 5, 7, 9, NaN, NaN] }), torque]);
    const row = t.objects()[0] as Record<string, number>;
    expect(row).toMatchObject({ channel: 'a', unit: 'N·m', 'valid [s]': 4, 'lost [s]': 1, min: 2, max: 9, mean: 5, median: 4.5 });
    expect(row['standard deviation']).toBeCloseTo(Math.sqrt(32 / 7), 12);
    expect(row['rms']).toBeCloseTo(Math.sqrt(29), 12);
    expect(row['crest']).toBeCloseTo(9 / Math.sqrt(29), 12);
    // Sample skewness G1 = √(n(n−1))/(n−2) · m3/m2^1.5 with m2 = 4, m3 = 5.25, n = 8.
    expect(row['skewness']).toBeCloseTo((Math.sqrt(56) / 6) * (5.25 / 8), 12);
    expect(t.numRows()).toBe(2);
  });
  it('leaves empty what too few or equal values cannot give', () => {
    const row = summaryTable(makeRecording('r', [makeChannel({ name: 'a', unit: '1', sampleRate: 1, values: [3, 3] })])).objects()[0] as Record<string, unknown>;
    expect([row['standard deviation'], row['skewness'], row['excess kurtosis']]).toEqual([0, null, null]);
  });
  it('refuses a channel without a valid sample', () => {
    expect(() => summaryTable(makeChannel({ name: 'a', unit: '1', sampleRate: 1, values: [NaN] }))).toThrow('a must be a channel with valid samples');
    expect(() => summaryTable(from([]) as never)).toThrow('channel must be a Channel');
  });
});
