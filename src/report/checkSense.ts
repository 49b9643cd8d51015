import { InputError } from '../record/errors.js';
import { allUnits, isUnit, quantityOf } from '../record/units.js';
import type { Job, JobCurve } from './Job.js';

type Fault = (argument: string, expected: string, given: string) => never;

/** Checks what a schema cannot say: keys that belong together or shut each other out. @throws InputError that names the key */
export function checkSense(where: string, job: Job): void {
  const fault: Fault = (argument, expected, given) => {
    throw new InputError({ where, argument, expected, given });
  };
  const { zero, filter, shaft, recording } = job;
  const turns = recording.speed !== undefined || recording.pulses !== undefined;
  if (recording.file === undefined && !recording.files) fault('recording.file', 'given (the recording, relative to this job file), or recording.files', 'nothing');
  if (recording.file !== undefined && recording.files) fault('recording.files', 'left out where recording.file is given', 'both');
  for (const [key, part] of [['zero', zero], ['filter', filter]] as const) {
    if (part.none !== undefined && Object.keys(part).length > 1) fault(key, '"none" alone, or left without it', `both "none" and "${Object.keys(part).find((k) => k !== 'none')}"`);
  }
  if (zero.none === undefined) {
    if (zero.rest === undefined) fault('zero.rest', 'given (rest windows or "from speed"), or zero.none with the reason why no zero is taken', 'nothing');
    if (zero.model === undefined) fault('zero.model', 'given: "constant", "linear in time" or a list of terms', 'nothing');
    if (zero.model?.includes('temperature') && recording.temperature === undefined) fault('recording.temperature', 'given where zero.model has the term "temperature"', 'nothing');
    const turning = (['speed squared', 'friction'] as const).find((term) => zero.model?.includes(term));
    if (turning && !turns) fault('recording.speed', `given (or recording.pulses) where zero.model has the term "${turning}"`, 'nothing');
    if (zero.rest === 'from speed') {
      if (!turns) fault('recording.speed', 'given (or recording.pulses) where zero.rest is "from speed"', 'nothing');
      if (zero.below === undefined) fault('zero.below', 'given where zero.rest is "from speed"', 'nothing');
      if (zero.settle === undefined) fault('zero.settle', 'given where zero.rest is "from speed"', 'nothing');
    } else zero.rest!.forEach((w, i) => w.to > w.from || fault(`zero.rest[${i}]`, 'a window that ends after it begins', `${w.from} s to ${w.to} s`));
  }
  if (filter.none === undefined && filter.cutoff === undefined) fault('filter.cutoff', 'given, or filter.none with the reason why nothing is filtered', 'nothing');
  if (job.count?.gate !== undefined && !(job.count.gate >= 0)) fault('count.gate', 'at least 0', `${job.count.gate} N·m`);
  if (recording.sampleRate !== undefined && (recording.read as { sampleRate?: unknown } | undefined)?.sampleRate !== undefined) fault('recording.read.sampleRate', 'left out where recording.sampleRate is given', 'both');
  if (job.uncertainty && !job.budget && !Object.keys(job.uncertainty).some((k) => k !== 'draws' && k !== 'seed')) fault('uncertainty', 'made of at least one input with its spread, or left out', 'none');
  checkUncertainty(where, job);
  checkCurveKeys('curve', job.curve, fault);
  job.otherCurves?.forEach((curve, i) => checkCurveKeys(`otherCurves[${i}]`, curve, fault));
  if (job.budget && !job.gauge) fault('budget', 'left out where no gauge is given', 'given');
  checkTurning(job, turns, fault);
  if (job.gauge && job.calibration) fault('calibration', 'left out where gauge is given', 'both');
  if (shaft.shearModulus !== undefined && (shaft.youngsModulus !== undefined || shaft.poissonsRatio !== undefined)) fault('shaft.shearModulus', 'left out where youngsModulus and poissonsRatio are given', 'both');
  if (job.gauge && shaft.shearModulus === undefined && (shaft.youngsModulus === undefined || shaft.poissonsRatio === undefined)) fault('shaft.shearModulus', 'given (or youngsModulus and poissonsRatio), because a gauge is', 'nothing');
  for (const [key, part] of [['shaft', shaft], ['assessed', job.assessed]] as const) {
    if (!part) continue;
    if (!(part.outerDiameter > 0)) fault(`${key}.outerDiameter`, 'above 0', `${part.outerDiameter} m`);
    if (part.innerDiameter !== undefined && !(part.innerDiameter >= 0 && part.innerDiameter < part.outerDiameter)) fault(`${key}.innerDiameter`, `at least 0 and below outerDiameter (${part.outerDiameter} m)`, `${part.innerDiameter} m`);
  }
  for (const [key, value] of [['torqueUnit', recording.torqueUnit], ['speedUnit', recording.speedUnit], ['temperatureUnit', recording.temperatureUnit]] as const) {
    if (value !== undefined && !isUnit(value)) fault(`recording.${key}`, `one of ${allUnits.join(', ')}`, JSON.stringify(value));
  }
  for (const key of ['shearModulus', 'youngsModulus', 'yieldStrength', 'tensileStrength'] as const) {
    if (shaft[key] !== undefined && !(shaft[key] > 0)) fault(`shaft.${key}`, 'above 0', `${shaft[key]} Pa`);
  }
}

/** What would act twice, or in two ways at once. */
function checkUncertainty(where: string, { uncertainty, life, gauge, assessed }: Job): void {
  const median = uncertainty?.criticalSum?.median;
  if (median !== undefined && life?.criticalSum !== undefined && life.criticalSum !== median) {
    throw new InputError({ where, argument: 'life.criticalSum', expected: `the median of uncertainty.criticalSum (${median}), or left out`, given: String(life.criticalSum), remedy: 'A life and its band have one Miner sum.' });
  }
  if (uncertainty?.section && gauge && !assessed) {
    throw new InputError({
      where, argument: 'uncertainty.section', expected: 'left out where the section under the gauge is assessed: its stress comes from the strain (2·G·strain), whatever the diameter', given: 'a spread',
      remedy: 'State that diameter in budget.outerDiameter, for the torque; where the life of another section is asked, name it in assessed.',
    });
  }
}

/** What needs a speed, and what is said about the turning shaft. */
function checkTurning({ recording, states, sweeps, power, duty, life, drive, train }: Job, turns: boolean, fault: Fault): void {
  const window = (at: string, w: { readonly from: number; readonly to: number }): void => void (w.to > w.from || fault(at, 'a window that ends after it begins', `${w.from} s to ${w.to} s`));
  const band = (at: string, b: { readonly from: number; readonly to: number }): void => void ((b.from > 0 && b.to > b.from) || fault(at, 'a band from above 0 to more', `${b.from} Hz to ${b.to} Hz`));
  const { pulses } = recording;
  if (pulses && recording.speed !== undefined) fault('recording.pulses', 'left out where recording.speed is given', 'both');
  if (pulses?.unit !== undefined && !(isUnit(pulses.unit) && quantityOf(pulses.unit) === 'time')) fault('recording.pulses.unit', 'a unit of time (s, ms)', JSON.stringify(pulses.unit));
  if (pulses && pulses.target !== 'even') window('recording.pulses.target', pulses.target);
  for (const [key, part] of [['states', states], ['sweeps', sweeps], ['power', power]] as const) if (part && !turns) fault('recording.speed', `given (or recording.pulses) where ${key} ${key === 'power' ? 'is' : 'are'}`, 'nothing');
  if (states?.ringDown) band('states.ringDown', states.ringDown);
  sweeps?.forEach((sweep, i) => {
    window(`sweeps[${i}]`, sweep);
    band(`sweeps[${i}].band`, sweep.band);
  });
  if (power && !states) fault('states', 'given where power is', 'nothing');
  if (drive && !turns) fault('recording.speed', 'given (or recording.pulses) where drive is', 'nothing');
  if (duty && !states) fault('states', 'given where duty is', 'nothing');
  if (duty && life?.hoursPerYear !== undefined) fault('life.hoursPerYear', 'left out where duty states the hours of a year', 'both');
  if (duty) {
    const sum = Object.values(duty.hoursPerYear).reduce((a, b) => a + b, 0);
    if (!(sum > 0 && sum <= 8784)) fault('duty.hoursPerYear', 'above 0 and at most 8784 h together', `${sum} h`);
  }
  const parts = new Set([...(train?.inertias.map((part) => part.name) ?? []), 'ground']);
  for (const key of ['shafts', 'gears'] as const) {
    train?.[key]?.forEach((part, i) => (['from', 'to'] as const).forEach((end) => parts.has(part[end]) || fault(`train.${key}[${i}].${end}`, `one of ${[...parts].join(', ')}`, JSON.stringify(part[end]))));
  }
}

const ownKeys = ['name', 'measure', 'stress', 'cycles', 'slope', 'bend', 'knee', 'ratio', 'survival', 'deviation', 'tested', 'notch', 'source'] as const;
/** What each curve reads besides use, beyond and (another curve) notchFactor. */
const curveKeys: Readonly<Record<JobCurve['use'], readonly string[]>> = { 'EN 1993-1-9 shear': ['category', 'materialFactor'], 'IIW shear': ['category'], 'synthetic shear': ['enduranceLimit', 'survival'], own: ownKeys };

/** Refuses keys that the chosen curve would not read, and a bend in front of the point that the first branch goes through. */
function checkCurveKeys(at: string, curve: JobCurve, fault: Fault): void {
  const idle = Object.keys(curve).find((key) => !['use', 'beyond', 'notchFactor'].includes(key) && !curveKeys[curve.use].includes(key));
  if (idle !== undefined) fault(`${at}.${idle}`, `left out for "${curve.use}", which does not read it`, 'given');
  if (curve.bend && curve.cycles !== undefined && curve.bend.cycles < curve.cycles) fault(`${at}.bend.cycles`, `at least ${at}.cycles (${curve.cycles}), a point of the first branch`, String(curve.bend.cycles));
}
