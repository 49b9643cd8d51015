import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { countCycles, damage, localStress, mergeCounts, replay, shearStress, slice } from '../../src/index.js';
import { assess, type Assessment } from '../../src/report/assess.js';
import { checkJob, readJob } from '../../src/report/readJob.js';
import { parseQuantity } from '../../src/report/quantity.js';
import { jobSchema } from '../../src/report/jobSchema.js';
import { toCsv } from '../../src/report/tables.js';
import { typeset } from '../../src/fatigue/figures.js';
import { writeReport } from '../../src/report/writeReport.js';

const sample = (name: string): string => fileURLToPath(new URL(`../../sample-runs/${name}`, import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'quillshaft-report-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('an assessment of sample run (a)', () => {
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(await readJob(sample('run-a.job.json')));
    await writeReport(found, join(folder, 'a'));
  });

  it('gives the same bytes when the trail of the counted channel is replayed on the raw one', () => {
    expect(replay(found.signal.raw, found.signal.filtered.trail).values).toEqual(found.signal.filtered.values);
  });
  it('has three lives, longest for the cut-off and shortest for the same slope', () => {
    const { lives } = found;
    expect(lives['cut-off'].hours).toBeGreaterThan(lives['reduced-slope'].hours);
    expect(lives['reduced-slope'].hours).toBeGreaterThan(lives['same-slope'].hours);
    expect(found.life).toBe(lives[found.damage.curve.beyond]);
  });
  it('prices choices by damage that a second computation confirms', () => {
    const price = (choice: string, instead: string): number => found.prices.find((p) => p.choice === choice && p.instead === instead)!.damageRatio;
    expect(price('continuation', 'same slope')).toBeCloseTo(found.damages['same-slope'].perHour / found.damage.perHour, 12);
    expect(price('residue', 'drop')).toBeLessThan(1);
    expect(price('residue', 'repeat')).toBeGreaterThanOrEqual(1);
    const { count } = found;
    expect(price('lost time', 'harmless')).toBeCloseTo(count.validTime / (count.validTime + count.lostTime), 12);
  });
  it('finds the states and the events that the truth states, and the power of the pump', () => {
    const { states, events, power } = found.conduct!;
    expect(states.states.filter((s) => s.state === 'start').length).toBe(1);
    expect(events.events.find((e) => e.state === 'trip')!.ringDown!.modes[0]!.frequency.value).toBeCloseTo(8.44, 1);
    expect(power!.meanPower / 1000).toBeGreaterThan(150);
    expect(power!.meanPower / 1000).toBeLessThan(300);
  });
  it('budgets torque with the diameter and stress without it, and hands the spread to the life', () => {
    const { torque, stress } = found.budgets!;
    expect(torque.lines.find((l) => l.input === 'outerDiameter')!.share).toBeGreaterThan(0);
    expect(stress.lines.some((l) => l.input === 'outerDiameter')).toBe(false);
    expect(found.band!.variance.find((v) => v.input === 'gauge')!.share).toBeGreaterThan(0);
  });
  it('shows both bounds of mean stress, and suggests the one of a notched shaft', () => {
    expect(found.bounds!.suggested).toBe('with');
    expect(found.bounds!.with.perHour).toBeCloseTo(found.damage.perHour, 12);
    expect(found.bounds!.without.perHour).toBeLessThan(found.damage.perHour);
  });
  it('tells damage by state, how it settles, and the spectral estimate beside the count', () => {
    const { byState, settling, spectral } = found.rates;
    expect(byState!.reduce((sum, s) => sum + s.damage, 0)).toBeCloseTo(found.damage.total, 12);
    expect(byState!.map((s) => s.name)).toContain('start');
    expect(settling!.verdict).toBe('record longer');
    expect(readFileSync(join(folder, 'a', 'report.html'), 'utf8')).toContain('Record longer');
    const steady = found.resonance.stretch!;
    const own = damage(localStress(shearStress(countCycles(slice(found.signal.filtered, steady)), found.chain.section), found.chain.notch), { ...found.chain.options, meanStress: 'none' });
    expect(spectral!.counted).toBeCloseTo(own.perHour, 15);
    expect(spectral!.deviation / 1e6).toBeCloseTo((1.6 * 16 * Math.sqrt(spectral!.moments.m0)) / (Math.PI * 0.09 ** 3) / 1e6, 9);
  });
  it('writes a method text whose numbers are those of the trail', () => {
    const zero = found.signal.filtered.trail.find((s) => s.op === 'removeZero')!.found as { zeroAtStart: number };
    const mask = found.signal.filtered.trail.find((s) => s.op === 'markInvalid')!.found as { samples: number };
    const text = found.method.join(' ');
    expect(text).toContain(`${Number(zero.zeroAtStart.toPrecision(5))} ±`);
    expect(text).toContain(`${mask.samples} samples`);
    for (const step of found.signal.filtered.trail) expect(text).not.toContain(`Step ${step.op}`);
  });
  it('writes a self-contained folder: page, figures, tables and numbers that agree', () => {
    const at = (path: string): string => readFileSync(join(folder, 'a', path), 'utf8');
    expect(readdirSync(join(folder, 'a')).sort()).toEqual(['assessment.json', 'figures', 'report.html', 'tables']);
    const page = at('report.html');
    expect(page).toContain(typeset(`Life: ${found.life.text}`));
    expect(page).not.toMatch(/(?:src|href)="(?!#)/);
    expect(page).toContain('locked out');
    expect(page).toContain('50\u00a0g');
    expect(page).toContain('licensed engineer');
    const figures = readdirSync(join(folder, 'a', 'figures'));
    for (const name of ['history', 'zero', 'spectrum', 'exceedance', 'life-curve', 'damage', 'life-band', 'tornado', 'moment-1', 'budget']) {
      expect(figures).toContain(`${name}.svg`);
      expect(statSync(join(folder, 'a', 'figures', `${name}.png`)).size).toBeGreaterThan(5000);
    }
    const numbers = JSON.parse(at('assessment.json'));
    expect(numbers.life.hours).toBe(found.life.hours);
    expect(numbers.source.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(numbers.trail.map((s: { op: string }) => s.op)).toEqual(found.signal.filtered.trail.map((s) => s.op));
    const [head, ...rows] = at('tables/life.csv').trim().split('\r\n');
    expect(head).toBe('below the knee,damage per hour,life (h)');
    expect(rows.map((r) => Number(r.split(',')[2]))).toEqual(['cut-off', 'reduced-slope', 'same-slope'].map((c) => found.lives[c as 'cut-off'].hours));
    expect(page + at('assessment.json')).not.toContain(sample(''));
  });
  it('replaces an earlier report and gives the same bytes again', async () => {
    const before = readFileSync(join(folder, 'a', 'report.html'), 'utf8');
    await writeReport(found, join(folder, 'a'));
    expect(readFileSync(join(folder, 'a', 'report.html'), 'utf8')).toBe(before);
    expect(readdirSync(folder)).toEqual(['a']);
  });
});

describe('job file', () => {
  it('schema in sample-runs is the one that the library checks by', () => {
    expect(JSON.parse(readFileSync(sample('job.schema.json'), 'utf8'))).toEqual(JSON.parse(JSON.stringify(jobSchema)));
  });
  it('quantities are read by hand-checked factors', () => {
    expect(parseQuantity('3.5 in', 'length')).toBeCloseTo(0.0889, 15);
    expect(parseQuantity('3.5 furlong', 'length')).toBeNull();
    expect(parseQuantity('90mm', 'length')).toBe(0.09);
    expect(parseQuantity('1e3 psi', 'stress')).toBeCloseTo(6894757.293168, 5);
    expect(parseQuantity('-40 °C', 'temperature')).toBeCloseTo(233.15, 10);
    expect(parseQuantity('60 rpm', 'angular speed')).toBeCloseTo(2 * Math.PI, 12);
    expect(parseQuantity('90 mm extra', 'length')).toBeNull();
  });
});

describe('CSV of a table', () => {
  it('quotes what must be quoted (RFC 4180)', () => {
    expect(toCsv({ name: 't', columns: ['a,b', 'c'], rows: [['he said "no"', null], [1e-7, 'line\nbreak']] })).toBe('"a,b",c\r\n"he said ""no""",\r\n1e-7,"line\nbreak"\r\n');
  });
});

describe('an assessment of the twelve files of sample run (d)', () => {
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(await readJob(sample('run-d.job.json')));
    await writeReport(found, join(folder, 'd'));
  });
  afterAll(() => rmSync(join(folder, 'd'), { recursive: true, force: true }));

  it('counts the files joined as mergeCounts does', () => {
    const pieces = found.fileSum!.files.map(({ seconds }) => countCycles(slice(found.signal.filtered, { from: seconds, to: seconds + 60 })));
    const merged = mergeCounts(...pieces);
    expect(merged.closed).toEqual(found.count.closed);
    expect(merged.residue).toEqual(found.count.residue);
  });
  it('shows as a number what summing them one by one would lose', () => {
    const { files, summed, joined, ratio } = found.fileSum!;
    expect(files.length).toBe(12);
    expect(joined).toBe(found.damage.total);
    expect(summed).toBeCloseTo(files.reduce((sum, f) => sum + f.damage, 0), 15);
    expect(ratio).toBeLessThan(0.95);
    expect(ratio).toBeGreaterThan(0.2);
    const page = readFileSync(join(folder, 'd', 'report.html'), 'utf8');
    expect(page).toContain(`${(100 * ratio).toPrecision(3)}\u00a0% of it`);
    expect(page).toContain('run-d.01.csv.gz to run-d.12.csv.gz (12 files)');
    expect(page).not.toMatch(/NaN|Infinity|undefined/);
  });
  it.each([
    [{ file: 'a.csv', files: ['a.csv', 'b.csv'] }, 'recording.files must be left out where recording.file is given'],
    [{}, 'recording.file must be given'],
    [{ files: ['a.csv'] }, 'recording.files must be a list of at least two files'],
  ])('is refused with the way out (%#)', (files, message) => {
    const raw = JSON.parse(readFileSync(sample('run-d.job.json'), 'utf8'));
    const { files: _, ...recording } = raw.recording;
    expect(() => checkJob({ ...raw, recording: { ...recording, ...files } }, 'job', '/')).toThrow(message);
  });
});

describe('records that nobody hopes for', () => {
  const pageOf = async (name: string, torque: (i: number) => number, change: object): Promise<string> => {
    const file = join(folder, `${name}.csv`);
    writeFileSync(file, `time,torque\ns,N·m\n${Array.from({ length: 2000 }, (_, i) => `${(i / 200).toFixed(3)},${torque(i)}`).join('\n')}\n`);
    const { files: _, ...recording } = JSON.parse(readFileSync(sample('run-d.job.json'), 'utf8')).recording;
    const raw = { ...JSON.parse(readFileSync(sample('run-d.job.json'), 'utf8')), recording: { ...recording, file }, faults: { find: false }, ...change };
    await writeReport(await assess(checkJob(raw, 'job', folder)), join(folder, name));
    const page = readFileSync(join(folder, name, 'report.html'), 'utf8');
    rmSync(join(folder, name), { recursive: true });
    rmSync(file);
    expect(page.replace(/<svg[^]*?<\/svg>/g, '')).not.toMatch(/NaN|Infinity|undefined|e\+2[ \u00a0]%/);
    return page;
  };
  it('past yield: the life is marked as one that does not hold', async () => {
    expect(await pageOf('yields', (i) => 90_000 * Math.sin(i / 20), { meanStress: { rule: 'smith-watson-topper' } })).toContain('beyond yield in shear');
  });
  it('past yield without a mean-stress rule: the alternative that does not hold has no price', async () => {
    expect(await pageOf('none', (i) => 90_000 * Math.sin(i / 20), { meanStress: { rule: 'none' } })).toContain('beyond yield in shear');
  });
  it('without damage: no life, and no band, although the job states its uncertainty', async () => {
    const { curve } = JSON.parse(readFileSync(sample('run-d.job.json'), 'utf8'));
    const page = await pageOf('idle', (i) => 10 * Math.sin(i / 20), { curve: { ...curve, beyond: 'cut-off' } });
    expect(page).toContain('No cycle did damage under this curve, so there is no band');
    expect(page).not.toContain('The job states no uncertainty');
  });
  it('a torque that is only negative has the life of its mirror image', async () => {
    const life = (page: string): string => /<strong>(.*?)<\/strong>/.exec(page)![1]!;
    const wave = (i: number): number => 5000 + 4500 * Math.sin(i / 20);
    expect(life(await pageOf('minus', (i) => -wave(i), {}))).toBe(life(await pageOf('plus', wave, {})));
  });
});
