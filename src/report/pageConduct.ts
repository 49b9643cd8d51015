import type { Assessment } from './assess.js';
import { powerSentence, type Conduct } from './conduct.js';
import type { ReportFigure } from './figures.js';
import { html, type Html } from './html.js';
import { inRpm, percent, plain, steady } from './numbers.js';
import { figuresOfSection, mostRows, table } from './pageParts.js';
import { isClear, wordsOf, type Resonance } from './resonance.js';

/** What the machine did, and where it resonates. */
export function conductSections(found: Assessment, figures: readonly ReportFigure[]): Html {
  return html`${found.conduct ? conductSection(found.conduct, figures) : ''}
${resonanceSection(found.resonance, figures)}`;
}

function conductSection({ states, events, power }: Conduct, figures: readonly ReportFigure[]): Html {
  return html`<h2>What the machine did</h2>
${table(['state', 'from / s', 'to / s', 'mean speed / rpm', 'mean torque / N·m'], states.states.slice(0, mostRows).map((s) => [s.state, s.from.toFixed(1), s.to.toFixed(1), steady((s.speed * 30) / Math.PI, 1), steady(s.torque, 0)]), [1, 2, 3, 4])}
${table(['event', 'peak at / s', 'peak / N·m', 'amplification of torque', 'rise / s'], events.events.slice(0, mostRows).map((e) => [e.state, e.peakAt.toFixed(2), plain(e.peak), e.amplification === null ? '–' : `${e.amplification.toPrecision(3)} × steady ${e.against!.state}`, e.riseTime === null ? '–' : e.riseTime.toPrecision(2)]), [1, 2, 3, 4])}
${Math.max(states.states.length, events.events.length) > mostRows ? html`<p>The first ${mostRows} of ${states.states.length} states and ${events.events.length} events; all stand in tables/states.csv and tables/events.csv.</p>` : ''}
${events.events.filter((e) => e.ringDown).map((e) => html`<p>After the ${e.state} at ${e.peakAt.toFixed(1)} s the shaft rings: ${e.ringDown!.modes.map((m) => `${m.frequency.value.toPrecision(4)} Hz, damping ${(100 * m.dampingRatio.value).toPrecision(3)} % (${Math.round(100 * e.ringDown!.level)} % interval ${(100 * m.dampingRatio.low).toPrecision(3)} to ${(100 * m.dampingRatio.high).toPrecision(3)})`).join('; ')}.</p>`)}
${power ? html`<p>${powerSentence(power)}</p>` : ''}
${[...new Set([...states.notes, ...events.notes])].map((note) => html`<p>${note}</p>`)}
${figuresOfSection(figures, 'conduct')}`;
}

function resonanceSection({ lines, named, natural, crossings, stretch, sweeps, runUp, spectrum }: Resonance, figures: readonly ReportFigure[]): Html {
  const shown = (named ?? lines).filter(isClear);
  const broad = lines.length - shown.length;
  return html`<h2>Lines and resonances</h2>
<p>${stretch ? `Spectrum of the steady stretch from ${stretch.from.toFixed(1)} to ${stretch.to.toFixed(1)} s.` : 'Spectrum of the whole record.'} Lines closer than ${Number(spectrum.enbw.toPrecision(2))} Hz run together.${natural.length > 0 ? ` Natural frequencies: ${natural.map((n) => `${n.frequency.toPrecision(4)} Hz${n.damping === null ? '' : ` (damping ${Number((100 * n.damping).toPrecision(2))} %)`} by ${n.from}`).join(', ')}.` : ''}</p>
${table(['line / Hz', 'amplitude / N·m', 'what it may be'], shown.slice(0, 8).map((l) => [l.frequency.toPrecision(4), l.amplitude.toPrecision(3), wordsOf(l)]), [0, 1])}
${broad > 0 ? html`<p>${broad === 1 ? 'One broad hump that fits no name is' : `${broad} broad humps that fit no name are`} left out; see tables/lines.csv.</p>` : ''}
${crossings && crossings.crossings.length > 0 ? html`<p>Where orders meet natural frequencies; the margin is the way from the running speed of ${inRpm(crossings.running, 4)} rpm to the crossing, the amplification that of the mode under the order.</p>` : ''}
${crossings && crossings.crossings.length > 0 ? table(['order', 'natural frequency / Hz', 'meets at / rpm', 'margin', 'amplification at running speed', 'at the crossing'], crossings.crossings.slice(0, 8).map((c) => [String(Number(c.order.toPrecision(4))), c.frequency.toPrecision(4), inRpm(c.speed, 4), percent(c.margin), c.amplification.toPrecision(2), c.atCrossing.toPrecision(2)]), [0, 1, 2, 3, 4, 5]) : ''}
${sweeps.map(sweepText)}
${(runUp?.notes ?? []).map((note) => html`<p>${note}</p>`)}
${figuresOfSection(figures, 'resonance')}`;
}

function sweepText({ window, fit }: Resonance['sweeps'][number]): Html {
  const { frequency, dampingRatio } = fit;
  const level = Math.round(100 * fit.level);
  return html`<p>Run of order ${fit.order} through the resonance (${window.from} to ${window.to} s, ${fit.sweepRate.toPrecision(2)} Hz/s): ${frequency.value.toPrecision(5)} Hz (${level} % interval ${frequency.low.toPrecision(5)} to ${frequency.high.toPrecision(5)}), met at ${fit.criticalSpeed.toPrecision(4)} rpm; damping ${(100 * dampingRatio.value).toPrecision(3)} % (${(100 * dampingRatio.low).toPrecision(3)} to ${(100 * dampingRatio.high).toPrecision(3)}), so a slow order is magnified ${fit.magnifier.toPrecision(2)} times.${fit.notes.map((note) => ` ${note}`).join('')}</p>`;
}
