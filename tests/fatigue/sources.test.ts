import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { curveLibrary, shaftSteels } from '../../src/index.js';

const folder = fileURLToPath(new URL('../../src/fatigue/', import.meta.url));

/** Module constants of at least four numbers, with the comment before each: the tables that the formulas of a published source take. */
const tables = readdirSync(folder).flatMap((file) => {
  const text = readFileSync(`${folder}${file}`, 'utf8');
  return ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true).statements.filter(ts.isVariableStatement).flatMap((statement) => {
    let numbers = 0;
    const visit = (node: ts.Node): void => {
      if (ts.isNumericLiteral(node)) numbers++;
      node.forEachChild(visit);
    };
    visit(statement);
    return numbers < 4 ? [] : [{ name: statement.declarationList.declarations[0]!.name.getText(), comment: text.slice(statement.pos, statement.getStart()) }];
  });
});
/** Not from a publication: a definition, and the rows of a table above as objects. */
const own = ['shearEquivalences', 'shaftSteels'];

describe('every published table of numbers in the fatigue part', () => {
  it('is one of these', () => {
    expect(tables.map((t) => t.name).sort()).toEqual(['bs7608Rows', 'categories', 'dnvRows', 'finishes', 'grooveFits', 'iso19902Rows', 'shaftFeatures', 'shaftSteels', 'shearEquivalences', 'shigleyRoots', 'shoulderFits', 'standards']);
  });
  it.each(tables.filter((t) => !own.includes(t.name)))('$name states the edition of its source and where in it it stands', ({ comment }) => {
    expect(comment).toMatch(/\b(19|20)\d\d\b|\bed\.,/);
    expect(comment).toMatch(/\b(tables?|charts?|figures?|equations?)\b/);
  });
  it('each curve of the library and each row of the steels carries its source with an edition', () => {
    for (const { name, source } of [...curveLibrary.list(), ...shaftSteels]) expect(source, name).toMatch(/\b(19|20)\d\d\b|\bed\.,|\b(ASM|SAE)\b/);
  });
});

describe('every formula with fitted constants', () => {
  const sourceOf = (file: string): string => readFileSync(`${folder}${file}`, 'utf8');
  it.each([
    ['spectralDamage.ts', 'wirschingLight', /Wirsching and Light 1980/, '0.926 − 0.033 m'], ['spectralDamage.ts', 'dirlik', /Dirlik 1985/, 'D₁ = 2(x − α₂²)/(1 + α₂²)'], ['spectralDamage.ts', 'tovoWeight', /Benasciutti and Tovo 2005/, '1.112·'],
    ['spectralDamage.ts', 'zhaoBaker', /part 3\.12, appendix B2/, 'a = (8 − 7α₂)^(−1/b)'], ['stressConcentration.ts', 'shoulderKts', /DIN 743-2:2012/, 'α = 1 + 1/√(A·r/t'], ['stressConcentration.ts', 'holeKts', /7th ed., table 17\.1/, 'K = 4 + C₂·(2r/D)'],
    ['stressConcentration.ts', 'keywayKts', /3rd ed., 2008, charts 5\.1 and 5\.2/, '1.953 + 0.1434·x'], ['notchSensitivity.ts', 'notchSensitivity', /equations 6-34, 6-35a and 6-35b/, '−(Su − 134)/586'], ['enduranceLimit.ts', 'enduranceLimit', /equations 6-18 to 6-29/, 'k_b = (d/7.62 mm)^−0.107'],
    ['strainLife.ts', 'estimateStrainLife', /Supplement 1, 1990/, 'σf′ = 1.5·Su'], ['meanStress.ts', 'walkerExponentOfSteel', /4th ed., equation 9\.20/, '0.8818 − 0.000200·Su'], ['vibrationLimits.ts', 'vibrationLimits', /M68\.5/, 'C_D = 0.35 + 0.93·d^−0.2'],
    ['fitLifeCurve.ts', 'fitLifeCurve', /E739-10 \(2015\)/, 'Ŷ ± √(2·F(2, ν))·se(Ŷ)'],
  ])('%s, %s: source, edition and the formula stand in its comment', (file, name, source, formula) => {
    const text = sourceOf(file);
    const end = text.indexOf(`export function ${name}(`) >= 0 ? text.indexOf(`export function ${name}(`) : text.indexOf(`export function ${name}<`);
    const comment = text.slice(text.lastIndexOf('/**', end), end);
    expect(comment).toMatch(source);
    expect(comment).toContain(formula);
  });
});
