import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';

/** A steel of shafts at one size or condition. SI. */
export interface ShaftSteel {
  readonly name: string;
  readonly condition: string;
  /** Diameters or thicknesses for which it holds, m; above the first, up to the second. */
  readonly above: number;
  readonly upTo: number;
  /** Least yield strength, Pa. */
  readonly yield: number;
  /** Least tensile strength, Pa. */
  readonly ultimate: number;
  /** Highest tensile strength where the standard states one, Pa. */
  readonly ultimateMost: number | null;
  /** Young's modulus and Poisson's ratio. */
  readonly elasticModulus: number;
  readonly poisson: number;
  readonly source: string;
}

type Row = readonly [above: number, upTo: number, yield_: number, least: number, most: number | null];

/** Standards and handbooks with their editions, row by row in `source`: EN 10025-2:2004, EN 10083-2 and -3:2006, tables of mechanical properties; Shigley, 9th ed., tables A-20 and A-21. Sizes in mm, strengths in MPa. */
const standards: readonly { readonly name: string; readonly condition: string; readonly source: string; readonly rows: readonly Row[] }[] = [
  { name: 'S355', condition: 'as rolled', source: 'EN 10025-2:2004, table of mechanical properties: yield by thickness (edition and range of tensile strength from memory)', rows: [[0, 16, 355, 470, 630], [16, 40, 345, 470, 630], [40, 63, 335, 470, 630], [63, 80, 325, 470, 630], [80, 100, 315, 470, 630]] },
  { name: '42CrMo4', condition: 'quenched and tempered', source: 'EN 10083-3:2006, mechanical properties, as data sheets quote them', rows: [[0, 16, 900, 1100, 1300], [16, 40, 750, 1000, 1200], [40, 100, 650, 900, 1100], [100, 160, 550, 800, 950], [160, 250, 500, 750, 900]] },
  { name: 'C45E', condition: 'quenched and tempered', source: 'EN 10083-2:2006, mechanical properties, as data sheets quote them', rows: [[0, 16, 490, 700, 850], [16, 40, 430, 650, 800], [40, 100, 370, 630, 780]] },
  { name: 'AISI 1045', condition: 'hot rolled', source: "Shigley's Mechanical Engineering Design, 9th ed., table A-20 (1986 SAE Handbook)", rows: [[0, 250, 310, 570, null]] },
  { name: 'AISI 1045', condition: 'cold drawn', source: "Shigley's Mechanical Engineering Design, 9th ed., table A-20 (1986 SAE Handbook); tensile strength from memory", rows: [[0, 250, 530, 630, null]] },
  ...([['annealed at 815 °C', 417.1, 655], ['normalised at 870 °C', 655, 1020.4], ['oil quenched, tempered at 205 °C', 1641, 1772], ['oil quenched, tempered at 315 °C', 1434, 1551], ['oil quenched, tempered at 425 °C', 1138, 1248], ['oil quenched, tempered at 540 °C', 834, 951], ['oil quenched, tempered at 650 °C', 655, 758]] as const)
    .map(([condition, y, u]) => ({ name: 'AISI 4140', condition, source: 'ASM Metals Reference Book, 25 mm round (as in Shigley, 9th ed., table A-21)', rows: [[0, 25, y, u, null]] as readonly Row[] })),
  { name: 'AISI 4340', condition: 'oil quenched, tempered at 650 °C', source: 'ASM data sheets, 50 mm round', rows: [[0, 50, 834, 931, null]] },
  { name: 'AISI 4340', condition: 'normalised', source: 'ASM data sheets, 100 mm round', rows: [[0, 100, 710, 1110, null]] },
];

/** Every row of the table, in order. */
export const shaftSteels: readonly ShaftSteel[] = Object.freeze(standards.flatMap((s) => s.rows.map(([above, upTo, y, least, most]) => makeResult<ShaftSteel>('ShaftSteel', {
  name: s.name, condition: s.condition, above: above / 1000, upTo: upTo / 1000, yield: y * 1e6, ultimate: least * 1e6, ultimateMost: most === null ? null : most * 1e6,
  elasticModulus: s.name === 'AISI 4340' ? 205e9 : 210e9, poisson: s.name === 'AISI 4340' ? 0.29 : 0.3, source: s.source,
}, (steel) => `${steel.name}, ${steel.condition}, ${steel.above * 1000} to ${steel.upTo * 1000} mm: yield ${steel.yield / 1e6} MPa, tensile ${steel.ultimate / 1e6}${steel.ultimateMost === null ? '' : ` to ${steel.ultimateMost / 1e6}`} MPa (${steel.source})`))));

/**
 * Looks a shaft steel up by name, condition and size. A measured or certified strength is better than any table.
 *
 * @param name such as '42CrMo4'
 * @param diameter m
 * @param condition needed only where the name has several
 * @returns the row, with its source
 * @throws InputError for an unknown name, several conditions without one stated, or a size the row does not reach
 * @see staticMargin, enduranceLimit
 * @example
 * shaftSteel('42CrMo4', mm(90)).yield / 1e6 // => 650
 * shaftSteel('42CrMo4', mm(400)) // => throws diameter must be above 0 and up to 250 mm
 * @references EN 10025-2:2004, EN 10083-2 and -3:2006, ASM and SAE tables as the rows say; E = 210 GPa and ν = 0.3: EN 1993-1-1:2005, clause 3.2.6.
 */
export function shaftSteel(name: string, diameter: number, condition?: string): ShaftSteel {
  const where = 'shaftSteel';
  checkNumber(where, 'diameter', diameter, { above: 0, unit: 'm' });
  const named = shaftSteels.filter((s) => s.name === name);
  if (named.length === 0) throw new InputError({ where, argument: 'name', expected: `one of ${[...new Set(shaftSteels.map((s) => s.name))].join(', ')}`, given: show(name) });
  const conditions = [...new Set(named.map((s) => s.condition))];
  const rows = named.filter((s) => (condition === undefined ? conditions.length === 1 : s.condition === condition));
  if (rows.length === 0) throw new InputError({ where, argument: 'condition', expected: `one of ${conditions.map((c) => `'${c}'`).join(', ')}`, given: show(condition) });
  const row = rows.find((s) => diameter > s.above && diameter <= s.upTo * (1 + 1e-12));
  if (!row) throw new InputError({ where, argument: 'diameter', expected: `above 0 and up to ${rows.at(-1)!.upTo * 1000} mm`, given: `${diameter * 1000} mm`, remedy: 'State the strength from the certificate.' });
  return row;
}
