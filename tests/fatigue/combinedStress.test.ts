import { describe, expect, it } from 'vitest';
import { closeResidue, combineCycles, countCycles, cyclesFromTable, stressCycles, MPa } from '../../src/index.js';

describe('the residue policy of combineCycles', () => {
  const count = countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2), { unit: 'Pa' });
  const shear = { basis: 'local', kind: 'shear', source: 't' } as const;
  it('closes a count, and must be the one by which cycles were closed before', () => {
    expect(combineCycles(stressCycles(count, shear), { residue: 'half' }).cycles.total).toBe(4);
    const dropped = stressCycles(closeResidue(count, 'drop'), shear);
    expect(combineCycles(dropped, { residue: 'drop' }).cycles).toMatchObject({ total: 1, residue: 'drop' });
    expect(() => combineCycles(dropped, { residue: 'half' })).toThrow("residue must be 'drop', by which these cycles were closed, got 'half'");
  });
  it('must be one of the three for closed cycles and for tables too', () => {
    const table = stressCycles(cyclesFromTable({ unit: 'Pa', range: [MPa(80)], count: [5], hours: 1 }), shear);
    for (const cycles of [table, stressCycles(closeResidue(count, 'drop'), shear)]) expect(() => combineCycles(cycles, { residue: 'nonsense' as never })).toThrow("residue must be one of 'half', 'repeat', 'drop'");
    expect(combineCycles(table, { residue: 'half' }).cycles.total).toBe(5);
  });
});
