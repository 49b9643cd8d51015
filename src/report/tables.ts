import { continuationName } from '../fatigue/names.js';
import type { Assessment } from './assess.js';
import { wordsOf } from './resonance.js';

/** A table of a report: a name for its file, column titles with units, and rows. */
export interface ReportTable {
  readonly name: string;
  readonly columns: readonly string[];
  readonly rows: readonly (readonly (string | number | null)[])[];
}

/** The tables of a report, with full precision. */
export function tablesOf(found: Assessment): readonly ReportTable[] {
  const { damage, lives, damages, prices, drivers, resonance, signal } = found;
  const classes = Array.from(damage.byClass.damage, (d, k) => [damage.byClass.edges[k]! / 1e6, damage.byClass.edges[k + 1]! / 1e6, damage.byClass.cycles[k]!, d]);
  const tables: ReportTable[] = [
    { name: 'life', columns: ['below the knee', 'damage per hour', 'life (h)'], rows: Object.values(damages).map((d) => [continuationName(d.continuation), d.perHour, lives[d.continuation].hours]) },
    { name: 'drivers', columns: ['driver', 'smallest life ratio', 'largest life ratio'], rows: drivers.map((d) => [d.name, d.low, d.high]) },
    { name: 'prices', columns: ['choice', 'taken', 'instead', 'damage ratio', 'life ratio'], rows: prices.map((p) => [p.choice, p.taken, p.instead, p.damageRatio, 1 / p.damageRatio]) },
    { name: 'equivalent-range', columns: ['slope m', 'local shear range (MPa)', 'cycles'], rows: Array.from(found.equivalent.slopes, (m, i) => [m, found.equivalent.ranges[i]! / 1e6, found.equivalent.cycles]) },
    { name: 'damage-by-range', columns: ['local shear range from (MPa)', 'to (MPa)', 'cycles', 'damage'], rows: classes },
    { name: 'largest-cycles', columns: ['share of damage', 'local shear range (MPa)', 'mean (MPa)', 'cycles', 'time in record (s)', 'time (UTC)'], rows: damage.largest.map((c) => [c.share, c.range / 1e6, c.mean / 1e6, c.count, c.seconds, c.time]) },
    { name: 'lines', columns: ['frequency (Hz)', 'amplitude, peak (N·m)', 'what it may be'], rows: (resonance.named ?? resonance.lines).map((l) => [l.frequency, l.amplitude, wordsOf(l)]) },
  ];
  if (signal.faults) tables.push({ name: 'faults', columns: ['fault', 'spans', 'samples', 'time (s)', 'longest (s)'], rows: signal.faults.counts.map((c) => [c.why, c.spans, c.samples, c.seconds, c.longest]) });
  if (signal.zeroModel) tables.push({ name: 'zero', columns: ['term', 'coefficient', 'standard error'], rows: signal.zeroModel.terms.map((t, k) => [t, signal.zeroModel!.coefficients[k]!, signal.zeroModel!.standardErrors[k]!]) });
  const { byState, spectral } = found.rates;
  if (byState) tables.push({ name: 'damage-by-state', columns: ['state', 'time (h)', 'cycles', 'damage', 'share', 'damage per hour'], rows: byState.map((s) => [s.name, s.hours, s.cycles, s.damage, s.share, s.perHour]) });
  if (spectral) tables.push({ name: 'spectral-damage', columns: ['method', 'damage per hour'], rows: [['rainflow', spectral.counted], ...Object.entries(spectral.perHour)] });
  if (found.fileSum) tables.push({ name: 'files', columns: ['file', 'begins at (s)', 'damage, counted alone'], rows: found.fileSum.files.map((f) => [f.file, f.seconds, f.damage]) });
  if (found.conduct) {
    const { states, events } = found.conduct;
    tables.push({ name: 'states', columns: ['state', 'from (s)', 'to (s)', 'mean speed (rad/s)', 'mean torque (N·m)'], rows: states.states.map((s) => [s.state, s.from, s.to, s.speed, s.torque]) });
    tables.push({ name: 'events', columns: ['event', 'peak at (s)', 'time (UTC)', 'peak (N·m)', 'amplification', 'rise time (s)'], rows: events.events.map((e) => [e.state, e.peakAt, e.time, e.peak, e.amplification, e.riseTime]) });
  }
  if (found.duty) tables.push({ name: 'duty', columns: ['part', 'amount in a year', 'of', 'damage of each', 'damage in a year', 'share'], rows: found.duty.mix.parts.map((p) => [p.name, p.amount, p.per === 'hour' ? 'hours' : 'pieces', p.rate, p.damagePerYear, p.share]) });
  if (resonance.sweeps.length > 0) {
    tables.push({ name: 'sweeps', columns: ['order', 'from (s)', 'to (s)', 'frequency (Hz)', 'low (Hz)', 'high (Hz)', 'damping ratio', 'low', 'high', 'critical speed (rpm)'], rows: resonance.sweeps.map(({ window: w, fit: f }) => [f.order, w.from, w.to, f.frequency.value, f.frequency.low, f.frequency.high, f.dampingRatio.value, f.dampingRatio.low, f.dampingRatio.high, f.criticalSpeed]) });
  }
  const tracks = resonance.runUp?.tracks;
  if (tracks) tables.push({ name: 'order-tracks', columns: ['time (s)', 'speed (rad/s)', ...tracks.tracks.map((t) => `order ${t.order} (N·m)`)], rows: Array.from(tracks.time, (t, i) => [resonance.runUp!.stretch!.from + t, tracks.speed[i]!, ...tracks.tracks.map((track) => track.amplitude[i]!)]) });
  if (resonance.crossings) tables.push({ name: 'crossings', columns: ['order', 'natural frequency (Hz)', 'meets at (rad/s)', 'margin', 'amplification at running speed', 'at the crossing'], rows: resonance.crossings.crossings.map((c) => [c.order, c.frequency, c.speed, c.margin, c.amplification, c.atCrossing]) });
  if (found.budgets) tables.push({ name: 'budget', columns: ['input', 'value', 'standard uncertainty', 'share in torque'], rows: found.budgets.torque.lines.map((l) => [l.input, l.value, l.standardUncertainty, l.share]) });
  if (found.band) {
    tables.push({ name: 'life-band', columns: ['probability of failure', 'life (h)'], rows: found.band.quantiles.map((q) => [q.probability, q.hours]) });
    tables.push({ name: 'variance', columns: ['input', 'share of the variance of log life'], rows: found.band.variance.map((v) => [v.input, v.share]) });
  }
  return tables;
}

/** A table as CSV (RFC 4180): fields with a comma, a quote or a line break are quoted. */
export function toCsv(table: ReportTable): string {
  const field = (value: string | number | null): string => {
    const text = value === null ? '' : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replace(/"/g, '""')}"` : text;
  };
  return `${[table.columns, ...table.rows].map((row) => row.map(field).join(',')).join('\r\n')}\r\n`;
}
