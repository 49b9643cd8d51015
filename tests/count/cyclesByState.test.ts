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
  it.each([
    [() => cyclesByState(countCycles(Float64Array.of(0, 1)) as never, windows), 'Close the residue of a count first'],
    [() => cyclesByState(cyclesFromTable({ unit: 'N·m', range: [1], count: [1], hours: 1 }), windows), 'got a table of cycles'],
    [() => cyclesByState(closeResidue(countCycles(Float64Array.from(values), { keep: { edges: [0, 500, 1000] } }), 'half'), windows), "Count with keep: 'cycles'"],
    [() => cyclesByState(torque(values), [{ name: 'a', from: 0, to: 20 }]), 'within the record of 14 s'],
    [() => cyclesByState(torque(values), [{ name: 'a', from: 0, to: 5 }, { name: 'b', from: 4, to: 6 }]), 'apart from each other'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
