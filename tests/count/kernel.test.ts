import { describe, expect, it } from 'vitest';
import { countCycles, CycleCounter, createRandom, makeChannel, readCount, turningPoints, writeCount, type CycleCount } from '../../src/index.js';
import { numbersOf } from './help.js';

/** Turning points and cycles by the rule as it is written, one sample at a time. */
function slowCount(values: readonly number[], places: readonly number[]): { closed: number[][]; residue: number[][] } {
  const turns: number[][] = [];
  values.forEach((v, k) => {
    const last = turns.at(-1);
    const before = turns.at(-2);
    if (last && v === last[0]) last[1] = places[k]!;
    else if (last && before && (v > last[0]!) === (last[0]! > before[0]!)) turns[turns.length - 1] = [v, places[k]!];
    else turns.push([v, places[k]!]);
  });
  const higher = (a: number[], b: number[]): boolean => a[0]! > b[0]! || (a[0] === b[0] && a[1]! > b[1]!);
  const stack: number[][] = [];
  const closed: number[][] = [];
  for (const d of turns) {
    stack.push(d);
    while (stack.length >= 4) {
      const [x1, x2, x3, x4] = stack.slice(-4) as [number[], number[], number[], number[]];
      const peak = higher(x2, x1);
      if (peak ? higher(x3, x1) && higher(x4, x2) : higher(x1, x3) && higher(x2, x4)) {
        closed.push([x2[0]!, x3[0]!, x2[1]!, x3[1]!]);
        stack.splice(-3, 2);
      } else break;
    }
  }
  return { closed: closed.sort((a, b) => a[3]! - b[3]!), residue: stack };
}

const rowsOfClosed = ({ closed }: CycleCount): number[][] => Array.from(closed.at, (at, k) => [closed.from[k]!, closed.to[k]!, closed.fromAt[k]!, at]);

describe('the kernel', () => {
  const random = createRandom(3);
  const n = 30_000;
  // Coarse steps give plateaus and ties; slow waves keep cycles open over many stops of the kernel.
  const values = Float64Array.from({ length: n }, (_, i) => Math.round(6 * Math.sin(i / 3000) + 2 * Math.sin(i / 7) + random.normal()) / 2 + 0);
  const invalid = [{ from: 4090, to: 4100, why: 'dropout' as const }, { from: 8192, to: 12288, why: 'dropout' as const }, { from: 20_000, to: 20_001, why: 'spike' as const }];
  const channel = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values, invalid });
  const valid = Array.from(values.keys()).filter((i) => !invalid.some((s) => s.from <= i && i < s.to));
  const slow = slowCount(valid.map((i) => values[i]!), valid);

  it('finds the cycles, the residue and their places as the plain rule does, over its own stops and over masks', () => {
    const count = countCycles(channel);
    expect(rowsOfClosed(count)).toEqual(slow.closed);
    expect(Array.from(count.residue.values, (v, k) => [v, count.residue.at[k]!])).toEqual(slow.residue);
    expect(slow.closed.length).toBeGreaterThan(5000);
    expect(turningPoints(channel).at.length).toBe(2 * slow.closed.length + slow.residue.length);
  });
  it('counts in classes what it counts exactly, in equal and in unequal ones, and keeps outsiders exactly', () => {
    for (const edges of [{ from: -3, to: 3, classes: 12 }, [-3, -1, 0, 0.5, 3]]) {
      const inClasses = countCycles(channel, { keep: { edges } });
      const list = Float64Array.from(inClasses.histogram!.edges);
      const classOf = (v: number): number => (v === 3 ? list.length - 2 : list.findIndex((e, k) => e <= v && v < list[k + 1]!));
      const counts = new Float64Array((list.length - 1) ** 2);
      const outside: number[][] = [];
      for (const row of slow.closed) {
        const [i, j] = [classOf(row[0]!), classOf(row[1]!)];
        if (i < 0 || j < 0) outside.push(row);
        else counts[i * (list.length - 1) + j]!++;
      }
      expect(inClasses.histogram!.counts).toEqual(counts);
      expect(rowsOfClosed(inClasses)).toEqual(outside);
      expect(outside.length).toBeGreaterThan(10);
      expect(inClasses.closedCycles).toBe(slow.closed.length);
      expect(inClasses.largest).toEqual(countCycles(channel).largest);
    }
  });
  it('gives the same for blocks of any length, masks included', () => {
    const whole = countCycles(channel);
    for (const length of [1, 7, 4096, 5000]) {
      const counter = new CycleCounter({ unit: 'N·m', sampleRate: 100, name: 'T', trail: channel.trail });
      for (let from = 0; from < n; from += length) {
        const to = Math.min(n, from + length);
        const spans = invalid.map((s) => ({ ...s, from: Math.max(s.from, from) - from, to: Math.min(s.to, to) - from })).filter((s) => s.from < s.to);
        counter.push(values.subarray(from, to), spans);
      }
      expect(numbersOf(counter.finish())).toEqual(numbersOf(whole));
      expect(counter.finish().notes).toEqual(whole.notes);
    }
  });
  it('closes any number of cycles at one turning point: 6000 open ones, each inside the one before, at one high peak', () => {
    const nested = Float64Array.from({ length: 12_001 }, (_, k) => (k % 2 === 0 ? 1 : -1) * (13_000 - k));
    nested[12_000] = 20_000;
    const count = countCycles(nested);
    const expected = slowCount(Array.from(nested), Array.from(nested.keys()));
    expect(expected.closed.length).toBe(5999);
    expect(rowsOfClosed(count)).toEqual(expected.closed);
    expect(Array.from(count.residue.values)).toEqual([13_000, -12_999, 20_000]);
    expect(countCycles(nested, { keep: { edges: { from: -13_000, to: 13_000, classes: 10 } } }).closedCycles).toBe(5999);
  });
  it('refuses numbers whose range or mean would not be finite, and takes those just below', () => {
    const most = Number.MAX_VALUE / 2;
    const named = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Float64Array.of(0, 1, -1.7e308, 1.7e308, 0) });
    expect(() => countCycles(named)).toThrow('sample 2 of T must be at most 8.98');
    expect(() => countCycles(Float64Array.of(0, 1.7e308, 0), { keep: { edges: [-1, 1] } })).toThrow('sample 1 of signal');
    const count = countCycles(Float64Array.of(0, most, -most, most, 0));
    expect(Array.from(count.residue.values)).toEqual([0, most, -most, most, 0]);
    expect(readCount(writeCount(count))).toEqual(count);
  });
  it('keeps the largest cycles in order, with the time they happened at', () => {
    const start = '2026-03-01T08:00:00.000Z';
    const { largest } = countCycles(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values, invalid, start }), { largest: 5 });
    const expected = [...slow.closed].sort((a, b) => Math.abs(b[0]! - b[1]!) - Math.abs(a[0]! - a[1]!) || a[3]! - b[3]!).slice(0, 5);
    expect(largest.map((c) => c.at)).toEqual(expected.map((row) => row[3]));
    expect(Date.parse(largest[0]!.time!) - Date.parse(start)).toBeCloseTo(10 * largest[0]!.at, 0);
  });
});
