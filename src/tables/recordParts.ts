import type { FaultReport } from '../clean/FaultReport.js';
import type { ZeroModel } from '../clean/ZeroModel.js';
import type { RestStates } from '../clean/findRestStates.js';
import type { ClockFit } from '../clean/fitClock.js';
import type { LossClasses, LossMap } from '../clean/lossMap.js';
import type { ZeroStability } from '../clean/zeroStability.js';
import type { FilterDesign } from '../filter/design.js';
import type { Calibration, CalibrationLine } from '../gauge/fitCalibration.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import type { FileDescription } from '../import/describeFile.js';
import type { Channel, Step } from '../record/Channel.js';
import type { Recording } from '../record/Recording.js';
import { InputError } from '../record/errors.js';
import { clock, column, columnsOfRows, type Cell, type KindTables, type TableColumn } from './columns.js';

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

function lossColumns(classes: LossClasses): TableColumn[] {
  return [
    column('low', classes.unit, classes.edges.slice(0, -1)), column('high', classes.unit, classes.edges.slice(1)), column('samples', null, classes.samples), column('lost', null, classes.lost),
    column('gaps', null, classes.gaps), column('share', null, classes.share),
  ];
}

/** The tables of records, of what was found wrong with them, and of the chain from bridge to torque. */
export const recordParts: KindTables = {
  Channel: { samples: (c: Channel) => channelColumns([c]), masks: (c: Channel) => columnsOfRows(c.invalid, { from: null, to: null, why: null }), trail: (c: Channel) => steps(c.trail) },
  Recording: { samples: (r: Recording) => channelColumns(r.channels), channels: (r: Recording) => columnsOfRows(r.channels.map((c) => ({ ...c, samples: c.values.length })), { name: null, unit: null, sampleRate: 'Hz', samples: null, start: null }) },
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
  FileDescription: { columns: (f: FileDescription) => columnsOfRows(f.columns, { name: null, unit: null, unitInFile: null, type: null, use: null, sampleRate: 'Hz', samples: null }) },
  ClockFit: {
    rows: (c: ClockFit) => [column('frame', null, c.place), ...(c.residuals ? [column('residual', 's', c.residuals)] : [])],
    gaps: (c: ClockFit) => [column('lost frames', null, c.gapLengths.length), column('gaps', null, c.gapLengths.count)],
  },
  ZeroStability: { deviations: (z: ZeroStability) => [column('time', 's', z.time), column('allan', z.unit, z.allan), column('overlapping', z.unit, z.overlapping), column('modified', z.unit, z.modified)] },
  FilterDesign: { sections: (d: FilterDesign) => ['b0', 'b1', 'b2', 'a0', 'a1', 'a2'].map((name, k) => column(name, null, d.sections.filter((_, i) => i % 6 === k))) },
};
