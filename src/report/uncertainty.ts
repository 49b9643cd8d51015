import { InputError } from '../record/errors.js';
import { widestNormal, type LifeInputs, type LifeVariable, type Spread } from '../fatigue/lifeInputs.js';
import { lifeBand, lifeModel, type LifeBand, type LifeBandOptions } from '../fatigue/lifeBand.js';
import type { StressCycles } from '../fatigue/StressCycles.js';
import { tornado, type Tornado } from '../fatigue/tornado.js';
import type { GaugeBudgets } from './budget.js';
import { criticalSumOf } from './curveOf.js';
import { byKey } from './inJob.js';
import type { Job } from './Job.js';
import { percent } from './numbers.js';
import type { PreparedSignal } from './prepare.js';
import type { DamageChain, Price } from './prices.js';
import type { DamageRates } from './rates.js';

/** What the band is drawn from, where the job states how well its inputs are known. */
export function bandOptions(job: Job, budgets: GaugeBudgets | null, signal: PreparedSignal, chain: DamageChain, { settling }: DamageRates): LifeBandOptions<'shear'> | null {
  if (!job.uncertainty) return null;
  const { draws, seed, duty, ...stated } = job.uncertainty;
  const known = duty === 'settled' ? settling && { settled: settling } : duty;
  const inputs: LifeInputs = { ...(budgets && !stated.gauge ? { gauge: gaugeSpread(job, budgets) } : {}), ...stated, ...(known ? { duty: known } : {}) };
  const step = signal.zeroed.trail.find((s) => s.op === 'removeZero')?.found as { readonly standardErrorAtMiddle?: number } | undefined;
  return {
    ...chain.options, inputs: { ...inputs, ...(step?.standardErrorAtMiddle ? { zero: { deviation: step.standardErrorAtMiddle } } : {}) }, criticalSum: criticalSumOf(job),
    ...(draws === undefined ? {} : { draws }), ...(seed === undefined ? {} : { seed }),
  };
}

/** The spread of the gauge by its budget: under the gauge the diameter cancels between torque and stress; for another section it is in the torque. */
function gaugeSpread(job: Job, budgets: GaugeBudgets): Spread {
  const { standardUncertainty, value, name } = job.assessed ? budgets.torque : budgets.stress;
  const deviation = standardUncertainty / Math.abs(value);
  if (deviation <= widestNormal) return { shape: 'normal', deviation };
  throw new InputError({
    where: 'job', argument: 'budget', expected: `of a ${name} known to ${100 * widestNormal} % or better, for a normal spread of the gauge in the life`, given: `one known to ${percent(deviation)}`,
    remedy: 'State uncertainty.gauge with the shape "lognormal".',
  });
}

/** The band and the tornado; none where not one draw does damage. */
export function uncertaintyOf(cycles: StressCycles<'local', 'shear'>, options: LifeBandOptions<'shear'> | null, prices: readonly Price[]): { readonly band: LifeBand | null; readonly tornado: Tornado | null } {
  const none = { band: null, tornado: null };
  if (!options) return none;
  return asStated(() => {
    const band = lifeBand(cycles, options);
    if (band.lives[0] === Number.POSITIVE_INFINITY) return none;
    const { hoursAt } = lifeModel('lifeBand', cycles, options);
    const alternatives = prices.filter((p) => !p.bound).map((p) => ({ choice: p.choice, name: p.instead, result: hoursAt(p.perHour) }));
    return { band, tornado: tornado(cycles, { ...options, alternatives }) };
  });
}

/** Draws a band; what it refuses of its inputs is said by the key of the job that stated them. */
export function asStated<T>(draw: () => T): T {
  try {
    return draw();
  } catch (error) {
    if (!(error instanceof InputError) || !error.argument.startsWith('inputs.')) throw error;
    const { expected, given, remedy } = error;
    const argument = error.argument.slice('inputs.'.length);
    throw byKey(new InputError({ where: error.where, argument, expected, given, ...(remedy === undefined ? {} : { remedy }) }), `uncertainty.${argument}`);
  }
}

/** What a reader calls everything that may be drawn, in the order in which it acts. */
const drawnWords: Readonly<Record<LifeVariable, string>> = {
  gauge: 'gauge', zero: 'zero', section: 'section', notch: 'notch', strength: 'strength', curve: 'curve', criticalSum: 'Miner sum', duty: 'duty', shares: 'shares of the hours',
};

/** What a band was drawn through: "gauge, zero and curve". */
export function drawnText({ variance }: Pick<LifeBand, 'variance'>): string {
  const words = Object.entries(drawnWords).filter(([name]) => variance.some((v) => v.input === name)).map(([, word]) => word);
  return words.length < 2 ? words[0] ?? 'nothing that varies' : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
