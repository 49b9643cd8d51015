import { describe, expect, it } from 'vitest';
import { cyclesFromTable, damage, lifeCurve, MPa, plotBudget, plotLifeCurve, stressCycles, uncertaintyBudget, type Figure } from '../../src/index.js';

/** The dashes of every scale of lines in a figure. */
function dashesOf(figure: Figure): string[][] {
  const found: string[][] = [];
  JSON.stringify(figure.spec, (key, value: unknown) => {
    if (key === 'strokeDash' && typeof value === 'object' && value !== null && 'scale' in value) found.push((value.scale as { range: unknown[] }).range.map((d) => JSON.stringify(d)));
    return value;
  });
  return found;
}

const curve = lifeCurve({ name: 'steel', kind: 'shear', measure: 'amplitude', through: { stress: MPa(75), cycles: 1e6 }, slope: 5, knee: 2e6, beyond: 'reduced-slope', ratio: -1, survival: 0.5, tested: { from: 1e4, to: 1e7 }, notch: 'in the stress', source: 'by hand' });
const done = damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(180)], count: [20], hours: 1 }), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve, meanStress: 'none', residue: 'half' });

const figures: readonly (readonly [string, () => Figure])[] = [
  ['a curve of lives with the cycles applied', () => plotLifeCurve(curve, { damage: done })],
  ['a budget with both intervals', () => plotBudget(uncertaintyBudget({ inputs: { a: { value: 2, standard: 0.1 }, b: { value: 3, standard: 0.1 } }, model: ({ a, b }) => a! * b!, draws: 500 }))],
];

describe('lines that differ in colour differ in dash too, so that nothing hangs on colour', () => {
  it.each(figures)('%s', (_, make) => {
    const scales = dashesOf(make());
    expect(scales.length).toBeGreaterThan(0);
    for (const range of scales) expect(new Set(range).size).toBe(range.length);
  });
});
