import { writeFileSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { assess, type Assessment } from '../../src/report/assess.js';
import { twoFigures } from '../../src/fatigue/figures.js';
import { dutyText } from '../../src/report/duty.js';
import { checkJob } from '../../src/report/readJob.js';
import { figuresOf } from '../../src/report/figures.js';
import { reportPage } from '../../src/report/reportPage.js';
import { unsettledYearsText } from '../../src/report/unsettled.js';

const raw = JSON.parse(readFileSync(fileURLToPath(new URL('../../sample-runs/run-d.job.json', import.meta.url)), 'utf8'));
const folder = mkdtempSync(join(tmpdir(), 'quillshaft-duty-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Rest, run-up in a second, 40 s at 6000 N·m with a swing of 1000 N·m once a second, run-down in a second, rest; at 100 Hz. */
const seconds = 60, rate = 100;
const share = (t: number): number => Math.max(0, Math.min(1, t - 9, 51 - t));
const torque = (t: number): number => 6000 * share(t) + (t >= 10 && t <= 50 ? 1000 * Math.sin(2 * Math.PI * t) : 0);
const csv = join(folder, 'run.csv');
writeFileSync(csv, `time,torque,speed\ns,N·m,rpm\n${Array.from({ length: seconds * rate }, (_, i) => i / rate).map((t) => `${t.toFixed(2)},${torque(t).toFixed(3)},${(400 * share(t)).toFixed(3)}`).join('\n')}\n`);

/** A straight curve N·S⁵ = 1e6·75⁵ (amplitude), no notch, no mean stress: every damage by hand. */
const job = (duty: object | undefined, extra: object = {}): ReturnType<typeof checkJob> => {
  const { files: _, ...recording } = raw.recording;
  const { knee: __, ...curve } = raw.curve;
  return checkJob({
    ...raw, recording: { ...recording, file: csv, speed: 'speed' }, faults: { find: false }, curve: { ...curve, beyond: 'same-slope' }, meanStress: { rule: 'none' }, notch: { factor: 1, source: 'none' },
    states: { standstill: '5 rpm', speedChange: 1, torqueChange: '2000 N·m', block: '1 s' }, ...(duty ? { duty } : {}), ...extra,
  }, 'duty', folder);
};
const polarModulus = (Math.PI * 0.09 ** 3) / 16;
const each = (range: number): number => (range / 2 / polarModulus / 75e6) ** 5 / 1e6;

describe('life by a stated duty', () => {
  let found: Assessment;
  beforeAll(async () => {
    found = await assess(job({ hoursPerYear: { steady: 4000 }, startsPerYear: 500, certainty: 40 }));
  });
  const part = (name: string): NonNullable<Assessment['duty']>['mix']['parts'][number] => found.duty!.mix.parts.find((p) => p.name === name)!;

  it('has an hour of the steady state that holds its own cycles, and not the way up from standstill', () => {
    // Blocks of a second: the steady state holds whole swings of 2000 N·m, one a second.
    expect(part('steady').rate / (3600 * each(2000))).toBeCloseTo(1, 1);
  });
  it('has a start that holds the cycle from standstill to the largest load and back', () => {
    // The last half swing on either side of the largest range adds less than one more of 2000 N·m.
    expect(part('starts').rate).toBeGreaterThanOrEqual(each(7000) * (1 - 1e-9));
    expect(part('starts').rate).toBeLessThan(each(7000) + 3 * each(2000));
    expect(found.duty!.startsInRecord).toBe(1);
  });
  it('adds up to the year by hand', () => {
    const { damagePerYear, years, hoursPerYear } = found.duty!.mix;
    expect(damagePerYear).toBeCloseTo(4000 * part('steady').rate + 500 * part('starts').rate, 15);
    expect(years).toBeCloseTo(1 / damagePerYear, 9);
    expect(hoursPerYear).toBe(4000);
  });
  it('is told in one line, with its band, and without damage too', () => {
    const { mix, band } = found.duty!;
    expect(dutyText(found.duty!)).toBe(`${twoFigures(mix.years)} years; nine parts of ten: ${twoFigures(band!.low)} to ${twoFigures(band!.high)} years`);
    expect(dutyText({ ...found.duty!, band: null })).toBe(`${twoFigures(mix.years)} years`);
    expect(dutyText({ ...found.duty!, mix: { ...mix, years: Infinity }, band: null })).toBe('no damage counted');
  });
  it('has a band about its middle, drawn through the same inputs, and stands on the page', () => {
    const { low, median, high } = found.duty!.band!;
    expect(low).toBeLessThan(median);
    expect(median).toBeLessThan(high);
    expect(median / found.duty!.mix.years).toBeGreaterThan(0.8);
    expect(median / found.duty!.mix.years).toBeLessThan(1.2);
    const page = reportPage(found, figuresOf(found));
    expect(page).toContain('Share of the damage of each part of the duty beside its share of the hours');
    expect(page).toContain('By the stated duty: ');
    expect(page).toContain('500 starts');
  });
  it('keeps the number of starts out of the certainty of the shares: one state by the hour has the same band with it and without', async () => {
    const band = async (duty: object): Promise<Assessment['duty']> => (await assess(job({ hoursPerYear: { steady: 4000 }, startsPerYear: 20_000, ...duty }))).duty;
    const [exact, certain] = [await band({}), await band({ certainty: 50 })];
    expect(certain!.band).toEqual(exact!.band);
    expect(certain!.mix.interval).toBe(null);
    expect(certain!.notes.join(' ')).toContain('The certainty of the shares moves nothing: one state has all the hours.');
  });
  it('lets the certainty move two states by the hour, says so, and leaves the starts where they are', async () => {
    const of = async (startsPerYear: number, certainty: number): Promise<NonNullable<Assessment['duty']>> => (await assess(job({ hoursPerYear: { steady: 4000, stop: 4000 }, startsPerYear, certainty }, { uncertainty: { gauge: { shape: 'normal', deviation: 1e-6 } } }))).duty!;
    const few = await of(0, 50), many = await of(1_000_000, 50);
    expect(few.band!.high / few.band!.low).toBeGreaterThan(1.3);
    expect(few.band!.drawn).toBe('gauge and shares of the hours');
    // What the starts do is known: only the hours move, as dutyMix draws them.
    const { interval, damagePerYear } = many.mix;
    expect(1 / many.band!.low / interval!.high).toBeCloseTo(1, 2);
    expect(1 / many.band!.high / interval!.low).toBeCloseTo(1, 2);
    expect(interval!.high / damagePerYear).toBeLessThan(1.1);
  });
  it('says that years rest on rates that the record does not settle, whatever the duty of the band', async () => {
    const settling = found.rates.settling!;
    expect(settling.verdict).toBe('record longer');
    expect(found.duty!.unsettled).toContain('the years rest on the rates of its states and starts as recorded: their band holds only the stated spread of 20 % for that');
    expect(reportPage(found, [])).toContain('the years rest on the rates of its states and starts as recorded');
    const settled = await assess(job({ hoursPerYear: { steady: 4000 } }, { uncertainty: { ...raw.uncertainty, duty: 'settled' } }));
    expect(settled.duty!.unsettled).toContain('their band holds nothing of that');
    expect(unsettledYearsText({ ...found.rates, settling: { ...settling, verdict: 'long enough' } }, null)).toBeNull();
  });
  it('says what is in no year where no starts are stated', async () => {
    const without = await assess(job({ hoursPerYear: { steady: 4000 } }));
    expect(without.duty!.mix.parts.map((p) => p.name)).toEqual(['steady']);
    expect(without.duty!.notes.join(' ')).toContain('duty.startsPerYear is not stated');
  });
  it('refuses hours of a state that the record does not hold', async () => {
    await expect(assess(job({ hoursPerYear: { reverse: 100 } }))).rejects.toThrow('duty.hoursPerYear.reverse must be a state of the record (stop, start, steady');
  });
  it('takes a raiser on top of a curve that holds its notch to the local stress, also under another such curve, and says so', async () => {
    const welded = { ...raw.curve, knee: undefined, beyond: 'same-slope', notch: 'in the curve', name: 'detail' };
    const of = (notch: object): Promise<Assessment> => assess(job(undefined, { notch, curve: welded, otherCurves: [{ ...welded, name: 'another detail' }] }));
    const [plain, raised] = [await of({ factor: 1, source: 'none' }), await of({ factor: 1.2, source: 'misalignment', basis: 'on top of the curve' })];
    expect(raised.damage.perHour / plain.damage.perHour / 1.2 ** 5).toBeCloseTo(1, 12);
    expect(raised.prices.find((p) => p.choice === 'S-N curve')!.damageRatio).toBeCloseTo(1, 12);
    expect(raised.damage.notes.join(' ')).toContain('the curve detail holds its notch; 1.2 (misalignment) comes on top of it');
  });
  it('prices a curve of smooth specimens beside a curve that holds its notch, by the notch factor that is stated for it', async () => {
    const straight = { ...raw.curve, knee: undefined, beyond: 'same-slope' };
    for (const notch of [{ factor: 1, source: 'none' }, { factor: 1.2, source: 'misalignment', basis: 'on top of the curve' }]) {
      const other = await assess(job(undefined, { notch, curve: { ...straight, notch: 'in the curve', name: 'detail' }, otherCurves: [{ ...straight, notchFactor: { factor: 1.6, source: 'keyway' } }] }));
      expect(other.prices.find((p) => p.choice === 'S-N curve')!.damageRatio).toBeCloseTo((1.6 / notch.factor) ** 5, 10);
    }
  });
  it('prices another curve beside the one assessed, each with the notch that it asks for', async () => {
    const other = await assess(job(undefined, { otherCurves: [{ ...raw.curve, name: 'twice as strong', stress: '150 MPa', beyond: 'same-slope' }] }));
    const price = other.prices.find((p) => p.choice === 'S-N curve')!;
    expect(price.instead).toBe('twice as strong');
    expect(price.damageRatio).toBeCloseTo(1 / 32, 12);
    expect(other.tornado!.bars.map((b) => b.name)).toContain('choice of S-N curve');
  });
});
