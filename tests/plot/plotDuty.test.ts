import { describe, expect, it } from 'vitest';
import { atWidth, curveLibrary, cyclesFromTable, damage, dutyMix, mm, MPa, plotDuty, stressCycles, type Damage } from '../../src/index.js';
import { dataOf, drawn, textsOf } from './helpers.js';

const of = (range: number, count: number, hours: number): Damage => damage(stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(range)], count: [count], hours }), { basis: 'local', kind: 'shear', source: 'by hand' }), { curve: curveLibrary.en1993Shear(100), meanStress: 'none', residue: 'half' });
const states = [{ name: 'intake clear', damage: of(60, 200, 1), hours: 4900 }, { name: 'intake blocked', damage: of(130, 400, 1), hours: 100 }];
const starts = [{ name: 'start', damage: of(200, 4, 1), contained: 2, perYear: 120 }];
const mix = dutyMix(states, { starts });

describe('plotDuty', () => {
  it('draws the share of the damage of each part beside its share of the hours, by hand', () => {
    const rows = dataOf({ layer: [plotDuty(mix).spec] })[0] as unknown as { name: string; of: string; share: number }[];
    const share = (name: string, kind: string): number => rows.find((r) => r.name === name && r.of === kind)!.share;
    // Slope 5: the damage of a year goes with cycles · range⁵.
    const work = { 'intake clear': 200 * 4900 * 60 ** 5, 'intake blocked': 400 * 100 * 130 ** 5, start: 2 * 120 * 200 ** 5 };
    const total = Object.values(work).reduce((a, b) => a + b);
    for (const [name, part] of Object.entries(work)) expect(share(name, 'share of the damage')).toBeCloseTo((100 * part) / total, 9);
    expect(share('intake clear', 'share of the hours')).toBe(98);
    expect(share('intake blocked', 'share of the hours')).toBe(2);
    expect(rows.map((r) => r.name)).toEqual(mix.parts.flatMap((p) => [p.name, p.name]));
  });
  it('writes shares, hours and pieces, and says what does most', () => {
    const figure = plotDuty(mix);
    expect(textsOf(drawn(figure))).toEqual(expect.arrayContaining(['98 %: 4\u202f900 h', '2.0 %: 100 h', 'no hours: 120 by the piece', 'share of the damage', 'share of the hours', 'Share / %']));
    expect(figure.caption).toContain(`${mix.parts[0]!.name} does`);
    expect(JSON.stringify(figure.spec)).toContain(mix.text);
  });
  it('names the interval where the shares of the hours are uncertain', () => {
    expect(JSON.stringify(plotDuty(dutyMix(states, { certainty: 40 })).spec)).toMatch(/as the hours may fall \(90 %\)/);
  });
  it('writes every name in a column, above its bars', () => {
    const texts = textsOf(drawn(atWidth(mm(85), () => plotDuty(mix))));
    for (const name of ['intake clear', 'intake blocked', 'start']) expect(texts).toContain(name);
  });
  it('draws a duty without damage', () => {
    expect(textsOf(drawn(plotDuty(dutyMix([{ name: 'idle', damage: of(1, 1, 1), hours: 10 }]))))).toContain('100 %: 10 h');
  });
  it('refuses another thing', () => {
    expect(() => plotDuty({} as never)).toThrow('mix must be a DutyMix');
  });
});
