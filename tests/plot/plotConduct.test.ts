import { describe, expect, it } from 'vitest';
import {
  countCycles, createRandom, curveLibrary, damage, damageConvergence, fitPowerLaw, makeChannel, MPa, plotConvergence, plotPower, plotStates, plotTorqueSpeed, segmentStates, stressCycles, torqueSpeedMap,
} from '../../src/index.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Array.from({ length: 600 }, (_, i) => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8))) });
const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array.from(speed.values, (w) => 3 * w * w) });

describe('plotPower', () => {
  const points = { speed: [10, 20, 30, 40], power: [1000, 8100, 26900, 64000] };
  it('draws both laws through their points, and the residuals in percent', () => {
    const fit = fitPowerLaw(points);
    const figure = plotPower(points, fit);
    const [lines, dots, , rest] = dataOf(figure.spec);
    const cubic = lines!.filter((r) => String(r['series']).startsWith('cubic'));
    for (const row of cubic) expect(row['y'] as number).toBeCloseTo((fit.cubic * (((row['n'] as number) * Math.PI) / 30) ** 3) / 1000, 9);
    expect(dots!.map((r) => Number((r['y'] as number).toPrecision(12)))).toEqual([1, 8.1, 26.9, 64]);
    expect(rest!.map((r) => r['r'])).toEqual([...fit.residuals, ...fit.cubicResiduals].map((r) => 100 * r));
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Power / kW', 'Speed / rpm', 'Residual / %', 'cubic law (residuals: triangles)']));
  });
  it('refuses points that are not those of the fit', () => {
    expect(() => plotPower({ speed: [1], power: [1] }, fitPowerLaw(points))).toThrow('the 4 points of the fit');
    expect(() => plotPower(points, {} as never)).toThrow('fit must be a PowerLawFit');
  });
});

describe('plotStates', () => {
  const states = segmentStates(torque, { speed, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 });
  it('draws a strip that covers the record without a gap', () => {
    const figure = plotStates([torque, speed], states);
    const strip = dataOf(figure.spec).find((rows) => rows.some((r) => r['state'] === 'steady'))!;
    expect(strip[0]!['from']).toBe(0);
    for (let k = 1; k < strip.length; k++) expect(strip[k]!['from']).toBe(strip[k - 1]!['to']);
    expect(strip.at(-1)!['to']).toBe(60);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['Torque / N·m', 'Speed / (rad/s)', 'stop', 'start', 'steady', 'coast-down']));
  });
  it('refuses another thing', () => {
    expect(() => plotStates(torque, {} as never)).toThrow('states must be MachineStates');
    expect(() => plotStates([torque, speed, torque], states)).toThrow('one channel or two');
  });
});

describe('plotTorqueSpeed', () => {
  const map = torqueSpeedMap(torque, { speed, torqueEdges: { from: 0, to: 5000, classes: 10 }, speedEdges: { from: 0, to: 50, classes: 10 } });
  it('puts every class where its torque and speed are', () => {
    for (const of of ['time', 'revolutions'] as const) {
      const fields = dataOf(plotTorqueSpeed(map, { of }).spec)[0]!;
      const at = (rpm: number, Nm: number): boolean => fields.some((f) => (f['x'] as number) < rpm && rpm < (f['x2'] as number) && (f['y'] as number) < Nm && Nm < (f['y2'] as number));
      expect(at((40.1 * 30) / Math.PI, 4600)).toBe(true);
      expect(at((40.1 * 30) / Math.PI, 400)).toBe(false);
    }
    expect(textsOf(drawn(plotTorqueSpeed(map)))).toEqual(expect.arrayContaining(['Torque / N·m', 'Speed / rpm', 'Revolutions']));
  });
  it('refuses another thing', () => {
    expect(() => plotTorqueSpeed({} as never)).toThrow('map must be a TorqueSpeedMap');
    expect(() => plotTorqueSpeed(map, { of: 'hours' as never })).toThrow("of must be one of 'time', 'revolutions'");
  });
});

describe('plotConvergence', () => {
  it('ends at the damage rate of the whole record', () => {
    const random = createRandom(3);
    const cycles = countCycles(makeChannel({ name: 's', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 4000 }, () => MPa(90) * random.normal()) }));
    const local = stressCycles(cycles, { basis: 'local', kind: 'shear', source: 'by hand' });
    const settled = damageConvergence(damage(local, { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' }), { within: 0.2 });
    const figure = plotConvergence(settled);
    const line = dataOf(figure.spec)[1]!;
    const level = dataOf(figure.spec)[2]![0]!['d'] as number;
    expect(line.at(-1)!['d'] as number).toBeCloseTo(level, 9);
    expect(figure.caption).toContain(settled.verdict);
    expect(textsOf(drawn(figure)).some((t) => t.startsWith('Damage in an hour / 10'))).toBe(true);
    expect(() => plotConvergence({} as never)).toThrow('convergence must be a DamageConvergence');
  });
  it('lets an interval that goes beyond the frame fill it to the upper edge, and one that does not end below it', () => {
    const random = createRandom(3);
    const settled = (spread: number) => {
      const levels = Array.from({ length: 8 }, () => Math.exp(spread * random.normal()));
      const cycles = countCycles(makeChannel({ name: 's', unit: 'Pa', sampleRate: 10, values: Float64Array.from({ length: 4000 }, (_, i) => MPa(90) * levels[Math.floor(i / 500)]! * random.normal()) }));
      return damageConvergence(damage(stressCycles(cycles, { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' }), { within: 0.2 });
    };
    for (const [spread, beyond] of [[0.8, true], [0.02, false]] as const) {
      const figure = plotConvergence(settled(spread));
      expect(textsOf(drawn(figure)).join(' ').includes('beyond the frame')).toBe(beyond);
      const upperEdge = Number(/class="mark-rect[^>]*><path[^>]* d="M0,(-?[\d.]+)/.exec(drawn(figure))![1]);
      if (beyond) expect(upperEdge).toBe(0);
      else expect(upperEdge).toBeGreaterThan(5);
    }
  });
});
