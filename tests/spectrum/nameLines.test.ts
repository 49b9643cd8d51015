import { describe, expect, it } from 'vitest';
import { createRandom, driveOrders, findLines, lineSpectrum, makeChannel, nameLines, rpm, type SpectralLine } from '../../src/index.js';

const line = (frequency: number): SpectralLine => ({ frequency, frequencyLow: frequency - 0.01, frequencyHigh: frequency + 0.01, amplitude: 1, amplitudeLow: 0.9, amplitudeHigh: 1.1, kind: 'peak', unit: 'N·m', aboveFloor: 20, steady: true });
const orders = driveOrders({ motor: {}, pump: { ratio: 0.25, blades: 5 } });

describe('nameLines', () => {
  it('tells slip apart: 2 × 24.8 Hz is an order, 50 Hz the supply, 100 Hz its double', () => {
    const [a, b, c] = nameLines([line(49.6), line(50), line(100)], { speed: rpm(1488), orders, lineFrequency: 50, tolerance: 0.1 });
    expect([a!.names[0]!.name, a!.ambiguous]).toEqual(['motor: turning, 2×', false]);
    expect([b!.names[0]!.name, b!.names[0]!.kind, b!.ambiguous]).toEqual(['supply', 'electrical', false]);
    expect(c!.names[0]!.name).toBe('supply, 2×');
  });
  it('says that it cannot tell where two kinds lie together, and leaves what is not known without a name', () => {
    const [a, b] = nameLines([line(50), line(41.3)], { speed: rpm(1500), orders, lineFrequency: 50, natural: [31], tolerance: 0.1 });
    expect(a!.ambiguous).toBe(true);
    expect(a!.names.map((n) => n.kind)).toEqual(expect.arrayContaining(['order', 'electrical']));
    expect([b!.names, b!.ambiguous]).toEqual([[], false]);
  });
  it('allows for a speed that varied, by the range of each order', () => {
    const [a] = nameLines([line(31.1)], { speed: { least: rpm(1480), greatest: rpm(1500) }, orders, tolerance: 0 });
    expect(a!.names[0]).toMatchObject({ name: 'pump: blade pass', off: 0 });
  });
  it('names the lines of a whole record', () => {
    const rng = createRandom(60);
    const f = 24.8;
    const c = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Float64Array.from({ length: 60000 }, (_, i) => {
      const t = i / 1000;
      return rng.normal() + 6 * Math.sin(2 * Math.PI * f * t) + 4 * Math.sin(2 * Math.PI * 1.25 * f * t) + 3 * Math.sin(2 * Math.PI * 100 * t) + 2 * Math.sin(2 * Math.PI * 13.7 * t);
    }) });
    const named = nameLines(findLines(lineSpectrum(c, { segment: 10000 })), { speed: 2 * Math.PI * f, orders, lineFrequency: 50, natural: [13.7], tolerance: 0.05 });
    expect(named.map((l) => l.names[0]?.name)).toEqual(['motor: turning', 'pump: blade pass', 'supply, 2×', 'natural frequency 1']);
  });
  it.each<[object, string]>([
    [{ speed: 0, orders, tolerance: 1 }, 'speed must be a finite number above 0 rad/s'],
    [{ speed: 1, orders: [], tolerance: 1 }, 'a list of orders with names'],
    [{ speed: 1, orders }, 'tolerance must be given'],
    [{ speed: { least: 2, greatest: 1 }, orders, tolerance: 1 }, 'speed.greatest must be a finite number at least 2'],
  ])('refuses %j', (options, message) => {
    expect(() => nameLines([line(1)], options as never)).toThrow(message);
  });
});
