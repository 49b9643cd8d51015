import { InputError } from '../record/errors.js';
import type { Channel } from '../record/Channel.js';
import { worstCase } from '../clean/worstCase.js';
import type { CycleCount, ResiduePolicy } from '../count/CycleCount.js';
import { closeResidue } from '../count/closeResidue.js';
import { countCycles } from '../count/countCycles.js';
import { gateCycles } from '../count/gateCycles.js';
import { samplingAdequacy } from '../count/samplingAdequacy.js';
import { summarise } from '../spectrum/summarise.js';
import { damage, damageContinuations, type Damage, type DamageOptions } from '../fatigue/damage.js';
import { continuations, type Continuation } from '../fatigue/LifeCurve.js';
import type { MeanStress } from '../fatigue/meanStress.js';
import { continuationName, meanStressName } from '../fatigue/names.js';
import type { NotchFactor } from '../fatigue/notchFactor.js';
import { shearStress } from '../fatigue/shearStress.js';
import { localStress, type StressCycles } from '../fatigue/StressCycles.js';
import type { ShaftSection } from '../gauge/section.js';
import { curveOf, notchUnder } from './curveOf.js';
import { byKey, inJob } from './inJob.js';
import type { Job } from './Job.js';
import { filteredBy, type PreparedSignal } from './prepare.js';

/** What one choice or loss costs or saves: the damage rate under an alternative over the one assessed. */
export interface Price {
  readonly choice: string;
  readonly taken: string;
  readonly instead: string;
  /** Damage in an hour under `instead`. */
  readonly perHour: number;
  /** That over the damage assessed; Infinity where only `instead` does any. */
  readonly damageRatio: number;
  /** Is it a bound on what was lost, and no choice? */
  readonly bound: boolean;
}

/** Everything from a torque count to a damage, with the choices of the job; any of them can be replaced. */
export interface DamageChain {
  readonly section: ShaftSection;
  readonly notch: NotchFactor<'shear'>;
  readonly options: DamageOptions<'shear'>;
  readonly gate: number;
}

/** The local stress cycles of a torque count by a chain. */
export function stressBy(chain: DamageChain, count: CycleCount<'N·m'>): StressCycles<'local', 'shear'> {
  const gated = chain.gate > 0 ? gateCycles(count, chain.gate) : count;
  return localStress(shearStress(gated, chain.section), chain.notch);
}

/** The damage of a torque count by a chain. */
export function damageBy(chain: DamageChain, count: CycleCount<'N·m'>): Damage {
  return damage(stressBy(chain, count), chain.options);
}

/** The damage of a torque count under each continuation. @throws InputError for a curve by which it is beyond every number */
export function damagesBy(chain: DamageChain, count: CycleCount<'N·m'>): Readonly<Record<Continuation, Damage>> {
  try {
    return damageContinuations(stressBy(chain, count), chain.options);
  } catch (error) {
    if (error instanceof InputError && error.argument === 'meanStress') throw byKey(error, 'meanStress');
    if (!(error instanceof InputError) || error.argument !== 'stress beside the curve') throw error;
    throw new InputError({ where: 'job', argument: 'curve', expected: 'of a strength that bears some cycles of this record', given: `${chain.options.curve.name}, by which the damage is beyond every number`, remedy: 'Look at the stress and the slope of the curve.' });
  }
}

/** Prices every choice of a job against its alternatives, dearest first. */
export function priceChoices(job: Job, signal: PreparedSignal, chain: DamageChain, count: CycleCount<'N·m'>, assessed: Damage): readonly Price[] {
  checkCounted(chain, count);
  const prices: Price[] = [];
  const add: AddPrice = (choice, taken, instead, perHour, bound = false) => {
    if (assessed.perHour > 0 || perHour > 0) prices.push(Object.freeze({ choice, taken, instead, perHour, damageRatio: perHour / assessed.perHour, bound }));
  };
  const other = (change: Partial<DamageOptions<'shear'>>): number => damageBy({ ...chain, options: { ...chain.options, ...change } }, count).perHour;
  const recount = (channel: Channel<'N·m'>): number => damageBy(chain, countCycles(channel)).perHour;

  if (job.filter.cutoff !== undefined) {
    const taken = `${hertz(job.filter.cutoff)} Hz`;
    add('low-pass', taken, 'none', recount(signal.zeroed));
    add('low-pass', taken, `${hertz(job.filter.cutoff / 2)} Hz`, recount(filteredBy(job, signal.zeroed, job.filter.cutoff / 2)));
  }
  for (const residue of ['half', 'repeat', 'drop'] as const satisfies readonly ResiduePolicy[]) {
    if (residue !== chain.options.residue) add('residue', chain.options.residue, residue, other({ residue }));
  }
  for (const continuation of continuations) {
    if (chain.options.curve.knee !== null && continuation !== assessed.continuation) add('continuation', continuationName(assessed.continuation), continuationName(continuation), other({ continuation }));
  }
  for (const meanStress of meanStressAlternatives(job, chain, count)) add('mean stress', meanStressName(chain.options.meanStress), meanStressName(meanStress), other({ meanStress }));
  for (const [i, stated] of (job.otherCurves ?? []).entries()) {
    const curve = curveOf(job, stated, `otherCurves[${i}]`);
    const notch = notchUnder(stated, curve, chain.notch, `otherCurves[${i}]`);
    const options = { ...chain.options, curve, meanStress: curve.ratio === -1 ? chain.options.meanStress : 'none' } as const;
    add('S-N curve', chain.options.curve.name, curve.name, inJob(`otherCurves[${i}]`, () => damageBy({ ...chain, notch, options }, count)).perHour);
  }
  if (chain.gate > 0) add('gate', `${chain.gate} N·m`, 'none', damageBy({ ...chain, gate: 0 }, count).perHour);
  add('sampling', `${signal.filtered.sampleRate} Hz`, 'peaks between samples', assessed.perHour / inJob('curve.slope', () => samplingAdequacy(signal.filtered, { exponent: chain.options.curve.slope })).damageRatio, true);
  if (signal.filtered.invalid.length > 0) priceLoss(signal.filtered, count, chain, assessed, add);
  return Object.freeze(prices.sort(dearestFirst));
}

function dearestFirst(a: Price, b: Price): number {
  const [own, other] = [a, b].map((price) => Math.abs(Math.log(price.damageRatio))) as [number, number];
  return own === other ? 0 : other - own;
}

/** A record without a swing has no cycles to assess. */
function checkCounted(chain: DamageChain, count: CycleCount<'N·m'>): void {
  const { closed, residue } = chain.gate > 0 ? gateCycles(count, chain.gate) : count;
  if (closed.at.length === 0 && residue.at.length < 2) {
    throw new InputError({ where: 'job', argument: 'recording.torque', expected: `a torque that swings at least once${chain.gate > 0 ? ` by more than count.gate (${chain.gate} N·m)` : ''}`, given: 'no cycle and no half of one', remedy: 'Without a swing there is no fatigue: compare the stress with the strength by staticMargin.' });
  }
}

type AddPrice = (choice: string, taken: string, instead: string, perHour: number, bound?: boolean) => void;

/** Lost time: as if nothing had happened in it, and as if every gap had swung once between the extremes of the record. */
function priceLoss(channel: Channel<'N·m'>, count: CycleCount, chain: DamageChain, assessed: Damage, add: AddPrice): void {
  add('lost time', 'like the rest', 'harmless', (assessed.perHour * count.validTime) / (count.validTime + count.lostTime), true);
  const { min, max } = summarise(channel);
  if (max > min) add('lost time', 'like the rest', 'a full swing in every gap', damageBy(chain, countCycles(worstCase(channel, { low: min, high: max, cyclesPerSecond: 0 }))).perHour, true);
}

function meanStressAlternatives(job: Job, chain: DamageChain, count: CycleCount<'N·m'>): readonly MeanStress[] {
  if (chain.options.meanStress !== 'none') return ['none'];
  if (chain.options.curve.ratio !== -1) return [];
  const { tensileStrength } = job.shaft;
  return [{ rule: 'smith-watson-topper' }, ...(tensileStrength === undefined || largestMean(chain, count) >= tensileStrength / Math.sqrt(3) ? [] : [{ rule: 'goodman', ultimate: tensileStrength, shear: 'von Mises' } as const])];
}

/** The largest mean of local stress, Pa; from the strength in shear on a Goodman line has no price. */
function largestMean(chain: DamageChain, count: CycleCount<'N·m'>): number {
  const gated = chain.gate > 0 ? gateCycles(count, chain.gate) : count;
  return stressBy(chain, count).factor * closeResidue(gated, chain.options.residue).mean.reduce((most, mean) => Math.max(most, Math.abs(mean)), 0);
}

/** A frequency with as many figures as a reader wants. */
function hertz(value: number): string {
  return String(Number(value.toPrecision(4)));
}
