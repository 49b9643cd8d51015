import { describe, expect, it } from 'vitest';
import { alignChannels, zeroAt, correctLatency, estimateLoss, findFaults, findRestStates, fitZero, lossMap, makeChannel, markInvalid, moveToClock, removeDrift, removeSpikes, removeZero, repairClock, worstCase, zeroStability, type Channel, type Unit } from '../../src/index.js';
import { breaches } from '../hostileArguments.js';

const n = 60;
const make = <U extends Unit>(name: string, unit: U, of: (i: number) => number, start: string | null = null): Channel<U> => makeChannel({ name, unit, sampleRate: 10, start, values: Float64Array.from({ length: n }, (_, i) => of(i)) });
const torque = make('torque', 'N·m', (i) => (i > 10 && i < 50 ? 100 + 20 * Math.sin(i) : 1 + (i % 3) / 10));
const masked = markInvalid(torque, [{ from: 20, to: 22, why: 'dropout' }, { from: 30, to: 31, why: 'rail' }]);
const speed = make('speed', 'rpm', (i) => (i > 10 && i < 50 ? 100 : 0));
const temperature = make('temperature', '°C', (i) => 20 + i / 10);
const counter = make('frame', 'count', (i) => (i + (i > 30 ? 3 : 0)) % 16);
const stamps = make('stamp', 's', (i) => (i + (i > 30 ? 3 : 0)) / 10);
const rest = [{ from: 0, to: 1 }, { from: 5.1, to: 6 }];
const zero = fitZero(torque, { rest, model: 'linear in time' });
const walk = makeChannel({ name: 'walk', unit: 'rpm', sampleRate: 10, values: Float64Array.from({ length: 400 }, (_, i) => 300 * Math.tanh((i - 200) / 20) + 20 * Math.sin(i * i / 900)) });

describe('hostile arguments to the cleaning verbs give an InputError with a sentence, or a result of numbers', () => {
  it.each<readonly [string, (...args: never[]) => unknown, readonly unknown[]]>([
    ['findFaults', findFaults, [torque, { dropout: { level: 0 }, held: { longerThan: 1 }, rail: { high: 200, low: -200 }, spike: { highestMode: 2, longest: 3 }, saturation: false, stuckBit: false, wrapAround: { modulus: 500 } }]],
    ['findRestStates', findRestStates, [{ speed, below: 1, minimum: 0.5, guard: 0, barringBelow: 2 }]],
    ['fitZero', fitZero, [torque, { rest, model: ['time', 'temperature'], temperature, speed, referenceTemperature: 20, method: 'least squares' }]],
    ['fitZero by medians', fitZero, [torque, { rest, model: 'linear in time', method: 'Theil-Sen' }]],
    ['removeZero', removeZero, [torque, zero, { temperature }]],
    ['zeroAt', zeroAt, [fitZero(torque, { rest: [{ from: 0, to: 1 }, { from: 5.1, to: 5.5 }, { from: 5.6, to: 6 }], model: ['time', 'temperature'], temperature }), { time: 1, temperature: 20, speed: 3 }]],
    ['removeDrift', removeDrift, [torque, { window: 1 }]],
    ['removeSpikes', removeSpikes, [torque, { highestMode: 2, longest: 3 }]],
    ['repairClock', repairClock, [torque, { counter, modulus: 16, stamps }]],
    ['repairClock by stamps', repairClock, [torque, { stamps, maxJitter: 0.25 }]],
    ['alignChannels', alignChannels, [walk, walk, { smoothing: 0.2 }]],
    ['moveToClock', moveToClock, [torque, { reference: speed, offset: 0.1, skew: 1e-5 }]],
    ['correctLatency', correctLatency, [torque, { latency: 0.1 }]],
    ['estimateLoss', estimateLoss, [masked, { of: (c: Channel) => c.values.reduce((s, v) => s + Math.abs(v), 0), within: 3, draws: 20, seed: 1, coverage: 0.9 }]],
    ['worstCase', worstCase, [masked, { low: -100, high: 200, cyclesPerSecond: 1, why: ['dropout', 'rail'] }]],
    ['lossMap', lossMap, [masked, { why: ['dropout'], classes: 4, speed }]],
    ['markInvalid', markInvalid, [torque, [{ from: 20, to: 22, why: 'dropout' }]]],
    ['zeroStability', zeroStability, [torque, { window: { from: 0, to: 6 }, averages: [1, 2] }]],
  ])('%s', (_, verb, args) => {
    expect(breaches(verb, args)).toEqual([]);
  });
  it('zeroAt without an instant, or without what the model depends on', () => {
    expect(() => (zeroAt as (model: unknown) => unknown)(zero)).toThrow('zeroAt: options must be an object with time, temperature, speed, got undefined.');
    const byTemperature = fitZero(torque, { rest, model: ['temperature'], temperature });
    expect(() => zeroAt(byTemperature, { time: 1 })).toThrow('zeroAt: temperature must be a finite number above -273.15 °C, got undefined.');
  });
});
