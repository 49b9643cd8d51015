import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  curveLibrary, cyclesFromTable, damage, damageContinuations, equivalentRange, life, lifeCurve, localStress, makeChannel, MPa, mm, notchFactor, psi, shearStress, shiftSurvival,
  solidSection, staticMargin, stressCycles, type Continuation, type Damage, type LifeCurve, type LifeCurveData, type Measure, type StressCycles, type StressKind,
} from '../../src/index.js';
import { countCycles } from '../../src/count/countCycles.js';
import { mergeCounts } from '../../src/count/mergeCounts.js';
import { damageFunction } from '../../src/fatigue/LifeCurve.js';
import { twoFigures } from '../../src/fatigue/life.js';
import { near } from './near.js';

/** Local cycles from ranges in MPa. */
function local<K extends StressKind>(kind: K, ranges: readonly number[], count: readonly number[], mean?: readonly number[]): StressCycles<'local', K> {
  return stressCycles(cyclesFromTable({ unit: 'Pa', range: ranges.map(MPa), count, ...(mean ? { mean: mean.map(MPa) } : {}), hours: 1 }), { basis: 'local', kind, source: 'table' });
}
const plain = { meanStress: 'none', residue: 'half' } as const;
const line = <M extends Measure, K extends StressKind>(measure: M, kind: K, stress: number, cycles: number, slope: number, knee: number | null = null): LifeCurve<M, K> => lifeCurve({
  name: 'line', kind, measure, through: { stress: MPa(stress), cycles }, slope, knee, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: { from: 1e4, to: 1e7 }, notch: 'in the stress', source: 'test' });

describe('Miner sums of published and own spectra', () => {
  it('SN-04: EN 1993-1-9 shear 100 with γMf 1.15: every part, and nothing below the cut-off of 39.77 MPa (own computation)', () => {
    const d = damage(local('shear', [90, 70, 50, 42, 38], [2e4, 1e5, 8e5, 3e6, 2e7]), { curve: curveLibrary.en1993Shear(100, 1.15), ...plain });
    near(d.total, 0.0933512803, 1e-6);
    [0.0118768631, 0.0169024401, 0.0251419648, 0.0394300123, 0].forEach((part, i) => near(d.damage[i]!, part, 1e-6));
  });
  it('SN-07: DNV-RP-C203 D: every range counts, there is no cut-off (own computation on the printed log a2, which is rounded)', () => {
    const d = damage(local('direct', [120, 80, 50, 30, 15], [1e4, 1e5, 1e6, 1e7, 5e7]), { curve: curveLibrary.dnvAir('D'), ...plain });
    near(d.total, 0.193969491, 0.0016);
  });
  it('VA-01: three reversed levels by share: 62 731 cycles (Bhandari, Design of Machine Elements, 3rd ed., example 5.11)', () => {
    const curve = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(660), enduranceLimit: MPa(280), fraction: 0.9 });
    const d = damage(local('direct', [700, 800, 1000], [0.85, 0.12, 0.03]), { curve, ...plain });
    near(1 / d.total, 62731.118105, 1e-10);
  });
  it('VA-06: cut-off, reduced and same slope below the knee (Haibach 1970: 2k − 1, from memory; numbers own)', () => {
    const all = damageContinuations(local('shear', [320, 240, 180, 140, 100], [1e4, 1e5, 1e6, 5e6, 2e7]), { curve: line('amplitude', 'shear', 100, 2e6, 5, 2e6), ...plain });
    near(all['cut-off'].total, 0.1768448, 1e-6);
    near(all['same-slope'].total, 1.2047648, 1e-6);
    near(all['reduced-slope'].total, 0.490970312, 1e-6);
  });
  it('VA-13: a block of cycles with means after Smith, Watson and Topper, 4340 (Dowling eq. 9.24, numbers own)', () => {
    const strength = 1758, b = -0.0977;
    const curve = line('amplitude', 'direct', strength * 2 ** b, 1, -1 / b);
    const d = damage(local('direct', [1000, 700, 500, 300], [1, 20, 100, 500], [100, 50, 0, -50]), { curve, meanStress: { rule: 'smith-watson-topper' }, residue: 'half' });
    near(d.total, 1.88278631e-5, 1e-6);
    near(1 / d.total, 53112.7721, 1e-6);
  });
  it('VA-12: two steps use 0.8 of the life, 40 000 of 200 000 cycles are left (Palmgren–Miner)', () => {
    const curve = line('range', 'direct', 100, 2e5, 1);
    const d = damage(local('direct', [200, 400], [2e4, 3e4]), { curve, ...plain });
    near(d.total, 0.8, 1e-12);
    near((1 - d.total) * 2e5, 40000, 1e-12);
  });
  it('VA-07: equivalent load: 18.475693 at m = 5, and the same damage (IEC TS 61400-13, from memory, numbers own)', () => {
    const cycles = local('direct', [10, 20, 40, 60], [1e6, 2e5, 1e4, 500]);
    const e = equivalentRange(cycles, { slopes: [3, 5], cycles: 1e6, residue: 'half' });
    near(e.ranges[1]!, MPa(18.475693), 1e-6);
    const curve = line('range', 'direct', 100, 2e6, 5);
    near(damage(local('direct', [e.ranges[1]! / 1e6], [1e6]), { curve, ...plain }).total, damage(cycles, { curve, ...plain }).total, 1e-12);
    expect(e.unit).toBe('Pa');
  });
});

/** A record of torque whose cycles are known by hand: E1049's history in kN·m at 1 Hz. */
const history = [-2, 1, -3, 5, -1, 3, -4, 4, -2].map((v) => v * 1000);
const record = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, start: '2026-03-01T08:00:00.000Z', values: history });
const section = solidSection(mm(60));
const notch = notchFactor({ kind: 'shear', value: 1.6, basis: 'fatigue', source: 'keyway' });
const steel = line('amplitude', 'shear', 150, 1e6, 6, 1e6);

describe('from a measured count', () => {
  const nominal = shearStress(countCycles(record, {}), section);
  const cycles = localStress(nominal, notch);
  it('is the sum of n / N by hand', () => {
    const tau = (range: number): number => (1.6 * 0.5 * range * 1000) / section.polarModulus;
    const expected = [[3, 0.5], [4, 1.5], [6, 0.5], [8, 1], [9, 0.5]].reduce((sum, [range, n]) => sum + (n! * (tau(range!) / MPa(150)) ** 6) / 1e6, 0);
    const d = damage(cycles, { curve: steel, continuation: 'same-slope', ...plain });
    near(d.total, expected, 1e-12);
    near(d.perHour, (expected / 9) * 3600, 1e-12);
    near(d.byClass.damage.reduce((a, b) => a + b, 0), expected, 1e-12);
    expect(d.byClass.cycles.reduce((a, b) => a + b, 0)).toBe(4);
    near(d.byClass.edges.at(-1)!, 2 * tau(9), 1e-12);
  });
  it('names the cycles that do most damage, with record and time', () => {
    const d = damage(cycles, { curve: steel, continuation: 'same-slope', largest: 2, ...plain });
    expect(d.largest.length).toBe(2);
    expect(d.largest[0]).toMatchObject({ record: 'torque', at: 6, seconds: 6, time: '2026-03-01T08:00:06.000Z', count: 0.5 });
    near(d.largest[0]!.range, (1.6 * 9000) / section.polarModulus, 1e-12);
    expect(d.largest[0]!.share).toBeGreaterThan(d.largest[1]!.share);
  });
  it('closes the residue as asked: drop ≤ half, and the whole cycle of the repeated record beyond half of it', () => {
    const of = (residue: 'half' | 'repeat' | 'drop'): number => damage(cycles, { curve: steel, continuation: 'same-slope', meanStress: 'none', residue }).total;
    expect(of('drop')).toBeLessThan(of('half'));
    expect(of('half')).toBeLessThan(of('repeat'));
  });
  it('is additive over merged pieces once their residues are closed together', () => {
    const first = countCycles(record, {});
    const second = countCycles(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: history.map((v) => 0.7 * v) }), {});
    const of = (c: typeof first): Damage => damage(localStress(shearStress(c, section), notch), { curve: steel, continuation: 'same-slope', meanStress: 'none', residue: 'drop' });
    expect(of(mergeCounts(first, second)).total).toBeGreaterThanOrEqual(of(first).total + of(second).total);
    expect(of(mergeCounts(first, second)).hours).toBeCloseTo(of(first).hours + of(second).hours, 12);
  });
  it('says what a reader should know', () => {
    const d = damage(cycles, { curve: steel, ...plain });
    expect(d.notes.join('\n')).toContain('mean stress left out; the curve was tested at R = -1');
    const welded = (basis: 'in the curve' | 'on top of the curve', value: number) => damage(localStress(nominal, notchFactor({ kind: 'shear', value, basis, source: 'weld toe' })), { curve: curveLibrary.en1993Shear(100), ...plain });
    expect(welded('in the curve', 1).notes.join('\n')).toContain('states no tested interval');
    expect(welded('on top of the curve', 1.1).notes.join('\n')).toContain('holds its notch; 1.1 (weld toe) comes on top of it');
    near(welded('on top of the curve', 1.1).byClass.edges.at(-1)! / welded('in the curve', 1).byClass.edges.at(-1)!, 1.1, 1e-12);
  });
  it('gives the static margin of the count and of the channel alike', () => {
    const expected = MPa(355) / Math.sqrt(3) / (5000 / section.polarModulus);
    near(staticMargin(nominal, { yieldStrength: MPa(355) }).margin, expected, 1e-12);
    const ofChannel = staticMargin(shearStress(record, section), { yieldStrength: MPa(355) });
    near(ofChannel.margin, expected, 1e-12);
    expect(ofChannel).toMatchObject({ at: 3, seconds: 3, kind: 'shear' });
  });
});

describe('life', () => {
  const done = damage(local('shear', [200, 150], [10, 100]), { curve: steel, continuation: 'same-slope', ...plain });
  it('is the critical sum over the damage of an hour', () => {
    near(life(done).hours, 1 / done.total, 1e-12);
    near(life(done, { criticalSum: 0.3 }).hours, 0.3 / done.total, 1e-12);
    near(life(done, { hoursPerYear: 4000 }).years!, 1 / done.total / 4000, 1e-12);
  });
  it('adds the rates of damages that go on at once', () => {
    const other = damage(local('shear', [180], [40]), { curve: steel, continuation: 'same-slope', ...plain });
    near(life([done, other]).hours, 1 / (done.perHour + other.perHour), 1e-12);
    expect(life([done, other]).hours).toBeLessThan(life(done).hours);
  });
  it('says when it is shorter than the record', () => {
    expect(life(damage(local('shear', [900], [1e5]), { curve: steel, ...plain })).labels.join()).toContain('shorter than the record itself');
  });
  it('prints two significant figures', () => {
    expect([12345, 999, 0.0456, 3.21e8, 43, 0.00012, 1499999].map(twoFigures)).toEqual(['12\u202f000', '1\u202f000', '0.046', '3.2·10⁸', '43', '1.2·10⁻⁴', '1.5·10⁶']);
  });
  it('says when no cycle does damage', () => {
    const none = life(damage(local('shear', [20], [10]), { curve: steel, ...plain }));
    expect(none).toMatchObject({ hours: Infinity, text: 'no damage counted', labels: ['no damage counted'] });
  });
  it('is labelled as extrapolated where damage lies outside the tested interval', () => {
    const outside = life(damage(local('shear', [1200, 300], [1, 1]), { curve: steel, ...plain }));
    expect(outside.labels[0]).toContain('extrapolated');
    expect(life(damage(local('shear', [300], [1]), { curve: steel, ...plain })).labels).toEqual([]);
  });
});

describe('laws', () => {
  const table = fc.array(fc.record({ range: fc.double({ min: 20, max: 600, noNaN: true }), mean: fc.double({ min: -200, max: 200, noNaN: true }), count: fc.integer({ min: 1, max: 10000 }) }), { minLength: 1, maxLength: 6 });
  type Row = { range: number; mean: number; count: number };
  const cyclesOf = (rows: readonly Row[]): StressCycles<'local', 'direct'> => local('direct', rows.map((r) => r.range), rows.map((r) => r.count), rows.map((r) => r.mean));
  const rule = fc.constantFrom('none', { rule: 'goodman', ultimate: MPa(900) }, { rule: 'gerber', ultimate: MPa(900) }, { rule: 'smith-watson-topper' }) as fc.Arbitrary<'none' | { rule: 'goodman'; ultimate: number }>;
  it('damage is additive, and grows with every stress', () => {
    fc.assert(fc.property(table, table, rule, fc.double({ min: 1, max: 1.3, noNaN: true }), (a, b, meanStress, scale) => {
      const options = { curve: line('amplitude', 'direct', 250, 1e6, 5, 1e6), meanStress, residue: 'half', continuation: 'reduced-slope', classes: 4, largest: 0 } as const;
      near(damage(cyclesOf([...a, ...b]), options).total, damage(cyclesOf(a), options).total + damage(cyclesOf(b), options).total, 1e-9);
      expect(damage(cyclesOf(a.map((r) => ({ ...r, range: r.range * scale }))), options).total).toBeGreaterThanOrEqual(damage(cyclesOf(a), options).total * (1 - 1e-12));
    }), { numRuns: 10000, seed: 21 });
  });
  it('life is monotone in every number of the curve and in the notch', () => {
    fc.assert(fc.property(table, fc.double({ min: 1.01, max: 1.4, noNaN: true }), fc.constantFrom<Continuation>('cut-off', 'same-slope', 'reduced-slope'), (rows, up, beyond) => {
      const base: LifeCurveData<'amplitude', 'direct'> = { name: 'x', kind: 'direct', measure: 'amplitude', through: { stress: MPa(250), cycles: 1e6 }, slope: 5, knee: 1e6, beyond, ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' };
      // The sum that damage takes over its rows (checked above), without the rest of its result: 10 000 cases have to be quick.
      const sumOn = (curve: LifeCurve, of: readonly Row[] = rows): number => {
        const each = damageFunction(curve);
        return of.reduce((sum, row) => sum + row.count * each(MPa(row.range / 2)), 0);
      };
      const total = (change: object): number => sumOn(lifeCurve({ ...base, ...change }));
      const d = total({});
      expect(total({ through: { stress: MPa(250) * up, cycles: 1e6 } })).toBeLessThanOrEqual(d * (1 + 1e-12));
      expect(total({ through: { stress: MPa(250), cycles: 1e6 * up }, knee: 1e6 * up })).toBeLessThanOrEqual(d * (1 + 1e-12));
      if (beyond === 'reduced-slope') expect(total({ slopeBeyond: 9 * up })).toBeLessThanOrEqual(d * (1 + 1e-12));
      // A steeper line about its point: shorter for what is stronger than the point, longer for what is weaker.
      const [line5, lineUp] = [{}, { slope: 5 * up }].map((change) => lifeCurve({ ...base, knee: null, beyond: 'same-slope', ...change }));
      for (const row of rows) {
        const [flat, steep] = [sumOn(line5!, [row]), sumOn(lineUp!, [row])];
        if (row.range >= 500) expect(steep).toBeGreaterThanOrEqual(flat * (1 - 1e-12));
        else expect(steep).toBeLessThanOrEqual(flat * (1 + 1e-12));
      }
      // The bend: more cycles before a flatter second branch begins, or a flatter second branch, do less to what lies below it and nothing to the rest.
      const bent = (bend: object): number => total({ bend: { cycles: 1e5, slope: 8, ...bend }, beyond: 'same-slope' });
      for (const [changed, row] of [[{ slope: 8 * up }, 'flatter'], [{ cycles: 1e5 / up }, 'sooner']] as const) expect(bent(changed), row).toBeLessThanOrEqual(bent({}) * (1 + 1e-12));
      // Scatter and survival: surer is shorter, and the more so the more the lives scatter; below the median it is the other way round.
      const survived = (survival: number, deviation: number): number => sumOn(shiftSurvival(lifeCurve({ ...base, deviation }), survival));
      const sure = 1 - 0.5 / up ** 10;
      expect(survived(sure, 0.2)).toBeGreaterThanOrEqual(survived(0.5, 0.2) * (1 - 1e-12));
      expect(survived(sure, 0.2 * up)).toBeGreaterThanOrEqual(survived(sure, 0.2) * (1 - 1e-12));
      expect(survived(1 - sure, 0.2 * up)).toBeLessThanOrEqual(survived(1 - sure, 0.2) * (1 + 1e-12));
      if (beyond === 'cut-off') expect(total({ knee: 1e6 * up })).toBeGreaterThanOrEqual(d * (1 - 1e-12));
      const notched = (value: number): number => damage(localStress(stressCycles(cyclesOf(rows).cycles as never, { basis: 'nominal', kind: 'direct', source: 't' }), notchFactor({ kind: 'direct', value, basis: 'fatigue', source: 't' })), { curve: lifeCurve(base), ...plain, classes: 1, largest: 0 }).total;
      expect(notched(1)).toBeCloseTo(d, 9);
      expect(notched(up)).toBeGreaterThanOrEqual(notched(1) * (1 - 1e-12));
    }), { numRuns: 10000, seed: 22 });
  });
  it('equivalent ranges grow with the slope where as many cycles stand for as many', () => {
    fc.assert(fc.property(table, (rows) => {
      const cycles = cyclesOf(rows);
      const e = equivalentRange(cycles, { slopes: [2, 3, 5, 8, 40], cycles: rows.reduce((n, r) => n + r.count, 0), residue: 'half' });
      for (let i = 1; i < 5; i++) expect(e.ranges[i]!).toBeGreaterThanOrEqual(e.ranges[i - 1]! * (1 - 1e-12));
      expect(e.ranges[4]!).toBeLessThanOrEqual(MPa(Math.max(...rows.map((r) => r.range))) * (1 + 1e-12));
    }), { numRuns: 500, seed: 23 });
  });
});

describe('refusals', () => {
  const shear = local('shear', [100], [1]);
  const count = countCycles(record, {});
  it('bases and kinds do not mix: the compiler and the run time say so', () => {
    const nominal = shearStress(count, section);
    // @ts-expect-error nominal stress has no life yet
    expect(() => damage(nominal, { curve: steel, ...plain })).toThrow('damage: cycles must be cycles of local stress, got cycles of nominal stress. State the notch with localStress');
    // @ts-expect-error a curve of direct stress for shear
    expect(() => damage(shear, { curve: curveLibrary.dnvAir('D'), ...plain })).toThrow('the curve DNV-RP-C203 air D must be of shear stress, got direct stress');
    // @ts-expect-error a direct notch on shear
    expect(() => localStress(nominal, notchFactor({ kind: 'direct', value: 2, basis: 'fatigue', source: 'x' }))).toThrow('notch must be of shear stress');
    // @ts-expect-error local stress has its notch already
    expect(() => localStress(shear, notch)).toThrow('got cycles of local stress. Give the cycles as they were before localStress.');
    // @ts-expect-error a static check is nominal
    expect(() => staticMargin(shear, { yieldStrength: MPa(355) })).toThrow('must be cycles of nominal stress');
    // @ts-expect-error torque is no stress
    expect(() => stressCycles(count, { basis: 'local', kind: 'shear', source: 'x' })).toThrow('unit of the cycles must be Pa, got N·m. Use shearStress for a count of torque.');
  });
  it.each([
    [() => damage(shear, { curve: steel } as never), 'meanStress must be given: it has no default because it is a physical choice'],
    [() => damage(shear, { curve: steel, meanStress: 'none', residue: 'whole' } as never), "residue must be one of 'half', 'repeat', 'drop'"],
    [() => damage(shear, { curve: curveLibrary.en1993Shear(80), meanStress: { rule: 'smith-watson-topper' }, residue: 'half' }), "meanStress must be 'none' for the curve EN 1993-1-9 shear 80, which was stated for every R"],
    [() => damage(localStress(shearStress(count, section), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 'x' })), { curve: steel, ...plain }), 'because the curve line does not hold one'],
    [() => damage(localStress(shearStress(count, section), notchFactor({ kind: 'shear', value: 1.2, basis: 'on top of the curve', source: 'x' })), { curve: steel, ...plain }), "State Kf or Kt with the basis 'fatigue' or 'theoretical'"],
    [() => damage(localStress(shearStress(count, section), notch), { curve: curveLibrary.en1993Shear(100), ...plain }), 'notch must be 1, because the curve EN 1993-1-9 shear 100 holds its notch already, got 1.6 (fatigue; keyway)'],
    [() => damage(local('shear', [600], [10]), { curve: line('amplitude', 'shear', 75, 1e6, 900), ...plain }), 'stress beside the curve must be within what double precision can reckon with, got numbers from which total cannot be told'],
    [() => damage({} as never, { curve: steel, ...plain } as never), 'cycles must be cycles of local stress'],
    [() => life({} as never), 'damage must be a Damage'],
    [() => life([]), 'damage must be at least one Damage'],
    [() => life(damage(shear, { curve: steel, ...plain }), { criticalSum: 0 }), 'criticalSum must be a finite number above 0'],
    [() => cyclesFromTable({ unit: 'Pa', range: [1], count: [1, 2], hours: 1 }), 'columns of one length'],
    [() => cyclesFromTable({ unit: 'Pa', range: [-1], count: [1], hours: 1 }), 'range[0] must be a finite number above 0 Pa'],
    [() => equivalentRange(count, { slopes: [], cycles: 1, residue: 'half' }), 'slopes must be at least one slope'],
    [() => equivalentRange({} as never, { slopes: [3], cycles: 1, residue: 'half' }), 'cycles must be a CycleCount or Cycles'],
    [() => staticMargin(shearStress(record, section), { yieldStrength: psi(0) }), 'yieldStrength must be a finite number above 0 Pa'],
    [() => staticMargin(record as never, { yieldStrength: 1 }), 'unit of torque must be Pa, got N·m. Turn torque into stress with shearStress.'],
  ])('says what to do (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
