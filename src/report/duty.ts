import type { Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { slice, windowToSamples, type TimeWindow } from '../record/slice.js';
import { sliceSpans } from '../record/span.js';
import { markInvalid } from '../clean/markInvalid.js';
import { closeResidue } from '../count/closeResidue.js';
import { countCycles } from '../count/countCycles.js';
import { makeCycles } from '../count/CycleCount.js';
import { gateCycles } from '../count/gateCycles.js';
import { damage, type Damage } from '../fatigue/damage.js';
import { dutyMix, type DutyMix } from '../fatigue/dutyMix.js';
import { twoFigures } from '../fatigue/figures.js';
import { lifeBand, type LifeBand, type LifeBandOptions, type LifeState } from '../fatigue/lifeBand.js';
import { shearStress } from '../fatigue/shearStress.js';
import { localStress, type StressCycles } from '../fatigue/StressCycles.js';
import type { Conduct } from './conduct.js';
import { criticalSumOf } from './curveOf.js';
import type { Job } from './Job.js';
import { spanText } from './numbers.js';
import type { PreparedSignal } from './prepare.js';
import { stressBy, type DamageChain } from './prices.js';
import type { DamageRates } from './rates.js';
import { asStated, drawnText } from './uncertainty.js';
import { unsettledYearsText } from './unsettled.js';

/** The life by the duty that the job states. */
export interface Duty {
  readonly mix: DutyMix;
  /** Starts in the record; 0 where the job states none for the year. */
  readonly startsInRecord: number;
  /** Years until failure: 5 %, 50 % and 95 %, and what they were drawn through; null where the job states no uncertainty, or where not one draw does damage. */
  readonly band: { readonly low: number; readonly median: number; readonly high: number; readonly drawn: string } | null;
  /** What the years leave out of rates that the record does not settle; null where they leave nothing out. */
  readonly unsettled: string | null;
  readonly notes: readonly string[];
}

type Local = StressCycles<'local', 'shear'>;

/**
 * The life by a stated duty. States with hours in the job go on by the hour: each of their stretches is counted by itself.
 * The starts are counted by the piece: the record with each of those stretches reduced to its extremes, so that run-up, trip
 * and coast-down are in it, and the large cycle from standstill to load and back, which no state holds alone.
 */
export function dutyOf(job: Job, chain: DamageChain, signal: PreparedSignal, conduct: Conduct | null, band: LifeBandOptions<'shear'> | null, rates: DamageRates): Duty | null {
  const { duty } = job;
  if (!duty || !conduct) return null;
  const { filtered } = signal;
  const { states } = conduct.states;
  const byHour = Object.entries(duty.hoursPerYear).map(([name, hours]) => {
    const own = states.filter((s) => s.state === name);
    if (own.length === 0) throw new InputError({ where: 'job', argument: `duty.hoursPerYear.${name}`, expected: `a state of the record (${[...new Set(states.map((s) => s.state))].join(', ')})`, given: `"${name}", which was not found in it`, remedy: 'Record that state too, or look at the limits in states.' });
    return { name, hours, cycles: countedApart(chain, filtered, own) };
  });
  const contained = states.filter((s) => s.state === 'start').length;
  const perYear = duty.startsPerYear ?? 0;
  if (perYear > 0 && contained === 0) throw new InputError({ where: 'job', argument: 'duty.startsPerYear', expected: 'left out, because no start was found in the record', given: String(perYear), remedy: 'Record a start too, or look at the limits in states.' });
  const damageOf = (cycles: Local): Damage => damage(cycles, chain.options);
  const between = perYear > 0 ? stressBy(chain, countCycles(reduced(filtered, states.filter((s) => duty.hoursPerYear[s.state] !== undefined)))) : null;
  const mix = dutyMix(byHour.map((s) => ({ name: s.name, hours: s.hours, damage: damageOf(s.cycles) })), {
    starts: between ? [{ name: 'starts', damage: damageOf(between), contained, perYear }] : [], criticalSum: criticalSumOf(job), ...(duty.certainty === undefined ? {} : { certainty: duty.certainty }),
  });
  const starts = between ? { name: 'starts', cycles: between, hours: (perYear * between.cycles.validTime) / 3600 / contained, fixed: true } : null;
  return Object.freeze({
    mix, startsInRecord: between ? contained : 0, band: band ? bandOf([...byHour, ...(starts ? [starts] : [])], band, duty.certainty) : null,
    unsettled: mix.damagePerYear > 0 ? unsettledYearsText(rates, band) : null,
    notes: Object.freeze([...(band?.inputs.duty?.settled ? ['How well the record settles the damage rate of each state is not in the band of the years.'] : []), ...(between ? mix.notes : ['No starts are in the year, because duty.startsPerYear is not stated: run-up, trip and coast-down, and the cycle from standstill to load and back, are in no year.'])]),
  });
}

/** The years by the duty, and nine parts of ten of them. */
export function dutyText({ mix, band }: Duty): string {
  return `${Number.isFinite(mix.years) ? `${twoFigures(mix.years)} years` : 'no damage counted'}${band ? `; nine parts of ten: ${spanText(band.low, band.high, 'years')}` : ''}`;
}

/** Cycles of the stretches of one state, each counted by itself, together. */
function countedApart(chain: DamageChain, torque: Channel<'N·m'>, windows: readonly TimeWindow[]): Local {
  const pieces = windows.map(({ from, to }) => {
    const count = countCycles(slice(torque, { from, to }));
    return closeResidue(chain.gate > 0 ? gateCycles(count, chain.gate) : count, chain.options.residue);
  });
  const joined = (key: 'range' | 'mean' | 'from' | 'to' | 'count'): Float64Array => Float64Array.from(pieces.flatMap((piece) => Array.from(piece[key])));
  const sum = (key: 'total' | 'validTime' | 'lostTime'): number => pieces.reduce((total, piece) => total + piece[key], 0);
  const nowhere = new Float64Array(pieces.reduce((n, piece) => n + piece.at.length, 0)).fill(-1);
  const rows = makeCycles({
    ...pieces[0]!, range: joined('range'), mean: joined('mean'), from: joined('from'), to: joined('to'), count: joined('count'), fromAt: nowhere, at: nowhere,
    total: sum('total'), validTime: sum('validTime'), lostTime: sum('lostTime'), sources: pieces.flatMap((piece) => piece.sources),
  });
  return localStress(shearStress(rows, chain.section), chain.notch);
}

/** The torque with everything masked in some stretches but their largest and smallest sample: counting joins what stays. */
function reduced(torque: Channel<'N·m'>, windows: readonly TimeWindow[]): Channel<'N·m'> {
  const spans = windows.flatMap((window) => {
    const { from, to } = windowToSamples('job', torque, { from: window.from, to: window.to }, 'states');
    const inside = sliceSpans(torque.invalid, from, to).map((s) => ({ from: s.from + from, to: s.to + from }));
    let low = -1, high = -1;
    for (let i = from, k = 0; i < to; i++) {
      while (k < inside.length && inside[k]!.to <= i) k++;
      if (k < inside.length && inside[k]!.from <= i) continue;
      if (low < 0 || torque.values[i]! < torque.values[low]!) low = i;
      if (high < 0 || torque.values[i]! > torque.values[high]!) high = i;
    }
    const kept = [...new Set([low, high])].filter((i) => i >= 0).sort((a, b) => a - b);
    return [from, ...kept.map((i) => i + 1)].map((begin, k) => ({ from: begin, to: kept[k] ?? to })).filter((s) => s.to > s.from).map((s) => ({ ...s, why: 'by hand' as const }));
  });
  return markInvalid(torque, spans);
}

/** Quantiles of the years: one draw goes through every part, the starts as a state that lasts as long as in the record and whose share is known. */
function bandOf(parts: readonly { readonly name: string; readonly hours: number; readonly cycles: Local; readonly fixed?: boolean }[], options: LifeBandOptions<'shear'>, certainty: number | undefined): Duty['band'] {
  const hours = parts.reduce((sum, part) => sum + part.hours, 0);
  const states: LifeState<Local>[] = parts.map((part) => ({ name: part.name, cycles: part.cycles, share: part.hours / hours, ...(part.fixed ? { fixed: true } : {}) }));
  // What the whole record settles is not what each state does.
  const { duty: { settled: _, ...duty } = {}, ...inputs } = options.inputs;
  const known = { ...duty, ...(certainty === undefined ? {} : { certainty }) };
  const band: LifeBand = asStated(() => lifeBand(states, { ...options, inputs: { ...inputs, ...(Object.keys(known).length > 0 ? { duty: known } : {}) } }));
  if (band.lives[0] === Number.POSITIVE_INFINITY) return null;
  const at = (p: number): number => band.quantiles.find((q) => q.probability === p)!.hours / hours;
  return Object.freeze({ low: at(0.05), median: at(0.5), high: at(0.95), drawn: drawnText(band) });
}
