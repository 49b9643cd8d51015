import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  countCycles, curveLibrary, cutOut, cyclesFromTable, cyclesToFailure, damage, damagedCurve, directAmplitude, estimateStrainLife, gearTorqueExponent, GPa, lifeCurve, localStress, makeChannel, mm, MPa, neuberCycle, notchFactor,
  psi, shaftSteel, shaftSteels, shearStress, solidSection, strainLifeDamage, stressAtLife, stressCycles, weibullDamage,
} from '../../src/index.js';
import { near } from './near.js';

const kpsi = psi(1000);

describe('a part that has run', () => {
  it('VA-03: Miner and Manson: 38.6 and 34.4 kpsi are left of 40 after 3000 cycles at 60 (Shigley, 9th ed., sec. 6-15)', () => {
    const fresh = curveLibrary.synthetic({ kind: 'direct', ultimate: 80 * kpsi, enduranceLimit: 40 * kpsi, fraction: 0.9 });
    near(cyclesToFailure(fresh, directAmplitude(60 * kpsi)), 8520, 0.0025);
    near(-1 / fresh.slope, -0.085091, 1e-4);
    const miner = damagedCurve(fresh, { stress: 60 * kpsi, cycles: 3000, rule: 'Miner' });
    near(stressAtLife(miner, 1).value / kpsi, 124.898, 0.0025);
    near(miner.kneeStress / kpsi, 38.6, 0.0025);
    near(cyclesToFailure(miner, directAmplitude(40 * kpsi)), 648000, 0.0025);
    expect(damagedCurve(fresh, { stress: 60 * kpsi, cycles: 3000, rule: 'Manson' }).kneeStress / kpsi).toBeCloseTo(34.45, 1);
    near(damagedCurve(fresh, { stress: 60 * kpsi, cycles: 3000, rule: 'Manson' }).kneeStress / kpsi, 34.4, 0.0025);
  });
  it('VA-04: Manson in three steps: the chain of remaining lives (Shigley, 8th ed., solutions manual, problem 6-30)', () => {
    // 15 460 cycles are left at 48 kpsi, taken as input; the line turns about 0.9 · 76 at 10³.
    const after1 = curveLibrary.points({ name: 'after step 1', kind: 'direct', measure: 'amplitude', points: [{ stress: 0.9 * 76 * kpsi, cycles: 1e3 }, { stress: 48 * kpsi, cycles: 15460 }], knee: 1e6, beyond: 'reduced-slope', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
    near(-1 / after1.slope, -0.129342, 0.001);
    near(stressAtLife(after1, 1).value / kpsi, 167.14, 0.001);
    const n2 = cyclesToFailure(after1, directAmplitude(38 * kpsi));
    near(n2, 94110, 0.001);
    const after2 = damagedCurve(after1, { stress: 38 * kpsi, cycles: 60000, rule: 'Manson' });
    near(n2 - 60000, 34110, 0.001);
    near(-1 / after2.slope, -0.166531, 0.001);
    near(stressAtLife(after2, 1).value / kpsi, 216.1, 0.001);
    near(cyclesToFailure(after2, directAmplitude(32 * kpsi)), 95740, 0.001);
  });
  it('Miner on a curve is Miner on a sum: lives shrink by what was used', () => {
    fc.assert(fc.property(fc.double({ min: 205, max: 500, noNaN: true }), fc.double({ min: 0.01, max: 0.9, noNaN: true }), (s, share) => {
      const fresh = lifeCurve({ name: 'x', kind: 'direct', measure: 'amplitude', through: { stress: MPa(200), cycles: 1e6 }, slope: 5, knee: 1e6, beyond: 'cut-off', ratio: -1, survival: 0.5, tested: null, notch: 'in the stress', source: 't' });
      const life = cyclesToFailure(fresh, directAmplitude(MPa(s)));
      const left = damagedCurve(fresh, { stress: MPa(s), cycles: share * life, rule: 'Miner' });
      near(cyclesToFailure(left, directAmplitude(MPa(450))), (1 - share) * cyclesToFailure(fresh, directAmplitude(MPa(450))), 1e-9);
    }), { numRuns: 300, seed: 51 });
  });
});

describe('closed forms', () => {
  it('VA-10: a Weibull spectrum on DNV row D: 0.52641 without knee (DNV-OS-C201 and JCSS 3.12, numbers own)', () => {
    const { kneeStress: _, ...data } = curveLibrary.dnvAir('D');
    const straight = lifeCurve({ ...data, knee: null });
    near(weibullDamage({ largest: MPa(200), cycles: 1e8, shape: 1 }, { curve: straight }), 0.526410096, 1e-4);
    near(200 / Math.log(1e8), 10.857362, 1e-6);
  });
  it('agrees with a numeric sum on every branch and shape', () => {
    for (const [shape, continuation] of [[0.8, 'cut-off'], [1, 'reduced-slope'], [1.4, 'same-slope']] as const) {
      const curve = curveLibrary.en1993Direct(71);
      const n = 1e8, largest = 250, q = largest / Math.log(n) ** (1 / shape), steps = 40000;
      const s = (i: number): number => (i / steps) * 3 * largest;
      const mids = Array.from({ length: steps }, (_, i) => (s(i) + s(i + 1)) / 2);
      const counts = Array.from({ length: steps }, (_, i) => n * (Math.exp(-((s(i) / q) ** shape)) - Math.exp(-((s(i + 1) / q) ** shape))));
      const keep = counts.map((c, i) => [c, mids[i]!] as const).filter(([c]) => c > 0);
      const cycles = stressCycles(cyclesFromTable({ unit: 'Pa', range: keep.map(([, m]) => MPa(m)), count: keep.map(([c]) => c), hours: 1 }), { basis: 'local', kind: 'direct', source: 't' });
      near(weibullDamage({ largest: MPa(largest), cycles: n, shape }, { curve, continuation }), damage(cycles, { curve, meanStress: 'none', residue: 'half', continuation }).total, 1e-3);
    }
  });
  it('VA-09: exponents of torque from gear life factors (ISO 6336-6:2006/2019, from memory)', () => {
    const rows: readonly [number, number, number, 'pitting' | 'tooth root', number][] = [
      [1.6, 1e5, 5e7, 'pitting', 6.61], [2.5, 1e3, 3e6, 'tooth root', 8.738], [2.5, 1e4, 3e6, 'tooth root', 6.225], [1.3, 1e5, 2e6, 'pitting', 5.709],
      [1.6, 1e3, 3e6, 'tooth root', 17.035], [1.1, 1e5, 2e6, 'pitting', 15.715], [1.1, 1e3, 3e6, 'tooth root', 84.003]];
    for (const [factor, from, to, failure, p] of rows) near(gearTorqueExponent({ factor, from, to, failure }), p, 2e-4);
  });
});

describe('strain life', () => {
  const steel = estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) });
  it('Neuber: the product of stress and strain is that of the elastic solution, and the strain is on the strain–life curve', () => {
    fc.assert(fc.property(fc.double({ min: 20, max: 3000, noNaN: true }), (amplitude) => {
      const c = neuberCycle(MPa(amplitude), steel);
      near(c.stress * c.strain, MPa(amplitude) ** 2 / GPa(210), 1e-10);
      near(c.strain, c.stress / GPa(210) + (c.stress / steel.cyclicStrength) ** (1 / 0.15), 1e-10);
      near(c.strain, (steel.fatigueStrength / GPa(210)) * (2 * c.cycles) ** -0.087 + steel.fatigueDuctility * (2 * c.cycles) ** -0.58, 1e-9);
    }), { numRuns: 500, seed: 52 });
  });
  it('stays elastic where the amplitude is small: Basquin’s line', () => {
    const c = neuberCycle(MPa(150), steel);
    near(c.stress, MPa(150), 1e-3);
  });
  it('sums a count, shear as √3 of direct stress', () => {
    const of = (kind: 'shear' | 'direct', range: number): number => strainLifeDamage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(range)], count: [7], hours: 2 }), { basis: 'local', kind, source: 't' }), { material: steel, residue: 'half' }).total;
    near(of('shear', 600), of('direct', 600 * Math.sqrt(3)), 1e-9);
    near(of('direct', 1000), 7 / neuberCycle(MPa(500), steel).cycles, 1e-12);
    const found = strainLifeDamage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(100), MPa(1500)], count: [1e6, 3], hours: 2 }), { basis: 'local', kind: 'direct', source: 't' }), { material: steel, residue: 'half' });
    expect(found.plasticShare).toBeGreaterThan(0.99);
    near(found.perHour, found.total / 2, 1e-12);
  });
});

describe('shaft steels', () => {
  it('MT-03, MT-04, MT-06, MT-07, MT-09, MT-10: hold the strengths of their standards by size (EN 10025-2, EN 10083-2 and -3, ASM, SAE)', () => {
    const rows: readonly [string, number, string | undefined, number, number][] = [
      ['S355', 10, undefined, 355, 470], ['S355', 30, undefined, 345, 470], ['S355', 50, undefined, 335, 470], ['S355', 70, undefined, 325, 470], ['S355', 100, undefined, 315, 470],
      ['42CrMo4', 16, undefined, 900, 1100], ['42CrMo4', 30, undefined, 750, 1000], ['42CrMo4', 90, undefined, 650, 900], ['42CrMo4', 120, undefined, 550, 800], ['42CrMo4', 250, undefined, 500, 750],
      ['C45E', 10, undefined, 490, 700], ['C45E', 20, undefined, 430, 650], ['C45E', 60, undefined, 370, 630], ['AISI 1045', 50, 'hot rolled', 310, 570], ['AISI 1045', 50, 'cold drawn', 530, 630],
      ['AISI 4140', 25, 'annealed at 815 °C', 417.1, 655], ['AISI 4140', 25, 'normalised at 870 °C', 655, 1020.4], ['AISI 4140', 25, 'oil quenched, tempered at 205 °C', 1641, 1772], ['AISI 4140', 25, 'oil quenched, tempered at 315 °C', 1434, 1551],
      ['AISI 4140', 25, 'oil quenched, tempered at 425 °C', 1138, 1248], ['AISI 4140', 25, 'oil quenched, tempered at 540 °C', 834, 951], ['AISI 4140', 25, 'oil quenched, tempered at 650 °C', 655, 758],
      ['AISI 4340', 50, 'oil quenched, tempered at 650 °C', 834, 931], ['AISI 4340', 100, 'normalised', 710, 1110]];
    for (const [name, d, condition, y, u] of rows) {
      const steel = shaftSteel(name, mm(d), condition);
      near(steel.yield, MPa(y), 1e-12, `${name} ${d}`);
      near(steel.ultimate, MPa(u), 1e-12, `${name} ${d}`);
      expect(steel.source.length).toBeGreaterThan(5);
    }
    const most = (name: string): (number | null)[] => shaftSteels.filter((s) => s.name === name).map((s) => s.ultimateMost && s.ultimateMost / 1e6);
    expect([most('S355'), most('42CrMo4'), most('C45E'), most('AISI 1045')]).toEqual([[630, 630, 630, 630, 630], [1300, 1200, 1100, 950, 900], [850, 800, 780], [null, null]]);
    expect(shaftSteels.length).toBe(rows.length);
  });
  it('MT-01, MT-10: have the elastic constants of EN 1993-1-1:2005, 3.2.6, and G within 2 GPa of 81', () => {
    const steel = shaftSteel('S355', mm(30));
    expect([steel.elasticModulus, steel.poisson]).toEqual([GPa(210), 0.3]);
    expect(Math.abs(steel.elasticModulus / (2 * (1 + steel.poisson)) / 1e9 - 81)).toBeLessThan(2);
    const other = shaftSteel('AISI 4340', mm(50), 'normalised');
    expect(Math.abs(other.elasticModulus / (2 * (1 + other.poisson)) / 1e9 - 80)).toBeLessThan(2);
  });
});

describe('cutOut', () => {
  it('shows the moment of the worst cycle, up to the ends of the record', () => {
    const values = Float64Array.from({ length: 1000 }, (_, i) => (i === 990 ? 5000 : 100 * Math.sin(i)));
    const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 100, values });
    const done = damage(localStress(shearStress(countCycles(torque), solidSection(0.03)), notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: 't' })), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
    const part = cutOut(torque, done.largest[0]!, { before: 0.2, after: 5 });
    expect(Math.max(...part.values)).toBe(5000);
    expect(part.values.length).toBeLessThan(40);
    expect(() => cutOut(makeChannel({ name: 'other', unit: 'N·m', sampleRate: 1, values: [1] }), done.largest[0]!, { before: 1, after: 1 })).toThrow('channel must be the record torque, in which the cycle lies, got other');
  });
});

describe('refusals', () => {
  const fresh = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(600), enduranceLimit: MPa(200) });
  it.each([
    [() => damagedCurve(curveLibrary.en1993Direct(71), { stress: MPa(100), cycles: 1, rule: 'Miner' }), 'curve must be one with a single slope and a knee'],
    [() => damagedCurve(fresh, { stress: MPa(100), cycles: 1, rule: 'Miner' }), 'stress must be a finite number at least'],
    [() => damagedCurve(fresh, { stress: MPa(300), cycles: 1e7, rule: 'Miner' }), 'Nothing is left.'],
    [() => weibullDamage({ largest: 0, cycles: 10, shape: 1 }, { curve: fresh }), 'largest must be a finite number above 0 Pa'],
    [() => gearTorqueExponent({ factor: 1, from: 1, to: 2, failure: 'pitting' }), 'factor must be a finite number above 1'],
    [() => estimateStrainLife({ ultimate: MPa(3000), elasticModulus: GPa(210) }), 'ultimate must be a finite number above 0 Pa and below'],
    [() => neuberCycle(0, estimateStrainLife({ ultimate: MPa(700), elasticModulus: GPa(210) })), 'amplitude must be a finite number above 0 Pa'],
    [() => shaftSteel('steel', 0.1), 'name must be one of S355, 42CrMo4'],
    [() => shaftSteel('AISI 1045', 0.05), "condition must be one of 'hot rolled', 'cold drawn', got undefined"],
  ])('say what to do (%#)', (call, message) => {
    expect(call).toThrow(message);
  });
});
