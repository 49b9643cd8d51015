import { describe, expect, it } from 'vitest';
import fc from 'fast-check';
import { countCycles, curveLibrary, cyclesFromTable, damage, damageByState, damageByTime, lifeCurve, localStress, makeChannel, meanStressBounds, MPa, notchFactor, shearStress, solidSection, stressCycles, type Damage } from '../../src/index.js';
import { near } from './near.js';

const curve = lifeCurve({ name: 's', kind: 'shear', measure: 'amplitude', through: { stress: MPa(150), cycles: 1e6 }, slope: 5, knee: null, beyond: 'same-slope', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
const done = (values: readonly number[]): Damage => damage(localStress(shearStress(countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 2, values })), solidSection(0.05)), notchFactor({ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' })), { curve, meanStress: 'none', residue: 'half' });

describe('damage on the time axis', () => {
  it('keeps the sum, whatever the steps and windows', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: -3000, max: 3000 }), { minLength: 8, maxLength: 60 }), fc.double({ min: 0.3, max: 20, noNaN: true }), (values, every) => {
      const d = done(values);
      const t = damageByTime(d, { every });
      near(t.damage.reduce((a, b) => a + b, 0) + t.unplaced, d.total, 1e-9);
      near(t.cycles.reduce((a, b) => a + b, 0), d.cycles.total, 1e-12);
      near(t.edges.at(-1)!, values.length / 2, 1e-12);
      const third = values.length / 6;
      const states = damageByState(d, [{ name: 'a', from: 0, to: third }, { name: 'b', from: third, to: 2 * third }, { name: 'a', from: 2.5 * third, to: 3 * third }]);
      near(states.reduce((s, row) => s + row.damage, 0), d.total, 1e-9);
      near(states.reduce((s, row) => s + row.hours, 0) * 3600, values.length / 2, 1e-9);
    }), { numRuns: 500, seed: 41 });
  });
  it('puts a burst where it is, by hand', () => {
    const d = done([0, 0, 0, 0, 0, 0, 2000, -2000, 2000, -2000, 2000, 0]);
    const t = damageByTime(d, { every: 2 });
    expect(t.damage[0]).toBe(0);
    near(t.damage[1]! + t.damage[2]!, d.total, 1e-12);
    const [burst, rest] = damageByState(d, [{ name: 'burst', from: 2.5, to: 5.7 }]);
    near(burst!.share, 1, 1e-12);
    expect(rest).toMatchObject({ name: 'between', damage: 0 });
    near(burst!.perHour, (d.total * 3600) / 3.2, 1e-12);
  });
  it.each([
    [() => damageByTime(damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [1], count: [1], hours: 1 }), { basis: 'local', kind: 'shear', source: 't' }), { curve, meanStress: 'none', residue: 'half' }), { every: 1 }), 'from a record, with their place in time, got a table of cycles'],
    [() => damageByTime(done([0, 1, 0]), { every: 0 }), 'every must be a finite number above 0 s'],
    [() => damageByState(done([0, 1, 0]), [{ name: 'a', from: 0, to: 1 }, { name: 'b', from: 0.5, to: 2 }]), 'windows must be apart from each other, got a to 1 s and b from 0.5 s'],
    [() => damageByState(done([0, 1, 0]), []), 'windows must be at least one named window'],
    [() => damageByState({} as never, []), 'damage must be a Damage'],
  ])('refuses with the way out (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});

describe('meanStressBounds', () => {
  const nominal = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(200)], mean: [MPa(-150)], count: [100], hours: 1 }), { basis: 'nominal', kind: 'shear', source: 't' });
  const rule = { rule: 'goodman', ultimate: MPa(700), shear: 'von Mises' } as const;
  const options = { curve, meanStress: rule, residue: 'half' } as const;
  it('shows both bounds, and suggests by the state of the notch', () => {
    const smooth = meanStressBounds(localStress(nominal, notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 't' })), options);
    expect(smooth.suggested).toBe('without');
    near(smooth.ratio, (1 / (1 - 150 / (700 / Math.sqrt(3)))) ** 5, 1e-12);
    const notched = meanStressBounds(localStress(nominal, notchFactor({ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' })), options);
    expect(notched).toMatchObject({ suggested: 'with', reason: 'notched shaft in torsion: mean shear acts as |mean|' });
    expect(notched.with.total).toBeGreaterThan(notched.without.total);
    const bending = localStress(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(200)], mean: [MPa(50)], count: [100], hours: 1 }), { basis: 'nominal', kind: 'direct', source: 't' }), notchFactor({ kind: 'direct', value: 1, basis: 'fatigue', source: 't' }));
    expect(meanStressBounds(bending, { curve: curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(700), enduranceLimit: MPa(200) }), meanStress: { rule: 'gerber', ultimate: MPa(700) }, residue: 'half' }).suggested).toBe('with');
  });
  it.each([-250, -150, -90])('suggests the larger damage where direct stress lies in compression, about %d MPa, which a rule may relieve down to none', (mean) => {
    const pressed = localStress(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(300)], mean: [MPa(mean)], count: [100], hours: 1 }), { basis: 'nominal', kind: 'direct', source: 't' }), notchFactor({ kind: 'direct', value: 1.2, basis: 'fatigue', source: 't' }));
    const direct = lifeCurve({ name: 'd', kind: 'direct', measure: 'amplitude', through: { stress: MPa(150), cycles: 1e6 }, slope: 5, knee: null, beyond: 'same-slope', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
    for (const meanStress of [{ rule: 'smith-watson-topper' }, { rule: 'walker', exponent: 0.7 }] as const) {
      const found = meanStressBounds(pressed, { curve: direct, meanStress, residue: 'half' });
      near(found.without.total, (100 * 1.2 ** 5) / 1e6, 1e-12);
      expect(found.with.total).toBeLessThan(found.without.total);
      expect(found).toMatchObject({ suggested: 'without', reason: 'in compression the rule relieves the cycles, for which no credit is taken' });
    }
    // Goodman earns no credit in compression: both are the same, and the rule is suggested.
    expect(meanStressBounds(pressed, { curve: direct, meanStress: { rule: 'goodman', ultimate: MPa(900) }, residue: 'half' })).toMatchObject({ suggested: 'with', ratio: 1 });
  });
  it('suggests nothing where no cycle does damage either way: both are the same, ratio 1', () => {
    const idle = lifeCurve({ name: 'i', kind: 'shear', measure: 'amplitude', through: { stress: MPa(600), cycles: 1e6 }, slope: 5, knee: 1e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
    const notched = localStress(nominal, notchFactor({ kind: 'shear', value: 1.4, basis: 'fatigue', source: 't' }));
    expect(meanStressBounds(notched, { ...options, curve: idle })).toMatchObject({ suggested: 'without', ratio: 1, reason: 'no cycle does damage, with the rule or without it' });
    // Where only the rule leads to damage it is suggested, and the ratio has no end.
    const between = lifeCurve({ ...idle, through: { stress: MPa(200), cycles: 1e6 } });
    expect(meanStressBounds(notched, { ...options, curve: between })).toMatchObject({ suggested: 'with', ratio: Infinity });
  });
  it('refuses without a stated notch or a rule', () => {
    const stated = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(200)], count: [100], hours: 1 }), { basis: 'local', kind: 'shear', source: 't' });
    expect(() => meanStressBounds(stated, options)).toThrow('State the notch'.replace('State the', 'Make nominal cycles and state the'));
    expect(() => meanStressBounds(localStress(nominal, notchFactor({ kind: 'shear', value: 1, basis: 'fatigue', source: 't' })), { ...options, meanStress: 'none' as never })).toThrow("meanStress must be a rule, for the upper bound, got 'none'");
  });
});
