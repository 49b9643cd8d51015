import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { alignChannels, correctLatency, createRandom, fitClock, makeChannel, moveToClock, pick, readRecording, repairClock, replay, type Channel } from '../../src/index.js';
import { makeRunC } from '../../sample-runs/run-c.mjs';

const samples = fileURLToPath(new URL('../../sample-runs/', import.meta.url));

/** Rows of a record that lost frames: places kept, the counter, and stamps with jitter of that many seconds. */
function lossy(seed: number, n: number, modulus: number, rate: number, jitter: number): { readonly places: readonly number[]; readonly counter: Channel<'count'>; readonly stamps: Channel<'s'> } {
  const random = createRandom(seed);
  const places: number[] = [];
  for (let i = 0, k = 0; i < n; i++) {
    places.push(k);
    k += random.uniform() < 0.03 ? 2 + random.below(Math.min(60, modulus - 2)) : 1;
  }
  const shift = random.below(modulus);
  return {
    places,
    counter: makeChannel({ name: 'frame', unit: 'count', sampleRate: rate, values: places.map((p) => (p + shift) % modulus) }),
    stamps: makeChannel({ name: 'time', unit: 's', sampleRate: rate, values: places.map((p) => 3 + (p + jitter * (random.uniform() - 0.5)) / rate) }),
  };
}

describe('fitClock', () => {
  it('finds one and two missing samples from time stamps (case time-gaps: by construction): a quarter lost', () => {
    const fit = fitClock({ stamps: makeChannel({ name: 'time', unit: 's', sampleRate: 100, values: [0, 0.01, 0.02, 0.03, 0.05, 0.06, 0.07, 0.1, 0.11] }) });
    expect(Array.from(fit.place)).toEqual([0, 1, 2, 3, 5, 6, 7, 10, 11]);
    expect([fit.rows, fit.lostFrames, fit.lostPart]).toEqual([9, 3, 0.25]);
    expect([Array.from(fit.gapLengths.length), Array.from(fit.gapLengths.count)]).toEqual([[1, 2], [1, 1]]);
  });
  it('finds every lost frame from the counter, for any modulus', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1e9 }), fc.constantFrom(4, 16, 256, 65536), (seed, modulus) => {
      const { places, counter } = lossy(seed, 300, modulus, 500, 0);
      const fit = fitClock({ counter, modulus });
      expect(Array.from(fit.place)).toEqual(places);
      expect(fit.lostFrames).toBe(places.at(-1)! + 1 - 300);
      expect(fit.gapLengths.length.reduce((n, length, i) => n + length * fit.gapLengths.count[i]!, 0)).toBe(fit.lostFrames);
    }), { numRuns: 200, seed: 1 });
  });
  it('resolves losses of whole turns of the counter by the stamps, and gives the rate with its error', () => {
    const counter = makeChannel({ name: 'frame', unit: 'count', sampleRate: 100, values: [0, 1, 2, 3, 3 + 5 - 8, 1, 2].map((v) => (v + 8) % 8) });
    const places = [0, 1, 2, 3, 3 + 5 + 8, 17, 18];
    const stamps = makeChannel({ name: 'time', unit: 'ms', sampleRate: 100, values: places.map((p) => 10 * p) });
    expect(Array.from(fitClock({ counter, modulus: 8, stamps }).place)).toEqual(places);
    expect(Array.from(fitClock({ counter, modulus: 8 }).place)).toEqual([0, 1, 2, 3, 8, 9, 10]);
    expect(fitClock({ counter, modulus: 8 }).notes).toEqual(['losses of 8 frames or more at once cannot be seen by the counter alone']);
    expect(fitClock({ counter, modulus: 8, stamps })).toMatchObject({ sampleRate: 100, lostFrames: 12 });
  });
  it('gives a standard error of the rate that covers the truth as often as it says', () => {
    let inside = 0;
    for (let seed = 1; seed <= 400; seed++) {
      const fit = fitClock({ stamps: lossy(seed, 200, 16, 250, 0.3).stamps });
      if (Math.abs(fit.fittedRate! - 250) <= 2 * fit.fittedRateError!) inside++;
    }
    expect(inside / 400).toBeGreaterThan(0.92);
    expect(inside / 400).toBeLessThan(0.985);
  });
  it.each([
    [{}, 'counter must be given, or stamps, or both, got neither.'],
    [{ counter: [0, 1, 1, 2], modulus: 8 }, 'counter in row 2 must be a frame after the one before, got the frame 1 again.'],
    [{ counter: [0, 1, 2] }, 'modulus must be a whole number at least 2'],
    [{ counter: [0, 9, 2], modulus: 8 }, 'counter in row 1 must be a whole number from 0 below 8, got 9.'],
    [{ counter: [0, 1, NaN, 6, 7], modulus: 8 }, 'counter in rows 2 to 2 must be known where frames were lost, got 1 masked counts across 3 lost frames.'],
    [{ stamps: [0, 0.1, 0.05, 0.3] }, 'stamps in row 2 must be on a uniform clock, each later than the one before, got time that falls back (0.05 s after 0.1 s), 1 in all.'],
    [{ counter: [0, 1, 5, 6, 2, 3], stamps: [0, 0.01, 0.02, 0.03, 0.04, 0.05], modulus: 8 }, 'stamps must be jumping where the counter shows lost frames, got stamps that run on in 2 of 2 gaps. They were counted from the rows: leave stamps out.'],
    [{ counter: [0, 1, 2], stamps: [0, 1], modulus: 8 }, 'stamps must be as long as counter (3 rows), got 2 rows.'],
  ])('refuses %j', (source: { counter?: number[]; stamps?: number[]; modulus?: number }, message) => {
    expect(() => fitClock({
      ...(source.modulus === undefined ? {} : { modulus: source.modulus }),
      ...(source.counter ? { counter: makeChannel({ name: 'frame', unit: 'count', sampleRate: 100, values: source.counter }) } : {}),
      ...(source.stamps ? { stamps: makeChannel({ name: 'time', unit: 's', sampleRate: 100, values: source.stamps }) } : {}),
    })).toThrow(message);
  });
});

describe('a clock that cannot be', () => {
  const made = <U extends 'count' | 's'>(name: string, unit: U, n: number, of: (i: number) => number): Channel<U> => makeChannel({ name, unit, sampleRate: 1000, values: Float64Array.from({ length: n }, (_, i) => of(i)) });
  const counter = (n: number): Channel<'count'> => made('frame', 'count', n, (i) => i % 65536);
  const stampsOf = (n: number, of: (i: number) => number): Channel<'s'> => made('time', 's', n, of);
  it.each<readonly [string, number, (i: number) => number, string]>([
    ['pass midnight', 4000, (i) => (86398 + i / 1000) % 86400, 'stamps in row 2000 must be later than in the rows before, got 0 s after 86399.999 s. Where stamps pass midnight, add a day'],
    ['fall all along', 4000, (i) => 100 - i, 'stamps in row 3999 must be later than in the rows before, got -3899 s after 100 s in row 0'],
    ['stand still', 4000, () => 3, 'stamps in row 3999 must be later'],
    ['are one only', 1, () => 3, 'stamps must be given for two rows or more, got 1 row.'],
    ['hold one 0', 4000, (i) => (i === 2000 ? 0 : 1 + i / 1000), 'stamps in row 2000 must be later than in the rows before, got 0 s between 2.999 s and 3.001 s. Cut the row out'],
    ['hold one wild number', 4000, (i) => (i === 2000 ? 1e6 : 5000 + i / 1000), 'stamps in row 2000 must be later than in the rows before, got 1000000 s between 5001.999 s and 5002.001 s.'],
    ['begin with a wild number', 4000, (i) => (i === 0 ? 0 : 5000 + i / 1000), 'frames, 4980736 of them lost between rows 0 and 1, stamps 0 s and 5000.001 s. Check the modulus, the stamps beside that gap,'],
  ])('is refused where stamps beside a counter %s', (_, n, of, message) => {
    expect(() => fitClock({ counter: counter(n), modulus: 65536, stamps: stampsOf(n, of) })).toThrow(message);
  });
  it('is refused for one stamp alone, and for a jump of stamps that would fill the memory', () => {
    expect(() => fitClock({ stamps: stampsOf(1, () => 3) })).toThrow('stamps must be rising over two rows or more');
    for (const jump of [2e6, 1e7]) {
      expect(() => fitClock({ stamps: stampsOf(1100, (i) => (i < 550 ? 0 : jump) + i / 1000) })).toThrow(/lost between rows 549 and 550, stamps 0.549 s and \d+\.55 s\. Check the stamps beside that gap/);
    }
  });
  it('is noted where the counter starts again, and refused where stamps show that it did', () => {
    const again = made('frame', 'count', 20000, (i) => i % 10000);
    expect(fitClock({ counter: again, modulus: 65536 }).notes).toEqual([
      'losses of 65536 frames or more at once cannot be seen by the counter alone',
      'one gap, of 55536 frames before row 10000, is longer than all 20000 rows together: check it, and that the counter did not start again there',
      'the counter reads 0 after a gap of 55536 frames (row 10000): if it started again there, they were never lost',
    ]);
    expect(() => fitClock({ counter: again, modulus: 65536, stamps: stampsOf(20000, (i) => i / 1000) })).toThrow('The counter started again at 0 in row 10000: cut the record there');
  });
  it('is not seen in jitter of many periods, in stamps given block by block, or in one late stamp, which is noted', () => {
    const random = createRandom(3);
    const jitter = fitClock({ counter: counter(4000), modulus: 65536, stamps: stampsOf(4000, (i) => (i + 5 * random.normal()) / 1000) });
    expect(Math.abs(jitter.fittedRate! - 1000)).toBeLessThan(4 * jitter.fittedRateError!);
    expect(jitter.notes).toEqual([]);
    const blocks = fitClock({ counter: counter(4000), modulus: 65536, stamps: stampsOf(4000, (i) => Math.floor(i / 10) / 100) });
    expect([blocks.lostFrames, blocks.sampleRate, blocks.notes]).toEqual([0, 1000, []]);
    const late = fitClock({ counter: counter(4000), modulus: 65536, stamps: stampsOf(4000, (i) => (i === 3999 ? 9 : i / 1000)) });
    expect(late.notes).toEqual([expect.stringContaining('the stamp of row 3999 lies 5.0 s from the line through all')]);
  });
});

describe('repairClock', () => {
  it('puts every row at its true place, moves masks along, leaves no number in a gap, and replays', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 1e9 }), (seed) => {
      const { places, counter } = lossy(seed, 80, 16, 500, 0);
      const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 500, values: places.map((p) => p * 1.5), invalid: [{ from: 20, to: 30, why: 'rail' }] });
      const fixed = repairClock(torque, { counter, modulus: 16 });
      expect(fixed.values.length).toBe(places.at(-1)! + 1);
      const masked = new Map(fixed.invalid.flatMap((s) => Array.from({ length: s.to - s.from }, (_, i) => [s.from + i, s.why] as const)));
      const there = new Map(places.map((p, i) => [p, i]));
      for (let p = 0; p < fixed.values.length; p++) {
        const row = there.get(p);
        if (row === undefined) expect([masked.get(p), fixed.values[p]]).toEqual(['clock gap', NaN]);
        else expect([masked.get(p), fixed.values[p]]).toEqual([row >= 20 && row < 30 ? 'rail' : undefined, p * 1.5]);
      }
      expect(replay(torque, fixed.trail, [counter]).values).toEqual(fixed.values);
    }), { numRuns: 60, seed: 2 });
  });
  it('gives run (c) its lost time back, frame by frame as its truth says', async () => {
    const truth = JSON.parse(readFileSync(`${samples}run-c.truth.json`, 'utf8')) as { samples: number; clock: { lostFrames: { row: number; frames: number }[]; lostSeconds: number } };
    const run = await readRecording(`${samples}run-c.csv.gz`);
    const counter = pick(run, 'frame', 'count');
    const fixed = repairClock(pick(run, 'bridge', 'mV/V'), { counter, modulus: 65536 });
    const gaps = fixed.invalid.filter((s) => s.why === 'clock gap');
    expect(gaps.map((g) => g.to - g.from)).toEqual(truth.clock.lostFrames.map((l) => l.frames));
    expect(fixed.trail.at(-1)!.found).toMatchObject({ lostSeconds: truth.clock.lostSeconds });
    // Frames at either end of the record leave no gap.
    expect(Math.abs(fixed.values.length - truth.samples)).toBeLessThan(2);
  });
  it.each(['counter', 'stamps', 'both'] as const)('puts every row on its true sample on 200 seeds with lost frames, a counter that wraps and jitter, from %s', (kind) => {
    for (let seed = 1; seed <= 200; seed++) {
      const { places, counter, stamps } = lossy(seed, 300, 16, 500, 0.3);
      const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 500, values: places.map((p) => p * 1.5) });
      const fixed = repairClock(torque, { ...(kind === 'stamps' ? {} : { counter, modulus: 16 }), ...(kind === 'counter' ? {} : { stamps }) });
      expect(fixed.sampleRate).toBe(500);
      expect(fixed.values.length).toBe(places.at(-1)! + 1);
      const wrong = places.filter((p) => fixed.values[p] !== p * 1.5).length;
      expect(wrong, `seed ${seed}`).toBe(0);
      expect(fixed.invalid.reduce((n, s) => n + s.to - s.from, 0)).toBe(places.at(-1)! + 1 - places.length);
    }
  });
  it('refuses a counter of another length', () => {
    const counter = makeChannel({ name: 'frame', unit: 'count', sampleRate: 1, values: [0, 1] });
    expect(() => repairClock(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [1, 2, 3] }), { counter, modulus: 8 })).toThrow('counter must be as long as T (3 rows), got 2 rows.');
  });
});

describe('alignChannels', () => {
  const seeds = [undefined, 1]; // six more in runC.test.ts
  it.each(seeds)('finds offset within 1 ms and skew within 2 ppm of the truth of run (c), seed %s', (seed) => {
    const { sampleRate, channels, second, truth } = makeRunC(seed === undefined ? {} : { seed });
    const counter = makeChannel({ name: 'frame', unit: 'count', sampleRate, values: channels.frame! });
    const reference = repairClock(makeChannel({ name: 'speed', unit: 'rpm', sampleRate, values: channels.speed! }), { counter, modulus: 65536 });
    const other = makeChannel({ name: 'speed', unit: 'rpm', sampleRate: second.sampleRate, values: second.channels.speed! });
    const found = alignChannels(reference, other);
    const { offset, skew } = truth.clock.second as { offset: number; skew: number };
    expect(Math.abs(found.offset - offset)).toBeLessThan(1e-3);
    expect(Math.abs(found.skew - skew)).toBeLessThan(2e-6);
    expect(Math.abs(found.offset - offset)).toBeLessThan(4 * found.offsetError);
    expect(Math.abs(found.skew - skew)).toBeLessThan(4 * found.skewError);
    expect(found.correlation).toBeGreaterThan(0.999);
    expect(found.gain).toBeCloseTo(1, 3);
  });
  /** Random steps and pulses, smoothed, at any time. */
  const signal = (seed: number, seconds: number): ((t: number) => number) => {
    const random = createRandom(seed);
    const events = Array.from({ length: Math.ceil(seconds / 4) }, () => ({ at: random.uniform() * seconds, height: random.normal(), width: 0.2 + random.uniform() }));
    return (t) => events.reduce((s, e) => s + e.height * (1 + Math.tanh((t - e.at) / e.width)), 0);
  };
  it('has errors that cover the truth as often as they say', () => {
    let offsets = 0, skews = 0;
    const runs = 60;
    for (let seed = 1; seed <= runs; seed++) {
      const random = createRandom(1000 + seed);
      const f = signal(seed, 120);
      const [offset, skew] = [4 * (random.uniform() - 0.5), 1e-4 * (random.uniform() - 0.5)];
      const noisy = (n: number, rate: number, time: (i: number) => number): Float64Array => Float64Array.from({ length: n }, (_, i) => f(time(i / rate)) + 0.05 * random.normal());
      const reference = makeChannel({ name: 'a', unit: 'kW', sampleRate: 100, values: noisy(12000, 100, (t) => t) });
      const other = makeChannel({ name: 'b', unit: 'kW', sampleRate: 64, values: noisy(7000, 64, (tau) => offset + tau / (1 + skew)) });
      const found = alignChannels(reference, other);
      if (Math.abs(found.offset - offset) <= 2 * found.offsetError) offsets++;
      if (Math.abs(found.skew - skew) <= 2 * found.skewError) skews++;
    }
    // 95 % of 60 is 57, with a standard deviation of 1.7.
    expect(offsets).toBeGreaterThanOrEqual(52);
    expect(skews).toBeGreaterThanOrEqual(52);
  });
  /** How many of 40 pairs of records of a minute are said to have lost frames or to follow no one skew; `late` is what the other's clock has lost by then. */
  const accused = (noise: (random: ReturnType<typeof createRandom>, n: number) => Float64Array, late: (part: number) => number): number => {
    let count = 0;
    for (let seed = 1; seed <= 40; seed++) {
      const random = createRandom(7000 + seed);
      const f = signal(seed, 60);
      const [offset, skew] = [2 * (random.uniform() - 0.5), 1e-4 * (random.uniform() - 0.5)];
      const recorded = (n: number, rate: number, time: (tau: number) => number): Float64Array => noise(random, n).map((v, i) => v + f(time(i / rate)));
      const reference = makeChannel({ name: 'a', unit: 'kW', sampleRate: 50, values: recorded(3000, 50, (t) => t) });
      const other = makeChannel({ name: 'b', unit: 'kW', sampleRate: 32, values: recorded(1700, 32, (tau) => offset + tau / (1 + skew) + late((32 * tau) / 1700)) });
      if (/no one skew fits|lost frames \(repairClock first\) or its/.test(alignChannels(reference, other).notes.join())) count++;
    }
    return count;
  };
  const white = (deviation: number) => (random: ReturnType<typeof createRandom>, n: number): Float64Array => Float64Array.from({ length: n }, () => deviation * random.normal());
  const slow = (random: ReturnType<typeof createRandom>, n: number): Float64Array => {
    let v = 0;
    return Float64Array.from({ length: n }, () => (v = 0.97 * v + 0.005 * random.normal()));
  };
  const growing = (random: ReturnType<typeof createRandom>, n: number): Float64Array => Float64Array.from({ length: n }, (_, i) => 0.1 * (i / n) * random.normal());
  const heavy = (random: ReturnType<typeof createRandom>, n: number): Float64Array => Float64Array.from({ length: n }, () => (0.02 * random.normal()) / Math.sqrt(0.05 + random.uniform()));
  it('accuses at most 2 % of sound records, in faint, strong, slow, growing and heavy-tailed noise', () => {
    const none = (): number => 0;
    const counts = [white(0.002), white(0.1), slow, growing, heavy].map((noise) => accused(noise, none));
    expect(counts.reduce((s, c) => s + c, 0) / 200).toBeLessThanOrEqual(0.02);
  });
  it('says so of most records whose clock jumped or wandered by 40 ms, where noise does not hide it', () => {
    expect(accused(white(0.002), (part) => (part > 0.5 ? 0.04 : 0))).toBeGreaterThanOrEqual(32);
    expect(accused(white(0.002), (part) => 0.16 * part * (1 - part))).toBeGreaterThanOrEqual(32);
  });
  it('takes a signal in proportion, and one that began earlier', () => {
    const f = signal(7, 100);
    const reference = makeChannel({ name: 'a', unit: 'N·m', sampleRate: 50, values: Float64Array.from({ length: 4000 }, (_, i) => f(15 + i / 50)) });
    const other = makeChannel({ name: 'b', unit: 'kW', sampleRate: 50, values: Float64Array.from({ length: 5000 }, (_, i) => 3 + 0.00025 * f(i / 50)) });
    const found = alignChannels(reference, other);
    expect(found.offset).toBeCloseTo(-15, 4);
    expect([found.gain, found.bias]).toEqual([expect.closeTo(0.00025, 7), expect.closeTo(3, 3)]);
  });
  it('refuses records that share nothing, and ones that repeat themselves', () => {
    const noise = (seed: number, name: string): Channel => {
      const random = createRandom(seed);
      return makeChannel({ name, unit: 'rpm', sampleRate: 50, values: Float64Array.from({ length: 4000 }, () => random.normal()) });
    };
    expect(() => alignChannels(noise(1, 'a'), noise(2, 'b'))).toThrow('b must be a signal that shares one clear feature with a, got a best correlation of ');
    const sine = makeChannel({ name: 's', unit: 'rpm', sampleRate: 50, values: Float64Array.from({ length: 4000 }, (_, i) => Math.sin(i / 37)) });
    expect(() => alignChannels(sine, sine)).toThrow('Take a quantity that both recorded, over a stretch with starts, stops or load steps.');
    expect(() => alignChannels(sine, sine)).toThrow(' elsewhere: another lag fits as well (more than 0.9 of the best). Take');
    expect(() => alignChannels(noise(1, 'a'), noise(2, 'b'))).toThrow(' elsewhere: it must be above 0.3. Take');
    // One step, seen in few means: what is too little is named.
    const step = makeChannel({ name: 'step', unit: 'rpm', sampleRate: 50, values: Float64Array.from({ length: 70 }, (_, i) => Math.tanh((i - 35) / 4)) });
    expect(() => alignChannels(step, step)).toThrow(/elsewhere: \d+ means in common are too few/);
    expect(() => alignChannels(sine, sine, { smoothing: 0 })).toThrow('smoothing must be a finite number above 0 s');
    const still = makeChannel({ name: 'still', unit: 'rpm', sampleRate: 50, values: new Float64Array(4000) });
    expect(() => alignChannels(still, still)).toThrow('got signals that do not move.');
    const short = makeChannel({ name: 'short', unit: 'rpm', sampleRate: 50, values: [1, 2, 3] });
    expect(() => alignChannels(short, sine)).toThrow('to tell two clocks apart (0.640 s at least), got 0.0600 s');
  });
});

describe('moveToClock', () => {
  it('reads the second recorder where the truth has it, and masks what it did not record', () => {
    const law = { offset: 1.5, skew: 2e-3 };
    const f = (t: number): number => Math.sin(2 * Math.PI * 3.1 * t) + 0.3 * Math.cos(2 * Math.PI * 17 * t);
    const reference = makeChannel({ name: 'a', unit: 'rpm', sampleRate: 200, start: '2026-03-01T08:00:00.000Z', values: new Float64Array(2000) });
    const other = makeChannel({ name: 'b', unit: 'kW', sampleRate: 100, values: Float64Array.from({ length: 700 }, (_, j) => f(law.offset + j / 100 / (1 + law.skew))), invalid: [{ from: 300, to: 310, why: 'dropout' }] });
    const moved = moveToClock(other, { reference, ...law });
    expect([moved.sampleRate, moved.values.length, moved.start, moved.unit]).toEqual([200, 2000, '2026-03-01T08:00:00.000Z', 'kW']);
    expect(moved.invalid.map((s) => s.why)).toEqual(['out of range', 'dropout', 'out of range']);
    expect(moved.invalid[0]).toMatchObject({ from: 0, to: 300 });
    for (let n = 340; n < 860; n++) expect(Math.abs(moved.values[n]! - f(n / 200))).toBeLessThan(2e-3);
  });
  it('moves whole samples exactly', () => {
    fc.assert(fc.property(fc.array(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { minLength: 5, maxLength: 80 }), fc.integer({ min: -3, max: 3 }), (values, k) => {
      const channel = makeChannel({ name: 'a', unit: 'V', sampleRate: 8, values });
      const moved = correctLatency(channel, { latency: k / 8 });
      for (let i = Math.max(0, -k); i < values.length - Math.max(0, k); i++) expect(moved.values[i]).toBe(values[i + k]);
      expect(moved.invalid).toEqual(k === 0 ? [] : [k > 0 ? { from: values.length - k, to: values.length, why: 'out of range' } : { from: 0, to: -k, why: 'out of range' }]);
    }), { numRuns: 100, seed: 5 });
  });
  it('takes out a latency of part of a sample', () => {
    const late = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: 2000 }, (_, i) => Math.sin(2 * Math.PI * 40 * (i / 1000 - 0.0137))) });
    const right = correctLatency(late, { latency: 0.0137 });
    for (let i = 100; i < 1900; i++) expect(right.values[i]).toBeCloseTo(Math.sin((2 * Math.PI * 40 * i) / 1000), 4);
    expect(() => correctLatency(late, { latency: 3 })).toThrow('T and its new clock have time in common, got no sample in common.');
    expect(() => correctLatency(late, {} as never)).toThrow('latency must be given');
  });
});
