import { version } from '../record/version.js';
import { coveredSamples } from '../record/span.js';
import { formatSeconds, duration } from '../record/Channel.js';
import { twoFigures } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import { continuations } from '../fatigue/LifeCurve.js';
import { toSvg } from '../plot/draw.js';
import { meanStressName } from '../fatigue/meanStress.js';
import type { MeanStressBounds } from '../fatigue/meanStressBounds.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import type { GaugeBudgets } from './budget.js';
import { isClear, wordsOf, type Resonance } from './resonance.js';
import type { Conduct } from './conduct.js';
import type { Assessment } from './assess.js';
import { cautionsOf } from './cautions.js';
import type { ReportFigure } from './figures.js';
import type { FileSum } from './fileSum.js';
import { Html, html } from './html.js';
import { recordingName } from './methodText.js';
import { settledWithin, type DamageRates } from './rates.js';

const style = `
:root { color-scheme: light; --ink: #1d2429; --soft: #59656d; --line: #c9d1d6; --wash: #f2f5f4; --mark: #8a3b12; }
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 54rem; padding: 2rem 1.25rem 4rem; font: 16px/1.55 "DejaVu Serif", Georgia, serif; color: var(--ink); background: #fff; }
h1 { font-size: 1.55rem; line-height: 1.25; margin: 0 0 .25rem; }
h2 { font-size: 1.1rem; margin: 2.2rem 0 .6rem; padding-top: .5rem; border-top: 2px solid var(--ink); }
p, ol, ul { margin: .5rem 0; }
.by { color: var(--soft); font-size: .9rem; }
.answer { margin: 1.4rem 0; padding: 1rem 1.25rem; background: var(--wash); border-left: 6px solid var(--ink); }
.answer strong { font-size: 1.7rem; display: block; line-height: 1.3; }
.warn { color: var(--mark); font-weight: bold; }
table { border-collapse: collapse; width: 100%; font-size: .9rem; margin: .6rem 0; }
th, td { text-align: left; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid var(--line); vertical-align: top; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; }
.wide { overflow-x: auto; }
figure { margin: 1.2rem 0; break-inside: avoid; }
figure svg { width: 100%; height: auto; display: block; }
figcaption { font-size: .88rem; color: var(--soft); }
.cautions { border: 2px solid var(--mark); padding: .4rem 1rem; break-inside: avoid; }
@media print { body { font-size: 10.5pt; max-width: none; padding: 0; } h2 { break-after: avoid; } .answer { background: none; border: 1px solid var(--ink); border-left-width: 6px; } }
`;

/** The report as one self-contained page. */
export function reportPage(found: Assessment, figures: readonly ReportFigure[]): string {
  const { job, life, damage, signal } = found;
  const page = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${job.title}</title><style>${new Html(style)}</style></head><body>
<h1>${job.title}</h1>
<p class="by">Assessment of ${recordingName(job)}, ${formatSeconds(duration(signal.raw))} at ${signal.raw.sampleRate} Hz. Written by quillshaft ${version}.</p>
<div class="answer"><strong>Life: ${life.text}</strong>
${life.labels.filter((label) => label !== life.text).map((label) => html`<p class="warn">${label}</p>`)}
${found.band ? html`<p><b>Nine parts of ten: ${bandText(found.band)}</b>, from ${String(found.band.draws).replace(/\B(?=(\d{3})+$)/g, ' ')} draws through gauge, zero, section, notch, curve, Miner sum and duty.</p>` : html`<p>${job.uncertainty ? 'No cycle did damage under this curve, so there is no band to draw.' : 'The job states no uncertainty, so this is a number without a band.'}</p>`}
<p>at a Miner sum of ${life.criticalSum}, ${damage.curve.name}, below the knee ${damage.continuation}${survivalText(found)}. The peak nominal shear stress is ${(found.margin.peak / 1e6).toPrecision(3)} MPa${found.margin.margin >= 1 ? html`; yield in shear (von Mises) lies ${found.margin.margin.toPrecision(3)} times higher.</p>` : html`.</p><p class="warn">That is beyond yield in shear (von Mises), ${(found.margin.peak / 1e6 * found.margin.margin).toPrecision(3)} MPa: the section yields in one load, and a life from elastic stress does not hold.</p>`}</div>
<h2>What drives the life</h2>
<ol>${found.drivers.slice(0, 3).map((driver) => html`<li>${driver.sentence}</li>`)}</ol>
${found.drivers.length === 0 ? html`<p>No cycle did damage under this curve; nothing drives the life.</p>` : ''}
<h2>Cautions</h2>
<div class="cautions">${cautionsOf(found).map((text) => html`<p>${text}</p>`)}</div>
<h2>Life under the three continuations below the knee</h2>
${table(['below the knee', 'damage in an hour', 'life'], continuations.map((c) => [c === damage.continuation ? `${c} (assessed)` : c, found.damages[c].perHour.toExponential(2), found.lives[c].text]), [1, 2])}
${found.band ? bandSection(found.band) : ''}
<h2>Price of each choice</h2>
<p>Each row changes one thing and leaves the rest; a life ratio of 0.5 halves the life.</p>
${table(['choice', 'taken', 'instead', 'damage', 'life'], found.prices.map((p) => [p.choice, p.taken, p.bound ? `${p.instead} (bound)` : p.instead, `× ${ratio(p.damageRatio)}`, `× ${ratio(1 / p.damageRatio)}`]), [3, 4])}
${found.bounds ? boundsSection(found.bounds) : ''}
${ratesSection(found.rates)}
${found.fileSum ? fileSumSection(found.fileSum) : ''}
<h2>Quality of the record</h2>
${qualityOf(found)}
${found.budgets ? budgetSection(found.budgets) : ''}
${found.conduct ? conductSection(found.conduct) : ''}
${resonanceSection(found.resonance)}
<h2>Moments that did most damage</h2>
${table(['share', 'local shear range / MPa', 'mean / MPa', 'cycles', 'at / s', 'UTC'], damage.largest.map((c) => [`${Number((100 * c.share).toPrecision(2))} %`, (c.range / 1e6).toPrecision(3), (c.mean / 1e6).toPrecision(3), String(c.count), c.seconds === null ? '–' : c.seconds.toFixed(2), c.time ?? '–']), [0, 1, 2, 3, 4])}
<h2>Figures</h2>
${figures.map(({ figure }, i) => html`<figure>${new Html(toSvg(figure))}<figcaption>Figure ${i + 1}. ${figure.caption}</figcaption></figure>`)}
<h2>Method</h2>
${found.method.map((text) => html`<p>${text}</p>`)}
${found.notes.length > 0 ? html`<h2>Notes</h2><ul>${found.notes.map((note) => html`<li>${note}</li>`)}</ul>` : ''}
</body></html>
`;
  return page.text;
}

function bandSection(band: LifeBand): Html {
  return html`<h2>Life with its uncertainty</h2>
${table(['probability of failure', 'life', ''], band.quantiles.map((q) => [`${Number((100 * q.probability).toPrecision(3))} %`, q.hours === Number.POSITIVE_INFINITY ? 'without end' : `${twoFigures(q.hours)} h`, q.extrapolated ? 'extrapolated: below the 5 % point' : '']), [0, 1])}
<p>Share of the variance of log life that each input explains alone: ${band.variance.map((v) => `${v.input === 'criticalSum' ? 'Miner sum' : v.input} ${Math.round(100 * v.share)} %`).join(', ')}.</p>
${band.notes.map((note) => html`<p>${note}</p>`)}`;
}

/** The interval of a life; its upper end is open where the load may do no damage at all. */
function bandText(band: LifeBand): string {
  return band.high === Number.POSITIVE_INFINITY ? `${twoFigures(band.low)} h and more, without an upper end` : `${twoFigures(band.low)} to ${twoFigures(band.high)} h`;
}

/** Four figures, without a power of ten where none is needed. */
function plain(value: number): string {
  return Math.abs(value) >= 1e4 && Math.abs(value) < 1e6 ? String(Number(value.toPrecision(4))) : value.toPrecision(4);
}

function ratesSection({ byState, settling, spectral }: DamageRates): Html {
  if (!byState && !settling && !spectral) return html``;
  const times = (value: number | null): string => (value === null || !(spectral!.counted > 0) ? '–' : `× ${(value / spectral!.counted).toPrecision(3)}`);
  return html`<h2>Where and how steadily the damage is done</h2>
${settling ? html`<p>The record is ${settling.verdict === 'long enough' ? 'long enough' : 'too short'}: its damage rate is known to ± ${Number((100 * settling.relativeHalfWidth).toPrecision(2))} % (${Number((100 * settling.interval.level).toPrecision(3))} %, bootstrap of blocks), where ± ${100 * settledWithin} % is asked.${settling.verdict === 'long enough' ? '' : ` About ${twoFigures(settling.hoursNeeded)} h of the same duty would do. Record longer.`}${settling.notes.map((note) => ` ${note}`).join('')}</p>` : ''}
${byState ? html`${table(['state', 'time / s', 'cycles', 'share of damage', 'damage in an hour of it'], byState.map((s) => [s.name, (3600 * s.hours).toFixed(1), String(s.cycles), `${Number((100 * s.share).toPrecision(2))} %`, s.perHour.toExponential(2)]), [1, 2, 3, 4])}
<p>A cycle belongs to the state in which it turns back.</p>` : ''}
${spectral ? html`<p>Damage in an hour of the steady stretch from its spectrum, beside its rainflow count (mean stress left out in all). A stationary Gaussian torque is assumed; lines and load steps are not Gaussian, so the count stands.</p>
${table(['method', 'damage in an hour', 'over rainflow'], [['rainflow', spectral.counted.toExponential(2), ''], ...Object.entries(spectral.perHour).filter(([, v]) => v !== null).map(([name, v]) => [name, v!.toExponential(2), times(v)])], [1, 2])}` : ''}`;
}

function fileSumSection({ files, joined, summed, ratio: share }: FileSum): Html {
  return html`<h2>Files in time order</h2>
<p>The ${files.length} files were joined in time order before counting: damage ${joined.toExponential(2)}. Assessed one by one and added they would give ${summed.toExponential(2)}, ${(100 * share).toPrecision(3)} % of it: cycles that open in one file and close in another (start to stop) would be lost, and the life would look ${(1 / share).toPrecision(3)} times as long.</p>
${table(['file', 'begins at / s', 'damage, counted alone'], files.map((f) => [f.file, f.seconds.toFixed(1), f.damage.toExponential(2)]), [1, 2])}`;
}

function survivalText(found: Assessment): string {
  const { survival } = found.damage.curve;
  return survival === null ? '' : `, a curve that ${Number((100 * survival).toPrecision(3))} % of the parts survive`;
}

function qualityOf(found: Assessment): Html {
  const { signal } = found;
  const lost = coveredSamples(signal.filtered.invalid);
  const share = (100 * lost) / signal.filtered.values.length;
  const rows = (signal.faults?.counts ?? []).map((c) => [c.why, String(c.spans), String(c.samples), formatSeconds(c.seconds), formatSeconds(c.longest)]);
  const read = `${formatSeconds(found.count.validTime)} of ${formatSeconds(found.count.validTime + found.count.lostTime)} were read and counted`;
  const loss = found.loss ? ` Loss came in ${found.loss.gaps} gaps.${found.loss.notes.map((note) => ` ${note}`).join('')}` : '';
  return html`<p>${lost === 0 ? `Coverage: every sample was read (${read}).` : `Coverage: ${read}; ${share.toPrecision(2)} % of the samples are masked.`}${loss}</p>
${rows.length > 0 ? table(['fault', 'spans', 'samples', 'time', 'longest'], rows, [1, 2, 3, 4]) : ''}`;
}

function boundsSection(bounds: MeanStressBounds): Html {
  const row = (name: 'without' | 'with', text: string): string[] => [text, bounds[name].perHour.toExponential(2), name === bounds.suggested ? 'suggested' : ''];
  return html`<h2>Mean stress, both bounds</h2>
${table(['mean stress', 'damage in an hour', ''], [row('without', 'left out'), row('with', meanStressName(bounds.with.meanStress))], [1])}
<p>Suggested: ${bounds.suggested === 'with' ? 'with the rule' : 'left out'}, because of the notch state (${bounds.reason}).</p>`;
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

function budgetSection(budgets: GaugeBudgets): Html {
  const { torque, stress } = budgets;
  const percent = (x: number): string => `${Number((100 * x).toPrecision(2))} %`;
  const line = (budget: UncertaintyBudget, scale: number, unit: string): Html => html`<p>${capital(budget.name)} at the largest reading: ${(budget.value / scale).toPrecision(4)} ± ${(budget.expandedUncertainty / scale).toPrecision(2)} ${unit}
(${Number((100 * budget.coverage).toPrecision(3))} %, k = ${budget.coverageFactor.toPrecision(3)}${budget.monteCarlo ? `; Monte Carlo ${(budget.monteCarlo.low / scale).toPrecision(4)} to ${(budget.monteCarlo.high / scale).toPrecision(4)} ${unit}` : ''}).</p>`;
  const part = (budget: UncertaintyBudget, input: string): string => {
    const own = budget.lines.find((l) => l.input === input);
    return own ? percent(own.share) : 'does not enter';
  };
  return html`<h2>Uncertainty of torque and stress</h2>
${line(torque, 1000, 'kN·m')}${line(stress, 1e6, 'MPa')}
${table(['input', 'value', 'standard uncertainty', 'share in torque', 'share in stress'], torque.lines.map((l) => [inputNames[l.input] ?? l.input, plain(l.value), l.standardUncertainty.toPrecision(2), percent(l.share), part(stress, l.input)]), [1, 2, 3, 4])}
${[...new Set([...torque.notes, ...stress.notes])].map((note) => html`<p>${inWords(note)}</p>`)}`;
}

/** Longer tables are cut on the page; the CSV files hold every row. */
const mostRows = 16;

function conductSection({ states, events, power }: Conduct): Html {
  const rpmOf = (w: number): string => ((w * 30) / Math.PI).toPrecision(3);
  return html`<h2>What the machine did</h2>
${table(['state', 'from / s', 'to / s', 'mean speed / rpm', 'mean torque / N·m'], states.states.slice(0, mostRows).map((s) => [s.state, s.from.toFixed(1), s.to.toFixed(1), rpmOf(s.speed), plain(s.torque)]), [1, 2, 3, 4])}
${table(['event', 'peak at / s', 'peak / N·m', 'amplification', 'rise / s'], events.events.slice(0, mostRows).map((e) => [e.state, e.peakAt.toFixed(2), plain(e.peak), e.amplification === null ? '–' : `${e.amplification.toPrecision(3)} × steady ${e.against!.state}`, e.riseTime === null ? '–' : e.riseTime.toPrecision(2)]), [1, 2, 3, 4])}
${Math.max(states.states.length, events.events.length) > mostRows ? html`<p>The first ${mostRows} of ${states.states.length} states and ${events.events.length} events; all stand in tables/states.csv and tables/events.csv.</p>` : ''}
${events.events.filter((e) => e.ringDown).map((e) => html`<p>After the ${e.state} at ${e.peakAt.toFixed(1)} s the shaft rings: ${e.ringDown!.modes.map((m) => `${m.frequency.value.toPrecision(4)} Hz, damping ${(100 * m.dampingRatio.value).toPrecision(3)} % (${Math.round(100 * e.ringDown!.level)} % interval ${(100 * m.dampingRatio.low).toPrecision(3)} to ${(100 * m.dampingRatio.high).toPrecision(3)})`).join('; ')}.</p>`)}
${power ? html`<p>Power over the longest steady stretch (${power.from.toFixed(1)} to ${power.to.toFixed(1)} s, ${power.revolutions} whole revolutions): ${(power.meanPower / 1000).toPrecision(4)} kW; the product of mean torque and mean speed would be ${(power.productOfMeans / 1000).toPrecision(4)} kW.</p>` : ''}`;
}

function resonanceSection({ lines, named, natural, crossings, stretch }: Resonance): Html {
  const shown = (named ?? lines).filter(isClear);
  const broad = lines.length - shown.length;
  return html`<h2>Lines and resonances</h2>
<p>${stretch ? `Spectrum of the steady stretch from ${stretch.from.toFixed(1)} to ${stretch.to.toFixed(1)} s.` : 'Spectrum of the whole record.'}${natural.length > 0 ? ` Natural frequencies: ${natural.map((n) => `${n.frequency.toPrecision(4)} Hz${n.damping === null ? '' : ` (damping ${Number((100 * n.damping).toPrecision(2))} %)`} by ${n.from}`).join(', ')}.` : ''}</p>
${table(['line / Hz', 'amplitude / N·m', 'what it may be'], shown.slice(0, 8).map((l) => [l.frequency.toPrecision(4), l.amplitude.toPrecision(3), wordsOf(l)]), [0, 1])}
${broad > 0 ? html`<p>${broad} broad humps that fit no name are left out; they stand in tables/lines.csv.</p>` : ''}
${crossings && crossings.crossings.length > 0 ? table(['order', 'natural frequency / Hz', 'meets at / rpm', 'margin', 'amplification at running speed'], crossings.crossings.slice(0, 8).map((c) => [String(Number(c.order.toPrecision(4))), c.frequency.toPrecision(4), ((c.speed * 30) / Math.PI).toPrecision(4), `${Number((100 * c.margin).toPrecision(2))} %`, c.amplification.toPrecision(2)]), [0, 1, 2, 3, 4]) : ''}`;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}

/** A table; `right` are the columns set flush right. */
function table(columns: readonly string[], rows: readonly (readonly string[])[], right: readonly number[] = []): Html {
  if (rows.length === 0) return html`<p>None.</p>`;
  const cell = (k: number): Html => new Html(right.includes(k) ? ' class="n"' : '');
  return html`<div class="wide"><table><thead><tr>${columns.map((c, k) => html`<th${cell(k)}>${c}</th>`)}</tr></thead><tbody>${rows.map((row) => html`<tr>${row.map((c, k) => html`<td${cell(k)}>${c}</td>`)}</tr>`)}</tbody></table></div>`;
}

function ratio(value: number): string {
  return value === Number.POSITIVE_INFINITY ? '∞' : String(Number(value.toPrecision(3)));
}
