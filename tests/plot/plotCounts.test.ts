import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, createRandom, curveLibrary, cycleMatrix, cyclesFromTable, damage, exceedance, fitZero, fromToMatrix, lifeCurve, localStress, makeChannel, MPa, notchFactor, plotDamage,
  plotExceedance, plotLifeCurve, plotMatrix, plotZero, removeZero, stressAtLife, stressCycles, type Channel, type Cycles,
} from '../../src/index.js';
import { logAxis, powerOfTen, readable, shownIn, timeTitle, timeUnit } from '../../src/plot/axes.js';
import { thinStair } from '../../src/plot/plotExceedance.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const random = createRandom(9);
const torque = (n = 4000): Channel<'N·m'> => makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values: Float64Array.from({ length: n }, (_, i) => 9000 + 4000 * Math.sin(i / 9) * Math.sin(i / 700) + 300 * random.normal()) });
const counted = closeResidue(countCycles(torque()), 'half');
const spectrum = (counts = [1e4, 1e5, 1e6, 5e6, 2e7]) => stressCycles(cyclesFromTable({ unit: 'Pa', range: [160, 120, 90, 70, 50].map((s) => 2 * MPa(s)), count: counts, hours: 10 }), { basis: 'local', kind: 'shear', source: 'by hand' });
const own = lifeCurve({ name: 'knee at 100 MPa', kind: 'shear', measure: 'amplitude', through: { stress: MPa(100), cycles: 2e6 }, slope: 5, knee: 2e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: { from: 1e4, to: 1e7 }, notch: 'in the stress', source: 'by hand' });
const summed = damage(spectrum(), { curve: own, meanStress: 'none', residue: 'half' });

describe('axes', () => {
  it('label powers of ten over three decades and 1, 2, 5 below', () => {
    expect(logAxis(1, 1e4).axis['labelExpr']).toContain('"1000":"10³"');
    expect(logAxis(20, 300).axis['labelExpr']).toContain('"50":"50"');
    expect(logAxis(20, 300).scale['domain']).toEqual([20, 300]);
    expect(powerOfTen(-12)).toBe('10⁻¹²');
  });
  it('write numbers for readers', () => {
    expect([0, 12345.6, -0.5, 1.23456e-7, 99.99, 1e6, Infinity].map((v) => readable(v))).toEqual(['0', '12\u202f300', '−0.500', '1.23·10⁻⁷', '100', '1.00·10⁶', '∞']);
  });
  it('take units that keep numbers short, and say the time from where it counts', () => {
    expect(shownIn('W', 5e5).title).toBe('Power / kW');
    expect(shownIn('mV/V', 1).title).toBe('Bridge ratio / (mV/V)');
    expect(shownIn('?', 1).title).toBe('Value (unit not stated)');
    expect([timeUnit(0.01), timeUnit(10), timeUnit(1000), timeUnit(1e5)].map((u) => u.unit)).toEqual(['ms', 's', 'min', 'h']);
    expect(timeTitle('s', '2026-03-01T08:00:00.500Z')).toBe('Time from 2026-03-01 08:00:00.5 UTC / s');
  });
});

describe('plotExceedance', () => {
  it('is the stair that can be counted by hand', () => {
    const cycles = closeResidue(countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [-2, 1, -3, 5, -1, 3, -4, 4, -2] })), 'half');
    const figure = plotExceedance(cycles);
    expect(dataOf(figure.spec)[0]!.map((r) => [r['cycles'], r['range']])).toEqual([[0.25, 9], [0.5, 9], [1.5, 8], [2, 6], [3.5, 4], [4, 3]]);
    const texts = textsOf(drawn(figure));
    expect(texts).toEqual(expect.arrayContaining(['Torque range / N·m', 'Cycles of that range and above', '0.5', '1', '2', "T: 4 cycles, residue counted as 'half'"]));
  });
  it('keeps the largest range and the total of a long count, and stays a falling stair', () => {
    const n = 50_000;
    const many = cyclesFromTable({ unit: 'N·m', range: Float64Array.from({ length: n }, () => 10 + 900 * random.uniform()), count: new Float64Array(n).fill(1), hours: 2 });
    const all = exceedance(many);
    const { range, count } = thinStair(all, 500);
    expect(range.length).toBeLessThan(700);
    expect([range[0], count[0], count.at(-1)]).toEqual([all.range[0], all.exceeded[0], n]);
    for (let i = 1; i < range.length; i++) {
      expect(range[i]!).toBeLessThan(range[i - 1]!);
      expect(count[i]!).toBeGreaterThan(count[i - 1]!);
    }
    const rows = dataOf(plotExceedance(many, { per: 'hour', names: ['table'] }).spec)[0]!;
    expect(Math.max(...rows.map((r) => r['cycles'] as number))).toBe(n / 2);
  });
  it('draws several sets with a legend', () => {
    const texts = textsOf(drawn(plotExceedance([counted, counted], { names: ['with filter', 'without'] })));
    expect(texts).toEqual(expect.arrayContaining(['with filter', 'without', 'Torque range / N·m']));
  });
  it('refuses what cannot be drawn', () => {
    expect(() => plotExceedance({} as never)).toThrow('cycles must be Cycles');
    expect(() => plotExceedance([])).toThrow('one to six sets');
    expect(() => plotExceedance([counted, cyclesFromTable({ unit: 'Pa', range: [1], count: [1], hours: 1 })] as unknown as Cycles[])).toThrow('all in N·m');
    expect(() => plotExceedance(counted, { names: ['a', 'b'] })).toThrow('1 names, one for each set');
    expect(() => plotExceedance(closeResidue(countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, 1] })), 'drop'))).toThrow('at least one cycle');
  });
});

describe('plotMatrix', () => {
  it('draws every class that holds cycles, and no other', () => {
    const matrix = cycleMatrix(counted, { rangeEdges: { from: 0, to: 12000, classes: 24 }, meanEdges: { from: 0, to: 16000, classes: 16 } });
    const figure = plotMatrix(matrix);
    const rows = dataOf(figure.spec)[0]!;
    expect(rows.length).toBe(matrix.counts.filter((n) => n > 0).length);
    expect(rows.reduce((s, r) => s + (r['cycles'] as number), 0)).toBeCloseTo(matrix.total, 6);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Torque range / kN·m', 'Torque mean / kN·m', 'Cycles']));
  });
  it('names the turning points of a from–to matrix and draws its diagonal', () => {
    const figure = plotMatrix(fromToMatrix(counted, { edges: { from: 0, to: 16000, classes: 20 } }));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['From torque / kN·m', 'To torque / kN·m']));
    expect(dataOf(figure.spec)).toHaveLength(2);
  });
  it('refuses another thing', () => {
    expect(() => plotMatrix(counted as never)).toThrow('matrix must be a CountMatrix');
  });
});

describe('plotLifeCurve', () => {
  it('runs through the curve’s own points, full within the tested lives and dashed outside', () => {
    const figure = plotLifeCurve(own);
    const rows = dataOf(figure.spec)[0]!;
    for (const row of rows.filter((r) => String(r['part']).startsWith('curve'))) {
      expect(row['s']).toBeCloseTo(stressAtLife(own, row['n'] as number).value / 1e6, 9);
    }
    const full = rows.filter((r) => r['part'] === 'curve, within the tested lives').map((r) => r['n'] as number);
    expect([Math.min(...full), Math.max(...full)]).toEqual([1e4, 1e7]);
    const texts = textsOf(drawn(figure));
    expect(texts).toEqual(expect.arrayContaining(['Shear stress amplitude / MPa', 'Cycles', 'curve, within the tested lives', 'curve, extrapolated', 'below the knee: reduced slope', 'below the knee: same slope']));
  });
  it('draws the cycles of a damage as they entered the curve, over the hours asked for', () => {
    const rows = dataOf(plotLifeCurve(own, { damage: summed, hours: 100 }).spec)[0]!.filter((r) => r['part'] === 'applied cycles, cumulative');
    expect(Math.max(...rows.map((r) => r['s'] as number))).toBeCloseTo(160, 9);
    expect(Math.max(...rows.map((r) => r['n'] as number))).toBeCloseTo(10 * summed.cycles.total, 3);
    drawn(plotLifeCurve(own, { damage: summed }));
  });
  it('says so where the source states no tested lives', () => {
    const curve = curveLibrary.en1993Direct(71);
    expect(textsOf(drawn(plotLifeCurve(curve)))).toEqual(expect.arrayContaining(['Direct stress range / MPa', 'curve (its source does not state the tested lives)']));
    expect(plotLifeCurve(curve).notes).toHaveLength(1);
  });
  it('refuses a damage of another curve, and what is no curve', () => {
    expect(() => plotLifeCurve(curveLibrary.en1993Shear(100), { damage: summed })).toThrow('summed with the curve');
    expect(() => plotLifeCurve({} as never)).toThrow('a LifeCurve');
    expect(() => plotLifeCurve(own, { damage: {} as never })).toThrow('damage must be a Damage');
    expect(() => plotLifeCurve(own, { hours: 0 })).toThrow('hours must be a finite number above 0 h');
  });
});

describe('plotDamage', () => {
  it('shows shares that sum to 100 % over the classes, and the cycles of each', () => {
    const figure = plotDamage(summed);
    const [shares] = dataOf(figure.spec);
    expect(shares!.reduce((s, r) => s + (r['share'] as number), 0)).toBeCloseTo(100, 9);
    expect(shares!.reduce((s, r) => s + (r['cycles'] as number), 0)).toBeCloseTo(summed.cycles.total, 3);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Share of damage / %', 'Cycles in class', 'Local shear stress range / MPa']));
  });
  it('draws cycles that do no damage, and says that they do none', () => {
    const none = damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(2)], count: [5], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: own, meanStress: 'none', residue: 'half' });
    expect(plotDamage(none).caption).toContain('no cycle does damage on this curve');
    drawn(plotDamage(none));
  });
  it('refuses another thing', () => {
    expect(() => plotDamage({} as never)).toThrow('damage must be a Damage');
  });
  it('takes a damage from a notch and a record', () => {
    const local = localStress(stressCycles(countCycles(makeChannel({ name: 's', unit: 'Pa', sampleRate: 1, values: [0, 2e8, 0, 1e8, 0] })), { basis: 'nominal', kind: 'shear', source: 'by hand' }), notchFactor({ kind: 'shear', value: 1.5, basis: 'fatigue', source: 'drawing' }));
    drawn(plotDamage(damage(local, { curve: own, meanStress: 'none', residue: 'half' })));
  });
});

describe('plotZero', () => {
  const raw = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, start: '2026-03-01T08:00:00.000Z', values: Float64Array.from({ length: 1000 }, (_, i) => 40 + 0.05 * i + (i > 200 && i < 800 ? 500 : 0) + random.normal()) });
  const model = fitZero(raw, { rest: [{ from: 0, to: 20 }, { from: 80, to: 100 }], model: 'linear in time' });
  const after = removeZero(raw, model);
  it('draws exactly what was taken off', () => {
    const figure = plotZero(raw, after, model);
    const line = dataOf(figure.spec).find((rows) => rows.length === 300)!;
    for (const row of line) expect(row['zero']).toBeCloseTo(model.coefficients[0]! + model.coefficients[1]! * (row['t'] as number), 9);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Before / N·m', 'Zero / N·m', 'After / N·m', 'rest window', 'Time from 2026-03-01 08:00:00 UTC / s']));
    expect(figure.caption).toContain('root mean square residual');
  });
  it('draws the residual of every state, and takes the friction of turning off its points', () => {
    const speed = makeChannel({ name: 'n', unit: 'rpm', sampleRate: 1, values: Float64Array.from({ length: 100 }, (_, i) => (i >= 20 && i < 40 ? 2 : i >= 60 && i < 80 ? -2 : 0)) });
    const turned = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: 1000 }, (_, i) => 40 + 120 * Math.sign(speed.values[Math.floor(i / 10)]!) + random.normal()) });
    const both = fitZero(turned, { rest: [0, 22, 42, 62, 82].map((from) => ({ from, to: from + 16 })), model: ['friction'], speed });
    const rows = dataOf(plotZero(turned, removeZero(turned, both, { speed }), both).spec);
    const points = rows.find((r) => r.length === 5 && 'zero' in r[0]!)!;
    for (const p of points) expect(Math.abs((p['zero'] as number) - 40)).toBeLessThan(1);
    const residuals = rows.find((r) => r.length === 10 && 'kind' in r[0]!)!;
    both.states.forEach((s, i) => expect([residuals[2 * i]!['residual'], residuals[2 * i + 1]!['residual']]).toEqual([s.residual, s.leaveOneOut]));
  });
  it('needs no model', () => {
    drawn(plotZero(raw, after, undefined, { rest: [{ from: 0, to: 20 }] }));
  });
  it('refuses channels that do not belong together', () => {
    expect(() => plotZero(raw, makeChannel({ name: 'x', unit: 'N·m', sampleRate: 10, values: [1] }))).toThrow('the channel before, less its zero');
    expect(() => plotZero(raw, after, {} as never)).toThrow('a ZeroModel');
  });
});
