import { describe, expect, it } from 'vitest';
import { windowFigures, type WindowChoice, type WindowFigures } from '../../src/index.js';
import { windowSamples } from '../../src/numeric/window.js';
import { close, type Case } from '../filter/golden.js';
import { published, publishedLike } from './golden.js';

const choice = (name: string): WindowChoice => (name.startsWith('kaiser') ? { kaiser: Number(name.slice(7)) * Math.PI }
  : (({ rectangle: 'rectangular', hanning: 'hann', 'blackman-harris 4': 'blackman-harris', flattop: 'flat-top', 'flattop Gade-Herlufsen': 'flat-top 1987' } as Record<string, WindowChoice>)[name] ?? name as WindowChoice));
const value = (f: WindowFigures, key: string): number => ({
  highest_sidelobe_dB: f.highestSidelobe, coherent_gain: f.coherentGain, enbw_bins: f.enbw, bw3_bins: f.width3dB, bw6_bins: f.width6dB, scalloping_dB: f.scalloping,
  worst_case_loss_dB: f.worstCaseLoss, overlap75_pct: 100 * f.correlation75, overlap50_pct: 100 * f.correlation50, max_deviation_within_half_bin_dB: f.ripple,
} as Record<string, number>)[key]!;
const check = ({ inputs, expected, tolerance }: Case): void => {
  const f = windowFigures(choice(inputs.window), { length: inputs.N });
  for (const [key, v] of Object.entries(expected) as [string, number][]) expect(Math.abs(value(f, key) - v), `${inputs.window} ${key}`).toBeLessThanOrEqual(tolerance.abs + tolerance.rel * Math.abs(v));
};

describe('windowFigures', () => {
  it.each(publishedLike('harris-').map((c) => [c.inputs.window as string, c] as const))('of %s are those of Harris 1978, table I (row from memory, recomputed)', (_, c) => {
    check(c);
    const f = windowFigures(choice(c.inputs.window), { length: c.inputs.N });
    const wrong: string[] = [];
    for (const [key, p] of Object.entries(c.published!)) if (Math.abs(value(f, key) - (p.value as number)) > p.abs) wrong.push(key);
    // Where the printed table differs from the exact value the case says so; nothing else may differ.
    expect(wrong.sort()).toEqual(Object.entries(c.published!).filter(([, p]) => p.agrees === false).map(([k]) => k).sort());
  });
  it('names the known misprints: Harris prints 1.78 dB scalloping for Hamming (exact 1.75), 2.72 bins for Blackman–Harris (exact 2.67), and a whole row for another window under exact Blackman', () => {
    expect(windowFigures('hamming').scalloping).toBeCloseTo(1.7514, 3);
    expect(windowFigures('blackman-harris').width6dB).toBeCloseTo(2.6664, 3);
    const exact = windowFigures('exact blackman');
    expect([exact.enbw.toFixed(2), exact.coherentGain.toFixed(2), exact.highestSidelobe.toFixed(0)]).toEqual(['1.69', '0.43', '-68']);
  });
  it.each(['flattop', 'flattop-gade-herlufsen'])('reference case %s (ISO 18431-2 set as SciPy carries it; Gade and Herlufsen 1987 as Octave carries it)', (id) => {
    check(published(id));
  });
  it('reference case flattop-values (SciPy 1.10.1 test suite)', () => {
    const { expected, tolerance } = published('flattop-values');
    for (const [n, w] of Object.entries(expected) as [string, number[]][]) close(windowSamples('flat-top', Number(n), 'periodic'), w, 0, tolerance.abs);
  });
  it('refuses a window that is not known', () => {
    expect(() => windowFigures('welch' as never)).toThrow("window must be one of 'rectangular'");
    expect(() => windowFigures('hann', { length: 8 })).toThrow('at least 16');
  });
});
