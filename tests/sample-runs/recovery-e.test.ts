import { beforeAll, describe, expect, it } from 'vitest';
import { findLines, pick, powerDensity, readRecording, slice, type Channel, type SpectralLine } from '../../src/index.js';
import { makeRunE } from '../../sample-runs/run-e.mjs';
import { file } from './processing.js';

describe('run (e), processed without knowing its truth', () => {
  const run = makeRunE();
  let bridge: Channel<'mV/V'>;
  beforeAll(async () => {
    bridge = pick(await readRecording(file('run-e.csv.gz')), 'bridge', 'mV/V');
  });
  it('shows the mains pick-up at full speed and at rest: frequency within 5 mHz, amplitude within 5 %', () => {
    const { frequency, amplitudes } = run.truth.mains;
    for (const window of [{ from: 84, to: 97 }, { from: 116, to: 129 }]) {
      const lines = findLines(powerDensity(slice(bridge, window), { segment: 2500 }), { from: 40 });
      [1, 2].forEach((harmonic, k) => {
        const line = lines.reduce((best: SpectralLine, l) => (Math.abs(l.frequency - harmonic * frequency) < Math.abs(best.frequency - harmonic * frequency) ? l : best));
        expect(Math.abs(line.frequency - harmonic * frequency)).toBeLessThan(0.005);
        expect(Math.abs(line.amplitude / amplitudes[k]! - 1)).toBeLessThan(0.05);
      });
    }
  });
});
