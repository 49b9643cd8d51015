import { brief } from '../record/brief.js';
import { coveredSamples, type Span } from '../record/span.js';
import { formatSeconds } from '../record/Channel.js';
import type { LossEstimate } from '../clean/estimateLoss.js';
import { neverCame, type LossMap } from '../clean/lossMap.js';
import type { ZeroModel } from '../clean/ZeroModel.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { counted } from '../plot/axes.js';
import type { Assessment } from './assess.js';
import type { GaugeBudgets } from './budget.js';
import type { ReportFigure } from './figures.js';
import { html, type Html } from './html.js';
import { capital, percent, ratio, scientific } from './numbers.js';
import { figuresOfSection, table } from './pageParts.js';

/** How good the record is: coverage, faults, zero, uncertainty of torque and stress. */
export function recordSections(found: Assessment, figures: readonly ReportFigure[]): Html {
  return html`<h2>Quality of the record</h2>
${qualityOf(found)}
${figuresOfSection(figures, 'record')}
${found.signal.zeroModel ? zeroSection(found.signal.zeroModel) : ''}
${figuresOfSection(figures, 'zero')}
${found.budgets ? budgetSection(found.budgets, found.signal.masked.unit) : ''}
${figuresOfSection(figures, 'budget')}`;
}

function qualityOf(found: Assessment): Html {
  const { signal } = found;
  const lost = coveredSamples(signal.filtered.invalid);
  const share = (100 * lost) / signal.filtered.values.length;
  const rows = (signal.faults?.counts ?? []).map((c) => [c.why, String(c.spans), String(c.samples), formatSeconds(c.seconds), formatSeconds(c.longest)]);
  const read = `${formatSeconds(found.count.validTime)} of ${formatSeconds(found.count.validTime + found.count.lostTime)} were read and counted`;
  const coverage = lost === 0 ? `Coverage: every sample was read (${read}).` : `Coverage: ${read}; ${share.toPrecision(2)} % of the samples are masked${found.loss ? lossText(found.loss, signal.filtered.invalid) : ''}.`;
  return html`<p>${coverage}${(found.loss?.notes ?? []).map((note) => ` ${note}`)}</p>
${found.uncorrected ? html`<p>As received, without masks${found.job.recording.frames ? ' and with its rows edge to edge' : ''}, the record would give a damage of ${scientific(found.uncorrected.damage)} (${scientific(found.uncorrected.perHour)} in an hour), where the corrected one gives ${scientific(found.damage.total)} (${scientific(found.damage.perHour)} in an hour): × ${ratio(found.uncorrected.ratio)}.</p>` : ''}
${found.lost ? lostText(found.lost) : ''}
${rows.length > 0 ? table(['fault', 'spans', 'samples', 'time', 'longest'], rows, [1, 2, 3, 4]) : ''}`;
}

/** How much of what is masked never came, in how many gaps, and why the rest is masked. */
function lossText({ share, gaps }: LossMap, masked: readonly Span[]): string {
  const others = [...new Set(masked.map((span) => span.why))].filter((reason) => !neverCame.includes(reason));
  const rest = others.length === 0 ? '' : `${gaps === 0 ? ':' : ', the rest for another reason:'} ${others.join(', ')}`;
  return gaps === 0 ? rest : `: ${percent(share)} because they never came, in ${counted(gaps, 'gap')}${rest}`;
}

/** The damage with what was lost, from estimateLoss. */
function lostText({ left, withCrests, expected, low, high, coverage, gaps, crests, within }: LossEstimate): Html {
  const parts = [...(crests > 0 ? [`${crests === 1 ? 'a cut-off crest put back from its flanks makes' : `${crests} cut-off crests put back from their flanks make`} × ${ratio(withCrests / left)} of it`] : []), ...(gaps > 0 ? [`${gaps === 1 ? 'a gap' : `${gaps} gaps`} lost once more within ${formatSeconds(within)} of where ${gaps === 1 ? 'it lies shows what a gap like it takes' : 'each lies show what gaps like them take'}`] : [])];
  return html`<p>With what was lost estimated from the record itself, the damage is × ${ratio(expected / left)} (${percent(coverage)} interval × ${ratio(low / left)} to × ${ratio(high / left)}): ${parts.join('; ')}. The life above does not hold it.</p>`;
}

/** What each term of the zero is counted in, after the unit of the signal. */
const perTerm: Readonly<Record<string, string>> = { constant: 'N·m', time: 'N·m/s', temperature: 'N·m/K', 'speed squared': 'N·m/(rad/s)²', friction: 'N·m' };

function zeroSection({ terms, coefficients, standardErrors, residual, leaveOneOut, states, degreesOfFreedom }: ZeroModel): Html {
  return html`<h2>Zero</h2>
${table(['term', 'coefficient', 'standard error', 'unit'], terms.map((term, k) => [term, coefficients[k]!.toPrecision(4), degreesOfFreedom > 0 ? standardErrors[k]!.toPrecision(2) : 'not known', perTerm[term]!]), [1, 2])}
<p>Over ${states.length} rest states the model leaves ${residual.toPrecision(2)} N·m (root mean square)${leaveOneOut === null ? '; too few states to leave one out' : `, and misses a state that it was fitted without by ${leaveOneOut.toPrecision(2)} N·m`}.${terms.includes('friction') ? ' Friction is true torque and is not taken off.' : ''}</p>`;
}

/** What a reader calls the inputs of the gauge chain, with their units. */
const inputNames: Readonly<Record<string, string>> = {
  gaugeFactor: 'gauge factor', youngsModulus: "Young's modulus / Pa", shearModulus: 'shear modulus / Pa', poissonsRatio: "Poisson's ratio", gain: 'gain', excitation: 'bridge supply / V', countsPerVolt: 'counts per volt',
  outerDiameter: 'outer diameter / m', innerDiameter: 'bore / m', misalignment: 'misalignment / rad', signal: 'signal', zero: 'zero',
};

/** A note with the inputs' names in words. */
function inWords(note: string): string {
  const words = Object.entries(inputNames).reduce((text, [key, name]) => text.replaceAll(new RegExp(`\\b${key}\\b`, 'g'), name.split(' / ')[0]!), note);
  return capital(words);
}

function budgetSection(budgets: GaugeBudgets, unit: string): Html {
  const { torque, stress } = budgets;
  const line = (budget: UncertaintyBudget, scale: number, shown: string): Html => html`<p>${capital(budget.name)} at the largest reading: ${brief(budget.value / scale, 4)} ± ${brief(budget.expandedUncertainty / scale)} ${shown}
(${Number((100 * budget.coverage).toPrecision(3))} %, k = ${budget.coverageFactor.toPrecision(3)}${budget.monteCarlo ? `; Monte Carlo ${brief(budget.monteCarlo.low / scale, 4)} to ${brief(budget.monteCarlo.high / scale, 4)} ${shown}` : ''}).</p>`;
  const part = (budget: UncertaintyBudget, input: string): string => {
    const own = budget.lines.find((l) => l.input === input);
    return own ? percent(own.share) : 'does not enter';
  };
  return html`<h2>Uncertainty of torque and stress</h2>
${line(torque, 1000, 'kN·m')}${line(stress, 1e6, 'MPa')}
${table(['input', 'value', 'standard uncertainty', 'share in torque', 'share in stress'], torque.lines.map((l) => [`${inputNames[l.input] ?? l.input}${l.input === 'signal' || l.input === 'zero' ? ` / ${unit}` : ''}`, scientific(l.value, 4), l.standardUncertainty === 0 ? 'exact' : scientific(l.standardUncertainty, 2), percent(l.share), part(stress, l.input)]), [1, 2, 3, 4])}
${[...new Set([...torque.notes, ...stress.notes])].map((note) => html`<p>${inWords(note)}</p>`)}`;
}
