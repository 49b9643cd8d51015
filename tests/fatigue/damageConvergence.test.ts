import { describe, expect, it } from 'vitest';
import { countCycles, createRandom, curveLibrary, damage, damageConvergence, joinRecordings, makeChannel, makeRecording, pick, MPa, stressCycles, type Channel, type Damage } from '../../src/index.js';

const channelOf = (values: Float64Array, start: string | null = null): Channel<'Pa'> => makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, start, values });
const damageOfChannel = (channel: Channel<'Pa'>): Damage => damage(stressCycles(countCycles(channel), { basis: 'local', kind: 'shear', source: 't' }), {
  curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half', continuation: 'same-slope',
});
const damageOf = (values: Float64Array): Damage => damageOfChannel(channelOf(values));

describe('a masked gap in a record', () => {
  const random = createRandom(3);
  const load = Float64Array.from({ length: 6000 }, () => MPa(60) * random.normal());
  /** The record with so many samples put in at a place, masked, and holding what a dead receiver gives. */
  const withGap = (at: number, length: number): Channel<'Pa'> => {
    const values = new Float64Array(load.length + length).fill(MPa(500));
    values.set(load.subarray(0, at));
    values.set(load.subarray(at), at + length);
    return makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values, invalid: [{ from: at, to: at + length, why: 'dropout' }] });
  };
  it('is in no block: interval, verdict and running rate are those of the record without it, wherever it lies', () => {
    const whole = damageConvergence(damageOf(load), { within: 0.2 });
    for (const [at, length] of [[0, 900], [1500, 2000], [3217, 41], [6000, 5000]] as const) {
      const gap = withGap(at, length);
      const found = damageConvergence(damageOfChannel(gap), { within: 0.2, invalid: gap.invalid });
      expect(found.interval).toEqual(whole.interval);
      expect(found.notes).toEqual(whole.notes);
      expect(found).toMatchObject({ perHour: whole.perHour, hoursNeeded: whole.hoursNeeded, verdict: whole.verdict, runningPerHour: whole.runningPerHour });
    }
  });
  it('counts as a stretch at rest where nobody says where it lies, and a note says what to state', () => {
    const gap = withGap(1500, 2000), done = damageOfChannel(gap);
    const told = damageConvergence(done, { within: 0.2, invalid: gap.invalid }), untold = damageConvergence(done, { within: 0.2 });
    expect(untold.interval.high / untold.interval.low).toBeGreaterThan(3 * (told.interval.high / told.interval.low));
    expect(untold.notes.join(' ')).toContain('state invalid, the masked spans of the counted channel');
  });
  it('that joinRecordings put between two files gives what the files give edge to edge', () => {
    const file = (from: number, to: number, start: string) => makeRecording(start, [channelOf(load.slice(from, to), start)]);
    const joined = pick(joinRecordings([file(0, 3000, '2026-03-01T08:00:00Z'), file(3000, 6000, '2026-03-01T08:10:00Z')]), 'T', 'Pa');
    expect(joined.invalid).toHaveLength(1);
    expect(damageConvergence(damageOfChannel(joined), { within: 0.2, invalid: joined.invalid }).interval).toEqual(damageConvergence(damageOf(load), { within: 0.2 }).interval);
  });
  it('is refused where the spans are not those of the counted channel', () => {
    const gap = withGap(1500, 2000);
    expect(() => damageConvergence(damageOfChannel(gap), { within: 0.2, invalid: [] })).toThrow('the masked spans of the counted channel, 3.33 min in all');
    expect(() => damageConvergence(damageOf(load), { within: 0.2, invalid: gap.invalid })).toThrow('invalid');
    expect(() => damageConvergence(damageOf(load), { within: 0.2, invalid: 3 as never })).toThrow('a list of spans');
  });
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
