import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRandom, findRestStates, fitZero, GPa, makeChannel, markInvalid, removeZero, replay, rpm, slice, solidSection, toTorque, zeroAt, type Channel, type Unit, type ZeroModel } from '../../src/index.js';

const channel = <U extends Unit>(unit: U, sampleRate: number, values: ArrayLike<number>, start: string | null = null): Channel<U> => makeChannel({ name: unit, unit, sampleRate, values, start });
const close = (actual: number, expected: number, absolute: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(absolute);

describe('findRestStates', () => {
  const speed = channel('rpm', 10, Float64Array.from({ length: 1000 }, (_, i) => (i >= 300 && i < 700 ? (i < 500 ? 980 : -980) : 0.5)));
  it('keeps what is below the limit, less the guard at stops and starts but not at the ends of the record', () => {
    expect(findRestStates({ speed, below: rpm(5), minimum: 5, guard: 2 }).windows).toEqual([{ from: 0, to: 28 }, { from: 72, to: 100 }]);
  });
  it('means the same limit in rad/s and rpm', () => {
    const radians = channel('rad/s', 10, speed.values.map((v) => rpm(v)));
    expect(findRestStates({ speed: radians, below: rpm(5), minimum: 5, guard: 2 }).windows).toEqual(findRestStates({ speed, below: rpm(5), minimum: 5, guard: 2 }).windows);
    expect(findRestStates({ speed, below: rpm(0.4), minimum: 5, guard: 2 }).notes).toEqual(['No window of rest was found.']);
  });
  it('does not cross masked samples, and says what was too short', () => {
    const masked = markInvalid(speed, [{ from: 100, to: 101, why: 'dropout' }]);
    const rest = findRestStates({ speed: masked, below: rpm(5), minimum: 15, guard: 2 });
    expect(rest.windows).toEqual([{ from: 12.1, to: 28 }, { from: 72, to: 100 }]);
    expect(rest.notes).toEqual(['1 time of rest was shorter than 15 s after the guard time and left out.']);
  });
  it('finds barring in each direction, and says when one is missing', () => {
    const slow = channel('rpm', 10, Float64Array.from({ length: 1000 }, (_, i) => (i < 200 ? 0 : i < 400 ? 2 : i < 600 ? -2 : i < 800 ? 980 : 0)));
    const states = findRestStates({ speed: slow, below: rpm(0.5), minimum: 5, guard: 2, barringBelow: rpm(5) });
    expect(states.barring.map((w) => [w.from, w.to])).toEqual([[22, 38], [42, 58]]);
    close(states.barring[1]!.speed, -rpm(2), 1e-12);
    expect(findRestStates({ speed, below: rpm(5), minimum: 5, guard: 2, barringBelow: rpm(10) }).notes).toContain('The shaft was not barred in both directions: friction cannot be told from the zero.');
    expect(() => findRestStates({ speed, below: 1, minimum: 1, guard: 1, barringBelow: 0.5 })).toThrow('barringBelow must be a finite number above 1 rad/s');
  });
  it('every window lies in its rest, for any speed', () => {
    fc.assert(fc.property(fc.array(fc.tuple(fc.integer({ min: 1, max: 60 }), fc.boolean()), { minLength: 1, maxLength: 12 }), fc.integer({ min: 0, max: 5 }), (blocks, guard) => {
      const values = blocks.flatMap(([n, turning]) => Array.from({ length: n }, () => (turning ? 100 : 0)));
      const rest = findRestStates({ speed: channel('rad/s', 1, values), below: 1, minimum: 3, guard });
      for (const w of rest.windows) {
        expect(w.to - w.from).toBeGreaterThanOrEqual(3);
        for (let i = Math.max(0, w.from - guard); i < Math.min(values.length, w.to + guard); i++) expect(values[i]).toBe(0);
      }
    }), { seed: 5, numRuns: 200 });
  });
  it('has no default for a physical choice', () => {
    expect(() => findRestStates({ speed, minimum: 1, guard: 1 } as never)).toThrow('below must be given: it has no default because it is a physical choice');
    expect(() => findRestStates({ speed, below: 1, minimum: 1 } as never)).toThrow('guard must be given');
    expect(() => findRestStates({ speed: channel('V', 1, [1]) as never, below: 1, minimum: 1, guard: 1 })).toThrow('unit of V must be rpm or rad/s');
  });
});

describe('fitZero and removeZero', () => {
  it('take a straight line between the zeros at start and end off (case zero-linear: exact by construction)', () => {
    const t = Array.from({ length: 101 }, (_, i) => i * 0.1);
    const truth = t.map((s) => 50 * Math.sin(Math.PI * s));
    const measured = channel('N·m', 10, t.map((s, i) => truth[i]! + 1.2 - 0.2 * s));
    const model = fitZero(measured, { rest: [{ from: 0, to: 0.1 }, { from: 10, to: 10.1 }], model: 'linear in time' });
    close(model.coefficients[0]!, 1.2, 1e-12);
    close(model.coefficients[1]!, -0.2, 1e-12);
    const done = removeZero(measured, model);
    done.values.forEach((v, i) => close(v, truth[i]!, 1e-12));
    expect(done.trail.at(-1)!.found).toMatchObject({ zeroAtStart: expect.closeTo(1.2, 10), zeroAtEnd: expect.closeTo(-0.8, 10) });
    expect(model.notes).toEqual(['The standard errors are not known: there are as many readings as coefficients.']);
  });
  it('agree by hand: the constant is the mean of all samples of the states', () => {
    const model = fitZero(channel('V', 1, [1, 2, 9, 9, 3, 4, 5, 6]), { rest: [{ from: 0, to: 2 }, { from: 4, to: 8 }], model: 'constant' });
    close(model.coefficients[0]!, (1 + 2 + 3 + 4 + 5 + 6) / 6, 1e-14);
    expect(model.states.map((s) => [s.samples, s.mean])).toEqual([[2, 1.5], [4, 4.5]]);
    close(model.states[0]!.leaveOneOut!, 1.5 - 4.5, 1e-14);
  });
  it('do not read masked samples inside a state', () => {
    const raw = channel('V', 1, [1, 99, 1, 1, 7, 7, 1, 1]);
    const masked = markInvalid(raw, [{ from: 1, to: 2, why: 'spike' }]);
    expect(fitZero(masked, { rest: [{ from: 0, to: 4 }], model: 'constant' }).coefficients[0]).toBeCloseTo(1, 14);
    expect(() => fitZero(markInvalid(raw, [{ from: 0, to: 4, why: 'dropout' }]), { rest: [{ from: 0, to: 4 }], model: 'constant' })).toThrow('a window with valid samples');
  });
  it('leave a rest out that is masked throughout, with a note, and stop only where none is left or the model needs it', () => {
    const raw = markInvalid(channel('V', 1, [1, 1, 9, 9, 3, 3, 9, 9, 5, 5]), [{ from: 4, to: 6, why: 'dropout' }]);
    const rest = [{ from: 0, to: 2 }, { from: 4, to: 6 }, { from: 8, to: 10 }];
    const model = fitZero(raw, { rest, model: 'linear in time' });
    expect(model.states.map((s) => s.from)).toEqual([0, 8]);
    close(model.coefficients[1]!, 0.5, 1e-14);
    expect(model.notes[0]).toBe('The rest from 4 to 6 s is masked throughout and left out.');
    const found = findRestStates({ speed: channel('rpm', 1, [0, 0, 9, 9, 0, 0, 9, 9, 0, 0]), below: 0.1, minimum: 1, guard: 0 });
    expect(fitZero(raw, { rest: found, model: 'linear in time' }).coefficients).toEqual(model.coefficients);
    expect(() => fitZero(raw, { rest: rest.slice(0, 2), model: 'linear in time' })).toThrow('A drift needs a state before and one after the run. The rest from 4 to 6 s is masked throughout and left out.');
    expect(() => fitZero(raw, { rest: rest.slice(1, 2), model: 'constant' })).toThrow('rest must be a window with valid samples, got 4 to 6 s, masked throughout. Give a rest at which the signal came through.');
  });
  it('recover offset and drift under load, and the zero scales with toTorque', () => {
    const random = createRandom(11);
    const n = 60_000;
    const loaded = (i: number): boolean => i > 10_000 && i < 50_000;
    const values = Float64Array.from({ length: n }, (_, i) => 0.12 + 2e-6 * (i / 100) + (loaded(i) ? 0.8 + 0.1 * Math.sin(i / 3) : 0) + 0.002 * random.normal());
    const bridge = channel('mV/V', 100, values);
    const rest = [{ from: 0, to: 95 }, { from: 505, to: 600 }];
    const model = fitZero(bridge, { rest, model: 'linear in time' });
    close(model.coefficients[0]!, 0.12, 3 * model.standardErrors[0]!);
    close(model.coefficients[1]!, 2e-6, 3 * model.standardErrors[1]!);
    const gauge = { gaugeFactor: 2, activeArms: 4, shearModulus: GPa(80) } as const;
    const section = solidSection(0.05);
    const early = toTorque(removeZero(bridge, model), { gauge, section });
    const torque = toTorque(bridge, { gauge, section });
    const late = removeZero(torque, fitZero(torque, { rest, model: 'linear in time' }));
    for (let i = 0; i < n; i += 997) close(early.values[i]!, late.values[i]!, 1e-8);
  });
  it('keep their coefficients within 2 standard errors of truth on 93 % of 500 seeded runs with white noise', () => {
    let inside = 0;
    for (let seed = 1; seed <= 500; seed++) {
      const random = createRandom(seed);
      const values = Float64Array.from({ length: 1200 }, (_, i) => 5 - 0.003 * (i / 10) + random.normal());
      const model = fitZero(channel('N·m', 10, values), { rest: [{ from: 0, to: 20 }, { from: 50, to: 60 }, { from: 100, to: 120 }], model: 'linear in time' });
      if ([5, -0.003].every((truth, j) => Math.abs(model.coefficients[j]! - truth) <= 2 * model.standardErrors[j]!)) inside++;
    }
    expect(inside / 500).toBeGreaterThanOrEqual(0.93);
  });
  it('replay to the same bytes, from a model that went through JSON too', () => {
    const raw = channel('V', 10, Float64Array.from({ length: 100 }, (_, i) => Math.sin(i) + 3));
    const model = JSON.parse(JSON.stringify(fitZero(raw, { rest: [{ from: 0, to: 2 }, { from: 8, to: 10 }], model: 'linear in time' }))) as ZeroModel;
    const done = removeZero(raw, model);
    expect(replay(raw, done.trail)).toEqual(done);
    expect((done.trail.at(-1)!.options as { model: { coefficients: number[] } }).model.coefficients).toEqual(model.coefficients);
  });
  it('find the same zero after a slice, where the start is known', () => {
    const raw = channel('V', 10, Float64Array.from({ length: 100 }, (_, i) => 2 + i / 10), '2026-03-01T08:00:00.000Z');
    const model = fitZero(raw, { rest: [{ from: 0, to: 1 }, { from: 9, to: 10 }], model: 'linear in time' });
    removeZero(slice(raw, { from: 4, to: 6 }), model).values.forEach((v) => close(v, 0, 1e-12));
    close(zeroAt(model, { time: 3 }).zero, 5, 1e-12);
  });
  it('take rest states of a speed channel that started at another instant', () => {
    const speed = channel('rpm', 1, [0, 0, 0, 0, 0, 50, 50, 50, 50, 50], '2026-03-01T08:00:02.000Z');
    const torque = channel('N·m', 1, [9, 9, 1, 1, 1, 1, 1, 30, 30, 30], '2026-03-01T08:00:00.000Z');
    const rest = findRestStates({ speed, below: 1, minimum: 1, guard: 0 });
    expect(fitZero(torque, { rest, model: 'constant' }).states).toMatchObject([{ from: 2, to: 7, mean: 1 }]);
  });
  it('do not compile or run without the physical choices', () => {
    const c = channel('V', 1, [1, 2, 3, 4]);
    // @ts-expect-error the states without load have no default
    expect(() => fitZero(c, { model: 'constant' })).toThrow('rest must be given: it has no default because it is a physical choice');
    // @ts-expect-error the model has none either
    expect(() => fitZero(c, { rest: [{ from: 0, to: 2 }] })).toThrow('model must be given');
    expect(() => fitZero(c, { rest: [], model: 'constant' })).toThrow('at least one window of rest');
    expect(() => fitZero(c, { rest: [{ from: 0, to: 2 }], model: 'linear in time' })).toThrow('A drift needs a state before and one after the run.');
    expect(() => fitZero(c, { rest: [{ from: 0, to: 3 }, { from: 2, to: 4 }], model: 'constant' })).toThrow('windows that do not overlap');
    expect(() => fitZero(c, { rest: [{ from: 0, to: 9 }], model: 'constant' })).toThrow('rest[0].to must be a finite number');
    expect(() => fitZero(c, { rest: [{ from: 0, to: 2 }], model: 'quadratic' as never })).toThrow("'constant', 'linear in time' or a list of");
    expect(() => fitZero(c, { rest: c as never, model: 'constant' })).toThrow('Give the speed channel to findRestStates first.');
  });
  it('refuse a channel of another unit', () => {
    const model = fitZero(channel('V', 1, [1, 2]), { rest: [{ from: 0, to: 2 }], model: 'constant' });
    expect(() => removeZero(channel('N·m', 1, [1, 2]), model)).toThrow('Fit the zero on this channel, or remove it before toTorque.');
    expect(() => removeZero(channel('V', 1, [1, 2]), 3 as never)).toThrow('what fitZero found');
    expect(() => removeZero(channel('V', 1, [1, 2]), { ...model, covariance: [] })).toThrow('what fitZero found');
    expect(() => removeZero(channel('V', 1, [1, 2]), { ...model, states: undefined as never })).toThrow('what fitZero found');
    expect(() => fitZero(channel('V', 1, [1, 2]), { rest: [null as never], model: 'constant' })).toThrow('rest[0] must be a window { from, to } in s, got null');
  });
});
