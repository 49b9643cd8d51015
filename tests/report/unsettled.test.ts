import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { createRandom } from '../../src/index.js';
import { runCli } from '../../src/cli/runCli.js';
import { twoFigures, typeset } from '../../src/fatigue/figures.js';
import { assess, type Assessment } from '../../src/report/assess.js';
import { figuresOf } from '../../src/report/figures.js';
import { checkJob } from '../../src/report/readJob.js';
import { reportPage } from '../../src/report/reportPage.js';
import { unsettledText } from '../../src/report/unsettled.js';

const samples = fileURLToPath(new URL('../../sample-runs/', import.meta.url));
const raw = JSON.parse(readFileSync(join(samples, 'run-d.job.json'), 'utf8'));
const folder = mkdtempSync(join(tmpdir(), 'quillshaft-unsettled-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('a record too short for its damage rate (the first two files of run (d))', () => {
  const short = { ...raw, recording: { ...raw.recording, files: raw.recording.files.slice(0, 2) } };
  const withDuty = (duty: unknown): Promise<Assessment> => assess(checkJob({ ...short, uncertainty: { ...raw.uncertainty, duty } }, 'd', samples));
  let spread: Assessment, settled: Assessment;
  beforeAll(async () => {
    spread = await withDuty(raw.uncertainty.duty);
    settled = await withDuty('settled');
  });
  it('has a caution beside a band that does not hold it, with what the interval of the rate alone does to the life', () => {
    const { interval, verdict } = spread.rates.settling!;
    expect(verdict).toBe('record longer');
    expect(spread.unsettled).toContain('the band holds only the stated spread of 20 % for it');
    expect(spread.unsettled).toContain(`the 90 % interval of the rate alone takes the life from ${twoFigures(1 / interval.high)} to ${twoFigures(1 / interval.low)} h`);
    expect(reportPage(spread, [])).toContain(typeset(`<p class="warn">${spread.unsettled!.replaceAll('"', '&quot;')}</p>`));
  });
  it('says that the band holds nothing of it where no spread of the duty is stated, and nothing where there is no band or the record is long enough', () => {
    const { life, rates, chain: { options } } = spread;
    expect(unsettledText(life, rates, { ...options, inputs: { curve: {} } })).toContain('the band holds nothing of that');
    expect(unsettledText(life, rates, null)).toBeNull();
    expect(unsettledText(life, { ...rates, settling: { ...rates.settling!, verdict: 'long enough' } }, { ...options, inputs: { curve: {} } })).toBeNull();
  });
  it('has a band drawn from it with the duty "settled", and no caution', () => {
    expect(settled.unsettled).toBeNull();
    expect(settled.life.hours).toBe(spread.life.hours);
    const { interval } = settled.rates.settling!;
    expect(settled.band!.low).toBeLessThan(1 / interval.high);
    expect(settled.band!.high).toBeGreaterThan(1 / interval.low);
    expect(spread.band!.low).toBeGreaterThan(settled.band!.low);
    expect(settled.band!.variance[0]!.input).toBe('duty');
  });
  it('has the caution among the lines of the command', async () => {
    const file = join(folder, 'short.job.json');
    writeFileSync(file, JSON.stringify({ ...short, recording: { ...short.recording, files: short.recording.files.map((f: string) => join(samples, f)) } }));
    const lines: string[] = [];
    expect(await runCli(['assess', file, '--out', folder], { out: (line) => lines.push(line), err: (line) => lines.push(line), progress: () => {} })).toBe(0);
    const at = lines.findIndex((line) => line.includes('nine parts of ten'));
    expect(lines[at + 1]).toBe(`          ${spread.unsettled}`);
  });
});

describe('a long count about the knee of a cut-off, with a mean-stress rule', () => {
  /** 4000 swings of nearly fully reversed torque whose local amplitudes lie between 0.97 and 1.005 of the knee's stress. */
  const cutOff = async (deviation: number): Promise<Assessment> => {
    const random = createRandom(11);
    const [slope, knee] = [raw.curve.slope, raw.curve.knee];
    const kneeTorque = (75e6 * (raw.curve.cycles / knee) ** (1 / slope) * Math.PI * 0.09 ** 3) / 16 / 1.6;
    const file = join(folder, `cut-${deviation}.csv`);
    writeFileSync(file, `time,torque\ns,N·m\n${Array.from({ length: 8000 }, (_, i) => `${(i / 100).toFixed(2)},${((i % 2 ? 1 : -1) * kneeTorque * (0.97 + 0.035 * random.uniform())).toFixed(4)}`).join('\n')}\n`);
    const { files: _, ...recording } = raw.recording;
    return assess(checkJob({ ...raw, recording: { ...recording, file }, faults: { find: false }, curve: { ...raw.curve, beyond: 'cut-off' }, uncertainty: { gauge: { shape: 'normal', deviation } } }, 'cut', folder));
  };
  it.each([0.01, 0.002])('has a band about the assessed life, drivers with numbers and a page without NaN: gauge %d', async (deviation) => {
    const found = await cutOff(deviation);
    expect(found.damage.cycles.range.length).toBeGreaterThan(2400);
    expect(found.life.hours).toBeLessThan(1e5);
    expect(found.band!.middle / found.life.hours).toBeCloseTo(1, 9);
    expect(Number.isFinite(found.band!.median)).toBe(true);
    expect(found.drivers.map((driver) => driver.sentence).join('\n')).not.toContain('NaN');
    const page = reportPage(found, deviation < 0.005 ? figuresOf(found) : []);
    expect(page).not.toContain('NaN');
    expect(page).toContain('What drives the life');
  });
});
