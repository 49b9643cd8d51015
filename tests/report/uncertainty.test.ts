import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { twoFigures, typeset } from '../../src/fatigue/figures.js';
import { assess, type Assessment } from '../../src/report/assess.js';
import { dutyText } from '../../src/report/duty.js';
import { figuresOf } from '../../src/report/figures.js';
import { checkJob } from '../../src/report/readJob.js';
import { reportPage } from '../../src/report/reportPage.js';

const raw = JSON.parse(readFileSync(fileURLToPath(new URL('../../sample-runs/run-a.job.json', import.meta.url)), 'utf8'));
const folder = mkdtempSync(join(tmpdir(), 'quillshaft-uncertainty-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Rest, run-up in a second, 50 s of a swing once a second, a larger one in the second half, run-down, rest; mV/V at 100 Hz. */
const seconds = 70, rate = 100;
const share = (t: number): number => Math.max(0, Math.min(1, t - 9, 61 - t));
const bridge = (t: number): number => 0.5 * share(t) + (t >= 10 && t <= 60 ? (t > 35 ? 0.16 : 0.1) * Math.sin(2 * Math.PI * t) : 0);
const csv = join(folder, 'run.csv');
writeFileSync(csv, `time,bridge,speed\ns,mV/V,rpm\n${Array.from({ length: seconds * rate }, (_, i) => i / rate).map((t) => `${t.toFixed(2)},${bridge(t).toFixed(6)},${(400 * share(t)).toFixed(3)}`).join('\n')}\n`);

const { knee: _, ...straight } = { ...raw.curve, beyond: 'same-slope' };
const { recording: __, shaft, gauge, notch } = raw;
/** The bridge of run (a) about this load; a straight curve, no mean-stress rule and no filter, so that every band has a closed form. */
const job = (change: object = {}): ReturnType<typeof checkJob> => checkJob({
  title: 'a run', recording: { file: csv, torque: 'bridge', speed: 'speed' }, shaft, gauge, notch, faults: { find: false }, zero: { none: 'simulated' }, filter: { none: 'simulated' }, meanStress: { rule: 'none' }, curve: straight, uncertainty: { gauge: { shape: 'normal', deviation: 0.01 }, draws: 500 }, ...change,
}, 'run.job.json', folder);
const z = 1.6448536;
let base: Assessment, top: number;
beforeAll(async () => {
  base = await assess(job());
  top = base.damage.largest.reduce((most, cycle) => Math.max(most, cycle.range / 2), 0);
});
/** A curve whose knee lies 3 % above the largest local amplitude. */
const kneeAbove = (beyond: string): object => ({ ...raw.curve, stress: `${(1.03 * top) / 1e6} MPa`, cycles: 2e6, knee: 2e6, beyond });

describe('what the band is drawn through', () => {
  it('is named on the front page as it was: the gauge alone where the job states its budget and no more', async () => {
    const found = await assess(job({ budget: raw.budget, uncertainty: { draws: 500 } }));
    expect(found.band!.variance.map((v) => v.input)).toEqual(['gauge']);
    expect(reportPage(found, [])).toContain(typeset('from 500 draws through gauge.</p>'));
  });
  it('is named in the order in which it acts, and the strength has a sentence of its own among the drivers', async () => {
    const found = await assess(job({ uncertainty: { strength: { shape: 'lognormal', deviation: 0.1 }, criticalSum: { median: 1, deviation: 0.3 }, notch: { shape: 'lognormal', deviation: 0.05 }, draws: 500 } }));
    expect(reportPage(found, [])).toContain(typeset('through notch, strength and Miner sum.'));
    expect(found.drivers.map((d) => d.sentence).join('\n')).toContain('The strength of the material: between its 5 % and 95 % points');
  });
});

describe('the diameter under the gauge', () => {
  const budget = { ...raw.budget, outerDiameter: { standard: 0.05, relative: true } };
  /** Closed form of the 90 % band of a straight curve of slope 5 whose stress has a normal scale. */
  const closed = (deviation: number): number => ((1 + z * deviation) / (1 - z * deviation)) ** 5;
  it('cancels between torque and stress where the section under it is assessed', async () => {
    const found = await assess(job({ budget, uncertainty: { draws: 4000 } }));
    const { stress } = found.budgets!;
    expect(Math.log(found.band!.high / found.band!.low) / Math.log(closed(stress.standardUncertainty / Math.abs(stress.value)))).toBeCloseTo(1, 1);
    expect(found.band!.high / found.band!.low).toBeLessThan(1.3);
  });
  it('is in the life of another section, by its third power: the spread of the gauge is that of the torque', async () => {
    const found = await assess(job({ budget, assessed: { outerDiameter: '80 mm' }, uncertainty: { draws: 4000 } }));
    const { stress } = found.budgets!;
    const deviation = Math.hypot(stress.standardUncertainty / Math.abs(stress.value), 3 * 0.05);
    expect(Math.log(found.band!.high / found.band!.low) / Math.log(closed(deviation))).toBeCloseTo(1, 1);
  });
  it('has no spread of its own there, and says where it belongs; that of another section has one', async () => {
    const uncertainty = { section: { shape: 'normal', deviation: 0.01 }, draws: 500 };
    expect(() => job({ uncertainty })).toThrow('run.job.json: uncertainty.section must be left out where the section under the gauge is assessed: its stress comes from the strain (2·G·strain), whatever the diameter, got a spread. State that diameter in budget.outerDiameter');
    const other = await assess(job({ uncertainty, assessed: { outerDiameter: '80 mm' } }));
    expect(other.band!.variance.map((v) => v.input)).toEqual(['section']);
  });
});

describe('the Miner sum of a job', () => {
  it('is one: two that differ are refused', () => {
    const uncertainty = { criticalSum: { median: 1, deviation: 0.3 } };
    expect(() => job({ uncertainty, life: { criticalSum: 0.5 } })).toThrow('run.job.json: life.criticalSum must be the median of uncertainty.criticalSum (1), or left out, got 0.5. A life and its band have one Miner sum.');
    expect(() => job({ uncertainty, life: { criticalSum: 1 } })).not.toThrow();
  });
  it('is the median of its spread where life does not state it: the life is the middle of its band', async () => {
    const found = await assess(job({ uncertainty: { criticalSum: { median: 0.5, deviation: 0.3 }, draws: 500 } }));
    expect(found.life.criticalSum).toBe(0.5);
    expect(found.band!.middle / found.life.hours).toBeCloseTo(1, 9);
  });
});

describe('a life without end at the middle of its inputs', () => {
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(job({
      curve: kneeAbove('cut-off'), uncertainty: { notch: { shape: 'lognormal', deviation: 0.08 }, draws: 2000 }, states: { ...raw.states, ringDown: undefined }, duty: { hoursPerYear: { steady: 5000 }, startsPerYear: 300 },
    }));
  });
  it('has a band where draws do damage: as many as a lognormal notch factor brings above the knee', () => {
    expect(found.life.hours).toBe(Infinity);
    const band = found.band!;
    const ends = band.lives.filter((hours) => hours < Infinity).length / band.draws;
    // P(exp(s z) > 1.03), s² = ln(1 + 0.08²): 1 − Φ(0.370)
    expect(Math.abs(ends - 0.356)).toBeLessThan(0.03);
    expect(band.low).toBeLessThan(Infinity);
    expect(band.high).toBe(Infinity);
  });
  it('says on the page who lives without end and who does not, and draws it', () => {
    const page = reportPage(found, figuresOf(found));
    const endless = found.band!.lives.filter((hours) => hours === Infinity).length / found.band!.draws;
    expect(page).toContain(typeset(`Nine parts of ten: ${twoFigures(found.band!.low)} h and more, without an upper end`));
    expect(page).toContain(typeset(`In ${Number((100 * endless).toPrecision(2))} % of the draws no cycle does damage: those parts live without end, as does one with every input at its middle.`));
    expect(page).not.toContain('nothing drives the life');
    expect(page.replace(/<svg[^]*?<\/svg>/g, '')).not.toMatch(/NaN|Infinity|undefined/);
    expect(page).toContain('Life as single inputs and choices move, about one without end');
  });
  it('is driven by what brings an end to it: the choice of the continuation, and the notch factor', () => {
    const { hours } = found.lives['same-slope'];
    expect(found.drivers.map((d) => d.sentence)).toContain(`The choice of continuation: with "same slope" the life is ${twoFigures(hours)} h; as assessed it has no end.`);
    expect(found.drivers.map((d) => d.name)).toContain('notch');
    expect(found.prices.find((p) => p.instead === 'same slope')!.damageRatio).toBe(Infinity);
  });
  it('has years with a lower end too', () => {
    expect(found.duty!.mix.years).toBe(Infinity);
    expect(found.duty!.band!.low).toBeLessThan(Infinity);
    expect(dutyText(found.duty!)).toBe(`no damage counted; nine parts of ten: ${twoFigures(found.duty!.band!.low)} years and more, without an upper end`);
    expect(reportPage(found, [])).toContain('By the stated duty: no damage counted</b>; nine parts of ten: ');
  });
});

describe('a choice that leaves no damage', () => {
  it('stands in the tornado and first among the drivers, with an infinite life', async () => {
    const found = await assess(job({ curve: kneeAbove('same-slope') }));
    const bar = found.tornado!.bars[0]!;
    expect(bar).toMatchObject({ name: 'choice of continuation', high: Infinity, highLabel: 'cut-off' });
    expect(found.drivers[0]!.sentence).toContain('∞ (cut-off) of the life');
  });
});

describe('what cannot be drawn', () => {
  it.each([
    [{ uncertainty: { notch: { shape: 'uniform', deviation: 0.9 } } }, 'run.job.json: uncertainty.notch.deviation must be a finite number at least 0 and at most 0.577'],
    [{ uncertainty: { curve: {} }, curve: { ...straight, deviation: undefined } }, 'run.job.json: uncertainty.curve.deviation must be given, because the source of'],
    [{ budget: { outerDiameter: { standard: 0.1, relative: true } }, assessed: { outerDiameter: '80 mm' } }, 'run.job.json: budget must be of a torque known to 20 % or better, for a normal spread of the gauge in the life, got one known to 30 %. State uncertainty.gauge'],
    [{ curve: { ...straight, slope: 60 } }, 'run.job.json: curve.slope must be a finite number at least 1 and at most 50, got 60'],
  ])('is refused by the file and the key that stated it (%#)', async (change, message) => {
    await expect(assess(job(JSON.parse(JSON.stringify({ uncertainty: { draws: 500, curve: {} }, ...change }))))).rejects.toThrow(message);
  });
});

describe('a record that looks settled by the width of its interval alone', () => {
  it('is not called too short by that width', () => {
    const settling = { ...base.rates.settling!, verdict: 'record longer' as const, relativeHalfWidth: 0.057 };
    const page = reportPage({ ...base, rates: { ...base.rates, settling } }, []);
    expect(page).toContain('The record is not called long enough, although it looks so by the width alone: its damage rate is known to ±\u00a05.7\u00a0%');
    expect(page).not.toContain('The record is too short:');
  });
});
