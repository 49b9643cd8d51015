import { describe, expect, it } from 'vitest';
import { createRandom, makeChannel, orderSpectrum, replay, rpm, speedCrossings, speedFromLines, speedMap, spectrogram, toShaftAngle, type Channel, type Span } from '../../src/index.js';

const rate = 1000, n = 30000;
/** A run-up from 5 to 20 rev/s in 30 s. */
const revs = (t: number): number => 5 * t + 0.25 * t * t;
const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 100, values: Float64Array.from({ length: n / 10 }, (_, i) => 2 * Math.PI * (5 + 0.5 * (i / 100))) });
const run = (extra: (t: number) => number = () => 0, invalid: Span[] = []): Channel<'N·m'> => makeChannel({
  name: 'torque', unit: 'N·m', sampleRate: rate, invalid,
  values: Float64Array.from({ length: n }, (_, i) => 40 + 3 * Math.cos(2 * Math.PI * 2 * revs(i / rate)) + 2 * Math.cos(2 * Math.PI * 100 * (i / rate)) + extra(i / rate)),
});

describe('speedMap', () => {
  it('over order: the order line stands still in every class, at its amplitude', () => {
    const map = speedMap(run(), { axis: 'order', speed, classWidth: rpm(100), revolutions: 8, samplesPerRevolution: 64 });
    expect(map.speed.length).toBeGreaterThan(8);
    for (const a of map.amplitude) expect(a[16]!).toBeCloseTo(3, 1);
    expect(map.along[16]).toBe(2);
  });
  it('over frequency: the order line follows the speed, the fixed line stays', () => {
    const map = speedMap(run(), { axis: 'frequency', speed, classWidth: rpm(60), segmentSeconds: 1 });
    map.amplitude.forEach((a, i) => {
      expect(a[100]!).toBeCloseTo(2, 1);
      const below = a.slice(2, 90);
      const line = 2 + below.indexOf(Math.max(...below));
      expect(Math.abs(line - (2 * map.speed[i]!) / (2 * Math.PI))).toBeLessThan(2);
    });
    expect(map.notes.at(-1)).toBe('the speed changes by up to 30 rpm within a segment: order o smears over up to o × 0.50 Hz');
    expect(map.speedChange).toBeCloseTo(Math.PI, 1);
  });
  it('over frequency, all classes together are the power of the spectrogram', () => {
    const c = run();
    const map = speedMap(c, { axis: 'frequency', speed, classWidth: rpm(60), segment: 500, amplitude: 'rms' });
    const s = spectrogram(c, { segment: 500 });
    const total = (k: number): number => map.amplitude.reduce((sum, a, i) => sum + a[k]! ** 2 * map.segments[i]!, 0);
    const used = map.segments.reduce((a, b) => a + b, 0);
    for (const k of [0, 7, 50, 120, 250]) {
      const direct = s.density.slice(0, used).reduce((sum, d) => sum + d[k]! * s.enbw, 0);
      // One segment at the end may not be followed by the speed channel.
      expect(Math.abs(total(k) / direct - 1)).toBeLessThan(0.02);
    }
  });
  it('reads no masked sample and counts what it leaves out', () => {
    const map = speedMap(run((t) => (t >= 10 && t < 10.5 ? 1e9 : 0), [{ from: 10000, to: 10500, why: 'dropout' }]), { axis: 'frequency', speed, classWidth: rpm(60), segment: 1000 });
    for (const a of map.amplitude) expect(Math.max(...a)).toBeLessThan(10);
    const stopped = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 100, values: speed.values.map((v, i) => (i < 1000 ? 0 : v)) });
    expect(speedMap(run(), { axis: 'frequency', speed: stopped, classWidth: rpm(60), segment: 1000 }).notes.some((note) => /\d+ segments left out: speed not followed/.test(note))).toBe(true);
  });
  it.each<[object, string]>([
    [{ axis: 'frequency', speed, segment: 100 }, 'classWidth must be given'],
    [{ axis: 'both', speed, classWidth: 1 }, "axis must be one of 'frequency', 'order'"],
    [{ axis: 'order', speed, classWidth: 1, revolutions: 4 }, "samplesPerRevolution must be given for the axis 'order'"],
    [{ axis: 'order', speed, classWidth: 1, revolutions: 4, samplesPerRevolution: 32, segment: 3 }, "segment must be left out for the axis 'order'"],
    [{ axis: 'frequency', speed, classWidth: 1, segment: 100, revolutions: 3 }, "revolutions must be left out for the axis 'frequency'"],
    [{ axis: 'frequency', classWidth: 1, segment: 100 }, 'pulses must be given, or speed'],
  ])('refuses %j', (options, message) => {
    expect(() => speedMap(run(), options as never)).toThrow(message);
  });
});

describe('speedFromLines', () => {
  const options = { order: 2, from: 8, to: 45, segmentSeconds: 1.2, mostChange: 2 };
  it('follows a line through noise and past a stronger fixed line, to 0.3 %', () => {
    const rng = createRandom(40);
    const c = run((t) => 6 * Math.cos(2 * Math.PI * 50 * t) + 1.5 * rng.normal());
    const s = speedFromLines(c, options);
    let checked = 0;
    s.values.forEach((v, i) => {
      if (s.invalid.some((x) => x.from <= i && i < x.to)) return;
      checked++;
      expect(Math.abs(v / (2 * Math.PI * (5 + 0.5 * (i / s.sampleRate))) - 1)).toBeLessThan(i < 40 ? 0.01 : 0.005);
    });
    expect(checked).toBeGreaterThan(180);
    expect(replay(c, s.trail)).toEqual(s);
  });
  it('is good enough for an order spectrum of the same record', () => {
    const c = run((t) => 1.2 * Math.cos(2 * Math.PI * 3 * revs(t) + 1));
    const o = orderSpectrum(toShaftAngle(c, { speed: speedFromLines(c, options), samplesPerRevolution: 64 }), { revolutions: 10 });
    expect(o.amplitude[20]! / 3).toBeCloseTo(1, 1);
    expect(o.amplitude[30]! / 1.2).toBeCloseTo(1, 1);
  });
  it('masks what it cannot see, and refuses where there is no line', () => {
    const s = speedFromLines(run(() => 0, [{ from: 10000, to: 10400, why: 'dropout' }]), options);
    const at = (t: number): number => Math.round(t * s.sampleRate);
    expect(s.invalid.some((x) => x.from <= at(10.2) && at(10.2) < x.to)).toBe(true);
    const rng = createRandom(41);
    const noise = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: 20000 }, () => rng.normal()) });
    expect(() => speedFromLines(noise, { ...options, above: 25 })).toThrow('such that the line stands out somewhere');
    expect(() => speedFromLines(run(), { ...options, to: 10 })).toThrow('the band five bins');
    expect(() => speedFromLines(run(), { order: 2 } as never)).toThrow('from must be given');
  });
});

describe('speedCrossings', () => {
  it('by hand: 24 Hz and order 2 meet at 720 rpm; r = 990/720 = 1.375, amplification 1/√((1 − r²)² + (2ζr)²)', () => {
    const { crossings } = speedCrossings({ frequencies: [24, 60], damping: [0.02, 0.01], orders: [1, 2, 4], from: rpm(300), to: rpm(1500), running: rpm(990) });
    expect(crossings.map((c) => [c.mode, c.order, Math.round((c.speed * 30) / Math.PI)])).toEqual([[1, 4, 900], [0, 2, 720], [0, 1, 1440], [0, 4, 360]]);
    expect(crossings[1]!.margin).toBeCloseTo(-270 / 990, 12);
    expect(crossings[1]!.amplification).toBeCloseTo(1 / Math.sqrt((1 - 1.375 ** 2) ** 2 + (0.04 * 1.375) ** 2), 12);
    expect(crossings[0]!.atCrossing).toBe(50);
  });
  it('at the crossing itself the amplification is 1/(2ζ)', () => {
    const { crossings } = speedCrossings({ frequencies: [20], damping: 0.03, orders: [1], from: 1, to: 500, running: 40 * Math.PI });
    expect(crossings[0]!.amplification).toBeCloseTo(crossings[0]!.atCrossing, 9);
  });
  it.each<[object, string]>([
    [{ frequencies: [], damping: 0.1, orders: [1], from: 0, to: 10, running: 5 }, 'frequencies must be a list of at least one number'],
    [{ frequencies: [1], damping: [0.1, 0.2], orders: [1], from: 0, to: 10, running: 5 }, 'one number, or 1, one a frequency'],
    [{ frequencies: [1], damping: 1.5, orders: [1], from: 0, to: 10, running: 5 }, 'damping must be a finite number above 0 and below 1'],
    [{ frequencies: [1], damping: 0.1, orders: [1], from: 20, to: 10, running: 5 }, 'to must be a finite number above 20 rad/s'],
    [{ frequencies: [1], orders: [1], from: 0, to: 10, running: 5 }, 'damping must be given'],
  ])('refuses %j', (options, message) => {
    expect(() => speedCrossings(options as never)).toThrow(message);
  });
});
