import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { makeRunC } from '../../sample-runs/run-c.mjs';
import { chain } from '../../sample-runs/tarn-weir.mjs';
import { assess, type Assessment } from '../../src/report/assess.js';
import { damageBy } from '../../src/report/prices.js';
import { countCycles, makeChannel } from '../../src/index.js';
import { checkJob, readJob } from '../../src/report/readJob.js';
import { writeReport } from '../../src/report/writeReport.js';
import { figuresOf } from '../../src/report/figures.js';
import { reportPage } from '../../src/report/reportPage.js';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const file = fileURLToPath(new URL('../../sample-runs/run-c.job.json', import.meta.url));

describe('an assessment of sample run (c), with lost frames, faults and a zero that goes with temperature', () => {
  const run = makeRunC();
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(await readJob(file));
  });

  it('puts every row at its true time, and masks the lost frames', () => {
    const { zeroed, masked } = found.signal;
    expect(zeroed.values.length).toBe(run.trueIndex.at(-1)! + 1);
    const lost = masked.invalid.filter((s) => s.why === 'clock gap').reduce((n, s) => n + s.to - s.from, 0);
    expect(lost / run.sampleRate).toBeCloseTo(run.truth.clock.lostSeconds, 2);
    expect(found.method[0]).toContain(`${Math.round(run.truth.clock.lostSeconds * run.sampleRate)} frames (${run.truth.clock.lostSeconds.toPrecision(3)} s) were lost in`);
  });
  it('takes off a zero with terms in time, temperature and friction, within 0.02 % of full scale of the truth', () => {
    const model = found.signal.zeroModel!;
    expect(model.terms).toEqual(['constant', 'time', 'temperature', 'friction']);
    expect(Math.abs(model.coefficients[3]! / run.truth.friction.pump - 1)).toBeLessThan(0.01);
    const perTorque = run.truth.gauge.sensitivity.value;
    const { torque, zeroed } = found.signal;
    let compared = 0;
    for (let i = 0; i < zeroed.values.length; i += 97) {
      const removed = torque.values[i]! - zeroed.values[i]!;
      if (Number.isNaN(removed)) continue;
      compared++;
      expect(Math.abs(removed - run.trueZero[i]! / perTorque)).toBeLessThan(0.0002 * chain.fullScaleTorque);
    }
    expect(compared).toBeGreaterThan(1000);
  });
  it('shows coverage, loss map, zero with residuals, budget table and bar chart', async () => {
    const figures = figuresOf(found);
    for (const name of ['zero', 'loss', 'budget']) expect(figures.some((f) => f.name === name), name).toBe(true);
    const page = reportPage(found, figures);
    for (const text of ['Coverage: ', 'Loss is not random over the shaft angle', 'Uncertainty of torque and stress', 'Share of samples lost by level and by shaft angle', 'leave-one-out', 'misses a state that it was fitted without', 'As received, without masks and with its rows edge to edge']) expect(page).toContain(text);
    expect(page, 'the share lost of the loss map, and the rest by name').toMatch(new RegExp(`samples are masked: ${Number((100 * found.loss!.share).toPrecision(2))}\u00a0% because they never came, in [\\d\u202f]+ gaps, the rest for another reason: `));
    const folder = mkdtempSync(join(tmpdir(), 'quillshaft-c-'));
    try {
      await writeReport(found, join(folder, 'c'));
      expect(readFileSync(join(folder, 'c', 'tables', 'budget.csv'), 'utf8').split('\n').length).toBeGreaterThan(5);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
  it('estimates the damage with what was lost within 3 % of the truth, which the corrected record alone does not reach', () => {
    const real = makeChannel({ name: 'true torque', unit: 'N·m', sampleRate: run.sampleRate, values: run.trueTorque });
    const truth = damageBy(found.chain, countCycles(real)).total;
    const { left, expected, low, high } = found.lost!;
    expect(left).toBeCloseTo(found.damage.total, 12);
    expect(Math.abs(expected / truth - 1)).toBeLessThan(0.03);
    expect(Math.abs(left / truth - 1)).toBeGreaterThan(0.03);
    expect(truth).toBeGreaterThan(low);
    expect(truth).toBeLessThan(high);
    expect(reportPage(found, [])).toContain('With what was lost estimated from the record itself');
  });
  it('shows the damage without corrections beside the corrected one: lost frames, held values and spikes do false damage', () => {
    const { uncorrected, damage } = found;
    expect(uncorrected!.ratio).toBeCloseTo(uncorrected!.perHour / damage.perHour, 12);
    expect(uncorrected!.ratio).toBeGreaterThan(1.2);
    expect(found.count.validTime + found.count.lostTime).toBeCloseTo(240, 2);
  });
  it('refuses terms without the channel that they depend on, and terms that are none', () => {
    const raw = JSON.parse(readFileSync(file, 'utf8')) as { recording: Record<string, unknown>; zero: { model: unknown } };
    const changed = (change: (job: typeof raw) => void): unknown => {
      const job = structuredClone(raw);
      change(job);
      return job;
    };
    expect(() => checkJob(changed((j) => { delete j.recording.temperature; }), 'x', '/')).toThrow('recording.temperature must be given where zero.model has the term "temperature"');
    expect(() => checkJob(changed((j) => { delete j.recording.speed; }), 'x', '/')).toThrow('recording.speed must be given');
    expect(() => checkJob(changed((j) => { j.zero.model = ['tide']; }), 'x', '/')).toThrow('zero.model[0] must be one of "time", "temperature", "speed squared", "friction", got "tide"');
    expect(() => checkJob(changed((j) => { j.zero.model = 'wavy'; }), 'x', '/')).toThrow('zero.model must be "constant", "linear in time", or a list of some of');
    expect(() => checkJob(changed((j) => { j.recording.frames = { counter: 'frame' }; }), 'x', '/')).toThrow('recording.frames.modulus must be given');
  });
});
