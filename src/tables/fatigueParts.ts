import type { StressCycles } from '../fatigue/StressCycles.js';
import type { CriticalPlane } from '../fatigue/criticalPlane.js';
import type { Damage } from '../fatigue/damage.js';
import type { DamageByTime } from '../fatigue/damageByTime.js';
import type { DamageConvergence } from '../fatigue/damageConvergence.js';
import type { DutyMix } from '../fatigue/dutyMix.js';
import type { EquivalentRange } from '../fatigue/equivalentRange.js';
import type { LifeFit } from '../fatigue/fitLifeCurve.js';
import type { Life } from '../fatigue/life.js';
import type { LifeBand } from '../fatigue/lifeBand.js';
import type { MeanStressBounds } from '../fatigue/meanStressBounds.js';
import type { SpectralDamage } from '../fatigue/spectralDamage.js';
import type { StrainLifeDamage } from '../fatigue/strainLife.js';
import type { Tornado } from '../fatigue/tornado.js';
import type { VibrationLimits } from '../fatigue/vibrationLimits.js';
import { column, columnsOfRows, type KindTables } from './columns.js';
import { closedColumns, cycleColumns } from './countParts.js';

/** The tables of stress, damage and life. */
export const fatigueParts: KindTables = {
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
  StressCycles: { cycles: (s: StressCycles) => ('range' in s.cycles ? cycleColumns(s.cycles) : closedColumns(s.cycles)), chain: (s: StressCycles) => columnsOfRows(s.chain, { step: null, factor: null, source: null }) },
  EquivalentRange: { ranges: (e: EquivalentRange) => [column('slope', null, e.slopes), column('range', e.unit, e.ranges)] },
  SpectralDamage: {
    methods: (d: SpectralDamage) => {
      const methods = Object.keys(d.perHour) as (keyof SpectralDamage['perHour'])[];
      return columnsOfRows(methods.map((method) => ({ method, perHour: d.perHour[method], ratio: d.ratio[method] })), { method: null, perHour: null, ratio: null });
    },
  },
  StrainLifeDamage: { cycles: (d: StrainLifeDamage) => [column('cycle', null, d.damage.map((_, i) => i + 1)), column('damage', null, d.damage)] },
};
