import type { Channel, Step } from '../record/Channel.js';
import { duration, formatSeconds } from '../record/Channel.js';
import type { Recording } from '../record/Recording.js';
import { lineOf, setViewer, sourcesOf, type View } from '../record/result.js';
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
import type { FullScale } from '../gauge/fullScaleTorque.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import { inWords, plotBudget } from '../plot/plotBudget.js';
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
import type { LossMap } from '../clean/lossMap.js';
import type { ZeroStability } from '../clean/zeroStability.js';
import type { TorqueSpeedMap } from '../count/torqueSpeedMap.js';
import type { DamageConvergence } from '../fatigue/damageConvergence.js';
import type { DutyMix } from '../fatigue/dutyMix.js';
import type { LifeFit } from '../fatigue/fitLifeCurve.js';
import type { FrequencyResponse } from '../filter/responseOf.js';
import { plotAmbient } from '../plot/plotAmbient.js';
import { plotConvergence } from '../plot/plotConvergence.js';
import { plotCrossings } from '../plot/plotCrossings.js';
import { plotDuty } from '../plot/plotDuty.js';
import { plotLossMap } from '../plot/plotLossMap.js';
import { plotModeComparison } from '../plot/plotModeComparison.js';
import { plotModeShapes } from '../plot/plotModeShapes.js';
import { plotOrders } from '../plot/plotOrders.js';
import { plotResponse } from '../plot/plotResponse.js';
import { plotRingDown } from '../plot/plotRingDown.js';
import { plotSpectrogram } from '../plot/plotSpectrogram.js';
import { plotSpeedMap } from '../plot/plotSpeedMap.js';
import { plotStates } from '../plot/plotStates.js';
import { plotSweep } from '../plot/plotSweep.js';
import { plotTorqueSpeed } from '../plot/plotTorqueSpeed.js';
import { plotZeroStability } from '../plot/plotZeroStability.js';
import type { AmbientFit } from '../spectrum/fitAmbient.js';
import type { CrossSpectrum } from '../spectrum/crossSpectrum.js';
import type { SweepFit } from '../spectrum/fitSweep.js';
import type { ForcedResponse } from '../spectrum/forcedResponse.js';
import type { ModeComparison } from '../spectrum/compareModes.js';
import type { OrderSpectrum } from '../spectrum/orderSpectrum.js';
import type { OrderTracks } from '../spectrum/orderTracks.js';
import type { Spectrogram } from '../spectrum/spectrogram.js';
import type { MachineStates } from '../spectrum/segmentStates.js';
import type { SpeedCrossings } from '../spectrum/speedCrossings.js';
import type { SpeedMap } from '../spectrum/speedMap.js';
import type { TorsionalModes } from '../spectrum/torsionalModes.js';
import { htmlTable } from './bundle.js';
import { cardHtml, type CardParts } from './card.js';
import { factsOf, notesOf, number, tableOf } from './plainParts.js';

/** What makes the card of a kind of result. The figure is drawn from it afterwards. */
type Viewer = (result: never) => Omit<CardParts, 'svg'> & { readonly figure?: () => Figure | null };

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
  PowerDensity: (spectrum: PowerDensity) => ({ notes: spectrum.notes, figure: () => plotSpectrum(spectrum, { frequencyScale: 'log' }) }),
  LineSpectrum: (spectrum: LineSpectrum) => ({ notes: spectrum.notes, figure: () => plotSpectrum(spectrum) }),
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
  FullScale: (full: FullScale) => ({ notes: full.notes }),
  LifeBand: (band: LifeBand) => ({
    table: htmlTable(['not reached with', 'hours'], band.quantiles.map((q) => [`${number(100 * q.probability)} %${q.extrapolated ? ' (extrapolated)' : ''}`, String(Number(q.hours.toPrecision(3)))])),
    figure: () => plotLifeBand(band), notes: band.notes,
  }),
  Tornado: (result: Tornado) => ({ figure: () => plotTornado(result), notes: result.notes }),
  UncertaintyBudget: (budget: UncertaintyBudget) => ({
    table: htmlTable(['input', 'value', 'standard uncertainty', 'share / %'], budget.lines.map((l) => [inWords(l.input), number(l.value), number(l.standardUncertainty), (100 * l.share).toFixed(1)])),
    figure: () => plotBudget(budget), notes: budget.notes,
  }),
  RingDown: (ring: RingDown) => ({
    table: htmlTable(['frequency / Hz', 'from', 'to', 'damping / %', 'from', 'to'], ring.modes.map(({ frequency: f, dampingRatio: d }) => [number(f.value), number(f.low), number(f.high), ...[d.value, d.low, d.high].map((x) => (100 * x).toFixed(3))])),
    figure: () => drawnFrom(ring, ([channel]) => plotRingDown(channel!, ring)), notes: ring.notes,
  }),
};

/** A figure of a result with the channels that it was read from; none where it was taken apart and put together again. */
function drawnFrom(result: object, draw: (channels: readonly Channel[]) => Figure): Figure | null {
  const channels = sourcesOf(result) as readonly Channel[];
  return channels.length > 0 ? draw(channels) : null;
}

/** Figures of results, drawn from themselves or from the channels that they remember. The table is left out where the figure says the same. */
const figures: Readonly<Record<string, { readonly figure: (result: never) => Figure | null; readonly table?: true }>> = {
  AmbientFit: { figure: (fit: AmbientFit) => plotAmbient(fit) },
  CrossSpectrum: { figure: (r: CrossSpectrum) => plotResponse(r) },
  DamageConvergence: { figure: (c: DamageConvergence) => plotConvergence(c) },
  DutyMix: { figure: (mix: DutyMix) => plotDuty(mix), table: true },
  ForcedResponse: { figure: (r: ForcedResponse) => plotResponse(r) },
  FrequencyResponse: { figure: (r: FrequencyResponse) => plotResponse(r) },
  LifeFit: { figure: (fit: LifeFit) => plotLifeCurve(fit.curve) },
  LossMap: { figure: (map: LossMap) => plotLossMap(map) },
  MachineStates: { figure: (states: MachineStates) => drawnFrom(states, (channels) => plotStates(channels, states)), table: true },
  ModeComparison: { figure: (c: ModeComparison) => plotModeComparison(c), table: true },
  OrderSpectrum: { figure: (o: OrderSpectrum) => plotOrders(o) },
  OrderTracks: { figure: (o: OrderTracks) => plotOrders(o) },
  Spectrogram: { figure: (map: Spectrogram) => plotSpectrogram(map) },
  SpeedCrossings: { figure: (c: SpeedCrossings) => plotCrossings(c), table: true },
  SpeedMap: { figure: (map: SpeedMap) => plotSpeedMap(map) },
  SweepFit: { figure: (fit: SweepFit) => plotSweep(fit) },
  TorqueSpeedMap: { figure: (map: TorqueSpeedMap) => plotTorqueSpeed(map) },
  TorsionalModes: { figure: (modes: TorsionalModes) => plotModeShapes(modes), table: true },
  ZeroStability: { figure: (stability: ZeroStability) => plotZeroStability(stability) },
};

/** The card of a kind that has no viewer of its own. */
function plainView(result: object, kind: string): ReturnType<Viewer> {
  const own = figures[kind];
  const parts = { facts: factsOf(result), notes: notesOf(result) };
  if (!own) return { ...parts, table: tableOf(result) };
  return { ...parts, table: own.table ? tableOf(result) : null, figure: () => own.figure(result as never) };
}

/** The rich view of a result of ours: a figure as itself, everything else as a card with a figure where one is natural. */
export function viewOf(result: object, kind: string): View {
  const line = lineOf(result) ?? kind;
  if (kind === 'Figure') {
    const figure = result as Figure;
    return { [vegaLite]: figure.spec, 'image/svg+xml': toSvg(figure), 'text/plain': line };
  }
  const viewer = viewers[kind] as ((result: object) => ReturnType<Viewer>) | undefined;
  const { figure, ...parts } = viewer ? viewer(result) : plainView(result, kind);
  let svg: string | null = null;
  let notes = parts.notes ?? [];
  if (figure) {
    try {
      const drawn = figure();
      svg = drawn && toSvg(drawn);
    } catch (error) {
      notes = [...notes, `No figure: ${(error as Error).message}`];
    }
  }
  return { 'text/html': cardHtml(kind, line, { ...parts, notes, svg }), 'text/plain': line };
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
