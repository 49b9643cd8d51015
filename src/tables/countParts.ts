import type { CycleCount, Cycles } from '../count/CycleCount.js';
import type { EventCounts, StateEvent } from '../count/countEvents.js';
import type { Exceedance } from '../count/exceedance.js';
import type { TailExtrapolation } from '../count/extrapolateTail.js';
import type { LevelCrossings, PeakCounts, TimeAtLevel } from '../count/levels.js';
import type { CountMatrix } from '../count/matrices.js';
import type { PooledCount } from '../count/poolCounts.js';
import type { TorqueSpeedMap } from '../count/torqueSpeedMap.js';
import type { TurningPoints } from '../count/turningPoints.js';
import { column, columnsOfRows, type KindTables, type TableColumn } from './columns.js';

function matrixColumns({ unit, rows, columns, rowEdges, columnEdges, counts }: CountMatrix): TableColumn[] {
  const width = columnEdges.length - 1;
  const take = (edges: Float64Array, index: (k: number) => number): Float64Array => Float64Array.from(counts, (_, k) => edges[index(k)]!);
  return [
    column(`${rows} low`, unit, take(rowEdges, (k) => Math.floor(k / width))), column(`${rows} high`, unit, take(rowEdges, (k) => Math.floor(k / width) + 1)),
    column(`${columns} low`, unit, take(columnEdges, (k) => k % width)), column(`${columns} high`, unit, take(columnEdges, (k) => (k % width) + 1)),
    column('cycles', null, counts),
  ];
}

const events = (list: readonly StateEvent[], unit: string): TableColumn[] => columnsOfRows(list, { from: 's', to: 's', time: null, peak: unit, openAtStart: null, openAtEnd: null });

const countUnits = { range: null, mean: null, from: null, to: null, seconds: 's', time: null } as const;

function withUnit<K extends string>(units: Readonly<Record<K, string | null>>, names: readonly K[], unit: string): Record<K, string | null> {
  const result: Record<K, string | null> = { ...units };
  for (const name of names) result[name] = unit;
  return result;
}

/** The closed cycles of a count, one row each. */
export function closedColumns(c: CycleCount): TableColumn[] {
  return [
    column('from', c.unit, c.closed.from), column('to', c.unit, c.closed.to), column('range', c.unit, c.closed.from.map((v, i) => Math.abs(v - c.closed.to[i]!))),
    column('mean', c.unit, c.closed.from.map((v, i) => (v + c.closed.to[i]!) / 2)), column('sample', null, c.closed.at),
  ];
}

/** Cycles, one row each. */
export function cycleColumns(c: Cycles): TableColumn[] {
  return [column('range', c.unit, c.range), column('mean', c.unit, c.mean), column('from', c.unit, c.from), column('to', c.unit, c.to), column('count', null, c.count), column('sample', null, c.at)];
}

/** The tables of what is counted. */
export const countParts: KindTables = {
  TurningPoints: { points: (t: TurningPoints) => [column('value', t.unit, t.values), column('sample', null, t.at)] },
  CycleCount: {
    closed: closedColumns,
    residue: (c: CycleCount) => [column('value', c.unit, c.residue.values), column('sample', null, c.residue.at)],
    largest: (c: CycleCount) => columnsOfRows(c.largest, withUnit(countUnits, ['range', 'mean', 'from', 'to'], c.unit)),
    sources: (c: CycleCount) => columnsOfRows(c.sources, { name: null, start: null, from: null, samples: null }),
  },
  Cycles: {
    cycles: cycleColumns,
  },
  PooledCount: { shafts: (p: PooledCount) => columnsOfRows(p.shafts, { shaft: null, validTime: 's', cycles: null, largestRange: p.unit }) },
  Exceedance: { ranges: (e: Exceedance) => [column('range', e.unit, e.range), column('count', null, e.count), column('exceeded', null, e.exceeded)] },
  CountMatrix: { classes: matrixColumns },
  LevelCrossings: { levels: (l: LevelCrossings) => [column('level', l.unit, l.levels), column('rising', null, l.rising), column('falling', null, l.falling), column('count', null, l.count)] },
  PeakCounts: { peaks: (p: PeakCounts) => [column('peak', p.unit, p.peaks), column('sample', null, p.peaksAt)], valleys: (p: PeakCounts) => [column('valley', p.unit, p.valleys), column('sample', null, p.valleysAt)] },
  TimeAtLevel: { classes: (t: TimeAtLevel) => [column('low', t.unit, t.edges.slice(0, -1)), column('high', t.unit, t.edges.slice(1)), column('time', 's', t.seconds)] },
  EventCounts: { running: (e: EventCounts) => events(e.running, e.unit), overloaded: (e: EventCounts) => events(e.overloaded, e.unit), reversals: (e: EventCounts) => [column('at', 's', e.reversedAt)] },
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
  TailExtrapolation: { cycles: (t: TailExtrapolation) => cycleColumns(t.cycles) },
};
