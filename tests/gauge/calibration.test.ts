import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitCalibration, makeChannel, toTorque, type CalibrationPoint } from '../../src/index.js';

const close = (actual: number, expected: number, relative: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(relative * Math.abs(expected));
const data = fileURLToPath(new URL('../../../shared/data/torque_arm_calibration/', import.meta.url));
const absent = !existsSync(data);

function readPoints(folder: string, column: string): { up: CalibrationPoint[]; down: CalibrationPoint[] } {
  const read = (file: string, direction: 'up' | 'down'): CalibrationPoint[] => {
    const [head, ...rows] = readFileSync(`${data}${folder}/${file}`, 'utf8').trim().split(/\r?\n/).map((line) => line.split(','));
    const [applied, signal] = [head!.indexOf(column), head!.indexOf('mean_volts_per_volt')];
    return rows.map((row) => ({ applied: Number(row[applied]), signal: Number(row[signal]), direction }));
  };
  return { up: read('ascending.csv', 'up'), down: read('descending.csv', 'down') };
}

describe('fitCalibration', () => {
  it.skipIf(absent)(`reproduces the authors' slopes of a torque arm to 1e-9, with linearity, hysteresis and zero return (Bachant and others 2016, open data${absent ? '; skipped: ../shared/data is absent' : ''})`, () => {
    const { up, down } = readPoints('torque_arm', 'mean_torque');
    const fit = fitCalibration([...up, ...down], { unit: 'V/V' });
    close(fit.up!.slope, 123791.23183311448, 1e-9);
    close(fit.down!.slope, 123108.06827582237, 1e-9);
    close(fit.all.slope, 123436.95673891163, 1e-9);
    close(fit.up!.intercept, -2.8453213693033774, 1e-9);
    close(fit.down!.intercept, -3.6020434862699631, 1e-9);
    close(fit.all.intercept, -3.2081368832621706, 1e-9);
    close(fit.all.slopeError!, 394.27485949742396, 1e-9);
    close(fit.up!.slopeError!, 275.59997542577537, 1e-9);
    close(fit.all.correlation, 0.99990818990077879, 1e-12);
    expect(fit.linearity).toBeCloseTo(2.69, 2); // known facts of the data: 2.69 N·m, 0.74 % of full scale
    expect(fit.linearityOfScale).toBeCloseTo(0.0074, 4);
    expect(fit.zeroReturn!).toBeCloseTo(0.087, 3);
    expect(Math.abs(fit.hysteresis! - 3.39)).toBeLessThan(0.05); // 3.39 by interpolation of torque at one reading
    expect(fit.notes).toEqual(['One direction of torque only.']);
  });
  it.skipIf(absent)('reproduces the slopes of the two force slides to 1e-9', () => {
    for (const [folder, all, upSlope, downSlope] of [['drag_left', 742830.29770549724, 743526.11665829818, 742182.40225037851]] as const) {
      const { up, down } = readPoints(folder, 'mean_force_newtons');
      const fit = fitCalibration([...up, ...down], { unit: 'V/V' });
      close(fit.all.slope, all, 1e-9);
      close(fit.up!.slope, upSlope, 1e-9);
      close(fit.down!.slope, downSlope, 1e-9);
    }
    const right = JSON.parse(readFileSync(`${data}drag_right/calibration.json`, 'utf8')) as Record<string, { slope: number }>;
    const { up, down } = readPoints('drag_right', 'mean_force_newtons');
    close(fitCalibration([...up, ...down], { unit: 'V/V' }).all.slope, right['linear regression all']!.slope, 1e-9);
  });
  it('agrees with the certified line of NIST StRD Norris', () => {
    const x = [0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, 0.4, 0.6, 775.5, 666.9, 338, 447.5, 11.6, 556, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5];
    const y = [0.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2];
    const { all } = fitCalibration(x.map((signal, i) => ({ applied: y[i]!, signal })), { unit: 'mV' });
    close(all.slope, 1.00211681802045, 1e-12);
    close(all.intercept, -0.262323073774029, 1e-9);
    close(all.slopeError!, 0.000429796848199937, 1e-10);
    close(all.interceptError!, 0.232818234301152, 1e-10);
    close(all.deviation!, 0.884796396144373, 1e-10);
  });
  it('finds line, hysteresis, zero return and one-sidedness by hand', () => {
    const points = [[0, 0], [100, 1], [200, 2], [100, 1.02], [0, 0.01], [-100, -1.1], [-200, -2.2]].map(([applied, signal]) => ({ applied: applied!, signal: signal! }));
    const fit = fitCalibration(points, { unit: 'mV/V' });
    expect(fit.hysteresis! / fit.all.slope).toBeCloseTo(0.02, 12);
    expect(fit.zeroReturn! / fit.all.slope).toBeCloseTo(0.01, 12);
    expect(fit.positive!.slope).toBeCloseTo(100.1318, 4); // (602 − 5·0.806·80) / (6.0405 − 5·0.806²)
    expect(fit.notes[0]).toContain('The slopes of the two directions of torque differ');
    expect(fit.residuals.reduce((s, v) => s + v, 0)).toBeCloseTo(0, 9);
  });
  it('gives toTorque a calibration that returns the applied torque, for any exact line', () => {
    fc.assert(fc.property(fc.double({ min: 0.01, max: 1e6, noNaN: true }), fc.double({ min: -100, max: 100, noNaN: true }), (slope, intercept) => {
      const applied = [0, 40, 80, 120, 80, 40, 0];
      const points = applied.map((a) => ({ applied: a, signal: (a - intercept) / slope }));
      const fit = fitCalibration(points, { unit: 'V' });
      const torque = toTorque(makeChannel({ name: 'b', unit: 'V', sampleRate: 1, values: points.map((p) => p.signal) }), { calibration: fit.calibration });
      torque.values.forEach((v, i) => expect(Math.abs(v - applied[i]!)).toBeLessThan(1e-7));
      expect(fit.hysteresisOfScale).toBeLessThan(1e-9);
    }), { seed: 1, numRuns: 100 });
  });
  it('keeps the direction where a reading is taken twice at one torque', () => {
    const points = (rows: readonly (readonly [number, number])[]): CalibrationPoint[] => rows.map(([applied, signal]) => ({ applied, signal }));
    const rows = [[0, 0], [50, 0.5], [100, 1], [50, 0.55], [0, 0.1]] as const;
    const once = fitCalibration(points(rows), { unit: 'mV/V' });
    for (const twice of [[...rows, rows[4]], [...rows.slice(0, 4), rows[3], rows[4]]]) {
      const fit = fitCalibration(points(twice), { unit: 'mV/V' });
      expect(fit.up).toEqual(once.up);
      expect(fit.down!.points).toBe(3);
      close(fit.hysteresis!, 0.1 * fit.all.slope, 1e-12);
    }
    // At the same size on the other side the torque was raised anew.
    expect(fitCalibration(points([[0, 0], [50, 0.5], [20, 0.2], [-20, -0.2], [-50, -0.5]]), { unit: 'mV/V' }).up!.points).toBe(4);
  });
  it('says why the hysteresis is not known', () => {
    const down = [{ applied: 100, signal: 1, direction: 'down' }, { applied: 50, signal: 0.5, direction: 'down' }] as const;
    expect(fitCalibration(down, { unit: 'mV/V' }).notes).toContain('Unloading only: hysteresis is not known.');
    expect(fitCalibration([...down, { applied: 0, signal: 0, direction: 'up' }, { applied: 20, signal: 0.2, direction: 'up' }], { unit: 'mV/V' }).notes).toContain('Loading and unloading share no range of torque: hysteresis is not known.');
  });
  it('takes 150 000 points', () => {
    const many = Array.from({ length: 150_000 }, (_, i) => ({ applied: i, signal: 2 * i }));
    expect(fitCalibration(many, { unit: 'count' }).fullScale).toBe(149_999);
  });
  it('refuses what makes no line', () => {
    expect(() => fitCalibration([{ applied: 1, signal: 1 }], { unit: 'V' })).toThrow('at least two points');
    expect(() => fitCalibration([{ applied: 1, signal: 1 }, { applied: 2, signal: 1 }], { unit: 'V' })).toThrow('readings that change with the torque');
    expect(() => fitCalibration([{ applied: 1, signal: 1 }, { applied: 2, signal: Number.NaN }], { unit: 'V' })).toThrow('points[1].signal');
    expect(() => fitCalibration([{ applied: 1, signal: 1 }, { applied: 2, signal: 2 }], { unit: 'N·m' as never })).toThrow('unit must be one of');
  });
});
