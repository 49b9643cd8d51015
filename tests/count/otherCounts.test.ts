import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  closeResidue, countCycles, countEvents, createRandom, exceedance, fileSumLoss, gateCycles, levelCrossings, makeChannel, mergeCounts, peakCounts, poolCounts, rangePairs, readCount,
  samplingAdequacy, simpleRanges, suggestGate, timeAtLevel, writeCount, type Channel, type CycleCount,
} from '../../src/index.js';
import { byRange, cutAt, numbersOf, records, rowsOf } from './help.js';

const history = Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2);
const torque = (values: ArrayLike<number>, start: string | null = null, sampleRate = 10): Channel<'N·m'> => makeChannel({ name: 'T', unit: 'N·m', sampleRate, values, start });

describe('counts besides rainflow', () => {
  it('CC-03: range pairs of the E1049 history (ASTM E1049-85, 5.4.3 and Fig. 5; from memory)', () => {
    expect(rowsOf(rangePairs(history))).toEqual([[3, -0.5, 1], [4, 1, 1], [6, 1, 1], [8, 1, 1]]);
    expect(byRange(rangePairs(history))).toEqual([[3, 1], [4, 1], [6, 1], [8, 1]]);
  });
  it('a single range left over is counted as told', () => {
    const count = (last: 'half' | 'full' | 'drop'): number => rangePairs(Float64Array.of(0, 3), { last }).total;
    expect([count('half'), count('full'), count('drop')]).toEqual([0.5, 1, 0]);
  });
  it('CC-04: simple ranges of the E1049 history, both slopes (ASTM E1049-85, 5.3 and Fig. 4; from memory)', () => {
    expect(byRange(simpleRanges(history))).toEqual([[3, 0.5], [4, 1], [6, 1], [7, 0.5], [8, 1]]);
    expect(byRange(simpleRanges(history, { slopes: 'rising' }))).toEqual([[3, 1], [4, 1], [8, 2]]);
    expect(byRange(simpleRanges(history, { slopes: 'falling' }))).toEqual([[4, 1], [6, 2], [7, 1]]);
  });
  it('CC-06: peaks above and valleys below the reference (rule of ASTM E1049-85, 5.2; own computation)', () => {
    const { peaks, valleys } = peakCounts(history, { reference: 0 });
    expect([Array.from(peaks).sort(), Array.from(valleys).sort((a, b) => a - b)]).toEqual([[1, 3, 4, 5], [-4, -3, -1]]);
  });
  it('variants of the peak count: all, and the largest between two crossings', () => {
    const x = Float64Array.of(0, 3, 1, 5, 2, 4, -1, -0.5, -2, 1, 0);
    expect(Array.from(peakCounts(x, { reference: 0, variant: 'all' }).peaks)).toEqual([3, 5, 4, -0.5, 1]);
    expect(Array.from(peakCounts(x, { reference: 0, variant: 'largest between crossings' }).peaks)).toEqual([5, 1]);
    expect(Array.from(peakCounts(x, { reference: 0, variant: 'largest between crossings' }).valleysAt)).toEqual([8]);
  });
  it('level crossings agree with a look at every pair of neighbours, and rise as often as they fall to one', () => {
    const levels = [-3, -1.5, 0, 0.5, 2, 3];
    fc.assert(fc.property(records(), (x) => {
      const c = levelCrossings(x, { levels, reference: 0 });
      levels.forEach((level, k) => {
        let up = 0, down = 0;
        for (let i = 1; i < x.length; i++) {
          if (x[i - 1]! < level && x[i]! >= level) up++;
          if (x[i - 1]! >= level && x[i]! < level) down++;
        }
        expect([c.rising[k], c.falling[k], c.count[k]]).toEqual([up, down, level >= 0 ? up : down]);
        expect(Math.abs(up - down)).toBeLessThanOrEqual(1);
      });
    }), { numRuns: 2000, seed: 31 });
  });
  it('the variants of the level-crossing count leave ripples and the reference out', () => {
    const ripple = Float64Array.of(-1, 2.1, 1.9, 2.2, 1.8, 2.4, 0.5, 2.5, -2.1, -1.9, -2.2, 0);
    expect(Array.from(levelCrossings(ripple, { levels: [-2, 0, 2], reference: 0 }).count)).toEqual([2, 2, 4]);
    expect(Array.from(levelCrossings(ripple, { levels: [-2, 0, 2], reference: 0, band: 1 }).count)).toEqual([1, 2, 2]);
    expect(Array.from(levelCrossings(ripple, { levels: [-2, 0, 2], reference: 0, skipReference: true }).count)).toEqual([2, 0, 4]);
  });
  it('time at level adds up to the valid time, masked samples left out', () => {
    const t = timeAtLevel(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 4, values: [-9, 0, 1, 2, NaN, 3, 99] }), { edges: { from: 0, to: 3, classes: 3 } });
    expect([Array.from(t.seconds), t.below, t.above, t.validTime]).toEqual([[0.25, 0.25, 0.5], 0.25, 0.25, 1.5]);
  });
});

describe('a long residue', () => {
  it('closes by repetition however many turning points it has: a swing that grows for 200 000 half cycles is one cycle and pairs of the rest', () => {
    const n = 200_000;
    const growing = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: Float64Array.from({ length: n }, (_, k) => (k % 2 === 0 ? k + 1 : -k - 1)) });
    const cycles = closeResidue(countCycles(growing), 'repeat');
    expect(cycles.total).toBe(n / 2);
    expect(cycles.range.reduce((a, b) => Math.max(a, b), 0)).toBe(2 * n - 1);
  });
});

describe('events', () => {
  it('chatter about a threshold is one start; dwell leaves out short visits', () => {
    const x = [0, 5, 1.9, 5, 0, 0, 0, 6, 0, 0, 0, 5, 5, 5, 5, 0, 0, 0];
    const count = (off: number, dwell: number): unknown[] => {
      const e = countEvents(torque(x, null, 1), { running: { on: 3, off, dwell } });
      return [e.starts, e.stops];
    };
    expect(count(3, 0)).toEqual([4, 4]);
    expect(count(1, 0)).toEqual([3, 3]);
    expect(count(1, 2)).toEqual([2, 2]);
  });
  it('a stretch over an end of the record is no start or stop, and the notes say so', () => {
    const e = countEvents(torque([5, 5, 0, 0, 5, 8]), { running: { on: 3, off: 2 }, overload: { on: 7, off: 6 } });
    expect([e.starts, e.stops, e.overloads]).toEqual([1, 1, 1]);
    expect(e.running.map((r) => [r.from, r.to, r.peak, r.openAtStart, r.openAtEnd])).toEqual([[0, 0.2, 5, true, false], [0.4, 0.6, 8, false, true]]);
    expect(e.notes[0]).toContain('run over an end');
  });
  it('a slow barring in both directions is reversals; noise about zero is none', () => {
    const random = createRandom(4);
    const x = Float64Array.from({ length: 4000 }, (_, i) => 10 * Math.sign(Math.sin(i / 200)) * Math.min(1, 3 * Math.abs(Math.sin(i / 200))) + random.normal());
    const e = countEvents(torque(x), { reversal: { on: 6, dwell: 1 } });
    expect(e.reversals).toBe(Math.floor(4000 / 200 / Math.PI));
    expect(countEvents(torque(x.map(() => random.normal())), { reversal: { on: 6 } }).reversals).toBe(0);
  });
  it.each([
    [{}, 'at least one of running'],
    [{ running: { on: 3, off: 4 } }, 'running.off'],
    [{ running: { on: 0, off: 0 } }, 'running.on'],
    [{ overload: { on: 3, off: 2, dwell: -1 } }, 'overload.dwell'],
  ])('refuses %j', (rules, message) => {
    expect(() => countEvents(torque([1, 2]), rules)).toThrow(message);
  });
});

describe('gate suggestion', () => {
  it('leaves out every cycle of the rest and keeps the waves', () => {
    const random = createRandom(9);
    const x = Float64Array.from({ length: 6000 }, (_, i) => 0.3 * random.normal() + 0.0002 * i + (i >= 3000 ? 20 * Math.sin(i / 10) : 0));
    const channel = torque(x);
    const { gate, cycles } = suggestGate(channel, { rest: [{ from: 0, to: 150 }, { from: 160, to: 290 }] });
    expect(cycles).toBeGreaterThan(500);
    expect(gateCycles(countCycles(x.slice(0, 1500)), gate).closedCycles).toBe(0);
    const kept = gateCycles(countCycles(channel), gate);
    const waves = closeResidue(kept, 'half').range.filter((r) => r > 30).length;
    expect(waves).toBeGreaterThan(40);
    expect(kept.closedCycles).toBeLessThan(60);
    expect(() => suggestGate(torque([1, 2, 3]), { rest: [{ from: 0, to: 0.3 }] })).toThrow('longer rest windows');
  });
});

describe('files of one shaft, and several shafts', () => {
  const day = Float64Array.from({ length: 1200 }, (_, i) => 100 * Math.min(1, i / 100, (1199 - i) / 100) + 3 * Math.sin(i));
  const hours = Array.from({ length: 12 }, (_, k) => countCycles(torque(day.slice(100 * k, 100 * k + 100), `2026-03-01T08:${String(k * 10 / 60 | 0).padStart(2, '0')}:${String(k * 10 % 60).padStart(2, '0')}.000Z`)));
  it('merged in time order are the whole; summed one by one they lose the start–stop cycle', () => {
    expect(numbersOf(mergeCounts(...hours))).toEqual(numbersOf(countCycles(torque(day))));
    const loss = fileSumLoss(hours, { exponent: 5, residue: 'repeat' });
    expect(loss.largestMerged).toBeGreaterThan(100);
    const scale = (c: CycleCount): number => closeResidue(c, 'repeat').range.reduce((s, r, k) => s + closeResidue(c, 'repeat').count[k]! * r ** 5, 0);
    expect(loss.ratio).toBeCloseTo(hours.reduce((s, c) => s + scale(c), 0) / scale(mergeCounts(...hours)), 12);
    expect(fileSumLoss([hours[0]!], { exponent: 5, residue: 'half' }).loss).toBe(0);
  });
  it('of different shafts are refused, and of one shaft under different channel names taken where both state it', () => {
    const on = (name: string, shaft?: string): CycleCount => countCycles(makeChannel({ name, unit: 'N·m', sampleRate: 10, values: [0, 4, 1, 5] }), shaft === undefined ? {} : { shaft });
    expect(() => mergeCounts(on('T', 'pump 1'), on('T', 'pump 2'))).toThrow('shaft of count 2 must be "pump 1", as the first one\'s, got "pump 2"');
    expect(() => mergeCounts(on('pump 1 torque'), on('pump 2 torque'))).toThrow('channel of count 2 must be "pump 1 torque", as the first one\'s, got "pump 2 torque"');
    expect(() => mergeCounts(on('T', 'pump 1'), on('U'))).toThrow('For different shafts use poolCounts');
    const merged = mergeCounts(on('T', 'pump 1'), on('U', 'pump 1'), on('T', 'pump 1'));
    expect(merged.sources.map((s) => [s.name, s.shaft])).toEqual([['T', 'pump 1'], ['U', 'pump 1'], ['T', 'pump 1']]);
    expect(() => mergeCounts(merged, on('T', 'pump 2'))).toThrow('must be "pump 1"');
    expect(mergeCounts(on('T', 'pump 1'), on('T')).samples).toBe(8);
    expect(() => poolCounts([{ shaft: 'a', count: on('T', 'b') }, { shaft: 'c', count: on('T') }], 'half')).toThrow('count of a must be counted on a, got one counted on b');
    expect(() => on('T', '')).toThrow('shaft must be the name of a shaft');
    expect(countCycles(history, { shaft: 's' }).sources[0]!.shaft).toBe('s');
  });
  it('records that overlap or run back are refused', () => {
    expect(() => mergeCounts(hours[1]!, hours[0]!)).toThrow('Give the counts in time order');
    const late = countCycles(torque([1, 2], '2026-03-02T00:00:00.000Z'));
    expect(mergeCounts(hours[0]!, late).sources.map((s) => s.from)).toEqual([0, 100]);
    expect(mergeCounts(hours[0]!, late).start).toBe('2026-03-01T08:00:00.000Z');
  });
  it('a pool of shafts is no count: it cannot be merged', () => {
    const pool = poolCounts([{ shaft: 'pump 1', count: hours[0]! }, { shaft: 'pump 2', count: hours[1]! }], 'half');
    expect(pool.pooled.validTime).toBe(20);
    // @ts-expect-error a pool is no CycleCount
    expect(() => mergeCounts(pool, hours[0]!)).toThrow('a CycleCount of one shaft');
    expect(() => poolCounts([{ shaft: 'a', count: hours[0]! }, { shaft: 'a', count: hours[1]! }], 'half')).toThrow('joined with mergeCounts');
    expect(() => poolCounts([{ shaft: 'a', count: hours[0]! }], 'half')).toThrow('at least two shafts');
    expect(() => poolCounts(undefined as never, 'half')).toThrow('at least two shafts');
    expect(() => fileSumLoss(undefined as never, { exponent: 3, residue: 'half' })).toThrow('a list of counts in time order');
  });
});

describe('the format of a count', () => {
  it('gives an equal count back, and pieces that were written merge to the whole', () => {
    fc.assert(fc.property(records(), cutAt(), fc.boolean(), (x, cuts, inClasses) => {
      const keep = inClasses ? { edges: [-2, -0.5, 0, 1.25, 2] } : 'cycles';
      const read = cuts(x).map((piece) => readCount(writeCount(countCycles(piece, { keep }))));
      expect(numbersOf(mergeCounts(...read))).toEqual(numbersOf(countCycles(x, { keep })));
    }), { numRuns: 1000, seed: 41 });
    const count = countCycles(torque([0, -0, 3.3, -1e-300, 2, 1e200], '2026-03-01T08:00:00.000Z'));
    expect(readCount(writeCount(count))).toEqual(count);
  });
  it('keeps the gate, and reads version 2, which had none', () => {
    const gated = gateCycles(countCycles(history), 4);
    expect(gated.gate).toBe(4);
    expect(readCount(writeCount(gated))).toEqual(gated);
    const { gate: _, ...rest } = JSON.parse(writeCount(countCycles(history))) as { gate: number };
    expect(readCount(JSON.stringify({ ...rest, version: 2 }))).toEqual(countCycles(history));
  });
  it('keeps the shaft, and reads version 1, which had none', () => {
    const count = countCycles(history, { shaft: 'pump 2' });
    expect(readCount(writeCount(count))).toEqual(count);
    const { sources: [{ shaft: _, ...source }], ...rest } = JSON.parse(writeCount(count)) as { sources: [{ shaft: string }] };
    expect(readCount(JSON.stringify({ ...rest, version: 1, sources: [source] }))).toEqual(countCycles(history));
  });
  const good = JSON.parse(writeCount(countCycles(history))) as Record<string, never>;
  it.each([
    ['not JSON', 'expected JSON text'],
    ['[]', 'expected a JSON object'],
    [{ format: 'rows' }, "expected format 'quillshaft cycle count'"],
    [{ version: 4 }, 'expected version 1, 2 or 3'],
    [{ gate: -1 }, 'a gate of at least 0'],
    [{ unit: 'Nm' }, 'expected one of'],
    [{ sampleRate: 0 }, 'sampleRate above 0'],
    [{ closedCycles: 5 }, 'expected 5 closed cycles'],
    [{ closed: { from: [1], to: [2], fromAt: [0], at: [99] } }, 'sample indices below 9'],
    [{ closed: { from: [1, 2], to: [2], fromAt: [0], at: [1] } }, 'lists of one length'],
    [{ residue: { values: [1, null], at: [0, 1] } }, 'a list of finite numbers as residue.values'],
    [{ residue: { values: [1, 2], at: [1, 0] } }, 'rising sample indices'],
    [{ histogram: { edges: [1, 0], counts: [0] } }, 'rising edges'],
    [{ histogram: { edges: [0, 1], counts: [0, 1] } }, '1 for 1 classes'],
    [{ start: 'now' }, 'an ISO 8601 UTC instant or null'],
    [{ sources: [] }, 'at least one source'],
    [{ sources: [{ name: 'a', shaft: null, start: null, from: 0, samples: 4, trail: [] }] }, '9 samples in all'],
    [{ sources: [{ name: 'a', start: null, from: 0, samples: 9, trail: [] }] }, 'a source with name, shaft, start'],
    [{ sources: [{ name: 'a', shaft: '', start: null, from: 0, samples: 9, trail: [] }] }, 'a source with name, shaft, start'],
    [{ lostSamples: 10 }, 'at most 9'],
    [{ samples: 1.5 }, 'a whole number'],
  ])('refuses %j', (change, message) => {
    const text = typeof change === 'string' ? change : JSON.stringify({ ...good, ...change });
    expect(() => readCount(text, 'day.json')).toThrow(message);
    expect(() => readCount(text, 'day.json')).toThrow('day.json');
  });
});

describe('sampling adequacy', () => {
  it('foretells the damage that coarse sampling loses, against the same signal sampled finely', () => {
    const random = createRandom(2);
    const tones = Array.from({ length: 40 }, () => ({ w: 0.5 + 0.4 * random.uniform(), p: 6.28 * random.uniform() }));
    const at = (t: number): number => tones.reduce((s, { w, p }) => s + Math.cos(w * t + p), 0);
    const n = 6000;
    const coarse = torque(Float64Array.from({ length: n }, (_, i) => at(i)));
    const fine = Float64Array.from({ length: 20 * n }, (_, i) => at(i / 20));
    const damage = (c: CycleCount): number => {
      const e = exceedance(closeResidue(c, 'half'));
      return e.range.reduce((s, r, k) => s + e.count[k]! * r ** 4, 0);
    };
    const adequacy = samplingAdequacy(coarse, { exponent: 4 });
    const truth = damage(countCycles(coarse)) / damage(countCycles(fine));
    expect(truth).toBeLessThan(0.97);
    expect(Math.abs(adequacy.damageRatio - truth)).toBeLessThan(0.015);
    expect(adequacy.samplesPerCycle).toBeGreaterThan(7);
    expect(() => samplingAdequacy(torque([2, 2]), { exponent: 3 })).toThrow('a constant');
  });
  it.each([4, 5, 6, 8, 12, 20])('of a sine of %d samples a period is what is lost: its damage over that of its crests, within 0.007', (samples) => {
    const wave = torque(Float64Array.from({ length: 20_000 }, (_, i) => Math.sin((2 * Math.PI * i) / (samples + 0.0123) + 0.1)));
    const { range } = closeResidue(countCycles(wave), 'half');
    for (const m of [3, 5, 8]) {
      const truth = range.reduce((sum, r) => sum + (r / 2) ** m, 0) / range.length;
      expect(Math.abs(samplingAdequacy(wave, { exponent: m }).damageRatio - truth)).toBeLessThan(0.007);
    }
  });
  it('says of fewer than five samples a cycle that more is lost than it tells', () => {
    const wave = (samples: number) => samplingAdequacy(torque(Float64Array.from({ length: 2000 }, (_, i) => Math.sin((2 * Math.PI * i) / samples))), { exponent: 3 }).notes.join(' ');
    expect(wave(4.1)).toContain('fewer than 5 samples');
    expect(wave(6.1)).not.toContain('fewer than 5 samples');
  });
});
