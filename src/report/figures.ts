import { duration } from '../record/Channel.js';
import { damageByState } from '../fatigue/damageByTime.js';
import { closeResidue } from '../count/closeResidue.js';
import type { Figure } from '../plot/Figure.js';
import { plotBudget } from '../plot/plotBudget.js';
import { plotConvergence } from '../plot/plotConvergence.js';
import { plotCrossings } from '../plot/plotCrossings.js';
import { plotDamage } from '../plot/plotDamage.js';
import { plotDuty } from '../plot/plotDuty.js';
import { plotExceedance } from '../plot/plotExceedance.js';
import { plotHistory } from '../plot/plotHistory.js';
import { plotLifeBand } from '../plot/plotLifeBand.js';
import { plotLifeCurve } from '../plot/plotLifeCurve.js';
import { plotLossMap } from '../plot/plotLossMap.js';
import { plotSpectrum } from '../plot/plotSpectrum.js';
import { plotTornado } from '../plot/plotTornado.js';
import { plotZero } from '../plot/plotZero.js';
import { plotOrders } from '../plot/plotOrders.js';
import { plotRingDown } from '../plot/plotRingDown.js';
import { plotSpeedMap } from '../plot/plotSpeedMap.js';
import { plotStates } from '../plot/plotStates.js';
import { plotSweep } from '../plot/plotSweep.js';
import { toSvg } from '../plot/draw.js';
import type { SpeedMap } from '../spectrum/speedMap.js';
import type { Assessment } from './assess.js';
import { percent } from './numbers.js';
import { byTrain, isClear } from './resonance.js';

/** The parts of a report under which figures stand, in the order of the page. */
const sections = ['drivers', 'duty', 'life', 'choices', 'rates', 'moments', 'record', 'zero', 'budget', 'conduct', 'resonance'] as const;
/** One of them. */
export type ReportSection = (typeof sections)[number];

/** A figure of a report with the name of its file and its place on the page. */
export interface ReportFigure {
  readonly name: string;
  readonly under: ReportSection;
  readonly figure: Figure;
  readonly svg: string;
}

/** The figures of a report, in the order of the page. */
export function figuresOf(found: Assessment): readonly ReportFigure[] {
  const figures: ReportFigure[] = [];
  const add = (under: ReportSection, name: string, figure: Figure): void => void figures.push({ name, under, figure, svg: toSvg(figure) });
  addLife(found, add);
  addRecord(found, add);
  addConduct(found, add);
  return figures.sort((a, b) => sections.indexOf(a.under) - sections.indexOf(b.under));
}

type Add = (under: ReportSection, name: string, figure: Figure) => void;

function addLife(found: Assessment, add: Add): void {
  const { damage, count, life, rates } = found;
  // What lives for ever, or for no hour, has no place on an axis of hours.
  const drawn = (hours: number): boolean => hours > 0 && Number.isFinite(hours);
  if (found.tornado?.bars.some((bar) => drawn(bar.low))) add('drivers', 'tornado', plotTornado(found.tornado!));
  if (found.band && found.band.lives.filter(drawn).length > 1) add('life', 'life-band', plotLifeBand(found.band));
  if (found.duty) add('duty', 'duty', plotDuty(found.duty.mix));
  add('life', 'life-curve', plotLifeCurve(damage.curve, { damage, ...(Number.isFinite(life.hours) ? { hours: life.hours } : {}) }));
  add('rates', 'exceedance', plotExceedance(closeResidue(count, damage.residue)));
  if (damage.total > 0) add('rates', 'damage', plotDamage(damage));
  if (rates.settling) add('rates', 'settling', plotConvergence(rates.settling));
  momentsOf(found).forEach((moment, k) => add('moments', `moment-${k + 1}`, plotHistory([found.signal.filtered], moment)));
}

function addRecord({ job, signal, loss, budgets }: Assessment, add: Add): void {
  add('record', 'history', plotHistory(signal.speed ? [signal.filtered, signal.speed] : [signal.filtered], { rest: signal.rest, title: 'Torque as counted' }));
  if (loss && loss.gaps >= 10) add('record', 'loss', plotLossMap(loss));
  if (signal.zeroModel) add('zero', 'zero', plotZero(signal.torque, signal.zeroed, signal.zeroModel));
  if (budgets) add('budget', 'budget', plotBudget(job.assessed ? budgets.torque : budgets.stress));
}

function addConduct(found: Assessment, add: Add): void {
  const { conduct, resonance: { spectrum, crossings, runUp, natural, sweeps }, signal } = found;
  if (conduct) add('conduct', 'states', plotStates([signal.filtered, signal.speed!], conduct.states));
  const rung = conduct?.events.events.find((event) => event.ringDown);
  if (rung) add('conduct', 'ring-down', plotRingDown(signal.filtered, rung.ringDown!));
  add('resonance', 'spectrum', plotSpectrum(spectrum, { lines: marked(found), frequencyScale: 'log' }));
  sweeps.slice(0, mostSweeps).forEach(({ fit }, k) => add('resonance', `sweep-${k + 1}`, plotSweep(fit)));
  if (runUp?.map) {
    const orders = [...new Set((runUp.tracks?.tracks ?? crossings?.crossings ?? []).map(({ order }) => order))].slice(0, mostRays);
    const frequencies = natural.filter((n) => n.from === byTrain).map((n) => n.frequency).slice(0, 2);
    add('resonance', 'speed-map', plotSpeedMap(runUp.map, { orders, frequencies, ...upTo(runUp.map, orders, frequencies) }));
  }
  if (runUp?.tracks) add('resonance', 'order-tracks', plotOrders(runUp.tracks));
  if (crossings && crossings.crossings.length > 0) add('resonance', 'crossings', plotCrossings(crossings));
}

/** Runs through a resonance that are drawn. */
const mostSweeps = 3;

/** Rays that a speed map can hold. */
const mostRays = 10;

/** The part of a map that its orders and the lowest natural frequency reach. */
function upTo(map: SpeedMap, orders: readonly number[], frequencies: readonly number[]): { readonly to?: number } {
  const reach = 1.2 * Math.max(...orders.map((order) => (order * map.speed.at(-1)!) / (2 * Math.PI)), frequencies[0] ?? 0);
  return reach > 0 && reach < map.along.at(-1)! ? { to: reach } : {};
}

/** The strongest lines that are clear, with their first name where they have one. */
function marked({ resonance }: Assessment): readonly { readonly frequency: number; readonly name?: string }[] {
  if (!resonance.named) return resonance.lines.filter(isClear).slice(0, 6).map(({ frequency }) => ({ frequency }));
  return resonance.named.filter(isClear).slice(0, 6).map(({ frequency, names }) => ({ frequency, ...(names[0] ? { name: names[0].name } : {}) }));
}

/** How many of the moments that did most damage are drawn, and how far each reaches before and after its cycle, s. */
const [moments, reach] = [3, 1.5];

/** The surroundings of the cycles that did most damage, none of which lie in each other, with the damage that is done in each. */
function momentsOf({ damage, signal }: Assessment): readonly { readonly from: number; readonly to: number; readonly title: string }[] {
  const cycles: number[] = [];
  for (const { seconds } of damage.largest) if (seconds !== null && cycles.length < moments && cycles.every((other) => Math.abs(other - seconds) >= 2 * reach)) cycles.push(seconds);
  const windows = cycles.map((seconds, k) => ({ name: `Moment ${k + 1}`, seconds, from: Math.max(0, seconds - reach), to: Math.min(duration(signal.filtered), seconds + reach) }));
  const states = windows.length > 0 ? damageByState(damage, windows.map(({ name, from, to }) => ({ name, from, to }))) : [];
  return windows.map(({ name, seconds, from, to }) => ({ from, to, title: `${name}: ${percent(states.find((state) => state.name === name)!.share)} of the damage, about ${seconds.toFixed(2)} s` }));
}
