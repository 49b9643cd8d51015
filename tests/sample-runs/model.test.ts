import { describe, expect, it } from 'vitest';
import { simulate, still } from '../../sample-runs/model.mjs';
import { rangePowerSums } from '../../sample-runs/witness.mjs';
import { freeModes, plant } from '../../sample-runs/tarn-weir.mjs';
import { ringDown } from './ringDown.js';

describe('the model', () => {
  it('without water and friction rings at its eigenvalue within 0.01 % in frequency and 0.5 % in damping', () => {
    const bare = { ...plant, pumpTorque: 0, friction: { ...plant.friction, motor: 0, gear: 0, pump: 0 } };
    const twist = 1000 / plant.stiffness.lineShaft;
    const { torque } = simulate({ seconds: 8, sampleRate: 1000, substeps: 4, seed: 1, plant: bare, state: [0, twist, 0, 0, 0, 0, 0], duty: () => still });
    const mode = freeModes()[0]!;
    const ring = ringDown(torque.subarray(1000), 1000);
    expect(Math.abs(ring.frequency / mode.frequency - 1)).toBeLessThan(1e-4);
    expect(Math.abs(ring.damping / mode.damping - 1)).toBeLessThan(0.005);
  });
  it('keeps to its rigid-body law: the same torque on all makes the speed that torque and inertia say', () => {
    const bare = { ...plant, pumpTorque: 0, friction: { ...plant.friction, motor: 0, gear: 0, pump: 0 } };
    const { speed } = simulate({ seconds: 4, sampleRate: 1000, substeps: 4, seed: 1, plant: bare, duty: () => ({ ...still, torque: -200 }) });
    const { motor, gear, pump } = plant.inertia;
    expect(speed[3900]! / ((200 * 3.9) / (motor + gear + pump))).toBeCloseTo(1, 2);
  });
});

describe('the witness of cycles', () => {
  it('counts the history of ASTM E1049-85 (2017) figure 6: 3 ½, 4 1 ½, 6 ½, 8 ½ ½, 9 ½', () => {
    const history = Float64Array.from([-2, 1, -3, 5, -1, 3, -4, 4, -2]);
    const byHand = (m: number): number => 0.5 * 3 ** m + 1.5 * 4 ** m + 0.5 * 6 ** m + 1 * 8 ** m + 0.5 * 9 ** m;
    for (const { exponent, sum } of rangePowerSums(history, [1, 3, 5])) expect(sum).toBeCloseTo(byHand(exponent), 6);
  });
});
