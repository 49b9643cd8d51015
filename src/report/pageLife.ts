import type { Assessment } from './assess.js';
import { twoFigures } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import { continuations } from '../fatigue/LifeCurve.js';
import { continuationName, meanStressName } from '../fatigue/names.js';
import type { DamageConvergence } from '../fatigue/damageConvergence.js';
import type { MeanStressBounds } from '../fatigue/meanStressBounds.js';
import type { EquivalentRange } from '../fatigue/equivalentRange.js';
import type { Duty } from './duty.js';
import type { ReportFigure } from './figures.js';
import type { FileSum } from './fileSum.js';
import { html, type Html } from './html.js';
import { percent, ratio, scientific, spanText } from './numbers.js';
import { figuresOfSection, table } from './pageParts.js';
import { settledWithin, type DamageRates } from './rates.js';

/** The life, what it rests on, and what the choices cost. */
export function lifeSections(found: Assessment, figures: readonly ReportFigure[]): Html {
  const { damage, life } = found;
  return html`${found.duty ? dutySection(found.duty) : ''}
${figuresOfSection(figures, 'duty')}
<h2>Life under the three continuations below the knee</h2>
${table(['below the knee', 'damage in an hour', 'life'], continuations.map((c) => [`${continuationName(c)}${c === damage.continuation ? ' (assessed)' : ''}`, scientific(found.damages[c].perHour), found.lives[c].text]), [1, 2])}
${curveText(found)}
${found.band ? bandSection(found.band) : ''}
${figuresOfSection(figures, 'life')}
<h2>Price of each choice</h2>
<p>Each row changes one thing and leaves the rest; a life ratio of 0.5 halves the life.</p>
${table(['choice', 'taken', 'instead', 'damage', 'life'], found.prices.map((p) => [p.choice, p.taken, p.bound ? `${p.instead} (bound)` : p.instead, `× ${ratio(p.damageRatio)}`, `× ${ratio(1 / p.damageRatio)}`]), [3, 4])}
${figuresOfSection(figures, 'choices')}
${found.bounds ? boundsSection(found.bounds) : ''}
${life.hours === Number.POSITIVE_INFINITY ? '' : equivalentSection(found.equivalent)}
${ratesSection(found.rates, figures)}
${found.fileSum ? fileSumSection(found.fileSum) : ''}
<h2>Moments that did most damage</h2>
${table(['share', 'local shear range / MPa', 'mean / MPa', 'cycles', 'at / s', 'UTC'], damage.largest.map((c) => [percent(c.share), (c.range / 1e6).toPrecision(3), (c.mean / 1e6).toPrecision(3), String(c.count), c.seconds === null ? '–' : c.seconds.toFixed(2), c.time ?? '–']), [0, 1, 2, 3, 4])}
${figuresOfSection(figures, 'moments')}`;
}

/** The chosen curve with what stands behind it. */
function curveText({ damage: { curve, outsideTested } }: Assessment): Html {
  const facts = [
    curve.survival === null ? 'its survival is not stated' : `${percent(curve.survival, 3)} of the parts survive it`,
    curve.deviation === null ? 'its scatter is not stated' : `standard deviation of log N ${curve.deviation}`,
    curve.tested === null ? 'its tested interval is not stated' : `tested from ${twoFigures(curve.tested.from)} to ${twoFigures(curve.tested.to)} cycles${outsideTested ? `, outside which ${percent(outsideTested)} of the damage lies` : ''}`,
    curve.notch === 'in the curve' ? 'it holds its notch' : 'the stress carries the notch',
  ];
  return html`<p>S-N curve: ${curve.name} (source: ${curve.source}); ${facts.join('; ')}.</p>`;
}

function dutySection({ mix, band, startsInRecord, notes }: Duty): Html {
  return html`<h2>Life by the stated duty</h2>
<p><b>${Number.isFinite(mix.years) ? `${twoFigures(mix.years)} years` : 'No damage'}</b> of ${Number(mix.hoursPerYear.toPrecision(4))} h, a damage of ${scientific(mix.damagePerYear)} in each.${band ? ` Nine parts of ten: ${spanText(band.low, band.high, 'years')}, through ${band.drawn}.` : ''}${mix.interval && mix.damagePerYear > 0 ? ` How the hours fall on the states alone moves the damage of a year between ${scientific(mix.interval.low)} and ${scientific(mix.interval.high)} (${percent(mix.interval.level)}).` : ''}</p>
${table(['part', 'in a year', 'damage of each', 'damage in a year', 'share'], mix.parts.map((p) => [p.name, p.per === 'hour' ? `${Number(p.amount.toPrecision(4))} h` : `${Number(p.amount.toPrecision(4))} starts`, scientific(p.rate), scientific(p.damagePerYear), percent(p.share)]), [1, 2, 3, 4])}
<p>Each stretch of a state by the hour is counted by itself.${startsInRecord > 0 ? ` The starts hold the record with those stretches reduced to their extremes, divided by the ${startsInRecord === 1 ? 'one start' : `${startsInRecord} starts`} in it: run-up, trip, coast-down, and the cycle from standstill to load and back.` : ''}${notes.map((note) => ` ${note}`).join('')}</p>`;
}

function bandSection(band: LifeBand): Html {
  return html`<h2>Life with its uncertainty</h2>
${table(['probability of failure', 'life', ''], band.quantiles.map((q) => [`${Number((100 * q.probability).toPrecision(3))} %`, q.hours === Number.POSITIVE_INFINITY ? 'without end' : `${twoFigures(q.hours)} h`, q.extrapolated ? 'extrapolated: below the 5 % point' : '']), [0, 1])}
<p>Share of the variance of log life that each input explains alone: ${band.variance.map((v) => `${v.input === 'criticalSum' ? 'Miner sum' : v.input === 'shares' ? 'shares of the hours' : v.input} ${Math.round(100 * v.share)} %`).join(', ')}.</p>
${band.notes.map((note) => html`<p>${note}</p>`)}`;
}

function ratesSection({ byState, settling, spectral }: DamageRates, figures: readonly ReportFigure[]): Html {
  if (!byState && !settling && !spectral) return figuresOfSection(figures, 'rates');
  const times = (value: number | null): string => (value === null || !(spectral!.counted > 0) ? '–' : `× ${(value / spectral!.counted).toPrecision(3)}`);
  return html`<h2>Where and how steadily the damage is done</h2>
${settling ? html`<p>${verdictText(settling)}: its damage rate ${settling.relativeHalfWidth < 1 ? `is known to ± ${percent(settling.relativeHalfWidth)}` : `may lie anywhere from ${scientific(settling.interval.low)} to ${scientific(settling.interval.high)} in an hour`} (${percent(settling.interval.level, 3)}, from the spread of eight stretches), where ± ${100 * settledWithin} % is asked.${settling.verdict === 'long enough' ? '' : ` About ${twoFigures(settling.hoursNeeded)} h of the same duty would do. Record longer.`}${settling.notes.map((note) => ` ${note}`).join('')}</p>` : ''}
${byState ? html`${table(['state', 'time / s', 'cycles', 'share of damage', 'damage in an hour of it'], byState.map((s) => [s.name, (3600 * s.hours).toFixed(1), String(s.cycles), percent(s.share), scientific(s.perHour)]), [1, 2, 3, 4])}
<p>A cycle belongs to the state in which it turns back.</p>` : ''}
${spectral ? html`<p>Damage in an hour of the steady stretch from its spectrum, beside its rainflow count (mean stress left out in all). A stationary Gaussian torque is assumed; lines and load steps are not Gaussian, so the count stands.</p>
${table(['method', 'damage in an hour', 'over rainflow'], [['rainflow', scientific(spectral.counted), ''], ...Object.entries(spectral.perHour).filter(([, v]) => v !== null).map(([name, v]) => [name, scientific(v!), times(v)])], [1, 2])}` : ''}
${figuresOfSection(figures, 'rates')}`;
}

/** Is the record long enough? One that is not may look settled, where its stretches are alike: its notes say so. */
function verdictText({ verdict, relativeHalfWidth }: DamageConvergence): string {
  if (verdict === 'long enough') return 'The record is long enough';
  return relativeHalfWidth > settledWithin ? 'The record is too short' : 'The record is not called long enough, although it looks so by the width alone';
}

function fileSumSection({ files, joined, summed, ratio: share }: FileSum): Html {
  return html`<h2>Files in time order</h2>
<p>The ${files.length} files were joined in time order before counting: damage ${scientific(joined)}. Assessed one by one and added they would give ${scientific(summed)}, ${(100 * share).toPrecision(3)} % of it: cycles that open in one file and close in another (start to stop) would be lost, and the life would look ${(1 / share).toPrecision(3)} times as long.</p>
${table(['file', 'begins at / s', 'damage, counted alone'], files.map((f) => [f.file, f.seconds.toFixed(1), scientific(f.damage)]), [1, 2])}`;
}

function boundsSection(bounds: MeanStressBounds): Html {
  const row = (name: 'without' | 'with', text: string): string[] => [text, scientific(bounds[name].perHour), name === bounds.suggested ? 'suggested' : ''];
  return html`<h2>Mean stress, both bounds</h2>
${table(['mean stress', 'damage in an hour', ''], [row('without', 'left out'), row('with', meanStressName(bounds.with.meanStress))], [1])}
<p>Suggested: ${bounds.suggested === 'with' ? 'with the rule' : 'left out'}, because of the notch state (${bounds.reason}).</p>`;
}

function equivalentSection({ slopes, ranges, cycles }: EquivalentRange): Html {
  return html`<h2>Equivalent range</h2>
<p>The constant local shear range (peak to peak) that does in ${twoFigures(cycles)} cycles, on a straight line of slope m, what the whole record does. Mean stress is left out.</p>
${table(['slope m', 'equivalent range / MPa'], Array.from(slopes, (m, i) => [String(m), (ranges[i]! / 1e6).toPrecision(3)]), [0, 1])}`;
}
