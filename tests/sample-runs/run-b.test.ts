import { describe, expect, it } from 'vitest';
import { makeRunB } from '../../sample-runs/run-b.mjs';
import { committed, truthOf, worst } from './committed.js';

describe('run (b)', () => {
  it('comes out of the generator as it is committed', () => {
    const b = makeRunB();
    const [, bridge, speed] = committed('run-b.csv.gz');
    expect(worst(bridge!, b.channels.bridge)).toBe(0);
    expect(worst(speed!, b.channels.speed)).toBe(0);
    expect(worst(committed('run-b.truth.csv.gz')[0]!, b.trueTorque)).toBeLessThan(0.501);
    expect(truthOf('run-b')).toEqual(JSON.parse(JSON.stringify(b.truth)));
    for (const { from, to, why } of b.truth.faults.bridge) {
      const lost = b.channels.bridge.subarray(from, to);
      expect(lost.every((v) => v === (why === 'dropout' ? 0 : b.channels.bridge[from - 1]))).toBe(true);
    }
  });
});
