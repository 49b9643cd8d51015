import type { LossClasses, LossMap } from '../clean/lossMap.js';
import type { FaultReport } from '../clean/FaultReport.js';
import type { RestStates } from '../clean/findRestStates.js';
import type { ZeroModel } from '../clean/ZeroModel.js';
import type { CycleCount, Cycles } from '../count/CycleCount.js';
import type { Exceedance } from '../count/exceedance.js';
import type { EventCounts, StateEvent } from '../count/countEvents.js';
import type { LevelCrossings, PeakCounts, TimeAtLevel } from '../count/levels.js';
import type { CountMatrix } from '../count/matrices.js';
import type { TorqueSpeedMap } from '../count/torqueSpeedMap.js';
import type { PooledCount } from '../count/poolCounts.js';
import type { TurningPoints } from '../count/turningPoints.js';
import type { DamageByTime } from '../fatigue/damageByTime.js';
import type { CriticalPlane } from '../fatigue/criticalPlane.js';
import type { DamageConvergence } from '../fatigue/damageConvergence.js';
import type { DutyMix } from '../fatigue/dutyMix.js';
import type { Damage } from '../fatigue/damage.js';
import type { LifeFit } from '../fatigue/fitLifeCurve.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import type { Tornado } from '../fatigue/tornado.js';
import type { MeanStressBounds } from '../fatigue/meanStressBounds.js';
import type { Life } from '../fatigue/life.js';
import type { VibrationLimits } from '../fatigue/vibrationLimits.js';
import type { FrequencyResponse } from '../filter/responseOf.js';
import type { Calibration, CalibrationLine } from '../gauge/fitCalibration.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import type { FileDescription } from '../import/describeFile.js';
import type { Channel, Step } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import type { ModeComparison } from '../spectrum/compareModes.js';
import type { ForcedResponse } from '../spectrum/forcedResponse.js';
import type { LineSpectrum } from '../spectrum/lineSpectrum.js';
import type { CrossSpectrum } from '../spectrum/crossSpectrum.js';
import type { RingDown } from '../spectrum/fitRingDown.js';
import type { GapSpectrum } from '../spectrum/gapSpectrum.js';
import type { OrderSpectrum } from '../spectrum/orderSpectrum.js';
import type { OrderTracks } from '../spectrum/orderTracks.js';
import type { SegmentChoices } from '../spectrum/segmentChoices.js';
import type { MachineStates } from '../spectrum/segmentStates.js';
import type { TorqueEvents } from '../spectrum/torqueEvents.js';
import type { SpeedCrossings } from '../spectrum/speedCrossings.js';
import type { SpeedMap } from '../spectrum/speedMap.js';
import type { Spectrogram } from '../spectrum/spectrogram.js';
import type { ZoomSpectrum } from '../spectrum/zoomSpectrum.js';
import type { NoiseFloor } from '../spectrum/noiseFloor.js';
import type { PowerDensity } from '../spectrum/powerDensity.js';
import type { TorsionalModes } from '../spectrum/torsionalModes.js';
import { clock, column, columnsOfRows, type Cell, type TableColumn } from './columns.js';

/** The tables of one kind of result by name; the first is the one that is given unasked. */
type Parts<R> = Readonly<Record<string, (result: R) => readonly TableColumn[]>>;

const per = (unit: string, by: string): string => `${/[·/]/.test(unit) ? `(${unit})` : unit}/${by}`;

/** Channels of one rate and length on one clock: time, values as recorded, and why samples are masked where any are. */
export function channelColumns(channels: readonly Channel[]): TableColumn[] {
  const first = channels[0]!;
  for (const channel of channels) {
    if (channel.sampleRate !== first.sampleRate || channel.values.length !== first.values.length || channel.start !== first.start) {
      throw new InputError({
        where: 'toTable', argument: 'recording', expected: 'of one clock, because a table has one row for each instant', given: `${first.name} (${first.values.length} at ${first.sampleRate} Hz) and ${channel.name} (${channel.values.length} at ${channel.sampleRate} Hz)`,
        remedy: 'Make a table of each channel: toTable(pick(recording, name)).',
      });
    }
  }
  const columns = [column('time', 's', clock(first.values.length, first.sampleRate))];
  for (const channel of channels) {
    columns.push(column(channel.name, channel.unit === '?' ? null : channel.unit, channel.values));
    if (channel.invalid.length > 0) {
      const reasons = new Array<Cell>(channel.values.length).fill(null);
      for (const span of channel.invalid) reasons.fill(span.why, span.from, span.to);
      columns.push(column(`${channel.name} ${faultSuffix}`, null, reasons));
    }
  }
  return columns;
}

/** What is added to a channel's name for the column of its masks. */
export const faultSuffix = 'fault';

const steps = (list: readonly Step[]): TableColumn[] => [
  column('step', null, list.map((_, i) => i + 1)), column('op', null, list.map((s) => s.op)), column('options', null, list.map((s) => JSON.stringify(s.options))),
  column('found', null, list.map((s) => JSON.stringify(s.found))), column('by', null, list.map((s) => s.by)),
];

function matrixColumns({ unit, rows, columns, rowEdges, columnEdges, counts }: CountMatrix): TableColumn[] {
  const width = columnEdges.length - 1;
  const take = (edges: Float64Array, index: (k: number) => number): Float64Array => Float64Array.from(counts, (_, k) => edges[index(k)]!);
  return [
    column(`${rows} low`, unit, take(rowEdges, (k) => Math.floor(k / width))), column(`${rows} high`, unit, take(rowEdges, (k) => Math.floor(k / width) + 1)),
    column(`${columns} low`, unit, take(columnEdges, (k) => k % width)), column(`${columns} high`, unit, take(columnEdges, (k) => (k % width) + 1)),
    column('cycles', null, counts),
  ];
}

/** A map in long form: one row for each place of the first axis and each of the second. */
function longForm(first: TableColumn, second: TableColumn, rows: readonly Float64Array[], value: string, unit: string): TableColumn[] {
  const width = second.values.length;
  const spread = (values: TableColumn['values'], index: (k: number) => number): Float64Array => Float64Array.from({ length: rows.length * width }, (_, k) => Number(values[index(k)]));
  const all = new Float64Array(rows.length * width);
  rows.forEach((row, i) => all.set(row, i * width));
  return [{ ...first, values: spread(first.values, (k) => Math.floor(k / width)) }, { ...second, values: spread(second.values, (k) => k % width) }, column(value, unit, all)];
}

function lossColumns(classes: LossClasses): TableColumn[] {
  return [
    column('low', classes.unit, classes.edges.slice(0, -1)), column('high', classes.unit, classes.edges.slice(1)), column('samples', null, classes.samples), column('lost', null, classes.lost),
    column('gaps', null, classes.gaps), column('share', null, classes.share),
  ];
}

const events = (list: readonly StateEvent[], unit: string): TableColumn[] => columnsOfRows(list, { from: 's', to: 's', time: null, peak: unit, openAtStart: null, openAtEnd: null });

const countUnits = { range: null, mean: null, from: null, to: null, seconds: 's', time: null } as const;

function withUnit<K extends string>(units: Readonly<Record<K, string | null>>, names: readonly K[], unit: string): Record<K, string | null> {
  const result: Record<K, string | null> = { ...units };
  for (const name of names) result[name] = unit;
  return result;
}

/** What every kind of result gives as tables. */
const kinds = {
  Channel: { samples: (c: Channel) => channelColumns([c]), masks: (c: Channel) => columnsOfRows(c.invalid, { from: null, to: null, why: null }), trail: (c: Channel) => steps(c.trail) },
  Recording: { samples: (r: Recording) => channelColumns(r.channels), channels: (r: Recording) => columnsOfRows(r.channels.map((c) => ({ ...c, samples: c.values.length })), { name: null, unit: null, sampleRate: 'Hz', samples: null, start: null }) },
  TurningPoints: { points: (t: TurningPoints) => [column('value', t.unit, t.values), column('sample', null, t.at)] },
  CycleCount: {
    closed: (c: CycleCount) => [
      column('from', c.unit, c.closed.from), column('to', c.unit, c.closed.to), column('range', c.unit, c.closed.from.map((v, i) => Math.abs(v - c.closed.to[i]!))),
      column('mean', c.unit, c.closed.from.map((v, i) => (v + c.closed.to[i]!) / 2)), column('sample', null, c.closed.at),
    ],
    residue: (c: CycleCount) => [column('value', c.unit, c.residue.values), column('sample', null, c.residue.at)],
    largest: (c: CycleCount) => columnsOfRows(c.largest, withUnit(countUnits, ['range', 'mean', 'from', 'to'], c.unit)),
    sources: (c: CycleCount) => columnsOfRows(c.sources, { name: null, start: null, from: null, samples: null }),
  },
  Cycles: {
    cycles: (c: Cycles) => [column('range', c.unit, c.range), column('mean', c.unit, c.mean), column('from', c.unit, c.from), column('to', c.unit, c.to), column('count', null, c.count), column('sample', null, c.at)],
  },
  PooledCount: { shafts: (p: PooledCount) => columnsOfRows(p.shafts, { shaft: null, validTime: 's', cycles: null, largestRange: p.unit }) },
  Exceedance: { ranges: (e: Exceedance) => [column('range', e.unit, e.range), column('count', null, e.count), column('exceeded', null, e.exceeded)] },
  CountMatrix: { classes: matrixColumns },
  LevelCrossings: { levels: (l: LevelCrossings) => [column('level', l.unit, l.levels), column('rising', null, l.rising), column('falling', null, l.falling), column('count', null, l.count)] },
  PeakCounts: { peaks: (p: PeakCounts) => [column('peak', p.unit, p.peaks), column('sample', null, p.peaksAt)], valleys: (p: PeakCounts) => [column('valley', p.unit, p.valleys), column('sample', null, p.valleysAt)] },
  TimeAtLevel: { classes: (t: TimeAtLevel) => [column('low', t.unit, t.edges.slice(0, -1)), column('high', t.unit, t.edges.slice(1)), column('time', 's', t.seconds)] },
  EventCounts: { running: (e: EventCounts) => events(e.running, e.unit), overloaded: (e: EventCounts) => events(e.overloaded, e.unit), reversals: (e: EventCounts) => [column('at', 's', e.reversedAt)] },
  Damage: {
    classes: (d: Damage) => [column('range low', 'Pa', d.byClass.edges.slice(0, -1)), column('range high', 'Pa', d.byClass.edges.slice(1)), column('cycles', null, d.byClass.cycles), column('damage', null, d.byClass.damage)],
    cycles: (d: Damage) => [column('range', d.cycles.unit, d.cycles.range), column('mean', d.cycles.unit, d.cycles.mean), column('count', null, d.cycles.count), column('stress', 'Pa', d.stress), column('damage', null, d.damage), column('sample', null, d.cycles.at)],
    largest: (d: Damage) => columnsOfRows(d.largest, { share: null, range: 'Pa', mean: 'Pa', count: null, record: null, seconds: 's', time: null }),
  },
  Life: { life: (l: Life) => columnsOfRows([l], { hours: 'h', years: null, criticalSum: null, damagePerHour: null }) },
  DamageByTime: { steps: (d: DamageByTime) => [column('from', 's', d.edges.slice(0, -1)), column('to', 's', d.edges.slice(1)), column('damage', null, d.damage), column('cycles', null, d.cycles)] },
  DamageConvergence: { blocks: (c: DamageConvergence) => [column('record', 'h', c.hours), column('damage per hour', null, c.runningPerHour)] },
  MeanStressBounds: { bounds: (b: MeanStressBounds) => columnsOfRows((['without', 'with'] as const).map((bound) => ({ bound, total: b[bound].total, perHour: b[bound].perHour })), { bound: null, total: null, perHour: null }) },
  CriticalPlane: { planes: (c: CriticalPlane) => [column('angle', 'rad', c.angle), column('damage', null, c.damage)] },
  LifeFit: { band: (f: LifeFit) => [column('stress', 'Pa', f.band.stress), column('median', null, f.band.median), column('low', null, f.band.low), column('high', null, f.band.high), column('tolerance', null, f.band.tolerance)] },
  DutyMix: { parts: (d: DutyMix) => columnsOfRows(d.parts, { name: null, amount: null, per: null, rate: null, damagePerYear: null, share: null }) },
  LifeBand: {
    quantiles: (b: LifeBand) => columnsOfRows(b.quantiles, { probability: null, hours: 'h', extrapolated: null }), variance: (b: LifeBand) => columnsOfRows(b.variance, { input: null, share: null }),
    lives: (b: LifeBand) => [column('life', 'h', b.lives)],
  },
  Tornado: { bars: (t: Tornado) => columnsOfRows(t.bars, { name: null, of: null, low: 'h', high: 'h', lowLabel: null, highLabel: null }) },
  VibrationLimits: { continuous: (v: VibrationLimits) => [column('speed ratio', null, v.speedRatio), column('limit', 'Pa', v.continuous)], transient: (v: VibrationLimits) => [column('speed ratio', null, v.transient.speedRatio), column('limit', 'Pa', v.transient.limit)] },
  PowerDensity: { density: (p: PowerDensity) => [column('frequency', 'Hz', p.frequency), column('density', p.unit, p.density)] },
  LineSpectrum: { amplitude: (l: LineSpectrum) => [column('frequency', 'Hz', l.frequency), column('amplitude', l.unit, l.amplitude)] },
  NoiseFloor: { floor: (n: NoiseFloor) => [column('frequency', 'Hz', n.frequency), column('density', null, n.density)] },
  CrossSpectrum: {
    response: (c: CrossSpectrum) => [
      column('frequency', 'Hz', c.frequency), column('coherence', null, c.coherence), column('H1 gain', c.responseUnit, c.h1.gain), column('H1 phase', 'rad', c.h1.phase), column('H2 gain', c.responseUnit, c.h2.gain),
      column('H2 phase', 'rad', c.h2.phase), column('gain error', null, c.gainError),
    ],
    density: (c: CrossSpectrum) => [column('frequency', 'Hz', c.frequency), column('real', c.unit, c.re), column('imaginary', c.unit, c.im), column('input density', null, c.inputDensity), column('output density', null, c.outputDensity)],
  },
  ZoomSpectrum: { amplitude: (z: ZoomSpectrum) => [column('frequency', 'Hz', z.frequency), column('amplitude', z.unit, z.amplitude), column('phase', 'rad', z.phase)] },
  GapSpectrum: { amplitude: (g: GapSpectrum) => [column('frequency', 'Hz', g.frequency), column('amplitude', g.unit, g.amplitude)] },
  Spectrogram: { density: (s: Spectrogram) => longForm(column('time', 's', s.time), column('frequency', 'Hz', s.frequency), s.density, 'density', s.unit) },
  OrderSpectrum: { orders: (o: OrderSpectrum) => [column('order', null, o.order), column('amplitude', o.unit, o.amplitude), column('phase', 'rad', o.phase), column('steadiness', null, o.steadiness)] },
  OrderTracks: {
    tracks: (o: OrderTracks) => [column('time', 's', o.time), column('speed', 'rad/s', o.speed), ...o.tracks.flatMap((t) => [column(`order ${t.order} amplitude`, o.unit, t.amplitude), column(`order ${t.order} phase`, 'rad', t.phase)])],
  },
  SpeedMap: { amplitude: (m: SpeedMap) => longForm(column('speed', 'rad/s', m.speed), column(m.axis, m.axis === 'frequency' ? 'Hz' : null, m.along), m.amplitude, 'amplitude', m.unit) },
  SpeedCrossings: { crossings: (c: SpeedCrossings) => columnsOfRows(c.crossings, { mode: null, frequency: 'Hz', order: null, speed: 'rad/s', margin: null, amplification: null, atCrossing: null }) },
  RingDown: {
    modes: (r: RingDown) => columnsOfRows(r.modes.map((m) => ({
      frequency: m.frequency.value, frequencyLow: m.frequency.low, frequencyHigh: m.frequency.high, dampingRatio: m.dampingRatio.value, dampingLow: m.dampingRatio.low, dampingHigh: m.dampingRatio.high,
      logarithmicDecrement: m.logarithmicDecrement, amplitude: m.amplitude,
    })), { frequency: 'Hz', frequencyLow: 'Hz', frequencyHigh: 'Hz', dampingRatio: null, dampingLow: null, dampingHigh: null, logarithmicDecrement: null, amplitude: r.unit }),
  },
  ModeComparison: {
    readings: (m: ModeComparison) => columnsOfRows(m.readings.map((r) => ({ from: r.from, frequency: r.frequency.value, dampingRatio: r.dampingRatio.value })), { from: null, frequency: 'Hz', dampingRatio: null }),
    pairs: (m: ModeComparison) => columnsOfRows(m.pairs, { a: null, b: null, frequencyDifference: null, frequencyErrors: null, dampingDifference: null, dampingErrors: null, agree: null }),
  },
  SegmentChoices: { choices: (s: SegmentChoices) => columnsOfRows(s.choices, { segment: null, seconds: 's', resolution: 'Hz', segments: null, effectiveAverages: null, lower: null, upper: null, used: null }) },
  MachineStates: { states: (m: MachineStates) => columnsOfRows(m.states, { state: null, from: 's', to: 's', speed: 'rad/s', torque: 'N·m' }) },
  TorqueEvents: { events: (t: TorqueEvents) => columnsOfRows(t.events, { state: null, from: 's', to: 's', time: null, peak: 'N·m', peakAt: 's', opposite: 'N·m', amplification: null, riseTime: 's', masked: null }) },
  TorqueSpeedMap: {
    classes: (m: TorqueSpeedMap) => {
      const width = m.speedEdges.length - 1;
      const take = (edges: Float64Array, index: (k: number) => number): Float64Array => Float64Array.from(m.time, (_, k) => edges[index(k)]!);
      const [row, col] = [(k: number): number => Math.floor(k / width), (k: number): number => k % width];
      return [
        column('torque low', 'N·m', take(m.torqueEdges, row)), column('torque high', 'N·m', take(m.torqueEdges, (k) => row(k) + 1)), column('speed low', 'rad/s', take(m.speedEdges, col)),
        column('speed high', 'rad/s', take(m.speedEdges, (k) => col(k) + 1)), column('time', 's', m.time), column('revolutions', null, m.revolutions),
      ];
    },
  },
  FrequencyResponse: { response: (r: FrequencyResponse) => [column('frequency', 'Hz', r.frequency), column('gain', null, r.gain), column('phase', 'rad', r.phase)] },
  ForcedResponse: {
    response: (r: ForcedResponse) => [column('frequency', 'Hz', r.frequency), ...r.shafts.flatMap((shaft, k) => [column(`${shaft} magnitude`, null, r.magnitude[k]!), column(`${shaft} phase`, 'rad', r.phase[k]!)])],
  },
  TorsionalModes: {
    modes: (t: TorsionalModes) => columnsOfRows(t.modes.map((m, k) => ({ mode: k, ...m })), { mode: null, frequency: 'Hz', dampingRatio: null, modalInertia: 'kg·m²' }),
    shapes: (t: TorsionalModes) => [column('inertia', null, t.inertias), ...t.modes.map((m, k) => column(`mode ${k}`, null, m.shape))],
    torques: (t: TorsionalModes) => [column('shaft', null, t.shafts), ...t.modes.map((m, k) => column(`mode ${k}`, per('N·m', 'rad'), m.shaftTorque))],
  },
  FaultReport: {
    edits: (f: FaultReport) => columnsOfRows(f.edits, { from: null, to: null, why: null, at: 's', seconds: 's', value: null }),
    counts: (f: FaultReport) => columnsOfRows(f.counts, { why: null, spans: null, samples: null, seconds: 's', longest: 's' }),
  },
  LossMap: { level: (l: LossMap) => lossColumns(l.byLevel), angle: (l: LossMap) => (l.byAngle ? lossColumns(l.byAngle) : []) },
  RestStates: { windows: (r: RestStates) => columnsOfRows(r.windows, { from: 's', to: 's' }) },
  ZeroModel: {
    states: (z: ZeroModel) => columnsOfRows(z.states, { from: 's', to: 's', samples: null, mean: z.unit, deviation: z.unit, residual: z.unit, leaveOneOut: z.unit, temperature: '°C', speed: 'rad/s' }),
    terms: (z: ZeroModel) => [column('term', null, z.terms), column('coefficient', null, z.coefficients), column('standard error', null, z.standardErrors)],
  },
  Calibration: {
    lines: (c: Calibration) => {
      const lines = (['all', 'up', 'down', 'positive', 'negative'] as const).map((name) => ({ name, line: c[name] })).filter((l): l is { name: typeof l.name; line: CalibrationLine } => l.line !== null);
      return [column('line', null, lines.map((l) => l.name)), ...columnsOfRows(lines.map((l) => l.line), { points: null, slope: null, intercept: 'N·m', slopeError: null, interceptError: 'N·m', deviation: 'N·m', correlation: null })];
    },
    residuals: (c: Calibration) => [column('point', null, c.residuals.map((_, i) => i + 1)), column('residual', 'N·m', c.residuals)],
  },
  UncertaintyBudget: {
    inputs: (b: UncertaintyBudget) => columnsOfRows(b.lines, { input: null, value: null, distribution: null, standardUncertainty: null, degreesOfFreedom: null, sensitivity: null, relativeSensitivity: null, contribution: b.unit, share: null }),
  },
  FileDescription: { columns: (f: FileDescription) => columnsOfRows(f.columns, { name: null, unit: null, unitInFile: null, type: null, use: null }) },
};

/** The tables of every kind, by the name of the kind. */
export const partsByKind: Readonly<Record<string, Parts<never>>> = kinds;

/** Every kind of result that has a table. */
export const tabularKinds: readonly string[] = Object.freeze(Object.keys(kinds));
