import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { convert, crossSpectrum, decimate, findLines, lowpass, makeChannel, powerDensity, resample, type Channel } from '../../src/index.js';

// Open data beside the repository: treadmill_pitch_moment, Apache-2.0, Copyright 2014 Cleveland State University. Read where it is, never committed.
const folder = new URL('../../../shared/data/treadmill_pitch_moment/', import.meta.url);
const here = existsSync(folder);

/** Moment (N·m) and belt speed (m/s) read at their own stamps on an even clock of 100 Hz, straight between two samples; doubled stamps: the first counts. */
const load = (name: string): { moment: Channel<'N·m'>; speed: Channel<'m/s'> } => {
  const rows = readFileSync(new URL(name, folder), 'utf8').trim().split(/\r?\n/).slice(1).map((l) => l.split('\t').map(Number)).filter((r, i, all) => i === 0 || r[0]! > all[i - 1]![0]!);
  const read = (column: number): Float64Array => {
    let k = 0;
    return Float64Array.from({ length: Math.floor((rows.at(-1)![0]! - rows[0]![0]!) * 100) }, (_, i) => {
      const t = rows[0]![0]! + i / 100;
      while (rows[k + 1]![0]! < t) k++;
      const u = (t - rows[k]![0]!) / (rows[k + 1]![0]! - rows[k]![0]!);
      return rows[k]![column]! * (1 - u) + rows[k + 1]![column]! * u;
    });
  };
  return { moment: makeChannel({ name: 'moment', unit: 'N·m', sampleRate: 100, values: read(1) }), speed: makeChannel({ name: 'belt', unit: 'm/s', sampleRate: 100, values: read(2) }) };
};
const slopeOf = (moment: Channel, speed: Channel): number => {
  const [m, v] = [moment, speed].map((c) => lowpass(c, { cutoff: 6, order: 2 }).values);
  let aa = 0, am = 0, a1 = 0, m1 = 0, n = 0;
  for (let i = 1; i + 1 < v!.length; i++) {
    const a = (v![i + 1]! - v![i - 1]!) * 50;
    aa += a * a;
    am += a * m![i]!;
    a1 += a;
    m1 += m![i]!;
    n++;
  }
  return (am - (a1 * m1) / n) / (aa - (a1 * a1) / n);
};

describe.skipIf(!here)('measured pitch moment of an unloaded treadmill (skipped where ../shared/data is absent)', () => {
  it.each([['RandomSlowSpeed1.txt', 2.823], ['RandomFastSpeed1.txt', 2.819]] as const)('%s: after a 6 Hz, second-order low-pass moment over acceleration is %f N·m/(m/s²), the rollers\' inertia, as the data set\'s notes say', (name, slope) => {
    const { moment, speed } = load(name);
    expect(slopeOf(moment, speed) / slope).toBeCloseTo(1, 1);
    expect(Math.abs(slopeOf(moment, speed) / slope - 1)).toBeLessThan(0.02);
  });
  it('the response of moment to belt speed rises with frequency like an inertia, with high coherence, on the fast run', () => {
    const { moment, speed } = load('RandomFastSpeed1.txt');
    const c = crossSpectrum(speed, moment, { segment: 1024 });
    const lively = Array.from(c.frequency.keys()).filter((k) => c.frequency[k]! > 0.3 && c.frequency[k]! < 3 && c.coherence[k]! > 0.9);
    expect(lively.length).toBeGreaterThan(10);
    const inertia = lively.map((k) => c.h1.gain[k]! / (2 * Math.PI * c.frequency[k]!)).sort((a, b) => a - b);
    expect(inertia[inertia.length >> 1]! / 2.82).toBeCloseTo(1, 1);
    expect(c.responseUnit).toBe('N·m per m/s');
  });
  it('goes through every verb: spectrum, lines, decimation, resampling', () => {
    const { moment } = load('RandomSlowSpeed2.txt');
    const p = powerDensity(moment, { segmentSeconds: 10 });
    const mean = moment.values.reduce((a, b) => a + b, 0) / moment.values.length;
    const rms = Math.sqrt(moment.values.reduce((a, b) => a + (b - mean) ** 2, 0) / moment.values.length);
    const total = Math.sqrt(p.density.reduce((a, b) => a + b, 0) * (100 / p.segment));
    expect(total / rms).toBeCloseTo(1, 1);
    expect(findLines(p).every((l) => l.frequency > 0 && l.amplitude > 0)).toBe(true);
    expect(decimate(moment, { factor: 4 }).values.length).toBe(Math.ceil(moment.values.length / 4));
    expect(convert(resample(moment, { sampleRate: 128 }), 'kN·m').sampleRate).toBe(128);
  });
});
