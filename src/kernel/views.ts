import type { Channel, Step } from '../record/Channel.js';
import { duration, formatSeconds } from '../record/Channel.js';
import type { Recording } from '../record/Recording.js';
import { lineOf, setViewer, type View } from '../record/result.js';
import { coveredSamples } from '../record/span.js';
import type { FaultReport } from '../clean/FaultReport.js';
import type { ZeroModel } from '../clean/ZeroModel.js';
import type { CycleCount, Cycles } from '../count/CycleCount.js';
import { closeResidue } from '../count/closeResidue.js';
import type { CountMatrix } from '../count/matrices.js';
import type { Damage } from '../fatigue/damage.js';
import type { LifeCurve } from '../fatigue/LifeCurve.js';
import type { Life } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import type { StaticMargin } from '../fatigue/staticMargin.js';
import type { Tornado } from '../fatigue/tornado.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { plotBudget } from '../plot/plotBudget.js';
import { plotLifeBand } from '../plot/plotLifeBand.js';
import { plotTornado } from '../plot/plotTornado.js';
import type { RingDown } from '../spectrum/fitRingDown.js';
import type { LineSpectrum } from '../spectrum/lineSpectrum.js';
import type { PowerDensity } from '../spectrum/powerDensity.js';
import type { Figure } from '../plot/Figure.js';
import { plotDamage } from '../plot/plotDamage.js';
import { plotExceedance } from '../plot/plotExceedance.js';
import { plotHistory } from '../plot/plotHistory.js';
import { plotLifeCurve } from '../plot/plotLifeCurve.js';
import { plotMatrix } from '../plot/plotMatrix.js';
import { plotSpectrum } from '../plot/plotSpectrum.js';
import { toSvg } from '../plot/draw.js';
import { htmlTable } from './bundle.js';
import { cardHtml, type CardParts } from './card.js';

/** What makes the card of a kind of result. The figure is drawn from it afterwards. */
type Viewer = (result: never) => Omit<CardParts, 'svg'> & { readonly figure?: () => Figure };

/** A Vega-Lite figure as JupyterLab draws it, with zoom and values under the pointer. */
const vegaLite = 'application/vnd.vegalite.v5+json';

const viewers: Readonly<Record<string, Viewer>> = {
  Channel: (channel: Channel) => ({ figure: () => plotHistory(channel), trail: channel.trail.map(stepLine) }),
  Recording: (recording: Recording) => ({
    table: htmlTable(['channel', 'unit', 'samples', 'rate / Hz', 'length', 'masked'], recording.channels.map((c) => [
      c.name, c.unit, String(c.values.length), String(c.sampleRate), formatSeconds(duration(c)), c.invalid.length === 0 ? 'none' : `${((100 * coveredSamples(c.invalid)) / c.values.length).toPrecision(2)} %`])),
    figure: () => plotHistory(recording.channels.slice(0, 4), { title: recording.name }),
    notes: recording.channels.length > 4 ? [`Drawn: the first four of ${recording.channels.length} channels.`] : [],
  }),
  FaultReport: (report: FaultReport) => ({
    table: report.counts.length === 0 ? null : htmlTable(['why', 'spans', 'samples', 'seconds', 'longest / s'], report.counts.map((c) => [c.why, String(c.spans), String(c.samples), number(c.seconds), number(c.longest)])),
    notes: report.notes,
  }),
  ZeroModel: (model: ZeroModel) => ({
    table: htmlTable(['term', 'value', 'standard error'], model.terms.map((term, k) => [term, number(model.coefficients[k]!), number(model.standardErrors[k]!)])),
    notes: model.notes,
  }),
  PowerDensity: (spectrum: PowerDensity) => ({ ...plainParts(spectrum), facts: [], table: null, figure: () => plotSpectrum(spectrum, { frequencyScale: 'log' }) }),
  LineSpectrum: (spectrum: LineSpectrum) => ({ ...plainParts(spectrum), facts: [], table: null, figure: () => plotSpectrum(spectrum) }),
  CycleCount: (count: CycleCount) => ({
    facts: [{ label: 'valid', value: formatSeconds(count.validTime) }, { label: 'lost', value: formatSeconds(count.lostTime) }],
    ...(count.histogram ? {} : { figure: () => plotExceedance(closeResidue(count, 'half')), notes: ['Drawn with each range of the residue as half a cycle.'] }),
  }),
  Cycles: (cycles: Cycles) => ({ figure: () => plotExceedance(cycles) }),
  CountMatrix: (matrix: CountMatrix) => ({ figure: () => plotMatrix(matrix) }),
  LifeCurve: (curve: LifeCurve) => ({ facts: [{ label: 'source', value: curve.source }], figure: () => plotLifeCurve(curve) }),
  Damage: (result: Damage) => ({ figure: () => plotDamage(result), notes: result.notes }),
  StaticMargin: (margin: StaticMargin) => ({ notes: margin.notes }),
  Life: (result: Life) => ({ notes: result.notes }),
  ShaftSection: () => ({}),
  LifeBand: (band: LifeBand) => ({
    table: htmlTable(['not reached with', 'hours'], band.quantiles.map((q) => [`${number(100 * q.probability)} %${q.extrapolated ? ' (extrapolated)' : ''}`, String(Number(q.hours.toPrecision(3)))])),
    figure: () => plotLifeBand(band), notes: band.notes,
  }),
  Tornado: (result: Tornado) => ({ figure: () => plotTornado(result), notes: result.notes }),
  UncertaintyBudget: (budget: UncertaintyBudget) => ({
    table: htmlTable(['input', 'value', 'standard uncertainty', 'share / %'], budget.lines.map((l) => [l.input, number(l.value), number(l.standardUncertainty), (100 * l.share).toFixed(1)])),
    figure: () => plotBudget(budget), notes: budget.notes,
  }),
  RingDown: (ring: RingDown) => ({
    table: htmlTable(['frequency / Hz', 'from', 'to', 'damping / %', 'from', 'to'], ring.modes.map(({ frequency: f, dampingRatio: d }) => [number(f.value), number(f.low), number(f.high), ...[d.value, d.low, d.high].map((x) => (100 * x).toFixed(3))])),
    notes: ring.notes,
  }),
};

/** The rich view of a result of ours: a figure as itself, everything else as a card with a figure where one is natural. */
export function viewOf(result: object, kind: string): View {
  const line = lineOf(result) ?? kind;
  if (kind === 'Figure') {
    const figure = result as Figure;
    return { [vegaLite]: figure.spec, 'image/svg+xml': toSvg(figure), 'text/plain': line };
  }
  const viewer = viewers[kind] as ((result: object) => ReturnType<Viewer>) | undefined;
  const { figure, ...parts } = viewer ? viewer(result) : plainParts(result);
  let svg: string | null = null;
  let notes = parts.notes ?? [];
  if (figure) {
    try {
      svg = toSvg(figure());
    } catch (error) {
      notes = [...notes, `No figure: ${(error as Error).message}`];
    }
  }
  return { 'text/html': cardHtml(kind, line, { ...parts, notes, svg }), 'text/plain': line };
}

/** What can be shown of any result: its plain numbers and texts, its columns, and its notes. */
function plainParts(result: object): CardParts {
  const facts = Object.entries(result).flatMap(([key, value]) => {
    const label = words(key);
    if (typeof value === 'number') return [{ label, value: number(value) }];
    return typeof value === 'string' && value.length <= 40 ? [{ label, value }] : [];
  });
  const notes = (result as { notes?: unknown }).notes;
  return { facts: facts.slice(0, 12), table: columnsOf(result) ?? rowsOf(result), notes: Array.isArray(notes) ? notes.filter((note): note is string => typeof note === 'string') : [] };
}

const shownRows = 12;

/** Number arrays of one length, as a table. */
function columnsOf(result: object): string | null {
  const columns = Object.entries(result).filter((entry): entry is [string, Float64Array] => ArrayBuffer.isView(entry[1]) && !(entry[1] instanceof DataView));
  const length = columns[0]?.[1].length ?? 0;
  const alike = columns.filter(([, values]) => values.length === length).slice(0, 7);
  if (length === 0 || length > 200) return null;
  const rows = Array.from({ length: Math.min(length, shownRows) }, (_, i) => alike.map(([, values]) => number(values[i]!)));
  return htmlTable(alike.map(([key]) => words(key)), rows) + more(length);
}

/** The first list of plain objects, as a table. */
function rowsOf(result: object): string | null {
  const list = Object.values(result).find((value): value is Record<string, unknown>[] => Array.isArray(value) && value.length > 0 && typeof value[0] === 'object' && value[0] !== null && !Array.isArray(value[0]));
  if (!list) return null;
  const names = Object.keys(list[0]!).filter((key) => ['number', 'string'].includes(typeof list[0]![key])).slice(0, 7);
  if (names.length === 0) return null;
  return htmlTable(names.map(words), list.slice(0, shownRows).map((row) => names.map((key) => (typeof row[key] === 'number' ? number(row[key]) : String(row[key] ?? '–'))))) + more(list.length);
}

function more(length: number): string {
  return length > shownRows ? `<div style="color:#5a636e">… and ${length - shownRows} more</div>` : '';
}

/** A number as a card shows it: five significant digits. */
function number(value: number): string {
  return Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(5)));
}

/** `degreesOfFreedom` as words. */
function words(name: string): string {
  return name.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
}

/** A step of a trail in one line. */
function stepLine(step: Step): string {
  const short = (value: unknown): string => {
    const text = JSON.stringify(value);
    return text.length > 160 ? `${text.slice(0, 157)}…` : text;
  };
  return `${step.op} ${short(step.options)}${step.inputs.map((input) => ` · ${input.role}: ${input.name}`).join('')} → ${short(step.found)}`;
}

setViewer(viewOf);
