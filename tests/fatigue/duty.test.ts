import { describe, expect, it } from 'vitest';
import { countCycles, createRandom, curveLibrary, cyclesFromTable, damage, damageConvergence, dutyMix, lifeCurve, makeChannel, MPa, stressCycles, type Damage } from '../../src/index.js';

const curve = curveLibrary.en1993Shear(100);
const of = (range: number, count: number, hours: number, other = curve): Damage => damage(
  stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(range)], count: [count], hours }), { basis: 'local', kind: 'shear', source: 'by hand' }),
  { curve: other, meanStress: 'none', residue: 'half' });
/** Cycles of a record whose residue is closed by a policy. */
const closed = (residue: 'half' | 'repeat' | 'drop'): Damage => damage(
  stressCycles(countCycles(makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 100 }, (_, i) => MPa(80) * Math.sin(i)) })), { basis: 'local', kind: 'shear', source: 'by hand' }),
  { curve, meanStress: 'none', residue });
const states = [{ name: 'full load', damage: of(100, 200, 1), hours: 3000 }, { name: 'part load', damage: of(80, 200, 1), hours: 2000 }];

describe('duty mix', () => {
  it('is the sum over hours and pieces, by hand', () => {
    const mix = dutyMix(states, { starts: [{ name: 'start', damage: of(200, 4, 1), contained: 2, perYear: 100 }] });
    const n = (range: number): number => 2e6 * (100 / range) ** 5;
    const expected = (3000 * 200) / n(100) + (2000 * 200) / n(80) + (100 * 2) / n(200);
    expect(mix.damagePerYear).toBeCloseTo(expected, 12);
    expect(mix.years).toBeCloseTo(1 / expected, 10);
    expect(mix.parts.map((p) => p.name)).toEqual(['full load', 'part load', 'start']);
    expect(mix.parts.reduce((s, p) => s + p.share, 0)).toBeCloseTo(1, 12);
    expect(mix.interval).toBe(null);
    expect(dutyMix(states).notes.join(' ')).toContain('No starts were stated');
  });
  it('has an interval whose width goes with the certainty of the shares (variance of a Dirichlet share p: p(1 − p)/(certainty + 1))', () => {
    const spread = (certainty: number): { mean: number; half: number } => {
      const { interval, damagePerYear } = dutyMix(states, { certainty, draws: 4000 });
      return { mean: damagePerYear, half: (interval!.high - interval!.low) / 2 };
    };
    const a = spread(400);
    const difference = 5000 * (of(100, 200, 1).perHour - of(80, 200, 1).perHour);
    expect(a.half / (1.645 * difference * Math.sqrt((0.6 * 0.4) / 401))).toBeCloseTo(1, 1);
    expect(spread(40).half / a.half).toBeGreaterThan(2.5);
  });
  it('has no interval where one state has all the hours, and says that the certainty moves nothing', () => {
    const alone = dutyMix([states[0]!, { ...states[1]!, hours: 0 }], { certainty: 40 });
    expect(alone.interval).toBe(null);
    expect(alone.notes.join(' ')).toContain('The certainty of the shares moves nothing: one state has all the hours.');
    expect(() => dutyMix([states[0]!], { certainty: 0 })).toThrow('certainty must be a finite number at least 0.1');
  });
  it.each([
    [() => dutyMix([]), 'at least one state'],
    [() => dutyMix([null as never]), 'dutyMix (states)'],
    [() => dutyMix(states, { starts: [{ name: 's' } as never] }), 'dutyMix (starts)'],
    [() => dutyMix([{ ...states[0]!, hours: 9000 }]), 'at most 8784'],
    [() => dutyMix([states[0]!, { ...states[0]! }]), 'two called'],
    [() => dutyMix([states[0]!, { name: 'x', damage: of(80, 1, 1, curveLibrary.en1993Shear(80)), hours: 1 }]), 'by the curve'],
    [() => dutyMix([states[0]!, { name: 'x', damage: of(80, 1, 1, lifeCurve({ ...curve, slope: 3 })), hours: 1 }]), `the residue of full load, got another curve of the name ${curve.name}`],
    [() => dutyMix([states[0]!, { name: 'x', damage: closed('drop'), hours: 1 }]), "the residue of full load, got the residue 'drop'"],
    [() => dutyMix([{ name: 'x', damage: closed('repeat'), hours: 1 }, { name: 'y', damage: closed('drop'), hours: 1 }]), "the residue of x, got the residue 'drop'"],
    [() => dutyMix(states, { starts: [{ name: 's', damage: of(80, 1, 1), contained: 0, perYear: 1 }] }), 'contained of s'],
    [() => dutyMix([{ name: 'x', damage: {} as never, hours: 1 }]), 'a Damage'],
  ])('refuses %s', (call, message) => {
    expect(call).toThrow(message);
  });
});

describe('convergence of the damage rate', () => {
  const rate = (seed: number, n: number, burst = 0): Damage => {
    const random = createRandom(seed);
    for (let k = 0; k < 50; k++) random.uniform();
    const values = Float64Array.from({ length: n }, (_, i) => MPa(60) * Math.sin(1.3 * i) * (1 + 0.3 * random.normal()) * (burst > 0 && i === burst ? 30 : 1));
    const c = makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values });
    return damage(stressCycles(countCycles(c), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve, meanStress: 'none', residue: 'half' });
  };
  it('narrows with the length of the record and ends at the rate of the whole', () => {
    const short = damageConvergence(rate(1, 8000), { within: 0.02 });
    const long = damageConvergence(rate(1, 128_000), { within: 0.02 });
    expect(short.relativeHalfWidth / long.relativeHalfWidth).toBeGreaterThan(2.5);
    expect(long.runningPerHour.at(-1)).toBeCloseTo(long.perHour, 10);
    expect(long.perHour / rate(1, 128_000).perHour).toBeCloseTo(1, 2);
    expect([short.verdict, long.verdict]).toEqual(['record longer', 'long enough']);
    expect(short.hoursNeeded).toBeGreaterThan(8000 / 36_000);
    expect(long.hoursNeeded).toBeCloseTo(long.hours.at(-1)!, 10);
  });
  it('holds the true rate about as often as it says, for even swings and for a level that wanders, and seldom calls a record long enough that is not (own simulation)', () => {
    const random = createRandom(99);
    for (const [wander, lower] of [[0, 0.85], [0.15, 0.85]] as const) {
      const record = (n: number): Damage => {
        let level = 0;
        const values = Float64Array.from({ length: n }, (_, i) => {
          level = 0.95 * level + 0.3122 * random.normal();
          return (i % 2 === 0 ? 1 : -1) * MPa(60) * Math.exp(wander * level) * Math.abs(1 + 0.3 * random.normal());
        });
        return damage(stressCycles(countCycles(makeChannel({ name: 'T', unit: 'Pa', sampleRate: 10, values })), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve, meanStress: 'none', residue: 'half', continuation: 'same-slope' });
      };
      const truth = record(200_000).perHour;
      let held = 0, wrong = 0;
      for (let seed = 1; seed <= 200; seed++) {
        const { interval, verdict, perHour } = damageConvergence(record(2000), { within: 0.1, draws: 400, seed });
        if (interval.low <= truth && truth <= interval.high) held++;
        if (verdict === 'long enough' && Math.abs(perHour / truth - 1) > 0.15) wrong++;
      }
      expect(held / 200).toBeGreaterThan(lower);
      expect(held / 200).toBeLessThanOrEqual(0.96);
      expect(wrong / 200).toBeLessThanOrEqual(0.03);
    }
  });
  it('says where a single event makes the rate', () => {
    const c = damageConvergence(rate(3, 8000, 4000), { within: 0.1 });
    expect(c.largestBlockShare).toBeGreaterThan(0.3);
    expect(c.notes.join(' ')).toContain('how often so rare an event comes is not settled');
    expect(c.verdict).toBe('record longer');
  });
  it('is refused for cycles without places, and for no damage', () => {
    expect(() => damageConvergence(of(100, 1, 1), { within: 0.1 })).toThrow('got a table of cycles');
    expect(() => damageConvergence(rate(1, 1000), {} as never)).toThrow('within must be given');
  });
});
