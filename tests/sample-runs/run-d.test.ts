import { describe, expect, it } from 'vitest';
import { makeRunD } from '../../sample-runs/run-d.mjs';
import { rangePowerSums } from '../../sample-runs/witness.mjs';
import { committed, truthOf, worst } from './committed.js';

const run = makeRunD();

describe('run (d)', () => {
  it('comes out of the generator as it is committed, one minute a file, in one time line', () => {
    run.files.forEach((values, k) => {
      const [time, torque] = committed(`run-d.${String(k + 1).padStart(2, '0')}.csv.gz`);
      expect(worst(torque!, values)).toBe(0);
      expect(time![0]).toBe(60 * k);
    });
    expect(run.files.length).toBe(12);
    expect(truthOf('run-d')).toEqual(JSON.parse(JSON.stringify(run.truth)));
  });
  it('loses a tenth or more of its damage at m = 5 when its files are counted one by one, by the witness count', () => {
    const whole = rangePowerSums(run.torque, [5])[0]!.sum;
    const apart = run.files.reduce((sum, values) => sum + rangePowerSums(values, [5])[0]!.sum, 0);
    expect(apart / whole).toBeLessThan(0.9);
    expect(apart / whole).toBeGreaterThan(0.4);
  });
});
