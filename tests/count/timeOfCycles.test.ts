import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, createRandom, curveLibrary, cyclesByState, damage, damageByState, damageByTime, damageConvergence, extrapolateTail, localStress, makeChannel, notchFactor, poolCounts, repeatCount, shearStress,
  solidSection, type Cycles, type Damage,
} from '../../src/index.js';

const random = createRandom(1);
const record = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, start: '2026-03-01T08:00:00.000Z', values: Float64Array.from({ length: 500 }, () => 900 * random.normal()) });
const count = countCycles(record);
const once = closeResidue(count, 'half');
const damageOf = (cycles: Cycles<'N·m'>): Damage => damage(localStress(shearStress(cycles, solidSection(0.05)), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 't' })), {
  curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', continuation: 'same-slope', largest: 1000,
});

describe('cycles that stand for more time than their record', () => {
  const longer: readonly [string, Cycles<'N·m'>][] = [['repeated', repeatCount(count, 10)], ['extrapolated', extrapolateTail(once, { threshold: 2500, seconds: 500, cap: null }).cycles]];
  it.each(longer)('%s: what does damage keeps the second and the instant at which it was recorded', (_, cycles) => {
    const placed = damageOf(cycles).largest.filter((c) => c.at >= 0);
    expect(placed.length).toBeGreaterThan(20);
    for (const c of placed) {
      expect(c.seconds).toBe(c.at / 10);
      expect(Date.parse(c.time!) - Date.parse(record.start!)).toBeCloseTo(100 * c.at, 6);
    }
  });
  it.each(longer)('%s: are refused by every verb that goes by time, which once read ten times the seconds', (_, cycles) => {
    const done = damageOf(cycles), windows = [{ name: 'a', from: 40, to: 50 }];
    const message = 'cycles for 8.33 min from a record of 50.0 s: repeated, extrapolated, or of one state';
    expect(() => cyclesByState(cycles, windows)).toThrow(message);
    expect(() => damageByState(done, windows)).toThrow(message);
    expect(() => damageByTime(done, { every: 5 })).toThrow(message);
    expect(() => damageConvergence(done, { within: 0.1 })).toThrow(message);
  });
  it('taken once they are those of the record, and go by time', () => {
    expect(damageByTime(damageOf(repeatCount(count, 1)), { every: 5 }).damage.length).toBe(10);
  });
});

describe('cycles of a state', () => {
  const { states, between } = cyclesByState(once, [{ name: 'a', from: 10, to: 40 }]);
  it('keep the places that they have in the record', () => {
    const { largest } = damageOf(states[0]!.cycles);
    expect(largest.every((c) => c.record === 'T' && c.seconds === c.at / 10 && c.seconds >= 10 && c.seconds < 40)).toBe(true);
  });
  it('are not spread over the time of the record; those between the states, whose time it is, are', () => {
    expect(() => damageConvergence(damageOf(states[0]!.cycles), { within: 0.1 })).toThrow('cycles for 30.0 s from a record of 50.0 s: repeated, extrapolated, or of one state');
    const done = damageOf(between);
    expect(damageByTime(done, { every: 10 }).damage.reduce((a, b) => a + b, 0) / done.total).toBeCloseTo(1, 12);
  });
  it('remember by which policy their residue was closed', () => {
    const dropped = cyclesByState(closeResidue(count, 'drop'), [{ name: 'a', from: 10, to: 40 }]).states[0]!.cycles;
    expect(() => damageOf(dropped)).toThrow("residue must be 'drop', by which these cycles were closed, got 'half'");
  });
});

it('cycles of several shafts have no one clock', () => {
  const { pooled } = poolCounts([{ shaft: 'a', count }, { shaft: 'b', count }], 'half');
  expect(pooled.sampleRate).toBe(null);
  expect(damageOf(pooled).largest[0]).toMatchObject({ at: -1, seconds: null, time: null });
  expect(() => damageByTime(damageOf(pooled), { every: 5 })).toThrow('got cycles of several shafts');
});
