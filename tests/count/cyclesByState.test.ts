import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, curveLibrary, cyclesByState, cyclesFromTable, damage, dutyMix, lifeBand, localStress, makeChannel, notchFactor, segmentStates, shearStress, solidSection, type Cycles, type Damage,
} from '../../src/index.js';

const torque = (values: ArrayLike<number>, invalid: readonly { from: number; to: number; why: 'by hand' }[] = []): Cycles<'N·m'> => closeResidue(countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: Float64Array.from(values), invalid })), 'half');
const curve = curveLibrary.en1993Shear(100);
const local = (cycles: Cycles<'N·m'>) => localStress(shearStress(cycles, solidSection(0.05)), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 't' }));
const damageOf = (cycles: Cycles<'N·m'>): Damage => damage(local(cycles), { curve, meanStress: 'none', residue: 'half', continuation: 'same-slope' });

describe('cycles by state', () => {
  // Two starts: 0, up to 900 with a swing 900–600 in the state, down to 0; twice.
  const values = [0, 900, 600, 900, 600, 900, 0, 0, 900, 600, 900, 600, 900, 0];
  const windows = [{ name: 'steady', from: 1, to: 6 }, { name: 'stop', from: 6, to: 8 }, { name: 'steady', from: 8, to: 13 }];
  it('belong to it where they begin and turn back in one of its windows; what runs from window to window is between, by hand', () => {
    const { states, between } = cyclesByState(torque(values), windows);
    expect(states.map((s) => s.name)).toEqual(['steady', 'stop']);
    expect(Array.from(states[0]!.cycles.range)).toEqual([300, 300, 300, 300]);
    expect(states[0]!.cycles.validTime).toBe(10);
    expect(states[1]!.cycles.total).toBe(0);
    // From standstill up, down, and up again: two starts, two stops.
    expect(between.range.every((r) => r === 900)).toBe(true);
    expect(between.total).toBe(2);
    expect(between.validTime).toBe(14);
  });
  it('lie in exactly one part: cycles and damage add up to those of the whole', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: -1000, max: 1000 }), { minLength: 6, maxLength: 60 }), fc.uniqueArray(fc.integer({ min: 0, max: 60 }), { minLength: 2, maxLength: 8 }), (x, cuts) => {
      const edges = cuts.filter((c) => c <= x.length).sort((a, b) => a - b);
      fc.pre(edges.length >= 2);
      const whole = torque(x);
      const { states, between } = cyclesByState(whole, edges.slice(1).map((to, k) => ({ name: 'abc'[k % 3]!, from: edges[k]!, to })).filter((_, k) => k % 4 !== 3));
      const parts = [...states.map((s) => s.cycles), between];
      const rows = (c: Cycles): string[] => Array.from(c.at, (at, k) => `${at} ${c.fromAt[k]} ${c.from[k]} ${c.to[k]} ${c.count[k]}`);
      expect(parts.flatMap(rows).sort()).toEqual(rows(whole).sort());
      const total = damageOf(whole).total;
      expect(Math.abs(parts.reduce((sum, c) => sum + damageOf(c).total, 0) - total)).toBeLessThanOrEqual(1e-12 * total);
    }), { numRuns: 1000, seed: 51 });
  });
  it('from the states of the machine to a year: hours by state, starts by the piece, and a band', () => {
    const n = 600;
    const ramp = (i: number): number => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8));
    const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Float64Array.from({ length: n }, (_, i) => ramp(i)) });
    const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Float64Array.from({ length: n }, (_, i) => 3 * ramp(i) ** 2 + (ramp(i) === 40 ? 400 * Math.sin(2 * i) : 0)) });
    const machine = segmentStates(T, { speed, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 });
    const whole = closeResidue(countCycles(T), 'half');
    const { states, between } = cyclesByState(whole, machine.states.map(({ state, from, to }) => ({ name: state, from, to })));
    const steady = states.find((s) => s.name === 'steady')!.cycles;
    const contained = machine.states.filter((s) => s.state === 'start').length;
    expect(contained).toBe(1);
    const mix = dutyMix([{ name: 'steady', damage: damageOf(steady), hours: 4000 }], { starts: [{ name: 'start', damage: damageOf(between), contained, perYear: 300 }] });
    expect(mix.damagePerYear).toBeCloseTo((4000 * damageOf(steady).total * 3600) / steady.validTime + 300 * damageOf(between).total, 12);
    // The cycle from standstill to the largest torque is between the states, and in no hour of the steady one.
    expect(Math.max(...between.range)).toBe(Math.max(...T.values));
    expect(Math.max(...steady.range)).toBeLessThan(810);
    expect(lifeBand(local(steady), { curve, meanStress: 'none', residue: 'half', continuation: 'same-slope', inputs: {}, draws: 100 }).middle).toBeCloseTo(1 / damageOf(steady).perHour, 4);
  });
  it('takes lost time as spread evenly, and says so', () => {
    const { states } = cyclesByState(torque(values, [{ from: 6, to: 13, why: 'by hand' }]), [{ name: 'a', from: 0, to: 4 }]);
    expect([states[0]!.cycles.validTime, states[0]!.cycles.lostTime]).toEqual([2, 2]);
    expect(states[0]!.cycles.notes.at(-1)).toContain('spread evenly');
  });
  it('counts lost time where it lies, when it is told: a state whose windows are mostly masked keeps its rate', () => {
    const wave = (i: number): number => (i >= 50 ? 0 : i % 2 === 0 ? 100 : 900);
    const invalid = [{ from: 5, to: 45, why: 'by hand' }] as const;
    const cycles = torque(Array.from({ length: 100 }, (_, i) => wave(i)), invalid);
    const running = [{ name: 'run', from: 0, to: 50 }, { name: 'rest', from: 50, to: 100 }];
    const rate = (c: Cycles<'N·m'>): number => c.total / c.validTime;
    const [told, spread] = [cyclesByState(cycles, running, { invalid }), cyclesByState(cycles, running)];
    expect(told.states.map((s) => [s.cycles.validTime, s.cycles.lostTime])).toEqual([[10, 40], [50, 0]]);
    expect([told.between.validTime, told.between.lostTime]).toEqual([60, 40]);
    expect(told.states[0]!.cycles.notes.join(' ')).not.toContain('spread evenly');
    // Half a cycle in each second: 4 to 5 in the 10 s that were read, of which the join takes part.
    expect(rate(told.states[0]!.cycles)).toBeGreaterThan(0.35);
    expect(rate(spread.states[0]!.cycles) / rate(told.states[0]!.cycles)).toBeCloseTo(10 / 30, 12);
  });
  it('counts a mask that reaches over a window by the part inside, to the fraction of a sample, and all parts of a state together', () => {
    const cycles = torque(values, [{ from: 4, to: 10, why: 'by hand' }]);
    const { states } = cyclesByState(cycles, windows, { invalid: [{ from: 4, to: 7, why: 'by hand' }, { from: 7, to: 10, why: 'by hand' }] });
    expect(states.map((s) => [s.cycles.validTime, s.cycles.lostTime])).toEqual([[6, 4], [0, 2]]);
    expect(cyclesByState(cycles, [{ name: 'a', from: 3.25, to: 4.75 }], { invalid: [{ from: 4, to: 10, why: 'by hand' }] }).states[0]!.cycles.lostTime).toBe(0.75);
  });
  it.each([
    [() => cyclesByState(countCycles(Float64Array.of(0, 1)) as never, windows), 'Close the residue of a count first'],
    [() => cyclesByState(cyclesFromTable({ unit: 'N·m', range: [1], count: [1], hours: 1 }), windows), 'got a table of cycles'],
    [() => cyclesByState(closeResidue(countCycles(Float64Array.from(values), { keep: { edges: [0, 500, 1000] } }), 'half'), windows), "Count with keep: 'cycles'"],
    [() => cyclesByState(torque(values), [{ name: 'a', from: 0, to: 20 }]), 'within the record of 14 s'],
    [() => cyclesByState(torque(values), [{ name: 'a', from: 0, to: 5 }, { name: 'b', from: 4, to: 6 }]), 'apart from each other'],
    [() => cyclesByState(torque(values), new Array<never>(2)), 'windows[0] must be a window with name, from and to'],
    [() => cyclesByState(torque(values, [{ from: 6, to: 13, why: 'by hand' }]), windows, { invalid: [{ from: 6, to: 12, why: 'by hand' }] }), 'Give invalid of the very channel that was counted'],
    [() => cyclesByState(torque(values), windows, { invalid: 5 } as never), 'invalid must be a list of spans'],
    [() => cyclesByState(torque(values), windows, { masks: [] } as never), 'masks'],
    [() => cyclesByState(torque(values), windows, { invalid: [{ from: 6, to: 15, why: 'by hand' }] }), 'cyclesByState'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
