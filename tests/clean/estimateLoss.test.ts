import { describe, expect, it } from 'vitest';
import { closeResidue, countCycles, createRandom, estimateLoss, makeChannel, markInvalid, validityMask, type Channel, type Span } from '../../src/index.js';

const make = (sampleRate: number, values: ArrayLike<number>): Channel<'N·m'> => makeChannel({ name: 'T', unit: 'N·m', sampleRate, values });
const validSamples = (c: Channel): number => validityMask(c).reduce((s, v) => s + v, 0);
/** Σ n · range^m of rainflow cycles, residue as half cycles. */
const rangePowers = (m: number) => (c: Channel): number => {
  const { range, count } = closeResidue(countCycles(c as Channel<'N·m'>), 'half');
  return range.reduce((s, r, i) => s + count[i]! * r ** m, 0);
};

describe('estimateLoss', () => {
  it('gives what is left where nothing was lost', () => {
    const found = estimateLoss(make(10, Float64Array.from({ length: 100 }, (_, i) => Math.sin(i))), { of: rangePowers(3), within: 1 });
    expect([found.withCrests, found.low, found.high]).toEqual(Array(3).fill(found.left));
    expect(found.expected).toBeCloseTo(found.left, 9);
    expect(found).toMatchObject({ lostPart: 0, gaps: 0, crests: 0, crestError: null, notes: ['Nothing is masked: nothing was lost.'] });
  });
  it('agrees by hand for valid time itself: 20 of 1000 samples lost, twice 40, so ℓ = 20/980', () => {
    const lost = markInvalid(make(10, new Float64Array(1000)), [{ from: 500, to: 510, why: 'dropout' }, { from: 510, to: 520, why: 'clock gap' }]);
    // One gap, though two reasons: it moves as one.
    const found = estimateLoss(lost, { of: validSamples, within: 30, draws: 40 });
    expect(found.gaps).toBe(1);
    // A place that overlaps the gap by a tenth is taken too, so some draws lose 18 or 19.
    expect(found.lostPart).toBeGreaterThan(19.5 / 980);
    expect(found.lostPart).toBeLessThanOrEqual(20 / 980 + 1e-12);
    expect(found.high).toBeCloseTo(980 ** 2 / 960, 9);
    expect(found.expected).toBeCloseTo(980 / (1 - found.lostPart), 9);
  });
  it('puts cut-off peaks and troughs back from their flanks, in the number only, and says how well', () => {
    const random = createRandom(3);
    const whole = make(500, Float64Array.from({ length: 20_000 }, (_, i) => (1000 + 300 * Math.sin(i / 900)) * Math.sin(i / 10) + 2 * random.normal()));
    const [top, bottom] = [1270, -1280];
    const cut = whole.values.map((v) => Math.min(top, Math.max(bottom, v)));
    const spans: Span[] = [];
    cut.forEach((v, i) => {
      if (v < top && v > bottom) return;
      if (spans.at(-1)?.to === i) spans[spans.length - 1] = { ...spans.at(-1)!, to: i + 1 };
      else spans.push({ from: i, to: i + 1, why: 'rail' });
    });
    const railed = markInvalid(make(500, cut), spans);
    const truth = rangePowers(8)(whole);
    const found = estimateLoss(railed, { of: rangePowers(8), within: 5, draws: 40 });
    expect(found.crests).toBe(spans.length);
    expect(found.left / truth).toBeLessThan(0.99);
    expect(Math.abs(found.withCrests / truth - 1)).toBeLessThan(0.002);
    expect(Math.abs(found.expected / truth - 1)).toBeLessThan(0.002);
    expect(found.high - found.low).toBeLessThan(0.01 * truth);
    expect(found.crestError!).toBeGreaterThan(1);
    expect(found.crestError!).toBeLessThan(12);
    expect(railed.invalid).toEqual(spans);
    expect(railed.values).toEqual(cut);
  });
  it('holds the truth between low and high about as often as it says, and is right on average, for random records with random gaps', () => {
    let inside = 0, mean = 0, left = 0;
    const runs = 60;
    for (let seed = 1; seed <= runs; seed++) {
      const random = createRandom(seed);
      let [a, b] = [0, 0];
      // A resonance driven by noise, 25 samples a cycle.
      const whole = make(100, Float64Array.from({ length: 6000 }, () => {
        [a, b] = [1.9 * a - 0.96 * b + random.normal(), a];
        return a;
      }));
      const spans = Array.from({ length: 25 }, (): Span => {
        const from = random.below(5900);
        return { from, to: from + 5 + random.below(40), why: 'dropout' };
      });
      const lost = markInvalid(whole, spans);
      const truth = rangePowers(5)(whole);
      const found = estimateLoss(lost, { of: rangePowers(5), within: 20, draws: 40, seed });
      if (truth >= found.low && truth <= found.high) inside++;
      mean += found.expected / truth / runs;
      left += found.left / truth / runs;
    }
    expect(left).toBeLessThan(0.93);
    expect(Math.abs(mean - 1)).toBeLessThan(0.02);
    // 90 % of 60 is 54, with a standard deviation of 2.3; the limits come from 40 draws.
    expect(inside).toBeGreaterThanOrEqual(47);
  });
  it('gives the same numbers for the same seed', () => {
    const lost = markInvalid(make(10, Float64Array.from({ length: 500 }, (_, i) => Math.sin(i) * Math.sin(i / 40))), [{ from: 100, to: 130, why: 'dropout' }]);
    const of = rangePowers(4);
    expect(estimateLoss(lost, { of, within: 10, draws: 30, seed: 4 })).toEqual(estimateLoss(lost, { of, within: 10, draws: 30, seed: 4 }));
    expect(estimateLoss(lost, { of, within: 10, draws: 30, seed: 4 }).lostPart).not.toBe(estimateLoss(lost, { of, within: 10, draws: 30, seed: 5 }).lostPart);
  });
  it('notes crests that could not be tried or whose flanks are lost, and takes the latter as recorded', () => {
    const values = [0, 1, 0, -1, 0, 1, 5, 5, 0, 0, 1, 0, -1, 0, 1, 0];
    const bare = markInvalid(make(10, values), [{ from: 6, to: 8, why: 'rail' }, { from: 8, to: 10, why: 'dropout' }]);
    const found = estimateLoss(bare, { of: (c) => 1 + rangePowers(1)(c), within: 3, draws: 20 });
    expect(found.withCrests).toBe(1 + rangePowers(1)(markInvalid(make(10, values), [{ from: 8, to: 10, why: 'dropout' }])));
    expect(found.notes).toEqual([
      '1 cut-off crest had fewer than 5 sound crests to be tried on: the interval is too short.',
      '1 of 1 cut-off crest stands as recorded: the flanks show no more, or are lost themselves.',
    ]);
  });
  it('refuses a number that hangs on one event, gaps without room, and options that have no default', () => {
    const lost = markInvalid(make(10, new Float64Array(100)), [{ from: 40, to: 60, why: 'dropout' }]);
    expect(() => estimateLoss(lost, { of: () => 0, within: 5 })).toThrow('of must be a number above 0, got 0 for the masked channel. A record that hangs on a single event allows only a bound: worstCase.');
    expect(() => estimateLoss(lost, { of: () => NaN, within: 5 })).toThrow('of must be a number above 0');
    const most = markInvalid(make(10, new Float64Array(100)), [{ from: 20, to: 80, why: 'dropout' }]);
    expect(() => estimateLoss(most, { of: validSamples, within: 5 })).toThrow('within must be long enough for every gap to find a sound place as long as itself, got 5 s, which leaves 100 % of the lost time out.');
    expect(() => estimateLoss(lost, { of: validSamples } as never)).toThrow('within must be given');
    expect(() => estimateLoss(lost, { of: 3 as never, within: 5 })).toThrow('of must be a function from the channel to a number, got 3');
    expect(() => estimateLoss(lost, { of: validSamples, within: 5, draws: 5 })).toThrow('draws must be');
    expect(() => estimateLoss(lost, { of: validSamples, within: 5, coverage: 1 })).toThrow('coverage must be');
    expect(() => estimateLoss(lost, { of: validSamples, within: 5, whithin: 5 } as never)).toThrow('whithin');
  });
});
