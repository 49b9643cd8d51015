import { InputError } from '../record/errors.js';
import { curveLibrary } from '../fatigue/curveLibrary.js';
import { lifeCurve, type LifeCurve } from '../fatigue/LifeCurve.js';
import { walkerExponentOfSteel, type MeanStress } from '../fatigue/meanStress.js';
import { ruleName } from '../fatigue/names.js';
import { notchFactor, type NotchFactor } from '../fatigue/notchFactor.js';
import type { Measure } from '../fatigue/stress.js';
import { inJob } from './inJob.js';
import type { Job, JobCurve, JobNotch, OtherCurve } from './Job.js';

/** The S-N curve that a job asks for. @throws InputError for a key that the chosen curve needs and the job lacks */
export function curveOf(job: Job, curve: JobCurve = job.curve, at = 'curve'): LifeCurve<Measure, 'shear'> {
  return inJob((argument) => `${at}.${argument}`, () => made(job, curve, at));
}

function made(job: Job, curve: JobCurve, at: string): LifeCurve<Measure, 'shear'> {
  const need = <T>(key: keyof JobCurve, value: T | undefined): T => {
    if (value !== undefined) return value;
    throw new InputError({ where: 'job', argument: `${at}.${key}`, expected: `given for "${curve.use}"`, given: 'nothing' });
  };
  const beyond = (found: LifeCurve<Measure, 'shear'>): LifeCurve<Measure, 'shear'> => (curve.beyond === undefined ? found : lifeCurve({ ...found, beyond: curve.beyond }));
  switch (curve.use) {
    case 'EN 1993-1-9 shear':
      return beyond(curveLibrary.en1993Shear(need('category', curve.category) / 1e6, curve.materialFactor));
    case 'IIW shear':
      return beyond(curveLibrary.iiwShear(need('category', curve.category)  / 1e6));
    case 'synthetic shear':
      return beyond(curveLibrary.synthetic({ kind: 'shear', ultimate: tensileStrengthOf(job, 'a synthetic curve'), enduranceLimit: need('enduranceLimit', curve.enduranceLimit), ...(curve.survival === undefined ? {} : { survival: curve.survival }) }));
    case 'own':
      return lifeCurve({
        name: need('name', curve.name), kind: 'shear', measure: need('measure', curve.measure), through: { stress: need('stress', curve.stress), cycles: need('cycles', curve.cycles) },
        slope: need('slope', curve.slope), bend: curve.bend ?? null, knee: curve.knee ?? null, beyond: need('beyond', curve.beyond), ratio: curve.ratio ?? null,
        survival: curve.survival ?? null, deviation: curve.deviation ?? null, tested: curve.tested ?? null, notch: need('notch', curve.notch), source: need('source', curve.source),
      });
  }
}

/** What each mean-stress rule reads of the job besides its name. */
const readBy: Readonly<Record<Job['meanStress']['rule'], readonly (keyof Job['meanStress'])[]>> = {
  none: [], goodman: ['equivalence'], gerber: ['equivalence'], soderberg: ['equivalence'], 'asme-elliptic': ['equivalence'], morrow: ['equivalence', 'fatigueStrength'], 'smith-watson-topper': [], walker: ['exponent'],
};

/** The mean-stress rule that a job asks for, with the strength it needs. @throws InputError for a strength that is missing, or a key that the rule does not read */
export function meanStressOf(job: Job): MeanStress {
  const { rule, equivalence = 'von Mises', exponent, fatigueStrength } = job.meanStress;
  const idle = (['equivalence', 'exponent', 'fatigueStrength'] as const).find((key) => job.meanStress[key] !== undefined && !readBy[rule].includes(key));
  if (idle) throw new InputError({ where: 'job', argument: `meanStress.${idle}`, expected: `left out, because the rule "${rule}" does not read it`, given: String(job.meanStress[idle]) });
  switch (rule) {
    case 'none': return 'none';
    case 'smith-watson-topper': return { rule };
    case 'walker': return { rule, exponent: exponent ?? walkerExponentOfSteel(tensileStrengthOf(job, `${ruleName(rule)} without meanStress.exponent`)) };
    case 'goodman': case 'gerber': return { rule, ultimate: tensileStrengthOf(job, ruleName(rule)), shear: equivalence };
    case 'soderberg': case 'asme-elliptic': return { rule, yield: job.shaft.yieldStrength, shear: equivalence };
    case 'morrow':
      if (fatigueStrength === undefined) throw new InputError({ where: 'job', argument: 'meanStress.fatigueStrength', expected: `given for ${ruleName(rule)}`, given: 'nothing' });
      return { rule, strength: fatigueStrength, shear: equivalence };
  }
}

/** The Miner sum at which a job takes the part as used up: one for the life, its band and the years. */
export function criticalSumOf({ life, uncertainty }: Job): number {
  return life?.criticalSum ?? uncertainty?.criticalSum?.median ?? 1;
}

/** The notch factor that a job states for a curve. @throws InputError for a notch that would count twice, or not at all */
export function notchOf({ factor, source, basis }: JobNotch, curve: LifeCurve, at = 'notch'): NotchFactor<'shear'> {
  const inCurve = curve.notch === 'in the curve';
  const onTop = basis === 'on top of the curve';
  if (inCurve && factor > 1 && !onTop) {
    throw new InputError({
      where: 'job', argument: `${at}.factor`, expected: `1, because the curve ${curve.name} holds its notch already`, given: String(factor),
      remedy: `A raiser that the detail does not describe has ${at}.basis "on top of the curve".`,
    });
  }
  if (!inCurve && onTop) {
    throw new InputError({ where: 'job', argument: `${at}.basis`, expected: `"fatigue" or "theoretical", because the curve ${curve.name} does not hold a notch on top of which it could come`, given: `"${basis}"` });
  }
  return notchFactor({ kind: 'shear', value: factor, basis: inCurve && !onTop ? 'in the curve' : basis ?? 'fatigue', source });
}

/**
 * The notch factor under another curve than the one assessed: as stated beside it; else none where it holds its notch, and the factor of the job where it holds none.
 *
 * @throws InputError where it holds none and the factor of the job is one on a curve that does
 */
export function notchUnder(other: OtherCurve, curve: LifeCurve, assessed: NotchFactor<'shear'>, at: string): NotchFactor<'shear'> {
  if (other.notchFactor) return notchOf(other.notchFactor, curve, `${at}.notchFactor`);
  const onTop = assessed.basis === 'on top of the curve';
  if (curve.notch === 'in the curve') return onTop ? assessed : notchFactor({ kind: 'shear', value: 1, basis: 'in the curve', source: curve.name });
  if (assessed.basis !== 'in the curve' && !onTop) return assessed;
  throw new InputError({
    where: 'job', argument: `${at}.notchFactor`, expected: `given, because the curve ${curve.name} holds no notch and the one assessed does`, given: 'nothing',
    remedy: 'State factor and source of the notch factor in torsion that its stress carries (1 for a smooth shaft).',
  });
}

function tensileStrengthOf(job: Job, what: string): number {
  if (job.shaft.tensileStrength !== undefined) return job.shaft.tensileStrength;
  throw new InputError({ where: 'job', argument: 'shaft.tensileStrength', expected: `given for ${what}`, given: 'nothing' });
}
