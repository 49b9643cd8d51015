import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, findFaults, makeChannel, markInvalid, markValid, removeDrift, replay, validRuns, type Channel, type Span } from '../../src/index.js';

const torque = (values: ArrayLike<number>, invalid: readonly Span[] = []): Channel<'N·m'> => makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values, invalid });

/** A torque with noise, in steps of a quantum: 3 kN·m mean, 800 N·m at 7 Hz. */
function noisy(seed: number, n = 20_000, noise = 20, quantum = 5): Float64Array {
  const random = createRandom(seed);
  return Float64Array.from({ length: n }, (_, i) => quantum * Math.round((3000 + 800 * Math.sin((2 * Math.PI * 7 * i) / 1000) + noise * random.normal()) / quantum));
}

const covered = (spans: readonly Span[], n: number, why?: string): Uint8Array => {
  const mask = new Uint8Array(n);
  for (const s of spans) if (why === undefined || s.why === why) mask.fill(1, s.from, s.to);
  return mask;
};

describe('findFaults', () => {
  it('finds the held run and the single lost sample of a sine with 200 samples, beside its missing samples (case dropout: by construction)', () => {
    const x = Array.from({ length: 200 }, (_, i) => 10 * Math.sin((2 * Math.PI * i) / 47.3) + 0.001 * i);
    x.fill(x[29]!, 30, 38);
    x.fill(Number.NaN, 100, 104);
    x[150] = 0;
    const c = makeChannel({ name: 'x', unit: 'N·m', sampleRate: 1, values: x });
    expect(c.invalid).toEqual([{ from: 100, to: 104, why: 'not a number' }]);
    const report = findFaults(c);
    expect(report.spans.filter((s) => s.why === 'held value')).toEqual([{ from: 29, to: 38, why: 'held value' }]);
    expect(report.spans.filter((s) => s.why !== 'held value')).toEqual([{ from: 150, to: 151, why: 'dropout' }]);
  });
  it('finds next to nothing in clean digitised noise of any coarseness: fewer than 0.1 % of samples on 60 seeds', () => {
    let wrong = 0, total = 0;
    for (let seed = 1; seed <= 20; seed++) {
      for (const [noise, quantum] of [[20, 5], [5, 5], [2, 5]] as const) {
        const report = findFaults(torque(noisy(seed, 10_000, noise, quantum)));
        wrong += report.lost * 10_000;
        total += 10_000;
      }
    }
    expect(wrong / total).toBeLessThan(0.001);
  });
  it('leaves the crests of a smooth digitised sine without noise alone, and a steady rest whose noise is below the quantum', () => {
    const sine = Float64Array.from({ length: 5000 }, (_, i) => Math.round(300 * Math.sin((2 * Math.PI * i) / 400)));
    expect(findFaults(torque(sine), { dropout: false }).spans).toEqual([]);
    const random = createRandom(3);
    const rest = Float64Array.from({ length: 20_000 }, () => Math.round(0.35 * random.normal() + 7));
    expect(findFaults(torque(rest)).spans).toEqual([]);
  });
  it('finds lost frames of 3 samples and more: recall above 99 % on 20 seeds, named by what they hold', () => {
    let missed = 0, total = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const values = noisy(seed);
      const random = createRandom(1000 + seed);
      const truth: Span[] = [];
      for (let at = 100; at < 19_500; at += 300 + random.below(400)) {
        const to = at + 4 + random.below(40);
        const zero = random.uniform() < 0.5;
        for (let i = at; i < to; i++) values[i] = zero ? 0 : values[at - 1]!;
        truth.push({ from: at, to, why: zero ? 'dropout' : 'held value' });
      }
      const found = findFaults(torque(values)).spans;
      for (const why of ['dropout', 'held value']) {
        const want = covered(truth, values.length, why);
        const got = covered(found, values.length, why);
        want.forEach((w, i) => { if (w) { total++; if (!got[i]) missed++; } });
      }
    }
    expect(1 - missed / total).toBeGreaterThan(0.99);
  });
  it('finds clipped peaks of each sign, says that damage is then a lower bound, and takes stated rails', () => {
    const values = noisy(5).map((v) => Math.min(3700, Math.max(2300, v)));
    const report = findFaults(torque(values));
    const rail = covered(report.spans, values.length, 'rail');
    values.forEach((v, i) => expect(rail[i]).toBe(v === 3700 || v === 2300 ? 1 : 0));
    expect(report.notes.some((n) => n.includes('upper rail (3700 N·m)') && n.includes('lower bound'))).toBe(true);
    const stated = findFaults(torque([1, 2, 5, 9, 3, 1.5]), { rail: { high: 5, low: 1 } });
    expect(stated.spans).toEqual([{ from: 0, to: 1, why: 'rail' }, { from: 2, to: 4, why: 'rail' }]);
  });
  it('counts samples, spans and seconds per reason', () => {
    const values = noisy(6, 4000);
    values.fill(0, 100, 150);
    values.fill(0, 1000, 1025);
    const report = findFaults(torque(values));
    expect(report.counts).toEqual([{ why: 'dropout', spans: 2, samples: 75, seconds: 0.075, longest: 0.05 }]);
    expect(report.lost).toBeCloseTo(75 / 4000, 12);
    expect(report.edits[1]).toEqual({ from: 1000, to: 1025, why: 'dropout', at: 1, seconds: 0.025, value: 0 });
  });
  it('does not read masked samples, nor join runs across them', () => {
    const values = noisy(7, 3000);
    values.fill(0, 500, 520);
    const masked = torque(values, [{ from: 500, to: 520, why: 'by hand' }]);
    expect(findFaults(masked).spans).toEqual([]);
  });
  it('obeys limits in seconds, another level and false', () => {
    const values = noisy(8, 3000);
    values.fill(values[99]!, 100, 110);
    values.fill(-999, 1000, 1010);
    expect(findFaults(torque(values), { held: { longerThan: 0.02 } }).counts.map((c) => c.why)).toEqual(['rail']); // ten samples of the lowest value, as nobody said what it means
    expect(findFaults(torque(values), { held: { longerThan: 0.005 }, dropout: { level: -999 } }).counts.map((c) => c.why)).toEqual(['dropout', 'held value']);
    expect(findFaults(torque(values), { held: false, dropout: false, rail: false }).spans).toEqual([]);
  });
  it('says so where nothing can be told', () => {
    expect(findFaults(torque([4, 4, 4, 4]), { spike: false }).notes).toEqual(['The valid samples all have one value; nothing can be told from them.']);
    expect(findFaults(torque([Number.NaN])).spans).toEqual([]);
  });
  it.each([
    [{ dropouts: false }, "Did you mean 'dropout'?"], [{ held: true }, 'held must be false, or an object of limits'], [{ held: { longerThan: 0 } }, 'held.longerThan must be a finite number above 0 s'],
    [{ spike: {} }, 'highestMode must be given'], [{ spike: { highestMode: 500 } }, 'spike.highestMode must be a finite number above 0 Hz and below 500 Hz'], [{ stuckBit: {} }, 'stuckBit must be false, or left out'],
    [{ rail: { high: 1, low: 2 } }, 'low below high'], [{ rail: { top: 1 } }, "the unknown key 'top'"],
  ])('refuses %j', (options, message) => {
    expect(() => findFaults(torque([1, 2, 3]), options as never)).toThrow(message);
  });
});

describe('markInvalid and markValid', () => {
  it('mask and unmask exactly, keep values as recorded, and replay', () => {
    const span = fc.tuple(fc.nat(79), fc.integer({ min: 1, max: 10 }), fc.constantFrom('rail' as const, 'by hand' as const)).map(([from, n, why]): Span => ({ from, to: from + n, why }));
    fc.assert(fc.property(fc.array(span, { minLength: 1, maxLength: 8 }), (spans) => {
      const raw = torque(Float64Array.from({ length: 100 }, (_, i) => i));
      const masked = markInvalid(raw, spans);
      expect(masked.values).toBe(raw.values);
      expect(covered(masked.invalid, 100)).toEqual(covered(spans, 100));
      const back = markValid(masked, masked.invalid);
      expect(back.invalid).toEqual([]);
      expect(replay(raw, back.trail)).toEqual(back);
    }), { seed: 2, numRuns: 200 });
  });
  it('leave masks of other reasons alone when one line is taken back', () => {
    const masked = markInvalid(torque([1, 2, 3, 4, 5, 6], [{ from: 0, to: 2, why: 'clock gap' }]), [{ from: 2, to: 5, why: 'held value' }]);
    expect(markValid(masked, [{ from: 3, to: 4, why: 'held value' }]).invalid).toEqual([{ from: 0, to: 2, why: 'clock gap' }, { from: 2, to: 3, why: 'held value' }, { from: 4, to: 5, why: 'held value' }]);
    expect(() => markValid(masked, [{ from: 0, to: 2, why: 'rail' }])).toThrow('samples that are masked for the reasons given');
    expect(() => markValid(torque([Number.NaN, 1]), [{ from: 0, to: 1, why: 'not a number' }])).toThrow('not finite');
  });
  it('record what was masked', () => {
    const values = noisy(9, 2000);
    values.fill(0, 50, 60);
    const raw = torque(values);
    const done = markInvalid(raw, findFaults(raw));
    expect(done.trail.at(-1)!.found).toEqual({ spans: 1, samples: 10, seconds: 0.01, masked: 0.005, byReason: { dropout: 10 } });
    expect(validRuns(done).length).toBe(2);
    expect(() => markInvalid(torque([1, 2, 3]), findFaults(raw))).toThrow('a report of a record of 3 samples at 1000 Hz');
    expect(() => markInvalid(raw, 5 as never)).toThrow('spans, or what findFaults found');
    expect(() => markInvalid(raw, [{ from: 0, to: 9999, why: 'rail' }])).toThrow('at most 2000');
  });
});

describe('a record of very many runs', () => {
  it('is looked through, with every second sample masked', () => {
    const n = 260_000;
    const random = createRandom(1);
    const channel = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: n }, () => random.normal()), invalid: Array.from({ length: n / 2 }, (_, i) => ({ from: 2 * i, to: 2 * i + 1, why: 'dropout' as const })) });
    expect(findFaults(channel).spans).toEqual([]);
    expect(removeDrift(channel, { window: 10 }).values.length).toBe(n);
  });
});

describe('the crests of a computed record without noise', () => {
  const phase = (i: number): number => (2 * Math.PI * 33 * (i + 0.5)) / 500;
  const computed = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 500, values: Float64Array.from({ length: 10000 }, (_, i) => Math.sin(phase(i)) + 0.3 * Math.sin(3 * phase(i))) });
  it('are no rail where they differ by rounding alone, but clipped ones are', () => {
    const highest = computed.values.reduce((a, b) => Math.max(a, b));
    // One is the highest number, others are a rounding below it.
    expect(computed.values.filter((v) => v === highest).length).toBe(1);
    expect(computed.values.filter((v) => v < highest && v > highest * (1 - 1e-12)).length).toBeGreaterThan(5);
    expect(findFaults(computed).notes.filter((n) => n.includes('rail'))).toEqual([]);
    const clipped = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 500, values: computed.values.map((v) => Math.max(v, -0.8)) });
    expect(findFaults(clipped).notes.filter((n) => n.includes('stand at the lower rail (-0.8 N·m)')).length).toBe(1);
    expect(findFaults(computed, { rail: { high: highest } }).notes[0]).toMatch(/^1 sample stands at the upper rail/);
  });
});
