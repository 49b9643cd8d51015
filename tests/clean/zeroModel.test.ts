import { describe, expect, it } from 'vitest';
import { createRandom, fitZero, makeChannel, removeZero, replay, zeroAt, type Channel, type Unit, type ZeroModel, type ZeroState } from '../../src/index.js';
import { theilSen } from '../../src/clean/theilSen.js';

const close = (actual: number, expected: number, absolute: number): void => expect(Math.abs(actual - expected)).toBeLessThanOrEqual(absolute);
const channel = <U extends Unit>(name: string, unit: U, sampleRate: number, values: ArrayLike<number>): Channel<U> => makeChannel({ name, unit, sampleRate, values });

/** A cold start at 10 Hz: rest, barring both ways, unloaded running at two speeds, rest again, while the shaft warms. */
const truth = { z0: 40, zt: 0.02, zT: -1.5, zw: 0.004, friction: 120, reference: 25 };
const states: ZeroState[] = [[0, 60], [70, 100], [110, 140], [200, 260], [300, 340], [400, 430], [440, 470], [520, 600]].map(([from, to]) => ({ from: from!, to: to! }));
const speedAt = (t: number): number => (t >= 65 && t < 105 ? 0.5 : t >= 105 && t < 145 ? -0.5 : t >= 190 && t < 270 ? 60 : t >= 290 && t < 350 ? -100 : t >= 395 && t < 435 ? 0.5 : t >= 435 && t < 480 ? -0.5 : 0);
const temperatureAt = (t: number): number => 15 + 30 * (1 - Math.exp(-t / 150)) - (t > 350 ? 12 * (1 - Math.exp(-(t - 350) / 60)) : 0);

function coldStart(seed: number): { torque: Channel<'N·m'>; temperature: Channel<'°C'>; speed: Channel<'rad/s'> } {
  const random = createRandom(seed);
  const torque = Float64Array.from({ length: 6000 }, (_, i) => {
    const t = i / 10;
    const w = speedAt(t);
    return truth.z0 + truth.zt * t + truth.zT * (temperatureAt(t) - truth.reference) + truth.zw * w * w + truth.friction * Math.sign(w) + 5 * random.normal();
  });
  return {
    torque: channel('torque', 'N·m', 10, torque), temperature: channel('T', '°C', 1, Float64Array.from({ length: 601 }, (_, i) => temperatureAt(i))),
    speed: channel('n', 'rad/s', 10, Float64Array.from({ length: 6000 }, (_, i) => speedAt(i / 10))),
  };
}

describe('the zero model of a cold start', () => {
  const everything = ['time', 'temperature', 'speed squared', 'friction'] as const;
  it('keeps every coefficient within 2 standard errors of truth in 93 % of 500 seeded runs', () => {
    const expected = [truth.z0, truth.zt, truth.zT, truth.zw, truth.friction];
    const inside = [0, 0, 0, 0, 0];
    for (let seed = 1; seed <= 500; seed++) {
      const { torque, temperature, speed } = coldStart(seed);
      const model = fitZero(torque, { rest: states, model: everything, temperature, speed, referenceTemperature: truth.reference });
      expect(model.terms).toEqual(['constant', ...everything]);
      expected.forEach((value, j) => { if (Math.abs(model.coefficients[j]! - value) <= 2 * model.standardErrors[j]!) inside[j]!++; });
    }
    for (const count of inside) expect(count / 500).toBeGreaterThanOrEqual(0.93);
    for (const count of inside) expect(count / 500).toBeLessThan(0.999); // nor are the errors padded
  });
  it('takes the zero off under load, leaves friction in, and says how well at start and end', () => {
    const { torque, temperature, speed } = coldStart(7);
    const model = fitZero(torque, { rest: states, model: everything, temperature, speed });
    const done = removeZero(torque, model, { temperature, speed });
    const at = (t: number): number => done.values.slice(t * 10, t * 10 + 100).reduce((s, v) => s + v, 0) / 100;
    close(at(80), truth.friction, 3);
    close(at(120), -truth.friction, 3);
    close(at(220), truth.friction, 4);
    close(at(30), 0, 3);
    close(at(560), 0, 3);
    expect(replay(torque, done.trail, [temperature, speed])).toEqual(done);
    expect(done.trail.at(-1)!.inputs.map((o) => o.role)).toEqual(['temperature', 'speed']);
    const read = zeroAt(model, { time: 300, temperature: 20, speed: 50 });
    const byHand = model.coefficients[0]! + 300 * model.coefficients[1]! + (20 - model.referenceTemperature!) * model.coefficients[2]! + 2500 * model.coefficients[3]!;
    close(read.zero, byHand, 1e-9);
    expect(read.standardError).toBeGreaterThan(0);
    expect(() => removeZero(torque, model, { speed })).toThrow('temperature must be a channel: the model depends on it');
    expect(() => removeZero(torque, model, { speed, temperature: channel('T', '°C', 1, [1, 2, 3]) })).toThrow('Slice the record to the part that both cover.');
  });
  it('survives JSON', () => {
    const { torque, temperature, speed } = coldStart(8);
    const model = fitZero(torque, { rest: states, model: everything, temperature, speed });
    const back = JSON.parse(JSON.stringify(model)) as ZeroModel;
    expect(removeZero(torque, back, { temperature, speed }).values).toEqual(removeZero(torque, model, { temperature, speed }).values);
  });
  it('leaves out what the states cannot separate, and says why', () => {
    const { torque, temperature, speed } = coldStart(9);
    const oneWay = fitZero(torque, { rest: states.filter((s) => speedAt(s.from) >= 0), model: ['friction'], speed });
    expect(oneWay.terms).toEqual(['constant']);
    expect(oneWay.notes).toContain('friction not separated: one direction only.');
    const oneState = fitZero(torque, { rest: [{ from: 0, to: 60 }], model: ['time', 'temperature'], temperature });
    expect(oneState.notes).toContain('time not separated: one state only.');
    const steady = fitZero(torque, { rest: [{ from: 0, to: 10, temperature: 20 }, { from: 20, to: 30, temperature: 20 }], model: ['temperature'] });
    expect(steady.notes).toContain('temperature not separated: it is the same in every state.');
    const together = fitZero(torque, { rest: [{ from: 0, to: 10, temperature: 20 }, { from: 100, to: 110, temperature: 30 }, { from: 200, to: 210, temperature: 40 }], model: ['time', 'temperature'] });
    expect(together.notes).toContain('temperature not separated: in these states it goes with time.');
  });
  it('refuses terms without what they depend on', () => {
    const { torque } = coldStart(10);
    expect(() => fitZero(torque, { rest: states, model: ['temperature'] })).toThrow('Give a temperature channel, or temperature with each state.');
    expect(() => fitZero(torque, { rest: states, model: ['friction'] })).toThrow('Give a speed channel, or speed with each state.');
    expect(() => fitZero(torque, { rest: states, model: ['drift' as never] })).toThrow("model must be one of 'time'");
  });
  it('widens its standard errors where the noise is slow, so that they still hold', () => {
    let inside = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const random = createRandom(seed);
      let slow = 0;
      const values = Float64Array.from({ length: 6000 }, () => {
        slow = 0.98 * slow + random.normal();
        return 7 + slow;
      });
      const model = fitZero(channel('T', 'N·m', 10, values), { rest: [{ from: 0, to: 200 }, { from: 400, to: 600 }], model: 'constant' });
      if (Math.abs(model.coefficients[0]! - 7) <= 2 * model.standardErrors[0]!) inside++;
    }
    expect(inside / 200).toBeGreaterThanOrEqual(0.9);
  });
  it('notes states that scatter more than their noise, such as one with the shaft wound up', () => {
    const random = createRandom(12);
    const values = Float64Array.from({ length: 5000 }, (_, i) => (i >= 2000 && i < 3000 ? 50 : 0) + random.normal());
    const five = [0, 100, 200, 300, 400].map((from) => ({ from: from + 10, to: from + 90 }));
    const c = channel('T', 'N·m', 10, values);
    const model = fitZero(c, { rest: five, model: 'constant' });
    expect(model.notes.some((n) => n.includes('a state may hold torque'))).toBe(true);
    expect(model.states[2]!.leaveOneOut!).toBeGreaterThan(45);
    const robust = fitZero(c, { rest: five, model: 'constant', method: 'Theil-Sen' });
    close(robust.coefficients[0]!, 0, 0.5);
    expect(robust.method).toBe('Theil-Sen');
  });
});

describe('Theil–Sen', () => {
  it('agrees with the worked example of Sen (1968): slope 4, limits 3.71 and 4.38 at 93 %', () => {
    const line = theilSen([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], null, 0.93)!;
    expect(line.slope).toBe(4);
    expect(line.intercept).toBe(6);
    close(line.low, 3.7142857142857144, 1e-12);
    close(line.high, 4.375, 1e-12);
  });
  it('agrees with three points (SciPy test suite: slope 0.5, joint intercept 0) and with Anscombe III (1973, recomputed): the line of all points but one', () => {
    const three = theilSen([0, 1, 2], [0, 1, 1])!;
    expect([three.slope, three.intercept]).toEqual([0.5, 0]);
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const line = theilSen(x, [7.46, 6.77, 12.74, 7.11, 7.81, 8.84, 6.08, 5.39, 8.15, 6.42, 5.73])!;
    close(line.slope, 0.3455555555555555, 1e-12);
  });
  it('fits a drift that one wrong state in six would bend, and refuses more than one slope', () => {
    const random = createRandom(13);
    const values = Float64Array.from({ length: 6000 }, (_, i) => 3 + 0.01 * (i / 10) + (i >= 3000 && i < 4000 ? 30 : 0) + random.normal());
    const c = channel('T', 'N·m', 10, values);
    const rest = [0, 100, 200, 300, 400, 500].map((from) => ({ from: from + 5, to: from + 95 }));
    const robust = fitZero(c, { rest, model: 'linear in time', method: 'Theil-Sen' });
    close(robust.coefficients[1]!, 0.01, 0.0015);
    close(robust.coefficients[0]!, 3, 0.5);
    expect(Math.abs(fitZero(c, { rest, model: 'linear in time' }).coefficients[0]! - 3)).toBeGreaterThan(1);
    expect(() => fitZero(c, { rest, model: ['time', 'friction'], method: 'Theil-Sen' })).toThrow('Medians fit the constant and one of time and temperature.');
  });
});
