import { basename } from 'node:path';
import { version } from '../record/version.js';
import { coveredSamples } from '../record/span.js';
import { formatSeconds, duration } from '../record/Channel.js';
import { twoFigures } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import { continuations } from '../fatigue/LifeCurve.js';
import { toSvg } from '../plot/draw.js';
import type { Assessment } from './assess.js';
import { cautionsOf } from './cautions.js';
import type { ReportFigure } from './figures.js';
import { Html, html } from './html.js';

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
<p class="by">Assessment of ${basename(job.recording.file)}, ${formatSeconds(duration(signal.raw))} at ${signal.raw.sampleRate} Hz. Written by quillshaft ${version}.</p>
<div class="answer"><strong>Life: ${life.text}</strong>
${life.labels.map((label) => html`<p class="warn">${label}</p>`)}
${found.band ? html`<p><b>Nine parts of ten: ${twoFigures(found.band.low)} to ${twoFigures(found.band.high)} h</b>, from ${found.band.draws} draws through gauge, zero, section, notch, curve, Miner sum and duty.</p>` : html`<p>The job states no uncertainty, so this is a number without a band.</p>`}
<p>at a Miner sum of ${life.criticalSum}, ${damage.curve.name}, below the knee ${damage.continuation}${survivalText(found)}. The peak nominal shear stress is ${(found.margin.peak / 1e6).toPrecision(3)} MPa; yield in shear (von Mises) lies ${found.margin.margin.toPrecision(3)} times higher.</p></div>
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
<h2>Quality of the record</h2>
${qualityOf(found)}
<h2>Moments that did most damage</h2>
${table(['share', 'local shear range / MPa', 'mean / MPa', 'cycles', 'at / s', 'UTC'], damage.largest.map((c) => [`${(100 * c.share).toPrecision(2)} %`, (c.range / 1e6).toPrecision(3), (c.mean / 1e6).toPrecision(3), String(c.count), c.seconds === null ? '–' : c.seconds.toFixed(2), c.time ?? '–']), [0, 1, 2, 3, 4])}
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
${table(['probability of failure', 'life', ''], band.quantiles.map((q) => [`${Number((100 * q.probability).toPrecision(3))} %`, `${twoFigures(q.hours)} h`, q.extrapolated ? 'extrapolated: below the 5 % point' : '']), [0, 1])}
<p>Share of the variance of log life that each input explains alone: ${band.variance.map((v) => `${v.input} ${Math.round(100 * v.share)} %`).join(', ')}.</p>
${band.notes.map((note) => html`<p>${note}</p>`)}`;
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
  return html`<p>${lost === 0 ? 'Every sample was read.' : `${share.toPrecision(2)} % of the samples are masked; the rest was read.`}</p>
${rows.length > 0 ? table(['fault', 'spans', 'samples', 'time', 'longest'], rows, [1, 2, 3, 4]) : ''}`;
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
