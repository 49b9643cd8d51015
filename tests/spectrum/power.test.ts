import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { createRandom, fitPowerLaw, hollowSection, levelQuantile, lbfFt, lbfIn, inch, psi, makeChannel, mergeSummaries, powerBalance, powerEfficiency, replay, shaftPower, summarise, torqueFromStrain, torqueSpeedMap, type Channel } from '../../src/index.js';

const channel = <U extends 'N·m' | 'rad/s' | 'rpm'>(unit: U, sampleRate: number, values: ArrayLike<number>): Channel<U> => makeChannel({ name: unit === 'N·m' ? 'T' : 'n', unit, sampleRate, values });
const sum = (list: ArrayLike<number>): number => Array.from(list).reduce((a, b) => a + b, 0);
const horsepower = 550 * lbfFt(1);

describe('power', () => {
  it('is T·ω: 100 N·m at 3000 rpm, 2500 at 1500, 60 000 at 95 (closed form)', () => {
    const wanted = [31.41592653589793, 392.6990816987241, 596.9026041820607];
    [[100, 3000], [2500, 1500], [60000, 95]].forEach(([T, n], k) => {
      const P = shaftPower(channel('N·m', 10, [T!, T!]), { speed: channel('rpm', 10, [n!, n!]) }).values[0]!;
      expect(P / 1000 / wanted[k]!).toBeCloseTo(1, 12);
    });
    expect(horsepower).toBeCloseTo(745.6998715822702, 10);
  });
  it('of 5 hp at 175 rpm is 150.1 lbf·ft, and a shaft of 0.858 in bears it at 14.5 ksi (Hibbeler, Mechanics of Materials, section 5.3; from memory, recomputed)', () => {
    const omega = (175 * Math.PI) / 30;
    const T = (5 * horsepower) / omega;
    expect(T / lbfFt(1)).toBeCloseTo(150.06037491521562, 9);
    const d = Math.cbrt((16 * T) / (Math.PI * psi(14500)));
    expect(d / inch(1)).toBeCloseTo(0.8583869905648829, 10);
    expect(shaftPower(channel('N·m', 1, [T]), { speed: channel('rpm', 1, [175]) }).values[0]! / horsepower).toBeCloseTo(5, 12);
  });
  it('of 5 hp at 3600 rpm is 87.54 lbf·in, and a shaft of 0.374 in bears it at 8.5 ksi (Beer and Johnston, example 3.06; from memory, recomputed)', () => {
    const T = (5 * horsepower) / (120 * Math.PI);
    expect(T / lbfIn(1)).toBeCloseTo(87.53521870054244, 9);
    expect(Math.cbrt((16 * T) / (Math.PI * psi(8500))) / inch(1)).toBeCloseTo(0.37432141031585225, 10);
  });
  it('of a ship shaft from strain: 524.5 kN·m and 5070 kW at 92.3 rpm with G 82 400 N/mm² (ISO 15016 practice; G from memory, not found in text)', () => {
    const strain = makeChannel({ name: 'e', unit: 'strain', sampleRate: 1, values: [9.25e-5] });
    const torque = torqueFromStrain(strain, { section: hollowSection(0.56, 0.12), gauge: { gaugeFactor: 2, activeArms: 4, shearModulus: 82400e6 } });
    expect(torque.values[0]! / 1000).toBeCloseTo(524.5371304280173, 7);
    expect(shaftPower(torque, { speed: channel('rpm', 1, [92.3]) }).values[0]! / 1000).toBeCloseTo(5069.98360611725, 6);
  });
  it('out over power in is the efficiency: 0.95676 with 2078 W lost (closed form)', () => {
    const at = (T: number, n: number): number => shaftPower(channel('N·m', 1, [T]), { speed: channel('rpm', 1, [n]) }).values[0]!;
    expect(at(1180, 372) / at(310, 1480)).toBeCloseTo(0.9567567567567568, 12);
    expect(at(310, 1480) - at(1180, 372)).toBeCloseTo(2077.6399415740498, 8);
  });
  it('out over power in, by powerEfficiency, with the uncertainty of both, more than 100 % noted, and what is no balance of one stretch refused', () => {
    const at = (T: number, n: number, seconds = 4): ReturnType<typeof powerBalance> => powerBalance(channel('N·m', 10, new Float64Array(10 * seconds).fill(T)), { speed: channel('rpm', 10, new Float64Array(10 * seconds).fill(n)), wholeRevolutions: false, uncertainty: { torque: 0.01 } });
    const found = powerEfficiency(at(310, 1480), at(1180, 372));
    expect(found.efficiency).toBeCloseTo(0.9567567567567568, 12);
    expect(found.loss).toBeCloseTo(2077.6399415740498, 8);
    expect(found.uncertainty).toBeCloseTo(0.9567567567567568 * 0.01 * Math.SQRT2, 12);
    expect(found.lossUncertainty).toBeCloseTo(0.01 * Math.hypot(48045.4236488999, 45967.78370732585), 8);
    expect(found.notes).toEqual(['The start of a record is not known: the two are taken to begin together.']);
    expect(powerEfficiency(at(1180, 372), at(310, 1480)).notes.join(' ')).toContain('More comes out than goes in (3.1 standard uncertainties');
    expect(() => powerEfficiency(at(310, 1480), at(1180, 372, 8))).toThrow('over the same stretch as the input (0.000 to 4.000 s), got 0.000 to 8.000 s of its time');
    expect(() => powerEfficiency(at(-310, 1480), at(1180, 372))).toThrow('power above 0 W');
    expect(() => powerEfficiency({} as never, at(1180, 372))).toThrow('a PowerBalance');
  });
  it('efficiency reads the time common to both: load that rises, masks and clocks that differ', () => {
    const start = '2026-03-01T08:00:00Z';
    // Torque in rises from 100 to 300 N·m over 20 s; the output shaft turns at a quarter of the speed and carries 96 % of the power.
    const make = (factor: number, rate: number, from: number, begin: string, masks: readonly [number, number][]): Channel<'N·m'> => makeChannel({
      name: 'T', unit: 'N·m', sampleRate: rate, start: begin, values: Float64Array.from({ length: 20 * rate }, (_, i) => factor * (100 + 10 * (from + i / rate))), invalid: masks.map(([a, b]) => ({ from: a * rate, to: b * rate, why: 'dropout' as const })),
    });
    const turning = (w: number, begin: string): Channel<'rad/s'> => makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, start: begin, values: new Float64Array(200).fill(w) });
    const late = '2026-03-01T08:00:01Z';
    const input = make(1, 100, 0, start, [[14, 18]]), output = make(4 * 0.96, 50, 1, late, [[1, 3]]);
    const at = (T: Channel<'N·m'>, w: number, begin: string, from: number, alongside?: Channel<'N·m'>): ReturnType<typeof powerBalance> => powerBalance(T, { speed: turning(w, begin), from, to: from + 18, wholeRevolutions: false, uncertainty: { torque: 0.01 }, ...(alongside && { alongside }) });
    expect(() => powerEfficiency(at(input, 100, start, 1), at(output, 25, late, 0))).toThrow('masked where the input is, got 6.00 s of 18.00 s masked in one of the two. Give powerBalance the torque of the other shaft as alongside.');
    expect(() => powerEfficiency(at(input, 100, start, 0), at(output, 25, late, 0))).toThrow('over the same stretch as the input');
    const found = powerEfficiency(at(input, 100, start, 1, output), at(output, 25, late, 0, input));
    // Left of it is that samples 10 and 20 ms apart stand for the stretch: half a sample of the ramp.
    expect(Math.abs(found.efficiency / 0.96 - 1)).toBeLessThan(1e-3);
    expect(found.notes.join(' ')).not.toContain('one of the two');
    expect(at(input, 100, start, 1, output).lost.map((s) => [s.from.toFixed(1), s.to.toFixed(1)])).toEqual([['2.0', '4.0'], ['14.0', '18.0']]);
  });
  it('mean over whole revolutions of a swing of half the torque is true to 5e-5 also where they end between two samples, and where rounding hides the last', () => {
    for (const per of [7, 10, 10.3, 13.77, 20, 31.4]) {
      const w = (2 * Math.PI * 100) / per;
      const torque = channel('N·m', 100, Array.from({ length: 405 }, (_, i) => 100 + 50 * Math.cos((w * i) / 100)));
      const b = powerBalance(torque, { speed: channel('rad/s', 100, new Float64Array(405).fill(w)) });
      expect(b.seconds * w / (2 * Math.PI)).toBeCloseTo(b.revolutions, 9);
      expect(Math.abs(b.meanPower / (100 * w) - 1)).toBeLessThan(5e-5);
    }
  });
  it('mean is that of the product, not the product of the means: 10 576.7 against 10 472.0 W (closed form, A·B·cos Δφ/2)', () => {
    // T = 100 + 40 cos 5φ, n = 1000 + 50 cos 5φ rpm over whole revolutions.
    const phase = Array.from({ length: 2400 }, (_, i) => (2 * Math.PI * i) / 20);
    const torque = channel('N·m', 1000, phase.map((p) => 100 + 40 * Math.cos(p)));
    const speed = channel('rpm', 1000, phase.map((p) => 1000 + 50 * Math.cos(p)));
    const b = powerBalance(torque, { speed, wholeRevolutions: false });
    expect(b.meanPower).toBeCloseTo(100 * 1000 * Math.PI / 30 + (40 * 50 * Math.PI / 30) / 2, 6);
    expect(b.meanPower).toBeCloseTo(10576.695267085635, 6);
    expect(b.productOfMeans).toBeCloseTo(10471.975511965977, 6);
  });
  it('of a run with 10 ms latency and a 25 Hz oscillation: energy within 0.1 % of truth once corrected, the uncorrected error shown', () => {
    const rate = 2000, seconds = 20, w25 = 2 * Math.PI * 25, latency = 0.01;
    const T = (t: number): number => 5000 + 3000 * Math.cos(w25 * t);
    const W = (t: number): number => 39 + 4 * Math.cos(w25 * t + 0.4);
    const torque = channel('N·m', rate, Array.from({ length: rate * seconds }, (_, i) => T(i / rate - latency)));
    const speed = channel('rad/s', rate, Array.from({ length: rate * seconds }, (_, i) => W(i / rate)));
    const b = powerBalance(torque, { speed, latency });
    const truth = 5000 * 39 + (3000 * 4 * Math.cos(0.4)) / 2;
    expect(Math.abs(b.energy / (truth * b.seconds) - 1)).toBeLessThan(0.001);
    expect(Math.abs(b.uncorrectedPower / truth - 1)).toBeGreaterThan(0.005);
    expect(b.notes.join(' ')).toContain('% off');
    expect(b.revolutions).toBe(Math.floor((39 * (seconds - latency)) / (2 * Math.PI)));
  });
  it('uncertainty follows its inputs: torque 1 %, zero 20 N·m, latency 1 ms', () => {
    const rate = 1000, w = 2 * Math.PI * 25;
    const torque = channel('N·m', rate, Array.from({ length: 8000 }, (_, i) => 5000 + 1000 * Math.cos((w * i) / rate)));
    const speed = channel('rad/s', rate, Array.from({ length: 8000 }, (_, i) => 40 + 2 * Math.sin((w * i) / rate)));
    const b = powerBalance(torque, { speed, uncertainty: { torque: 0.01, zero: 20, latency: 0.001 } });
    // dP/dlatency = (A·B/2)·w·cos 0 for a sine against a cosine.
    const parts = [0.01 * b.meanPower, 20 * 40, 1000 * w * 0.001];
    expect(b.uncertainty / Math.hypot(...parts)).toBeCloseTo(1, 1);
    expect(sum(Object.values(b.shares))).toBeCloseTo(1, 12);
  });
  it('masks what the shift leaves without speed, keeps the masks of the torque, and replays', () => {
    const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: new Float64Array(100).fill(10), invalid: [{ from: 50, to: 60, why: 'dropout' }] });
    const speed = channel('rad/s', 100, new Float64Array(100).fill(5));
    const power = shaftPower(torque, { speed, latency: 0.05 });
    expect(power.invalid).toEqual([{ from: 0, to: 5, why: 'out of range' }, { from: 50, to: 60, why: 'dropout' }]);
    expect(replay(torque, power.trail, [speed]).values).toEqual(power.values);
  });
  it('refuses kN·m, a speed in Hz and a stretch without a revolution', () => {
    const speed = channel('rad/s', 10, [1, 1, 1]);
    expect(() => shaftPower(makeChannel({ name: 'T', unit: 'kN·m', sampleRate: 10, values: [1] }) as never, { speed })).toThrow("convert(channel, 'N·m')");
    expect(() => powerBalance(channel('N·m', 10, [1, 1, 1]), { speed })).toThrow('at least one revolution');
    expect(() => powerBalance(channel('N·m', 10, new Float64Array(400).fill(9)), { speed: channel('rad/s', 10, Array.from({ length: 400 }, (_, i) => (i < 200 ? 10 : -10))) })).toThrow('a shaft that turns one way');
    expect(() => shaftPower(channel('N·m', 10, [1]), { speed: makeChannel({ name: 'f', unit: 'Hz', sampleRate: 10, values: [1] }) as never })).toThrow('rpm or rad/s');
  });
});

describe('power law', () => {
  it('of a cubic with scatter gives 3 within its interval, in about 95 of 100 seeded runs', () => {
    const random = createRandom(3);
    let inside = 0;
    for (let k = 0; k < 400; k++) {
      const speed = Array.from({ length: 8 }, () => 15 + 25 * random.uniform());
      const fit = fitPowerLaw({ speed, power: speed.map((w) => 4.1 * w ** 3 * Math.exp(0.02 * random.normal())) });
      if (fit.low <= 3 && 3 <= fit.high) inside++;
    }
    expect(inside / 400).toBeGreaterThan(0.92);
    expect(inside / 400).toBeLessThan(0.98);
  });
  it('says when the cubic does not hold, and refuses power that is not above 0', () => {
    const speed = [10, 20, 30, 40, 50];
    const fit = fitPowerLaw({ speed, power: speed.map((w) => w ** 2.2) });
    expect(fit.exponent).toBeCloseTo(2.2, 10);
    expect(fit.notes[0]).toContain('outside the 95 % interval');
    expect(Math.max(...fit.residuals.map(Math.abs))).toBeLessThan(1e-12);
    expect(Math.max(...fit.cubicResiduals.map(Math.abs))).toBeGreaterThan(0.1);
    expect(() => fitPowerLaw({ speed, power: [1, 2, 3, 4, 0] })).toThrow('power[4] must be a finite number above 0 W');
    expect(() => fitPowerLaw({ speed: [5, 5, 5], power: [1, 1, 1] })).toThrow('at least two different speeds');
  });
});

describe('summary', () => {
  const numbers = fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 60 });
  const of = (values: readonly number[]): ReturnType<typeof summarise> => summarise(channel('N·m', 10, values));
  it('of two parts merged is that of the whole: moments, extremes and time', () => {
    fc.assert(fc.property(numbers, numbers, (a, b) => {
      const whole = of([...a, ...b]);
      const merged = mergeSummaries(of(a), of(b));
      const scale = Math.max(Math.abs(whole.min), Math.abs(whole.max), 1e-300);
      expect(Math.abs(merged.mean - whole.mean)).toBeLessThan(1e-12 * scale);
      expect(Math.abs(merged.rms - whole.rms)).toBeLessThan(1e-9 * scale);
      expect([merged.min + 0, merged.max + 0, merged.moments.count]).toEqual([whole.min + 0, whole.max + 0, whole.moments.count]);
      expect(sum(merged.levels.counts)).toBe(whole.moments.count);
    }), { numRuns: 500, seed: 4 });
  });
  it('quantiles lie within a class width of the sorted samples, whole or merged', () => {
    fc.assert(fc.property(numbers, numbers, fc.double({ min: 0, max: 1, noNaN: true }), (a, b, share) => {
      const sorted = [...a, ...b].sort((x, y) => x - y);
      for (const s of [of([...a, ...b]), mergeSummaries(of(a), of(b))]) {
        const q = levelQuantile(s, share);
        const at = share * sorted.length;
        const low = sorted[Math.max(0, Math.ceil(at) - 1)]!, high = sorted[Math.min(sorted.length - 1, Math.floor(at))]!;
        expect(q).toBeGreaterThanOrEqual(low - s.levels.width * 1.000001);
        expect(q).toBeLessThanOrEqual(high + s.levels.width * 1.000001);
      }
    }), { numRuns: 500, seed: 5 });
  });
  it('does not read masked samples, and refuses to merge units', () => {
    const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 2, values: [1, 1e9, 3], invalid: [{ from: 1, to: 2, why: 'spike' }] });
    expect(summarise(T)).toMatchObject({ mean: 2, max: 3, validTime: 1, lostTime: 0.5 });
    expect(() => mergeSummaries(summarise(T), summarise(channel('rpm', 1, [1])))).toThrow('unit must be N·m, got rpm');
    expect(() => summarise(T, { windows: [{ from: 0.5, to: 1 }] })).toThrow('masked samples only');
  });
});

describe('torque–speed map', () => {
  it('holds all valid time and all revolutions', () => {
    const random = createRandom(8);
    const torque = channel('N·m', 50, Array.from({ length: 3000 }, () => 1000 * random.uniform()));
    const speed = channel('rad/s', 50, Array.from({ length: 3000 }, () => 40 * random.uniform()));
    const map = torqueSpeedMap(torque, { speed, torqueEdges: { from: 0, to: 1000, classes: 7 }, speedEdges: [0, 10, 40] });
    expect(sum(map.time) + map.outside).toBeCloseTo(60, 9);
    expect(sum(map.revolutions)).toBeCloseTo(sum(speed.values) / 50 / (2 * Math.PI), 9);
  });
});
