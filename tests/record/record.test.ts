import { inspect } from 'node:util';
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allUnits, assignUnit, convert, makeChannel, makeRecording, parseUnit, pick, rename, replay, slice, validityMask, validRuns, version, type Channel } from '../../src/index.js';
import { defineOperation } from '../../src/record/operation.js';
import { normaliseSpans, runsBetween, faults, type Span } from '../../src/record/span.js';
import { unitConversion } from '../../src/record/units.js';

const ramp = (n = 10): Channel<'kN·m'> => makeChannel({ name: 'torque', unit: 'kN·m', sampleRate: 10, values: Float64Array.from({ length: n }, (_, i) => i), start: '2026-03-01T08:00:00.000Z' });

describe('channel', () => {
  it('is frozen, and reads as one line in a console', () => {
    const c = ramp();
    expect(Object.isFrozen(c)).toBe(true);
    expect(Object.keys(c)).toEqual(['name', 'unit', 'sampleRate', 'start', 'values', 'invalid', 'trail']);
    expect(inspect(c)).toBe('Channel torque [kN·m]: 10 samples at 10 Hz (1.00 s), all valid, makeChannel');
  });
  it('masks samples that are not finite, keeps them as recorded and says how many', () => {
    const c = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [NaN, 1, Infinity, 3] });
    expect(c.invalid).toEqual([{ from: 0, to: 1, why: 'not a number' }, { from: 2, to: 3, why: 'not a number' }]);
    expect(c.values[2]).toBe(Infinity);
    expect(c.trail[0]!.found).toEqual({ samples: 4, notANumber: 2 });
    expect(Array.from(validityMask(c))).toEqual([0, 1, 0, 1]);
    expect(validRuns(c)).toEqual([{ from: 1, to: 2 }, { from: 3, to: 4 }]);
  });
  it.each([
    [{ name: '', unit: 'V', sampleRate: 1, values: [1] }, 'makeChannel: name must be a name'],
    [{ name: 'a', unit: 'Nm', sampleRate: 1, values: [1] }, 'unit of a must be one of'],
    [{ name: 'a', unit: 'V', sampleRate: 0, values: [1] }, 'sampleRate of a must be a finite number above 0 Hz, got 0 Hz.'],
    [{ name: 'a', unit: 'V', sampleRate: 1, values: [] }, 'values of a must be at least one number'],
    [{ name: 'a', unit: 'V', sampleRate: 1, values: [1], start: 'yesterday' }, 'start must be an ISO 8601 UTC instant'],
    [{ name: 'a', unit: 'V', sampleRate: 1, values: [1], invalid: [{ from: 0, to: 2, why: 'rail' }] }, 'invalid.to must be a whole number at least 0 and at most 1, got 2.'],
    [{ name: 'a', unit: 'V', sampleRate: 1, values: [1], invalid: [{ from: 0, to: 1, why: 'because' }] }, "invalid.why must be one of 'dropout'"],
  ])('refuses %j', (data, message) => {
    expect(() => makeChannel(data as never)).toThrow(message);
  });
  it('does not compile where another unit is needed, and is refused at run time too', () => {
    const needsTorque = (c: Channel<'N·m'>): number => c.values[0]!;
    const volts = makeChannel({ name: 'bridge', unit: 'V', sampleRate: 1, values: [1] });
    // @ts-expect-error a volts channel is no torque channel
    needsTorque(volts);
    // @ts-expect-error kN·m is not N·m either
    needsTorque(ramp());
    needsTorque(convert(ramp(), 'N·m'));
    expect(() => convert(volts, 'N·m')).toThrow('Use toTorque with the gauge and the section');
  });
});

describe('spans', () => {
  const span = fc.tuple(fc.nat(99), fc.integer({ min: 1, max: 20 }), fc.constantFrom(...faults)).map(([from, len, why]): Span => ({ from, to: Math.min(100, from + len), why }));
  it('come out sorted and disjoint and cover the same samples', () => {
    fc.assert(fc.property(fc.array(span, { maxLength: 12 }), (spans) => {
      const out = normaliseSpans(spans, 100);
      const covered = (list: readonly Span[]): number[] => Array.from({ length: 100 }, (_, i) => (list.some((s) => s.from <= i && i < s.to) ? 1 : 0));
      expect(covered(out)).toEqual(covered(spans));
      for (let i = 1; i < out.length; i++) expect(out[i]!.from).toBeGreaterThanOrEqual(out[i - 1]!.to);
      expect(runsBetween(out, 100).reduce((n, r) => n + r.to - r.from, 0) + out.reduce((n, s) => n + s.to - s.from, 0)).toBe(100);
    }), { numRuns: 500, seed: 1 });
  });
});

describe('units', () => {
  it('convert exactly there and back for factors of ten', () => {
    const there = convert(makeChannel({ name: 'T', unit: 'kN·m', sampleRate: 1, values: [0.1, 1.7, 12345.678] }), 'N·m');
    expect(Array.from(convert(there, 'kN·m').values)).toEqual([0.1, 1.7, 12345.678]);
  });
  it('agree with the exact definitions (NIST SP 811, 2008: lbf 4.448 221 615 260 5 N, foot 0.3048 m)', () => {
    expect(unitConversion('lbf·ft', 'N·m').factor).toBeCloseTo(4.4482216152605 * 0.3048, 15);
    expect(unitConversion('lbf·in', 'N·m').factor).toBeCloseTo(4.4482216152605 * 0.0254, 15);
    expect(unitConversion('psi', 'Pa').factor).toBeCloseTo(4.4482216152605 / 0.0254 ** 2, 8);
    expect(unitConversion('rpm', 'rad/s').factor).toBeCloseTo(0.10471975511965977, 16);
  });
  it('of temperature carry their offsets', () => {
    const f = convert(makeChannel({ name: 't', unit: '°C', sampleRate: 1, values: [100] }), '°F');
    expect(f.values[0]).toBeCloseTo(212, 10);
  });
  it('are read as files spell them', () => {
    expect(['Nm', 'kN.m', 'RPM', 'mV/V', 'us', 'degC', 'MNm', 'mNm', 'N/mm2', 'm/s'].map(parseUnit)).toEqual(['N·m', 'kN·m', 'rpm', 'mV/V', null, '°C', 'MN·m', null, 'MPa', 'm/s']);
    for (const unit of allUnits) expect(parseUnit(unit)).toBe(unit);
  });
});

describe('trail', () => {
  it('replays to the same bytes', () => {
    const raw = ramp();
    const done = convert(slice(raw, { from: 0.2, to: 0.7 }), 'N·m');
    const again = replay(raw, done.trail);
    expect(again).toEqual(done);
    expect(done.start).toBe('2026-03-01T08:00:00.200Z');
  });
  it('replays other channels that a step read, from their raw form', () => {
    const scaled = defineOperation<{ by: Channel }>('testScaleBy', (c, { by }) => ({ values: c.values.map((v, i) => v * by.values[i]!), found: {} }));
    const raw = ramp(3);
    const other = makeChannel({ name: 'gain', unit: 'kN·m', sampleRate: 10, values: [1, 2, 3] });
    const done = scaled(raw, { by: convert(other, 'N·m') });
    expect(done.trail.at(-1)!.inputs.map((o) => [o.role, o.name, o.trail.map((s) => s.op)])).toEqual([['by', 'gain', ['makeChannel', 'convert']]]);
    expect(replay(raw, done.trail, [other]).values).toEqual(done.values);
    expect(() => replay(raw, done.trail)).toThrow('holding the channel gain');
  });
  it('is refused for another raw channel', () => {
    expect(() => replay(ramp(5), convert(ramp(), 'N·m').trail)).toThrow("begins as the raw channel's does");
  });
  it('holds no step where the operation threw', () => {
    const c = ramp();
    expect(() => slice(c, { from: 5, to: 6 })).toThrow('slice: window.from must be a finite number at least 0 s and at most 1 s, got 5 s.');
    expect(c.trail.length).toBe(1);
  });
});

describe('recording', () => {
  const run = makeRecording('run', [ramp(), makeChannel({ name: 'raw', unit: '?', sampleRate: 1, values: [1] })]);
  it('gives a channel by name and unit, and says what to do otherwise', () => {
    expect(pick(run, 'torque', 'kN·m').values.length).toBe(10);
    expect(() => pick(run, 'torqe')).toThrow("Did you mean 'torque'?");
    expect(() => pick(run, 'torque', 'N·m')).toThrow("convert(channel, 'N·m')");
    expect(() => pick(run, 'raw', 'V')).toThrow("assignUnit(channel, 'V')");
  });
  it('refuses two channels of one name', () => {
    expect(() => makeRecording('x', [ramp(), ramp()])).toThrow('two called torque');
    expect(makeRecording('x', [ramp(), rename(ramp(), 'b')]).channels.length).toBe(2);
    expect(assignUnit(pick(run, 'raw'), 'V').unit).toBe('V');
  });
});

describe('version', () => {
  it('is that of package.json', () => {
    expect(JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')).version).toBe(version);
  });
});
