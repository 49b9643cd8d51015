import { inspect } from 'node:util';
import { describe, expect, it } from 'vitest';
import { curveLibrary, cyclesFromTable, damage, fatigueSafety, MPa, stressCycles, type MeanStress } from '../../src/index.js';
import { continuations } from '../../src/fatigue/LifeCurve.js';
import { continuationName, meanStressName, ruleName } from '../../src/fatigue/names.js';

describe('names that a reader sees', () => {
  it('are those of the people and bodies who gave the rules, not the words of the options', () => {
    const rules: readonly MeanStress[] = ['none', { rule: 'goodman', ultimate: 1 }, { rule: 'gerber', ultimate: 1 }, { rule: 'soderberg', yield: 1 }, { rule: 'asme-elliptic', yield: 1 }, { rule: 'morrow', strength: 1 }, { rule: 'smith-watson-topper' }, { rule: 'walker', exponent: 0.65 }];
    expect(rules.map(meanStressName)).toEqual(['none', 'Goodman', 'Gerber', 'Soderberg', 'ASME elliptic', 'Morrow', 'Smith–Watson–Topper', 'Walker, γ = 0.65']);
    expect(ruleName('asme-elliptic')).toBe('ASME elliptic');
    expect(continuations.map(continuationName)).toEqual(['cut-off', 'reduced slope', 'same slope']);
  });
  it('stand in the line that a damage and a factor of safety show', () => {
    const cycles = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(300)], mean: [MPa(50)], count: [10], hours: 1 }), { basis: 'local', kind: 'direct', source: 't' });
    const curve = curveLibrary.synthetic({ kind: 'direct', ultimate: MPa(700), enduranceLimit: MPa(200) });
    expect(inspect(damage(cycles, { curve, meanStress: { rule: 'goodman', ultimate: MPa(700) }, residue: 'half' }))).toContain('below the knee reduced slope, mean stress Goodman, residue half');
    expect(inspect(fatigueSafety({ criterion: 'asme-elliptic', amplitude: 1, mean: 1, endurance: 2, yield: 3 }))).toContain('after ASME elliptic');
  });
});
