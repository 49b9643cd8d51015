import { beforeAll, describe, expect, it } from 'vitest';
import { countCycles, fileSumLoss, makeChannel, mergeCounts, pick, readRecording, type CycleCount } from '../../src/index.js';
import { makeRunD } from '../../sample-runs/run-d.mjs';
import { rangePowerSums } from '../../sample-runs/witness.mjs';
import { curves, damageOf, file } from './processing.js';

describe('run (d), twelve files of start–stop duty', () => {
  const run = makeRunD();
  const counts: CycleCount<'N·m'>[] = [];
  beforeAll(async () => {
    for (const k of run.files.keys()) {
      counts.push(countCycles(pick(await readRecording(file(`run-d.${String(k + 1).padStart(2, '0')}.csv.gz`)), 'torque', 'N·m')));
    }
  });

  it('gives the same count merged in time order as counted in one piece', () => {
    const merged = mergeCounts(...counts);
    const whole = countCycles(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: run.sampleRate, values: run.torque }));
    expect(merged.closed).toEqual(whole.closed);
    expect(merged.residue).toEqual(whole.residue);
    expect(merged.samples).toBe(whole.samples);
  });
  it.each(curves)('loses damage when the files are summed one by one: by $name', (curve) => {
    const merged = damageOf(mergeCounts(...counts), curve);
    const apart = counts.reduce((sum, count) => sum + damageOf(count, curve), 0);
    expect(apart / merged).toBeLessThan(0.95);
    expect(apart / merged).toBeGreaterThan(0.3);
  });
  it('shows that loss as the same number as the witness count', () => {
    const apart = run.files.reduce((sum, values) => sum + rangePowerSums(values, [5])[0]!.sum, 0);
    expect(fileSumLoss(counts, { exponent: 5, residue: 'half' }).ratio).toBeCloseTo(apart / rangePowerSums(run.torque, [5])[0]!.sum, 9);
  });
});
