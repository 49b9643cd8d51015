import { duration } from '../record/Channel.js';
import type { Contributor } from '../fatigue/damage.js';
import { closeResidue } from '../count/closeResidue.js';
import type { Figure } from '../plot/Figure.js';
import { plotBudget } from '../plot/plotBudget.js';
import { plotConvergence } from '../plot/plotConvergence.js';
import { plotCrossings } from '../plot/plotCrossings.js';
import { plotDamage } from '../plot/plotDamage.js';
import { plotExceedance } from '../plot/plotExceedance.js';
import { plotHistory } from '../plot/plotHistory.js';
import { plotLifeBand } from '../plot/plotLifeBand.js';
import { plotLifeCurve } from '../plot/plotLifeCurve.js';
import { plotLossMap } from '../plot/plotLossMap.js';
import { plotSpectrum } from '../plot/plotSpectrum.js';
import { plotTornado } from '../plot/plotTornado.js';
import { plotZero } from '../plot/plotZero.js';
import type { Assessment } from './assess.js';
import { isClear } from './resonance.js';

/** A figure of a report with the name of its file. */
export interface ReportFigure {
  readonly name: string;
  readonly figure: Figure;
}

/** The figures of a report, in the order in which a reader wants them. */
export function figuresOf(found: Assessment): readonly ReportFigure[] {
  const { signal, damage, count } = found;
  const figures: ReportFigure[] = [
    { name: 'history', figure: plotHistory(signal.speed ? [signal.filtered, signal.speed] : [signal.filtered], { rest: signal.rest, title: 'Torque as counted' }) },
  ];
  if (signal.zeroModel) figures.push({ name: 'zero', figure: plotZero(signal.torque, signal.zeroed, signal.zeroModel) });
  figures.push({ name: 'spectrum', figure: plotSpectrum(found.resonance.spectrum, { lines: marked(found), frequencyScale: 'log' }) });
  if (found.resonance.crossings && found.resonance.crossings.crossings.length > 0) figures.push({ name: 'crossings', figure: plotCrossings(found.resonance.crossings) });
  figures.push({ name: 'exceedance', figure: plotExceedance(closeResidue(count, damage.residue)) });
  figures.push({ name: 'life-curve', figure: plotLifeCurve(damage.curve, { damage, ...(Number.isFinite(found.life.hours) ? { hours: found.life.hours } : {}) }) });
  if (damage.total > 0) figures.push({ name: 'damage', figure: plotDamage(damage) });
  if (found.rates.settling) figures.push({ name: 'settling', figure: plotConvergence(found.rates.settling) });
  found.damage.largest.slice(0, moments).forEach((cycle, k) => {
    if (cycle.seconds !== null) figures.push({ name: `moment-${k + 1}`, figure: momentOf(found, cycle, k) });
  });
  if (found.loss && found.loss.gaps >= 10) figures.push({ name: 'loss', figure: plotLossMap(found.loss) });
  if (found.budgets) figures.push({ name: 'budget', figure: plotBudget(found.budgets.stress) });
  if (found.band) figures.push({ name: 'life-band', figure: plotLifeBand(found.band) });
  if (found.tornado) figures.push({ name: 'tornado', figure: plotTornado(found.tornado) });
  return figures;
}

/** The strongest lines that are clear, with their first name where they have one. */
function marked({ resonance }: Assessment): readonly { readonly frequency: number; readonly name?: string }[] {
  if (!resonance.named) return resonance.lines.filter(isClear).slice(0, 6).map(({ frequency }) => ({ frequency }));
  return resonance.named.filter(isClear).slice(0, 6).map(({ frequency, names }) => ({ frequency, ...(names[0] ? { name: names[0].name } : {}) }));
}

/** How many of the moments that did most damage are drawn. */
const moments = 3;

/** The signal around one of the cycles that did most damage. */
function momentOf(found: Assessment, cycle: Contributor, rank: number): Figure {
  const { filtered } = found.signal;
  const seconds = cycle.seconds!;
  const reach = 1.5;
  return plotHistory([filtered], {
    from: Math.max(0, seconds - reach), to: Math.min(duration(filtered), seconds + reach),
    title: `Moment ${rank + 1}: ${Number((100 * cycle.share).toPrecision(2))} % of the damage, at ${seconds.toFixed(2)} s`,
  });
}
