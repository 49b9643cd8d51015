import { version } from '../record/version.js';
import { formatSeconds, duration } from '../record/Channel.js';
import { grouped, twoFigures } from '../fatigue/figures.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import { continuationName } from '../fatigue/names.js';
import type { Assessment } from './assess.js';
import { cautionsOf } from './cautions.js';
import type { ReportFigure } from './figures.js';
import { Html, html, typesetHtml } from './html.js';
import { recordingName } from './methodText.js';
import { conductSections } from './pageConduct.js';
import { lifeSections } from './pageLife.js';
import { percent, spanText } from './numbers.js';
import { figuresOfSection } from './pageParts.js';
import { recordSections } from './pageRecord.js';
import { drawnText } from './uncertainty.js';

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
td.n { white-space: nowrap; }
.wide { overflow-x: auto; }
figure { margin: 1.2rem 0; break-inside: avoid; }
figure svg { width: 100%; height: auto; display: block; }
figure .wide svg { min-width: 30rem; }
figcaption { font-size: .88rem; color: var(--soft); }
h3 { font-size: 1rem; margin: 1.4rem 0 .4rem; }
.cautions { border: 2px solid var(--mark); padding: .4rem 1rem; break-inside: avoid; }
@media print { body { font-size: 10.5pt; max-width: none; padding: 0; } h2, h3 { break-after: avoid; } tr { break-inside: avoid; } figure .wide svg { min-width: 0; } .answer { background: none; border: 1px solid var(--ink); border-left-width: 6px; } }
`;

/** The report as one self-contained page. */
export function reportPage(found: Assessment, figures: readonly ReportFigure[]): string {
  const { job, signal } = found;
  const page = html`<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${job.title}</title><style>${new Html(style)}</style></head><body>
<h1>${job.title}</h1>
<p class="by">Assessment of ${recordingName(job)}, ${formatSeconds(duration(signal.masked))} at ${signal.masked.sampleRate} Hz. Written by quillshaft ${version}.</p>
${answerOf(found)}
<h2>What drives the life</h2>
<ol>${found.drivers.slice(0, 3).map((driver) => html`<li>${driver.sentence}</li>`)}</ol>
${found.drivers.length === 0 ? html`<p>No cycle did damage under this curve; nothing drives the life.</p>` : ''}
${figuresOfSection(figures, 'drivers')}
<h2>Cautions</h2>
<div class="cautions">${cautionsOf(found).map((text) => html`<p>${text}</p>`)}</div>
${lifeSections(found, figures)}
${recordSections(found, figures)}
${conductSections(found, figures)}
<h2>Method</h2>
${found.method.map((text) => html`<p>${text}</p>`)}
${found.notes.length > 0 ? html`<h2>Notes</h2><ul>${found.notes.map((note) => html`<li>${note}</li>`)}</ul>` : ''}
</body></html>
`;
  return typesetHtml(page.text);
}

/** The answer in a box: the life, its band, its labels, and how far the peak is from yield. */
function answerOf({ job, life, damage, band, unsettled, duty, margin }: Assessment): Html {
  const peak = margin.peak / 1e6;
  return html`<div class="answer"><strong>Life: ${life.text}</strong>
${life.labels.filter((label) => label !== life.text).map((label) => html`<p class="warn">${label}</p>`)}
${band ? html`<p><b>Nine parts of ten: ${spanText(band.low, band.high, 'h')}</b>, from ${grouped(band.draws)} draws through ${drawnText(band)}.${endlessText(band)}</p>` : html`<p>${job.uncertainty ? 'No cycle did damage under this curve, so there is no band to draw: not one draw through what is uncertain does any.' : 'The job states no uncertainty, so this is a number without a band.'}</p>`}
${unsettled ? html`<p class="warn">${unsettled}</p>` : ''}
${duty && (duty.band || Number.isFinite(duty.mix.years)) ? html`<p><b>By the stated duty: ${Number.isFinite(duty.mix.years) ? `${twoFigures(duty.mix.years)} years` : 'no damage counted'}</b>${duty.band ? `; nine parts of ten: ${spanText(duty.band.low, duty.band.high, 'years')}` : ''}.</p>` : ''}
${duty?.unsettled ? html`<p class="warn">${duty.unsettled}</p>` : ''}
<p>${duty ? 'If every hour were like the recorded ones' : 'Running hours like the recorded ones'}, at a Miner sum of ${life.criticalSum}, ${damage.curve.name}, below the knee ${continuationName(damage.continuation)}${damage.curve.survival === null ? '' : `, a curve that ${percent(damage.curve.survival, 3)} of the parts survive`}. The peak nominal shear stress is ${peak.toPrecision(3)} MPa${margin.margin >= 1 ? html`; yield in shear (von Mises) lies ${margin.margin.toPrecision(3)} times higher.</p>` : html`.</p><p class="warn">That is beyond yield in shear (von Mises), ${(peak * margin.margin).toPrecision(3)} MPa: the section yields in one load, and a life from elastic stress does not hold.</p>`}</div>`;
}

/** How many of the draws have no end, where some have none. */
function endlessText({ lives, draws, middle }: LifeBand): string {
  const endless = lives.filter((hours) => hours === Number.POSITIVE_INFINITY).length / draws;
  return endless === 0 ? '' : ` In ${percent(endless)} of the draws no cycle does damage: those parts live without end${middle === Number.POSITIVE_INFINITY ? ', as does one with every input at its middle' : ''}.`;
}
