import { toJson } from '../record/json.js';
import { version } from '../record/version.js';
import { toPng } from '../plot/draw.js';
import type { Assessment } from './assess.js';
import { figuresOf } from './figures.js';
import { reportPage } from './reportPage.js';
import { tablesOf, toCsv } from './tables.js';
import { writeFolder } from './writeFolder.js';

/** The file by which a folder is known as a report of ours. */
const marker = 'assessment.json';

/**
 * Writes an assessment as a folder: `report.html` (self-contained), `figures/` (SVG and PNG), `tables/` (CSV, full precision)
 * and `assessment.json` (every number, the trail and the job). The folder appears whole or not at all.
 *
 * @param folder new, empty, or an earlier report, which is replaced
 * @throws InputError where the folder holds something else or cannot be written
 * @see assess
 * @example
 * (not run: writes a folder)
 * await writeReport(await assess(await readJob('run-a.job.json')), 'reports/run-a');
 */
export async function writeReport(found: Assessment, folder: string): Promise<void> {
  const figures = figuresOf(found);
  const files = new Map<string, string | Uint8Array>([['report.html', reportPage(found, figures)], [marker, `${JSON.stringify(summaryOf(found), null, 2)}\n`]]);
  for (const { name, figure, svg } of figures) {
    files.set(`figures/${name}.svg`, svg);
    files.set(`figures/${name}.png`, toPng(figure));
  }
  for (const table of tablesOf(found)) files.set(`tables/${table.name}.csv`, toCsv(table));
  await writeFolder(folder, files, marker);
}

/** Every number of an assessment as plain data, without the samples. */
function summaryOf(found: Assessment): unknown {
  const { job, recording, signal, damage, count } = found;
  return toJson({
    format: 'quillshaft assessment', version: 1, by: `quillshaft ${version}`, title: job.title, job: { ...job, name: undefined, recording: { ...job.recording, file: recording.source?.file ?? recording.name, files: found.fileSum?.files.map((f) => f.file) } }, source: recording.source,
    life: found.life, lives: found.lives, duty: found.duty, margin: found.margin, uncorrected: found.uncorrected, lost: found.lost, equivalent: found.equivalent, fileSum: found.fileSum, rates: { ...found.rates, settling: found.rates.settling && { ...found.rates.settling, hours: undefined, runningPerHour: undefined }, spectral: found.rates.spectral && { perHour: found.rates.spectral.perHour, counted: found.rates.spectral.counted } }, band: found.band && { ...found.band, lives: undefined }, tornado: found.tornado, bounds: found.bounds && { suggested: found.bounds.suggested, reason: found.bounds.reason, ratio: found.bounds.ratio },
    budgets: found.budgets && { torque: found.budgets.torque.expandedUncertainty, stress: found.budgets.stress.expandedUncertainty, lines: found.budgets.torque.lines }, conduct: found.conduct, loss: found.loss, drivers: found.drivers, prices: found.prices, lines: found.resonance.named ?? found.resonance.lines, natural: found.resonance.natural, sweeps: found.resonance.sweeps.map(({ window, fit: { trace: _, ...fit } }) => ({ window, fit })), crossings: found.resonance.crossings,
    damage: { total: damage.total, perHour: damage.perHour, hours: damage.hours, continuation: damage.continuation, residue: damage.residue, outsideTested: damage.outsideTested, largest: damage.largest, byClass: damage.byClass },
    count: { closedCycles: count.closedCycles, residue: count.residue.values.length, validTime: count.validTime, lostTime: count.lostTime },
    zero: signal.zeroModel, faults: signal.faults && { counts: signal.faults.counts, lost: signal.faults.lost, rules: signal.faults.rules },
    trail: signal.filtered.trail, method: found.method, notes: found.notes,
  });
}
