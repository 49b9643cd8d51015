import type { FrequencyResponse } from '../filter/responseOf.js';
import type { ModeComparison } from '../spectrum/compareModes.js';
import type { CrossSpectrum } from '../spectrum/crossSpectrum.js';
import type { EventTrend } from '../spectrum/eventTrend.js';
import type { PulseTrain } from '../spectrum/findPulses.js';
import type { AmbientFit } from '../spectrum/fitAmbient.js';
import type { PowerLawFit } from '../spectrum/fitPowerLaw.js';
import type { Estimate, RingDown } from '../spectrum/fitRingDown.js';
import type { StiffnessFit } from '../spectrum/fitStiffness.js';
import type { SweepFit } from '../spectrum/fitSweep.js';
import type { ForcedResponse } from '../spectrum/forcedResponse.js';
import type { GapSpectrum } from '../spectrum/gapSpectrum.js';
import type { HalfPowerDamping } from '../spectrum/halfPowerDamping.js';
import type { TargetPattern } from '../spectrum/learnTarget.js';
import type { LineSpectrum } from '../spectrum/lineSpectrum.js';
import type { NoiseFloor } from '../spectrum/noiseFloor.js';
import type { OrderSpectrum } from '../spectrum/orderSpectrum.js';
import type { OrderTracks } from '../spectrum/orderTracks.js';
import type { PowerBalance } from '../spectrum/powerBalance.js';
import type { PowerDensity } from '../spectrum/powerDensity.js';
import type { SegmentChoices } from '../spectrum/segmentChoices.js';
import type { MachineStates } from '../spectrum/segmentStates.js';
import type { Spectrogram } from '../spectrum/spectrogram.js';
import type { SpeedCrossings } from '../spectrum/speedCrossings.js';
import type { SpeedMap } from '../spectrum/speedMap.js';
import type { Summary } from '../spectrum/summarise.js';
import type { AngleRecord } from '../spectrum/toShaftAngle.js';
import type { TorqueEvents } from '../spectrum/torqueEvents.js';
import type { TorsionalModes } from '../spectrum/torsionalModes.js';
import type { WindowFigures } from '../spectrum/windowFigures.js';
import type { ZoomSpectrum } from '../spectrum/zoomSpectrum.js';
import { column, columnsOfRows, type KindTables, type TableColumn } from './columns.js';

const per = (unit: string, by: string): string => `${/[·/]/.test(unit) ? `(${unit})` : unit}/${by}`;

/** A map in long form: one row for each place of the first axis and each of the second. */
function longForm(first: TableColumn, second: TableColumn, rows: readonly Float64Array[], value: string, unit: string): TableColumn[] {
  const width = second.values.length;
  const spread = (values: TableColumn['values'], index: (k: number) => number): Float64Array => Float64Array.from({ length: rows.length * width }, (_, k) => Number(values[index(k)]));
  const all = new Float64Array(rows.length * width);
  rows.forEach((row, i) => all.set(row, i * width));
  return [{ ...first, values: spread(first.values, (k) => Math.floor(k / width)) }, { ...second, values: spread(second.values, (k) => k % width) }, column(value, unit, all)];
}

/** Frequency and damping of one mode with their bounds, a row each. */
function estimates({ frequency, dampingRatio }: { readonly frequency: Estimate; readonly dampingRatio: Estimate }): TableColumn[] {
  return columnsOfRows([{ of: 'frequency in Hz', ...frequency }, { of: 'damping ratio', ...dampingRatio }], { of: null, value: null, standardError: null, low: null, high: null });
}

/** The columns of several pieces one below the other, after a column that counts the pieces. */
function inPieces<P>(pieces: readonly P[], name: string, columns: (piece: P) => readonly TableColumn[]): TableColumn[] {
  const parts = pieces.map(columns);
  const all = (k: number): Float64Array => Float64Array.from(parts.flatMap((part) => Array.from(part[k]!.values as Float64Array)));
  return [column(name, null, Float64Array.from(parts.flatMap((part, i) => Array.from(part[0]!.values, () => i)))), ...(parts[0] ?? []).map((first, k) => ({ ...first, values: all(k) }))];
}

/** The tables of spectra, modes, states and power. */
export const spectrumParts: KindTables = {
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
  FrequencyResponse: { response: (r: FrequencyResponse) => [column('frequency', 'Hz', r.frequency), column('gain', null, r.gain), column('phase', 'rad', r.phase)] },
  ForcedResponse: {
    response: (r: ForcedResponse) => [column('frequency', 'Hz', r.frequency), ...r.shafts.flatMap((shaft, k) => [column(`${shaft} magnitude`, null, r.magnitude[k]!), column(`${shaft} phase`, 'rad', r.phase[k]!)])],
  },
  TorsionalModes: {
    modes: (t: TorsionalModes) => columnsOfRows(t.modes.map((m, k) => ({ mode: k, ...m })), { mode: null, frequency: 'Hz', dampingRatio: null, modalInertia: 'kg·m²' }),
    shapes: (t: TorsionalModes) => [column('inertia', null, t.inertias), ...t.modes.map((m, k) => column(`mode ${k}`, null, m.shape))],
    torques: (t: TorsionalModes) => [column('shaft', null, t.shafts), ...t.modes.map((m, k) => column(`mode ${k}`, per('N·m', 'rad'), m.shaftTorque))],
  },
  PowerBalance: {
    balance: (b: PowerBalance) => columnsOfRows([b], { seconds: 's', lostTime: 's', revolutions: null, meanPower: 'W', productOfMeans: 'W', energy: 'J', uncorrectedPower: 'W', uncertainty: 'W' }),
    shares: (b: PowerBalance) => columnsOfRows(Object.entries(b.shares).map(([input, share]) => ({ input, share })), { input: null, share: null }),
  },
  PowerLawFit: { residuals: (p: PowerLawFit) => [column('point', null, Float64Array.from(p.residuals, (_, i) => i + 1)), column('residual', null, p.residuals), column('cubic residual', null, p.cubicResiduals)] },
  EventTrend: { trend: (t: EventTrend) => columnsOfRows([{ ...t, slope: t.slope?.value, slopeLow: t.slope?.low, slopeHigh: t.slope?.high }], { count: null, least: null, median: null, quantile90: null, largest: null, slope: null, slopeLow: null, slopeHigh: null }) },
  SweepFit: { mode: (f: SweepFit) => estimates(f) },
  AmbientFit: { mode: (f: AmbientFit) => estimates(f) },
  HalfPowerDamping: { mode: (h: HalfPowerDamping) => columnsOfRows([h], { frequency: 'Hz', dampingRatio: null, lower: 'Hz', upper: 'Hz', peak: null }) },
  StiffnessFit: {
    stiffness: (f: StiffnessFit) => columnsOfRows(f.stiffness, { shaft: null, value: 'N·m/rad', uncertainty: 'N·m/rad', factor: null }),
    residuals: (f: StiffnessFit) => [column('line', null, f.residuals.map((_, i) => i + 1)), column('residual', 'Hz', f.residuals)],
  },
  PulseTrain: { pulses: (p: PulseTrain) => inPieces(p.runs, 'run', (run) => [column('time', 's', run.time), column('index', null, Float64Array.from(run.index))]) },
  TargetPattern: { marks: (t: TargetPattern) => [column('mark', null, t.offsets.map((_, i) => i)), column('offset', 'rad', t.offsets), column('error', 'rad', t.errors)] },
  AngleRecord: {
    samples: (a: AngleRecord) => inPieces(a.pieces, 'piece', (piece) => [
      column('angle', 'rad', piece.values.map((_, i) => (2 * Math.PI * (piece.first + i)) / a.samplesPerRevolution)), column(a.name, a.unit === '?' ? null : a.unit, piece.values), column('time', 's', piece.time), column('speed', 'rad/s', piece.speed),
    ]),
  },
  Summary: { levels: ({ levels: l, unit }: Summary) => [column('low', unit, l.counts.map((_, i) => l.origin + i * l.width)), column('high', unit, l.counts.map((_, i) => l.origin + (i + 1) * l.width)), column('samples', null, l.counts)] },
  WindowFigures: {
    figures: (w: WindowFigures) => columnsOfRows([w], { length: null, coherentGain: null, enbw: null, width3dB: null, width6dB: null, highestSidelobe: 'dB', scalloping: 'dB', ripple: 'dB', worstCaseLoss: 'dB', correlation50: null, correlation75: null }),
  },
};
