import { describe, expect, it } from 'vitest';
import { countCycles, createRandom, curveLibrary, damage, damageConvergence, makeChannel, MPa, stressCycles, type Damage } from '../../src/index.js';

const damageOf = (values: Float64Array): Damage => damage(stressCycles(countCycles(makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values })), { basis: 'local', kind: 'shear', source: 't' }), {
  curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', continuation: 'same-slope',
});

describe('a level that keeps for longer than a stretch', () => {
  /** Swings whose level wanders by a share of itself and is correlated over so many samples. */
  const record = (random: ReturnType<typeof createRandom>, level: number, correlation: number): Damage => {
    const a = Math.exp(-1 / correlation), b = Math.sqrt(1 - a * a);
    let u = random.normal();
    return damageOf(Float64Array.from({ length: 4000 }, () => {
      u = a * u + b * random.normal();
      return MPa(60) * (1 + level * u) * random.normal();
    }));
  };
  const noted = (level: number, correlation: number): number => {
    const random = createRandom(11);
    let n = 0;
    for (let seed = 1; seed <= 100; seed++) {
      const { notes, verdict, hoursNeeded, hours } = damageConvergence(record(random, level, correlation), { within: 1, draws: 200, seed });
      if (!notes.some((note) => note.includes('change more slowly than a stretch lasts'))) continue;
      n++;
      expect(verdict).toBe('record longer');
      expect(hoursNeeded).toBeGreaterThanOrEqual(4 * hours.at(-1)!);
    }
    return n;
  };
  it('is noted in about half of the records that hold two to four correlation times, in few without such a level, and none of them is called long enough (own simulation)', () => {
    expect(noted(0.25, 2000)).toBeGreaterThan(40);
    expect(noted(0.35, 1000)).toBeGreaterThan(35);
    expect(noted(0, 1)).toBeLessThan(15);
  });
  it('leaves the interval the truth in at least three of four records of four correlation times, where stretches taken as independent did in half of them (own simulation)', () => {
    const random = createRandom(7);
    let truth = 0;
    for (let k = 0; k < 300; k++) truth += record(random, 0.35, 1000).perHour / 300;
    let held = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const { interval } = damageConvergence(record(random, 0.35, 1000), { within: 0.2, draws: 400, seed });
      if (interval.low <= truth && truth <= interval.high) held++;
    }
    expect(held).toBeGreaterThan(145);
  });
  it('that rises by a third from one end of the record to the other keeps it from being called long enough, though the interval is narrow; one that is even does not', () => {
    const ramp = (rise: number) => damageConvergence(damageOf(Float64Array.from({ length: 4000 }, (_, i) => MPa(60) * (1 + (rise * i) / 4000) * Math.sin(2 * i))), { within: 2 });
    expect(ramp(0.33).relativeHalfWidth).toBeLessThan(2);
    expect(ramp(0.33).verdict).toBe('record longer');
    expect(ramp(0.33).notes.join(' ')).toContain('Neighbouring stretches of the eight are alike (correlation 0.6');
    expect(ramp(0)).toMatchObject({ verdict: 'long enough', notes: [] });
  });
});
