import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, cyclesFromTable, designLowpass, equivalentRange, estimateStrainLife, eventTrend, extrapolateTail, findPulses, fitAmbient, fitClock, fitPowerLaw, fitStiffness, fitSweep, GPa, halfPowerDamping,
  learnTarget, lifeCurve, makeChannel, MPa, powerBalance, pulsesFromTimes, spectralDamage, strainLifeDamage, stressCycles, summarise, tablesOf, toShaftAngle, toTable, windowFigures, zeroStability, type Channel,
} from '../../src/index.js';
import { shaken } from '../shaken.js';

const channel = (values: ArrayLike<number>, sampleRate = 100): Channel<'N·m'> => makeChannel({ name: 'T', unit: 'N·m', sampleRate, values: Float64Array.from(values) });
const fill = (length: number, at: (i: number) => number): Float64Array => Float64Array.from({ length }, (_, i) => at(i));
const column = (result: object, name: string, part?: string): number[] => Array.from(toTable(result, { part: part ?? tablesOf(result)[0]! }).array(name) as Iterable<number>);

describe('tables of what was fitted', () => {
  it('a sweep and a running record: frequency and damping of the mode, a row each with its bounds', () => {
    const rate = 0.25, f = 8, zeta = 0.02, w = 2 * Math.PI * f, h = 1 / 1000;
    const torque = new Float64Array(2400);
    for (let i = 0, x = 0, v = 0; i < 24000; i++) {
      if (i % 10 === 0) torque[i / 10] = 100 * x;
      v += h * (w * w * (Math.cos(2 * Math.PI * (5 * i * h + (rate * (i * h) ** 2) / 2)) - x) - 2 * zeta * w * v);
      x += h * v;
    }
    const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 20, values: fill(482, (i) => 60 * (5 + (rate * i) / 20)) });
    const swept = fitSweep(channel(torque), { from: 0, to: 24, speed, order: 1, excitation: 'constant' });
    for (const fit of [swept, fitAmbient(shaken(), { band: { from: 6, to: 10 }, segment: 2048 })]) {
      expect(toTable(fit).array('of')).toEqual(['frequency in Hz', 'damping ratio']);
      expect(column(fit, 'value')).toEqual([fit.frequency.value, fit.dampingRatio.value]);
      expect(column(fit, 'low')[0]).toBeLessThan(column(fit, 'high')[0]!);
    }
  });
  it('half-power damping: one row, the band in Hz', () => {
    const frequency = Array.from({ length: 4001 }, (_, i) => 8 + i / 4000);
    const found = halfPowerDamping({ frequency, amplitude: frequency.map((f) => 1 / Math.hypot(1 - (f / 8.4) ** 2, 0.02 * (f / 8.4))) });
    expect(toTable(found).numRows()).toBe(1);
    expect((column(found, 'upper [Hz]')[0]! - column(found, 'lower [Hz]')[0]!) / 16.8).toBeCloseTo(0.01, 4);
  });
  it('a power law: what each point lies off it', () => {
    const fit = fitPowerLaw({ speed: [10, 20, 40], power: [1000, 8000, 66000] });
    expect(column(fit, 'point')).toEqual([1, 2, 3]);
    expect(column(fit, 'cubic residual')).toEqual(Array.from(fit.cubicResiduals));
  });
  it('stiffness: a row for each uncertain shaft, and one for each line', () => {
    const train = { inertias: [{ name: 'a', inertia: 2 }, { name: 'b', inertia: 3 }], shafts: [{ name: 's', from: 'a', to: 'b', stiffness: 10000 }] };
    const fit = fitStiffness(train, { uncertain: ['s'], lines: [{ mode: 1, frequency: 50 / Math.PI, uncertainty: 0.01 }] });
    expect(toTable(fit).array('shaft')).toEqual(['s']);
    expect(column(fit, 'value [N·m/rad]')[0]).toBeCloseTo(12000, 3);
    expect(column(fit, 'residual [Hz]', 'residuals')).toHaveLength(1);
  });
  it('a trend of events: one row, without a slope where there are too few', () => {
    const events = (peaks: readonly number[]): Parameters<typeof eventTrend>[0] => peaks.map((peak) => ({ state: 'start', peak, amplification: null, riseTime: null })) as never;
    expect(toTable(eventTrend(events([100, 110, 120, 130]), 'peak')).objects()).toMatchObject([{ count: 4, least: 100, largest: 130, slope: 10 }]);
    expect(toTable(eventTrend(events([100, 110]), 'peak')).objects()).toMatchObject([{ count: 2, slope: null, slopeLow: null }]);
  });
  it('a clock: the frame of every row, and the gaps by their length', () => {
    const fit = fitClock({ counter: makeChannel({ name: 'frame', unit: 'count', sampleRate: 100, values: [6, 7, 2, 3] }), modulus: 8 });
    expect(column(fit, 'frame')).toEqual([0, 1, 4, 5]);
    expect(toTable(fit, { part: 'gaps' }).objects()).toEqual([{ 'lost frames': 2, gaps: 1 }]);
  });
  it('the steadiness of a zero: its deviations against the averaging time', () => {
    const found = zeroStability(channel([892, 809, 823, 798, 671, 644, 883, 903, 677], 1), { window: { from: 0, to: 9 }, averages: [1, 2] });
    expect(column(found, 'time [s]')).toEqual([1, 2]);
    expect(column(found, 'overlapping [N·m]')).toEqual(Array.from(found.overlapping));
    expect(column(found, 'overlapping [N·m]')[1]).toBeCloseTo(85.95287, 5);
  });
  it('a filter: its sections, one row each', () => {
    const design = designLowpass({ cutoff: 10, order: 4, sampleRate: 100 });
    const t = toTable(design);
    expect(t.columnNames()).toEqual(['b0', 'b1', 'b2', 'a0', 'a1', 'a2']);
    expect(t.numRows()).toBe(2);
    // At 0 Hz the gains of the sections multiply to one.
    const gain = t.objects().map((s) => s as Record<string, number>).reduce((g, s) => (g * (s['b0']! + s['b1']! + s['b2']!)) / (s['a0']! + s['a1']! + s['a2']!), 1);
    expect(gain).toBeCloseTo(1, 12);
  });
  it('a window: its figures, one row', () => {
    expect(toTable(windowFigures('hann')).get('enbw', 0)).toBeCloseTo(1.5, 12);
  });
});

describe('tables of pulses and angle', () => {
  const pickup = makeChannel({ name: 'pick-up', unit: 'V', sampleRate: 500, values: fill(2000, (i) => Math.sin(2 * ((i / 500) * 2 * Math.PI * 5) + 0.1)) });
  it('a train of pulses: every pulse with its run', () => {
    const train = pulsesFromTimes([0.1, 0.2, 0.3, 0.4, 5.1, 5.2, 5.3, 5.4], { pulsesPerRevolution: 4 });
    expect(column(train, 'time [s]')).toEqual(train.runs.flatMap((run) => Array.from(run.time)));
    expect(column(train, 'run')).toEqual(train.runs.flatMap((run, k) => Array.from(run.time, () => k)));
    expect(column(train, 'index')).toEqual(train.runs.flatMap((run) => Array.from(run.index)));
  });
  it('a target: the place of every mark', () => {
    const target = learnTarget(findPulses(pickup, { pulsesPerRevolution: 2 }));
    expect(column(target, 'mark')).toEqual([0, 1]);
    expect(column(target, 'offset [rad]')).toEqual(Array.from(target.offsets));
  });
  it('a record over shaft angle: even steps of angle, piece by piece', () => {
    const speed = makeChannel({ name: 'w', unit: 'rad/s', sampleRate: 100, values: fill(400, () => 20 * Math.PI) });
    const masked = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: fill(400, (i) => Math.sin(i)), invalid: [{ from: 150, to: 200, why: 'dropout' }] });
    const record = toShaftAngle(masked, { speed, samplesPerRevolution: 16 });
    expect(record.pieces.length).toBe(2);
    expect(column(record, 'T [N·m]')).toEqual(record.pieces.flatMap((piece) => Array.from(piece.values)));
    const angle = column(record, 'angle [rad]');
    expect(angle[1]! - angle[0]!).toBeCloseTo(Math.PI / 8, 12);
    expect(new Set(column(record, 'piece'))).toEqual(new Set([0, 1]));
  });
});

describe('tables of sums', () => {
  it('a balance of power: one row, and the shares of its uncertainty, which sum to one', () => {
    const torque = channel(fill(400, (i) => 100 + 10 * Math.sin((2 * Math.PI * i) / 20)));
    const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 100, values: fill(400, (i) => 20 * Math.PI + Math.sin((2 * Math.PI * i) / 20)) });
    // Half the product of the swings, 10 N·m · 1 rad/s / 2; the stretch is cut to whole revolutions, which are not whole swings.
    const balance = powerBalance(torque, { speed, uncertainty: { torque: 0.01, speed: 0.002, zero: 3 } });
    expect(column(balance, 'meanPower [W]')[0]! - column(balance, 'productOfMeans [W]')[0]!).toBeCloseTo(5, 2);
    expect(toTable(balance, { part: 'shares' }).array('input')).toEqual(['torque', 'zero', 'speed', 'latency']);
    expect(column(balance, 'share', 'shares').reduce((a, b) => a + b)).toBeCloseTo(1, 12);
  });
  it('a summary: its levels, whose samples sum to those that count', () => {
    const summary = summarise(channel([3, 4, NaN, 5], 1));
    expect(column(summary, 'samples').reduce((a, b) => a + b)).toBe(3);
    expect(column(summary, 'low [N·m]')[0]!).toBeLessThanOrEqual(3);
    expect(column(summary, 'high [N·m]').at(-1)!).toBeGreaterThanOrEqual(5);
  });
  it('an extended tail: the cycles it has come to', () => {
    const cycles = closeResidue(countCycles(channel(fill(4000, (i) => (i % 2 === 0 ? 0 : -Math.log(1 - ((0.6180339887 * i) % 1)))))), 'half');
    const tail = extrapolateTail(cycles, { threshold: 2, seconds: 40000, cap: 9 });
    expect(Math.max(...column(tail, 'range [N·m]'))).toBe(Math.max(...tail.cycles.range));
    expect(column(tail, 'count')).toEqual(Array.from(tail.cycles.count));
  });
  it('equivalent ranges: one for each slope', () => {
    const table = cyclesFromTable({ unit: 'N·m', range: [10, 20, 40, 60], count: [1e6, 2e5, 1e4, 500], hours: 1 });
    const found = equivalentRange(table, { slopes: [3, 5], cycles: 1e6, residue: 'half' });
    expect(column(found, 'slope')).toEqual([3, 5]);
    expect(column(found, 'range [N·m]')[1]).toBeCloseTo(18.475693, 6);
  });
  it('cycles of stress: those of the count, or those of a table, and the chain that made them', () => {
    const counted = stressCycles(countCycles(makeChannel({ name: 's', unit: 'Pa', sampleRate: 1, values: [-2e6, 1e6, -3e6, 5e6, -1e6, 3e6, -4e6, 4e6, -2e6] })), { basis: 'local', kind: 'shear', source: 'by hand' });
    // ASTM E1049-85 (2017), figure 6: one closed cycle, from −1 to 3.
    expect(toTable(counted).objects()).toMatchObject([{ 'range [Pa]': 4e6, 'mean [Pa]': 1e6 }]);
    const listed = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(90), MPa(70)], count: [1e3, 1e4], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' });
    expect(column(listed, 'count')).toEqual([1e3, 1e4]);
    expect(toTable(listed, { part: 'chain' }).array('source')).toEqual(['by hand']);
  });
  it('damage from a spectrum: a row for each method', () => {
    const curve = lifeCurve({ name: 'F3', kind: 'direct', measure: 'range', through: { stress: MPa(1), cycles: 10 ** 12.164 }, slope: 3, knee: null, beyond: 'same-slope', ratio: null, survival: null, tested: null, notch: 'in the curve', source: 'by hand' });
    const band = fill(101, (k) => (k > 0 ? 1e12 : 0));
    const result = spectralDamage({ frequency: band.map((_, k) => k), density: band, of: 'Pa' }, { curve });
    const rows = toTable(result).objects() as { method: keyof typeof result.ratio; perHour: number | null; ratio: number | null }[];
    expect(rows.length).toBeGreaterThan(2);
    for (const { method, perHour, ratio } of rows) expect([perHour, ratio]).toEqual([result.perHour[method], result.ratio[method]]);
  });
  it('damage by local strain: a row for each cycle, summing to the whole', () => {
    const local = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(1200), MPa(900)], count: [10, 40], hours: 1 }), { basis: 'local', kind: 'direct', source: 'by hand' });
    const found = strainLifeDamage(local, { material: estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) }), residue: 'half' });
    expect(column(found, 'cycle')).toEqual([1, 2]);
    expect(column(found, 'damage').reduce((a, b) => a + b)).toBeCloseTo(found.total, 12);
  });
});
