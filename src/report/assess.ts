import { basename } from 'node:path';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { makeResult } from '../record/result.js';
import { joinRecordings } from '../import/joinRecordings.js';
import { countCycles } from '../count/countCycles.js';
import type { CycleCount } from '../count/CycleCount.js';
import type { Damage } from '../fatigue/damage.js';
import { equivalentRange, type EquivalentRange } from '../fatigue/equivalentRange.js';
import { life, type Life } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import type { Tornado } from '../fatigue/tornado.js';
import type { Continuation } from '../fatigue/LifeCurve.js';
import { shearStress } from '../fatigue/shearStress.js';
import { staticMargin, type StaticMargin } from '../fatigue/staticMargin.js';
import { lossMap, type LossMap } from '../clean/lossMap.js';
import type { LossEstimate } from '../clean/estimateLoss.js';
import { meanStressBounds, type MeanStressBounds } from '../fatigue/meanStressBounds.js';
import { budgetsOf, type GaugeBudgets } from './budget.js';
import { conductOf, type Conduct } from './conduct.js';
import { criticalSumOf, curveOf, meanStressOf, notchOf } from './curveOf.js';
import { dutyOf, type Duty } from './duty.js';
import { driversOf, findDrivers, type Driver } from './drivers.js';
import { fileSumOf, type FileSum } from './fileSum.js';
import { inFile } from './inJob.js';
import type { Job } from './Job.js';
import { readAsAsked } from './readAsAsked.js';
import { methodText } from './methodText.js';
import { assessedSection, prepareSignal, type PreparedSignal } from './prepare.js';
import { readPulses } from './pulses.js';
import { ratesOf, type DamageRates } from './rates.js';
import { resonanceOf, type Resonance } from './resonance.js';
import { lostOf } from './lost.js';
import { bandOptions, uncertaintyOf } from './uncertainty.js';
import { uncorrectedOf, type Uncorrected } from './uncorrected.js';
import { unsettledText } from './unsettled.js';
import { damagesBy, priceChoices, stressBy, type DamageChain, type Price } from './prices.js';

/** Everything that an assessment found; the report is written from it and from nothing else. */
export interface Assessment {
  readonly job: Job;
  readonly recording: Recording;
  readonly signal: PreparedSignal;
  /** Spectrum, lines by name, natural frequencies and crossings. */
  readonly resonance: Resonance;
  readonly chain: DamageChain;
  readonly count: CycleCount<'N·m'>;
  readonly damage: Damage;
  readonly damages: Readonly<Record<Continuation, Damage>>;
  readonly life: Life;
  readonly lives: Readonly<Record<Continuation, Life>>;
  /** The life with its uncertainty, and what drives it; null where the job states no uncertainty, or where not one draw does damage. */
  readonly band: LifeBand | null;
  readonly tornado: Tornado | null;
  /** What the band leaves out of a damage rate that the record does not settle; null where it leaves nothing out. */
  readonly unsettled: string | null;
  /** The life by the duty of a year; null where the job states none. */
  readonly duty: Duty | null;
  /** Where samples were lost; null where none were. */
  readonly loss: LossMap | null;
  /** Uncertainty of torque and stress; null where the job states none. */
  readonly budgets: GaugeBudgets | null;
  /** States, events and power; null where the job states no limits. */
  readonly conduct: Conduct | null;
  /** Both bounds of the mean-stress effect; null where the curve was not tested fully reversed. */
  readonly bounds: MeanStressBounds | null;
  readonly margin: StaticMargin;
  /** What the record would have given as received; null where nothing was corrected. */
  readonly uncorrected: Uncorrected | null;
  /** The damage with what was lost estimated from the record; null where faults.alike is not stated. */
  readonly lost: LossEstimate | null;
  /** Constant local shear ranges that stand for the record, by slope. */
  readonly equivalent: EquivalentRange;
  /** Damage by state, how it settles, and the estimate from the spectrum. */
  readonly rates: DamageRates;
  /** What summing the files one by one would lose; null for a job of one file. */
  readonly fileSum: FileSum | null;
  readonly prices: readonly Price[];
  readonly drivers: readonly Driver[];
  /** Paragraphs, written from the trail of the counted channel and from the options of damage and life. */
  readonly method: readonly string[];
  readonly notes: readonly string[];
}

/** Slopes of the equivalent ranges, and the cycles that each stands for. */
const equivalentSlopes = [3, 5, 8, 10], equivalentCycles = 1e6;

/** What assess may be told besides the job. */
export interface AssessOptions {
  /** Called with a few words before each long step. */
  readonly progress?: (step: string) => void;
}

/**
 * Assesses a job: reads the recording, masks faults, turns the signal into torque, removes the zero, filters, counts, and
 * sums the damage to a life, with the price of every choice.
 *
 * @param job a checked job, from readJob
 * @returns the assessment; writeReport makes a folder of it
 * @throws InputError or FormatError of the step that could not be done; nothing is written
 * @see readJob, writeReport
 * @example
 * const found = await assess(await readJob('sample-runs/run-a.job.json'));
 * found.life.text // => "16 000 h"
 */
export async function assess(job: Job, options: AssessOptions = {}): Promise<Assessment> {
  try {
    return await assessed(job, options);
  } catch (error) {
    throw error instanceof InputError && error.where === 'job' && job.name !== undefined ? inFile(error, job.name) : error;
  }
}

async function assessed(job: Job, options: AssessOptions): Promise<Assessment> {
  const say = options.progress ?? (() => {});
  say('reading the recording');
  const { file, files, sampleRate, read } = job.recording;
  const pieces: Recording[] = [];
  for (const each of files ?? [file]) pieces.push(await readAsAsked(each, files ? `recording.files (${basename(each)})` : 'recording.file', { ...read, ...(sampleRate === undefined ? {} : { sampleRate }) }));
  const recording = joinRecordings(pieces);
  const pulses = await readPulses(job);
  say('masks, torque, zero, filter');
  const signal = prepareSignal(job, recording, pulses);
  say('states, events, spectrum');
  const conduct = conductOf(job, signal);
  const resonance = resonanceOf(job, signal, conduct);
  say('counting and damage');
  const count = countCycles(signal.filtered);
  const curve = curveOf(job);
  const section = assessedSection(job);
  const chain: DamageChain = {
    section, notch: notchOf(job.notch, curve), gate: job.count?.gate ?? 0,
    options: { curve, meanStress: meanStressOf(job), residue: job.count?.residue ?? 'half' },
  };
  const damages = damagesBy(chain, count);
  const done = damages[curve.beyond];
  const lives = Object.freeze(Object.fromEntries(Object.entries(damages).map(([name, d]) => [name, life(d, { ...job.life, criticalSum: criticalSumOf(job) })])) as Record<Continuation, Life>);
  say('what drives the life');
  const prices = priceChoices(job, signal, chain, count, done);
  const budgets = budgetsOf(job, signal);
  const cycles = stressBy(chain, count);
  const rates = ratesOf(chain, signal, conduct, resonance, done, job.filter.cutoff);
  const spread = bandOptions(job, budgets, signal, chain, rates);
  const uncertain = uncertaintyOf(cycles, spread, prices);
  const loss = signal.masked.invalid.length > 0 ? lossMap(signal.zeroed, signal.speed ? { speed: signal.speed } : {}) : null;
  return makeResult<Assessment>('Assessment', {
    job, recording, signal, resonance, chain, count, damage: done, damages, life: lives[curve.beyond], lives,
    margin: staticMargin(shearStress(signal.filtered, section), { yieldStrength: job.shaft.yieldStrength }),
    ...uncertain, duty: dutyOf(job, chain, signal, conduct, spread, rates), budgets, conduct, bounds: boundsOf(job, chain, count),
    uncorrected: uncorrectedOf(job, recording, signal, chain, done), lost: lostOf(job, signal, chain), equivalent: equivalentRange(cycles, { slopes: equivalentSlopes, cycles: equivalentCycles, residue: chain.options.residue }),
    rates, unsettled: uncertain.band ? unsettledText(lives[curve.beyond], rates, spread) : null, fileSum: fileSumOf(signal, chain, done), loss, prices, drivers: uncertain.tornado ? driversOf(uncertain.tornado) : findDrivers(chain, count, done, prices), method: methodText(job, signal, done, lives[curve.beyond]), notes: notesOf(signal, count, done),
  }, (a) => `Assessment "${a.job.title}": life ${a.life.text}`);
}

/** Mean stress left out and by the rule of the job, or by Smith, Watson and Topper's where the job takes none. */
function boundsOf(job: Job, chain: DamageChain, count: CycleCount<'N·m'>): MeanStressBounds | null {
  if (chain.options.curve.ratio !== -1) return null;
  const rule = meanStressOf(job);
  return meanStressBounds(stressBy(chain, count), { ...chain.options, meanStress: rule === 'none' ? { rule: 'smith-watson-topper' } : rule });
}

/** What a reader should know besides the numbers, each once. */
function notesOf(signal: PreparedSignal, count: CycleCount, assessed: Damage): readonly string[] {
  return Object.freeze([...new Set([...(signal.faults?.notes ?? []), ...(signal.zeroModel?.notes ?? []), ...count.notes, ...assessed.notes])]);
}
