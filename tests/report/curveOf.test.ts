import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { meanStressFactor, MPa, walkerExponentOfSteel } from '../../src/index.js';
import { meanStressName } from '../../src/fatigue/names.js';
import { assess } from '../../src/report/assess.js';
import { curveOf, meanStressOf } from '../../src/report/curveOf.js';
import { checkJob } from '../../src/report/readJob.js';

const samples = fileURLToPath(new URL('../../sample-runs/', import.meta.url));
const raw = JSON.parse(readFileSync(`${samples}run-d.job.json`, 'utf8'));
const ruleOf = (meanStress: object, shaft: object = {}) => meanStressOf(checkJob({ ...raw, shaft: { ...raw.shaft, tensileStrength: '900 MPa', ...shaft }, meanStress }, 'd', samples));

describe('the mean-stress rule of a job', () => {
  it('is read with the strength that it needs', () => {
    expect(ruleOf({ rule: 'none' })).toBe('none');
    expect(ruleOf({ rule: 'gerber', equivalence: 'maximum shear' })).toEqual({ rule: 'gerber', ultimate: 900e6, shear: 'maximum shear' });
    expect(ruleOf({ rule: 'morrow', fatigueStrength: '1200 MPa' })).toEqual({ rule: 'morrow', strength: 1200e6, shear: 'von Mises' });
    expect(ruleOf({ rule: 'walker', exponent: 0.65 })).toEqual({ rule: 'walker', exponent: 0.65 });
  });
  it('Walker without an exponent takes that of the steel: 0.8818 − 0.0002·900 = 0.7018', () => {
    const rule = ruleOf({ rule: 'walker' });
    expect(rule).toEqual({ rule: 'walker', exponent: walkerExponentOfSteel(MPa(900)) });
    expect(meanStressName(rule)).toBe('Walker, γ = 0.7018');
  });
  it.each([
    [{ rule: 'morrow' }, 'meanStress.fatigueStrength'], [{ rule: 'walker', equivalence: 'von Mises' }, 'meanStress.equivalence'], [{ rule: 'none', exponent: 0.5 }, 'meanStress.exponent'],
    [{ rule: 'goodman', fatigueStrength: '900 MPa' }, 'meanStress.fatigueStrength'], [{ rule: 'smith-watson-topper', equivalence: 'von Mises' }, 'meanStress.equivalence'],
  ])('%j is refused by its key', (meanStress, key) => {
    expect(() => ruleOf(meanStress)).toThrow(key);
  });
  it('Walker without an exponent or a tensile strength is refused, and an exponent above 1', () => {
    expect(() => ruleOf({ rule: 'walker' }, { tensileStrength: undefined })).toThrow('shaft.tensileStrength');
    expect(() => ruleOf({ rule: 'walker', exponent: 1.2 })).toThrow('a number from 0 to 1');
  });
  it('a strength that the mean reaches is said by the file and the key', async () => {
    const job = checkJob({ ...raw, recording: { ...raw.recording, files: raw.recording.files.slice(0, 2) }, meanStress: { rule: 'morrow', fatigueStrength: '20 MPa' } }, 'd.job.json', samples);
    await expect(assess(job)).rejects.toThrow(/d\.job\.json: meanStress must be/);
  });
  it('moves the assessed damage as its factor says, cycle by cycle', async () => {
    const of = async (meanStress: object): Promise<Awaited<ReturnType<typeof assess>>> => assess(checkJob({ ...raw, recording: { ...raw.recording, files: raw.recording.files.slice(0, 2) }, curve: { ...raw.curve, beyond: 'same-slope' }, meanStress }, 'd', samples));
    const [none, walker, morrow] = [await of({ rule: 'none' }), await of({ rule: 'walker', exponent: 0.65 }), await of({ rule: 'morrow', fatigueStrength: '1200 MPa' })];
    const expected = (rule: Parameters<typeof meanStressFactor>[0]): number => {
      const { cycles, curve, factor } = none.damage;
      let sum = 0;
      cycles.range.forEach((range, k) => { sum += none.damage.damage[k]! * meanStressFactor(rule, { kind: 'shear', amplitude: (range * factor) / 2, mean: cycles.mean[k]! * factor }) ** curve.slope; });
      return sum / none.damage.hours;
    };
    expect(walker.damage.perHour / expected({ rule: 'walker', exponent: 0.65 })).toBeCloseTo(1, 9);
    expect(morrow.damage.perHour / expected({ rule: 'morrow', strength: 1200e6, shear: 'von Mises' })).toBeCloseTo(1, 9);
    expect(walker.damage.perHour).toBeGreaterThan(none.damage.perHour);
  });
});

describe('a synthetic curve of a job', () => {
  it('stands for the survival at which its limit was taken', () => {
    const of = (curve: object) => curveOf(checkJob({ ...raw, shaft: { ...raw.shaft, tensileStrength: '900 MPa' }, curve: { use: 'synthetic shear', enduranceLimit: '120 MPa', ...curve } }, 'd', samples)).survival;
    expect([of({}), of({ survival: 0.99 })]).toEqual([0.5, 0.99]);
  });
});
