import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeRunE } from '../../sample-runs/run-e.mjs';
import { freeModes } from '../../sample-runs/tarn-weir.mjs';
import { assess, type Assessment } from '../../src/report/assess.js';
import { figuresOf } from '../../src/report/figures.js';
import { checkJob, readJob } from '../../src/report/readJob.js';
import { reportPage } from '../../src/report/reportPage.js';
import { tablesOf } from '../../src/report/tables.js';

const file = fileURLToPath(new URL('../../sample-runs/run-e.job.json', import.meta.url));
const raw = JSON.parse(readFileSync(file, 'utf8'));
const changed = (change: (job: typeof raw) => void): unknown => {
  const job = structuredClone(raw);
  change(job);
  return job;
};

describe('an assessment of sample run (e), whose speed comes from the pulse stamps of a second file', () => {
  const run = makeRunE();
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(await readJob(file));
  });

  it('takes the speed from the stamps, within 0.1 % of full speed of the truth wherever the shaft turns', () => {
    const speed = found.signal.speed!;
    let worst = 0;
    for (let i = 12 * 500; i < 108 * 500; i++) worst = Math.max(worst, Math.abs((speed.values[i]! * Math.PI) / 30 - run.trueSpeed[i]!));
    expect(worst).toBeLessThan(0.001 * 39.4);
    expect(found.signal.pulses!.missing).toBeCloseTo(run.truth.target.missing.length, -1);
    expect(found.method[0]).toContain('24 to a revolution of a target whose unevenness was learnt');
  });
  it('takes the shaft to stand where no pulses come, because the job says so', () => {
    const speed = found.signal.speed!;
    expect(speed.invalid).toEqual([]);
    expect([speed.values[0], speed.values.at(-1)]).toEqual([0, 0]);
    expect(found.conduct!.states.states.map((s) => s.state)).toEqual(['stop', 'start', 'steady', 'coast-down', 'stop']);
  });
  it('fits the run through the resonance: frequency within 0.2 %, damping within 6 % of the truth', () => {
    const [{ fit }] = found.resonance.sweeps as [Assessment['resonance']['sweeps'][number]];
    const mode = freeModes()[0]!;
    expect(Math.abs(fit.frequency.value / mode.frequency - 1)).toBeLessThan(0.002);
    expect(Math.abs(fit.dampingRatio.value / mode.damping - 1)).toBeLessThan(0.06);
    expect(found.resonance.natural.some((n) => n.from.startsWith('the sweep of order 2'))).toBe(true);
  });
  it('computes the modes of the geared train, each part at its own speed', () => {
    const computed = found.resonance.natural.filter((n) => n.from === 'the stated train').map((n) => n.frequency);
    freeModes().forEach((mode, k) => expect(Math.abs(computed[k]! / mode.frequency - 1)).toBeLessThan(0.002));
  });
  it('maps torque over speed, follows the exciting orders, and order 2 is largest where it meets the mode', () => {
    const { map, tracks } = found.resonance.runUp!;
    expect(map!.speed.length).toBeGreaterThan(30);
    const second = tracks!.tracks.find((t) => t.order === 2)!;
    const top = second.amplitude.reduce((best, a, i) => (a > second.amplitude[best]! ? i : best), 0);
    expect(Math.abs(tracks!.speed[top]! / run.truth.criticals.find((c: { order: number }) => c.order === 2)!.speed - 1)).toBeLessThan(0.05);
  });
  it('names crossings with their margin and their amplification', () => {
    const { crossings, running } = found.resonance.crossings!;
    const second = crossings.find((c) => c.order === 2)!;
    expect(second.margin).toBeCloseTo(second.speed / running - 1, 12);
    expect((second.speed * 30) / Math.PI).toBeCloseTo(253.3, 0);
  });
  it('shows speed map, order tracks, crossings, states and sweep on the page and as tables', () => {
    const figures = figuresOf(found);
    for (const name of ['speed-map', 'order-tracks', 'crossings', 'states', 'sweep-1']) expect(figures.some((f) => f.name === name), name).toBe(true);
    const page = reportPage(found, figures);
    for (const text of ['Run of order 2 through the resonance', 'met at 253', 'mean of T·ω', 'mean(T)·mean(ω)', 'amplification at running speed']) expect(page).toContain(text);
    expect(page.replace(/<svg[\s\S]*?<\/svg>/g, '')).not.toMatch(/NaN|undefined|Infinity/);
    expect(tablesOf(found).map((each) => each.name)).toEqual(expect.arrayContaining(['sweeps', 'order-tracks', 'crossings']));
  });
  it.each([
    [(j: typeof raw) => { j.recording.speed = 'speed'; }, 'recording.pulses must be left out where recording.speed is given'],
    [(j: typeof raw) => { delete j.recording.pulses; }, 'recording.speed must be given (or recording.pulses) where states are'],
    [(j: typeof raw) => { delete j.recording.pulses.silence; }, 'recording.pulses.silence must be given'],
    [(j: typeof raw) => { j.recording.pulses.target = 'odd'; }, 'recording.pulses.target must be "even", or a window with from and to'],
    [(j: typeof raw) => { j.recording.pulses.unit = 'N·m'; }, 'recording.pulses.unit must be a unit of time'],
    [(j: typeof raw) => { j.sweeps[0].to = '40 s'; }, 'sweeps[0] must be a window that ends after it begins'],
    [(j: typeof raw) => { j.sweeps[0].band.to = '1 Hz'; }, 'sweeps[0].band must be a band from above 0 to more'],
    [(j: typeof raw) => { j.train.shafts[0].to = 'pinon'; }, 'train.shafts[0].to must be one of motor, pinion, wheel, pump, ground'],
    [(j: typeof raw) => { j.duty = { hoursPerYear: { idle: 3 } }; }, 'duty.hoursPerYear must be made of the keys stop, start, steady'],
    [(j: typeof raw) => { j.duty = { hoursPerYear: { steady: 8000, start: 1000 } }; }, 'duty.hoursPerYear must be above 0 and at most 8784 h together'],
    [(j: typeof raw) => { j.duty = { hoursPerYear: { steady: 8000 } }; j.life = { hoursPerYear: 8000 }; }, 'life.hoursPerYear must be left out where duty states'],
  ])('refuses a job that does not say what is needed (%#)', (change, message) => {
    expect(() => checkJob(changed(change), 'x', '/')).toThrow(message);
  });
});

describe('stamps that nobody hopes for', () => {
  const folder = mkdtempSync(join(tmpdir(), 'quillshaft-e-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const assessed = (change: (pulses: typeof raw) => void): Promise<Assessment> => assess(checkJob(changed((j) => change(j.recording.pulses)), 'x', dirname(file)));

  it.each([
    ['a column that is not there', (p: typeof raw) => { p.column = 'pulze'; }, "recording.pulses.column must be one of 'pulse', got 'pulze'. Did you mean 'pulse'?"],
    ['a window outside the train', (p: typeof raw) => { p.target = { from: '2 s', to: '97 s' }; }, 'recording.pulses.target must be a window within one unbroken train'],
    ['a window of few revolutions', (p: typeof raw) => { p.target = { from: '65 s', to: '66 s' }; }, 'of at least ten revolutions'],
  ])('refuses %s', async (_, change, message) => {
    await expect(assessed(change)).rejects.toThrow(message);
  });
  it('refuses stamps that fall back, by file and pulse', async () => {
    writeFileSync(join(folder, 'back.csv'), 'pulse\ns\n1\n2\n1.5\n3\n4\n');
    await expect(assessed((p) => { p.file = join(folder, 'back.csv'); })).rejects.toThrow('back.csv: expected stamps that rise, found the stamp 1.5 s after 2 s (pulse 3)');
  });
  it('does not take a loss of pulses at speed for a standstill', async () => {
    const stamps = Array.from(run().pulses as ArrayLike<number>).filter((stamp: number) => stamp < 90 || stamp > 91);
    writeFileSync(join(folder, 'lost.csv'), `pulse\ns\n${stamps.join('\n')}\n`);
    const found = await assessed((p) => { p.file = join(folder, 'lost.csv'); p.target = 'even'; });
    const { speed } = found.signal;
    expect(speed!.invalid.length).toBe(1);
    expect(speed!.invalid[0]!.from / 500).toBeCloseTo(90, 1);
    expect(speed!.invalid[0]!.to / 500).toBeCloseTo(91, 1);
  });
  const run = makeRunE;
});
