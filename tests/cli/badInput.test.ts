import { existsSync, mkdtempSync, mkdirSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/runCli.js';

const folder = mkdtempSync(join(tmpdir(), 'quillshaft-bad-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A small record in mV/V: rest, a run with a swing, rest. */
const rows = (n = 400): string[] => Array.from({ length: n }, (_, i) => `${(i / 100).toFixed(2)},${(i < 100 || i >= 300 ? 0.01 : 0.5 + 0.2 * Math.sin(i)) + 0.001 * ((i * 7919) % 13)},${i < 100 || i >= 300 ? 0 : 300}`);
const goodCsv = ['time (s),bridge (mV/V),speed (rpm)', ...rows()].join('\n');

const good = {
  title: 'test', recording: { file: 'good.csv', torque: 'bridge', speed: 'speed' },
  shaft: { outerDiameter: '90 mm', youngsModulus: '206 GPa', poissonsRatio: 0.3, yieldStrength: '650 MPa' },
  gauge: { gaugeFactor: 2.08, activeArms: 4 },
  zero: { rest: [{ from: '0 s', to: '0.9 s' }], model: 'constant' }, filter: { cutoff: '20 Hz' },
  notch: { factor: 1, source: 'drawing' }, curve: { use: 'EN 1993-1-9 shear', category: '80 MPa' }, meanStress: { rule: 'none' },
};
type Change = (job: Record<string, any>) => void; // eslint-disable-line @typescript-eslint/no-explicit-any

writeFileSync(join(folder, 'good.csv'), goodCsv);
mkdirSync(join(folder, 'a-folder'));

async function run(args: string[]): Promise<{ code: number; out: string; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runCli(args, { out: (t) => out.push(t), err: (t) => err.push(t), progress: () => {} });
  return { code, out: out.join('\n'), err: err.join('\n') };
}

let serial = 0;
async function assessJob(text: string): Promise<{ code: number; err: string; out: string; written: string[] }> {
  const name = `job-${++serial}`;
  writeFileSync(join(folder, `${name}.job.json`), text);
  const target = join(folder, `out-${serial}`);
  const result = await run(['assess', join(folder, `${name}.job.json`), '--out', target]);
  return { ...result, written: existsSync(target) ? readdirSync(target) : [] };
}

const changed = (change: Change): string => {
  const job = structuredClone(good) as Record<string, unknown>;
  change(job);
  return JSON.stringify(job);
};

const badJobs: readonly (readonly [what: string, job: string | Change, message: RegExp])[] = [
  ['a job that is not JSON', '{ "title": "x", }', /line 1, column 17: expected valid JSON, found the character "}"/],
  ['an empty job file', '', /expected valid JSON, found the end of the file/],
  ['a job that is a list', '[]', /the job must be an object/],
  ['an unknown key', (j) => { j.filters = {}; }, /unknown key "filters"\. Did you mean "filter"\?/],
  ['an unknown key deeper down', (j) => { j.shaft.diameter = '90 mm'; }, /shaft must be made of the keys .*unknown key "diameter"/],
  ['a missing title', (j) => { delete j.title; }, /title must be given \(What the report is called\)/],
  ['a missing section', (j) => { delete j.notch; }, /notch must be given/],
  ['a diameter without a unit', (j) => { j.shaft.outerDiameter = '90'; }, /shaft\.outerDiameter must be a length with its unit, such as "90 mm", got "90"/],
  ['a diameter as a bare number', (j) => { j.shaft.outerDiameter = 90; }, /shaft\.outerDiameter must be a length with its unit, such as "90 mm", got 90/],
  ['a diameter of the wrong quantity', (j) => { j.shaft.outerDiameter = '90 MPa'; }, /shaft\.outerDiameter must be a length/],
  ['a diameter of nothing', (j) => { j.shaft.outerDiameter = '0 mm'; }, /shaft\.outerDiameter must be above 0/],
  ['a bore wider than the shaft', (j) => { j.shaft.innerDiameter = '95 mm'; }, /shaft\.innerDiameter must be at least 0 and below outerDiameter/],
  ['a negative strength', (j) => { j.shaft.yieldStrength = '-650 MPa'; }, /shaft\.yieldStrength must be above 0/],
  ['a number of arms that no bridge has', (j) => { j.gauge.activeArms = 3; }, /gauge\.activeArms must be one of 1, 2, 4, got 3/],
  ['a gauge factor of 0', (j) => { j.gauge.gaugeFactor = 0; }, /gauge\.gaugeFactor must be a number above 0, got 0/],
  ['a gauge without elastic constants', (j) => { delete j.shaft.poissonsRatio; }, /shaft\.shearModulus must be given \(or youngsModulus and poissonsRatio\)/],
  ['gauge and calibration at once', (j) => { j.calibration = { slope: 800, unit: 'mV/V' }; }, /calibration must be left out where gauge is given/],
  ['neither gauge nor calibration', (j) => { delete j.gauge; }, /gauge must be given \(or calibration\), because bridge is in mV\/V/],
  ['no zero and no reason', (j) => { j.zero = {}; }, /zero\.rest must be given/],
  ['a zero and a reason for none', (j) => { j.zero.none = 'why'; }, /zero must be "none" alone/],
  ['a rest window that runs backwards', (j) => { j.zero.rest[0].to = '-1 s'; }, /zero\.rest\[0\] must be a window that ends after it begins/],
  ['a rest window outside the record', (j) => { j.zero.rest[0].to = '99 s'; }, /99 s/],
  ['rest from speed without a limit', (j) => { j.zero = { rest: 'from speed', model: 'constant' }; }, /zero\.below must be given/],
  ['rest as a word that is none', (j) => { j.zero.rest = 'somewhere'; }, /zero\.rest must be a list of windows with from and to, or "from speed"/],
  ['drift asked of one rest window', (j) => { j.zero.model = 'linear in time'; }, /linear in time|drift/],
  ['no filter and no reason', (j) => { j.filter = {}; }, /filter\.cutoff must be given/],
  ['a cutoff above half the sample rate', (j) => { j.filter.cutoff = '60 Hz'; }, /cutoff must be below half the sample rate \(50 Hz\), got 60 Hz/],
  ['a notch factor below 1', (j) => { j.notch.factor = 0.8; }, /notch\.factor must be a number of at least 1, got 0\.8/],
  ['a curve that is not there', (j) => { j.curve.use = 'my favourite'; }, /curve\.use must be one of "EN 1993-1-9 shear"/],
  ['a notch factor on a curve that holds its notch', (j) => { j.notch.factor = 1.6; }, /notch\.factor must be 1, because the curve EN 1993-1-9 shear 80 holds its notch already, got 1\.6/],
  ['a notch on top of a curve that holds none', (j) => { j.notch.basis = 'on top of the curve'; j.curve = { use: 'own', name: 'mine', measure: 'range', stress: '80 MPa', cycles: 2e6, slope: 5, beyond: 'cut-off', notch: 'in the stress', source: 'x' }; }, /notch\.basis must be "fatigue" or "theoretical", because the curve mine does not hold a notch/],
  ['a notch basis that is none', (j) => { j.notch.basis = 'on top'; }, /notch\.basis must be one of "fatigue", "theoretical", "on top of the curve"/],
  ['a curve without its category', (j) => { delete j.curve.category; }, /curve\.category must be given for "EN 1993-1-9 shear"/],
  ['an own curve without its slope', (j) => { j.curve = { use: 'own', name: 'mine', measure: 'range', stress: '80 MPa', cycles: 2e6, beyond: 'cut-off', notch: 'in the stress', source: 'x' }; }, /curve\.slope must be given for "own"/],
  ['a mean-stress rule that needs a strength', (j) => { j.meanStress.rule = 'goodman'; }, /shaft\.tensileStrength must be given for Goodman/],
  ['a mean-stress rule on a curve of every R', (j) => { j.meanStress.rule = 'goodman'; j.shaft.tensileStrength = '900 MPa'; }, /meanStress must be 'none' for the curve/],
  ['a year of too many hours', (j) => { j.life = { hoursPerYear: 9000 }; }, /life\.hoursPerYear must be a number above 0 and at most 8784, got 9000/],
  ['a channel that is not there', (j) => { j.recording.torque = 'bridgee'; }, /must be one of 'bridge', 'speed', got "bridgee"\. Did you mean 'bridge'\?/],
  ['a unit that is not one', (j) => { j.recording.torqueUnit = 'furlong'; }, /recording\.torqueUnit must be one of/],
  ['a mask without a reason', (j) => { j.faults = { mask: [{ from: '0 s', to: '0.1 s' }] }; }, /faults\.mask\[0\]\.because must be given/],
  ['a title that is null', (j) => { j.title = null; }, /title must be a text that is not empty, got null/],
  ['a section that is a list', (j) => { j.recording = []; }, /recording must be an object, got an array of 0/],
  ['a section that is a text', (j) => { j.zero = 'none'; }, /zero must be an object, got "none"/],
  ['no rest window at all', (j) => { j.zero.rest = []; }, /zero\.rest must be a list of windows/],
  ['rest windows that are numbers', (j) => { j.zero.rest = [1, 2]; }, /zero\.rest\[0\] must be an object, got 1/],
  ['a rest window without length', (j) => { j.zero.rest[0].to = '0 s'; }, /zero\.rest\[0\] must be a window that ends after it begins/],
  ['a rest window between two samples', (j) => { j.zero.rest = [{ from: '0.001 s', to: '0.002 s' }]; }, /rest\[0\] must be from before to, with a sample between/],
  ['rest windows that overlap', (j) => { j.zero.rest.push({ from: '0.5 s', to: '0.95 s' }); }, /windows that do not overlap/],
  ['a diameter without end', (j) => { j.shaft.outerDiameter = '1e999 mm'; }, /shaft\.outerDiameter must be a length with its unit.*got "1e999 mm"/],
  ['a diameter that no torque could twist', (j) => { j.shaft.outerDiameter = '1e300 mm'; }, /shaft\.outerDiameter must be a diameter in m, at most 5 m, got 1e\+297 m/],
  ['a diameter of almost nothing', (j) => { j.shaft.outerDiameter = '1e-300 mm'; }, /must be a torque that a shaft can carry, got [^N]*N·m, a local shear stress beyond every number/],
  ['a notch factor that no shaft could bear', (j) => { j.notch.factor = 1e300; }, /recording\.torque \(bridge\) must be a torque that a shaft can carry/],
  ['a gauge factor near nothing', (j) => { j.gauge.gaugeFactor = 1e-300; }, /zero must be such that bridge is within what double precision can reckon with/],
  ['a gauge factor as text', (j) => { j.gauge.gaugeFactor = '2.08'; }, /gauge\.gaugeFactor must be a number above 0, got "2\.08"/],
  ['a number beyond all numbers', JSON.stringify(good).replace('2.08', '1e999'), /gauge\.gaugeFactor must be a number above 0, got Infinity/],
  ['NaN in the job', JSON.stringify(good).replace('2.08', 'NaN'), /line 1, column \d{3}: expected valid JSON, found the character "N"/],
  ['a key given twice', JSON.stringify(good).replace('"factor":1', '"factor":1,"factor":1'), /expected every key once, found "factor" a second time/],
  ['a job nested without end', '['.repeat(200_000) + ']'.repeat(200_000), /column 65: expected at most 64 levels/],
  ['a job in UTF-16', Buffer.from(JSON.stringify(good), 'utf16le').toString('latin1'), /line 1, column 2: expected valid JSON/],
  ['a fault below Windows line ends', JSON.stringify(good, null, 2).replaceAll('\n', '\r\n').replace('"speed"', 'speed'), /line 6, column 5: expected valid JSON, found the character "s"/],
  ['a gate below nothing', (j) => { j.count = { gate: '-5 N·m' }; }, /count\.gate must be at least 0/],
  ['a gate above every range', (j) => { j.count = { gate: '1e9 N·m' }; }, /swings at least once by more than count\.gate/],
  ['a key that the chosen curve does not read', (j) => { j.curve.slope = 5; }, /curve\.slope must be left out for "EN 1993-1-9 shear"/],
  ['a curve of no strength', (j) => { j.curve = { use: 'own', name: 'mine', measure: 'range', stress: '1e-300 MPa', cycles: 2e6, slope: 9, beyond: 'cut-off', notch: 'in the stress', source: 'x' }; }, /curve must be of a strength that bears some cycles/],
  ['a bend in front of its branch', (j) => { j.curve = { use: 'own', name: 'mine', measure: 'range', stress: '80 MPa', cycles: 2e6, slope: 5, bend: { cycles: 10, slope: 7 }, beyond: 'cut-off', notch: 'in the stress', source: 'x' }; }, /curve\.bend\.cycles must be at least curve\.cycles/],
  ['an uncertainty of nothing', (j) => { j.uncertainty = { draws: 200 }; }, /uncertainty must be made of at least one input/],
  ['a band for the ring-down that runs backwards', (j) => { j.states = { standstill: '5 rpm', speedChange: 0.5, torqueChange: '10 N·m', block: '0.2 s', ringDown: { from: '20 Hz', to: '5 Hz' } }; }, /states\.ringDown must be a band/],
  ['a band for the ring-down above half the sample rate', (j) => { j.states = { standstill: '5 rpm', speedChange: 0.5, torqueChange: '10 N·m', block: '0.2 s', ringDown: { from: '20 Hz', to: '500 Hz' } }; }, /states\.ringDown\.to must be below half the sample rate/],
  ['a speed that is a bridge', (j) => { j.recording.speed = 'bridge'; }, /recording\.speed must be a channel of speed.*got bridge in mV\/V/],
  ['a torque that is a speed', (j) => { j.recording.torque = 'speed'; }, /recording\.torque must be a channel of torque, or of a bridge.*got speed in rpm/],
  ['a gauge for what is torque already', (j) => { j.recording.torqueUnit = 'kN·m'; }, /gauge must be left out: bridge is torque already \(kN·m\)/],
  ['two sample rates', (j) => { j.recording.sampleRate = '100 Hz'; j.recording.read = { sampleRate: 50 }; }, /recording\.read\.sampleRate must be left out/],
  ['reading options that are a list', (j) => { j.recording.read = []; }, /recording\.read must be an object/],
  ['a file name with a null byte', (j) => { j.recording.file = 'a\u0000b'; }, /file must be a file that can be read/],
  ['a recording that is a folder', (j) => { j.recording.file = 'a-folder'; }, /a-folder/],
  ['a mask over everything', (j) => { j.faults = { mask: [{ from: '0 s', to: '4 s', because: 'x' }] }; }, /masked throughout/],
  ['an unknown reading option', (j) => { j.recording.read = { decimals: ',' }; }, /unknown key 'decimals'.*Did you mean 'decimal'/],
];

const badRecordings: readonly (readonly [what: string, content: string | Uint8Array | null, message: RegExp])[] = [
  ['a recording that is not there', null, /no such file|not there|cannot be found|ENOENT/i],
  ['an empty recording', '', /empty|no rows|nothing/i],
  ['a recording with a header only', 'time,bridge\n', /row|number|data/i],
  ['binary noise', Uint8Array.from({ length: 4000 }, (_, i) => (i * 7919 + (i >> 3) * 104729) & 255), /./],
  ['a gzip file cut short', gzipSync(goodCsv).subarray(0, 900), /./],
  ['text among the numbers', goodCsv.replace('\n0.50,', '\nhello,'), /line 52/],
  ['time that runs back', [...goodCsv.split('\n').slice(0, 60), '0.10,0.5,300', ...goodCsv.split('\n').slice(60)].join('\n'), /line 61/],
  ['two rows of one stamp', [...goodCsv.split('\n').slice(0, 60), goodCsv.split('\n')[59]!, ...goodCsv.split('\n').slice(60)].join('\n'), /onDoubledStamp/],
  ['a row with too many fields', goodCsv.replace('\n0.50,', '\n0.50,1,2,'), /line 5[23]/],
  ['a constant signal', ['time (s),bridge (mV/V),speed (rpm)', ...Array.from({ length: 400 }, (_, i) => `${i / 100},0.5,300`)].join('\n'), /must be a torque that swings at least once/],
  ['a torque of NaN words only', ['time (s),bridge (mV/V),speed (rpm)', ...Array.from({ length: 400 }, (_, i) => `${i / 100},NaN,300`)].join('\n'), /masked throughout/],
  ['a torque as large as numbers go', ['time (s),bridge (mV/V),speed (rpm)', ...Array.from({ length: 400 }, (_, i) => `${i / 100},${i % 2 ? 1e200 : -1e200},300`)].join('\n'), /zero must be such that bridge is within what double precision can reckon with/],
  ['one sample', goodCsv.split('\n').slice(0, 2).join('\n'), /at least two time stamps/],
  ['a second header in the middle', goodCsv.replace('\n2.00,', '\ntime (s),bridge (mV/V),speed (rpm)\n2.00,'), /line 202, column 1: expected a number/],
  ['the first row with too many fields', goodCsv.replace('\n0.00,', '\n0.00,9,8,'), /line 2: expected 3 fields/],
  ['a web page', '<html><body>404</body></html>', /expected a table of numbers/],
  ['a text in UTF-16', Buffer.from(`\ufeff${goodCsv}`, 'utf16le'), /UTF-16/],
  ['stamps on no clock', ['time (s),bridge (mV/V),speed (rpm)', ...Array.from({ length: 50 }, (_, i) => `${(i + ((i * 37) % 11) * 0.07).toFixed(3)},0.1,0`)].join('\n'), /resampleTo|sampleRate/],
];

describe('bad input ends in one sentence, exit code 1 and nothing written', () => {
  it('while the job it is made from is a good one', async () => {
    const { code, err, out, written } = await assessJob(JSON.stringify(good));
    expect(err).toBe('');
    expect(code).toBe(0);
    expect(out).toMatch(/life {4}\d/);
    expect(written).toEqual([`job-${serial}`]);
  });
  it.each(badJobs)('%s', async (_, job, message) => {
    const result = await assessJob(typeof job === 'string' ? job : changed(job));
    expect(result.err).toMatch(message);
    expect(result.err.split('\n').length).toBe(1);
    expect(result.code).toBe(1);
    expect(result.written).toEqual([]);
  });
  it.each(badRecordings)('%s', async (_, content, message) => {
    const file = `bad-${++serial}.csv`;
    if (content !== null) writeFileSync(join(folder, file), content);
    const result = await assessJob(changed((j) => { j.recording.file = file; }));
    expect(result.err).toMatch(message);
    if (!/swings|carry|masked throughout|double precision/.test(result.err)) expect(result.err).toContain(file);
    expect(result.err.split('\n').length).toBe(1);
    expect(result.code).toBe(1);
    expect(result.written).toEqual([]);
  });
  it('a job file that is a folder, or not there', async () => {
    expect(await run(['assess', join(folder, 'a-folder')])).toMatchObject({ code: 1, err: expect.stringContaining('found a folder') });
    expect(await run(['assess', join(folder, 'nothing.json')])).toMatchObject({ code: 1, err: expect.stringContaining('found no such file') });
  });
  it('a fault in the last of several jobs leaves nothing written for the first', async () => {
    writeFileSync(join(folder, 'first.job.json'), JSON.stringify(good));
    writeFileSync(join(folder, 'last.job.json'), changed((j) => { delete j.notch; }));
    const result = await run(['assess', join(folder, 'first.job.json'), join(folder, 'last.job.json'), '--out', join(folder, 'both')]);
    expect(result).toMatchObject({ code: 1, err: expect.stringContaining('last.job.json: notch must be given') });
    expect(existsSync(join(folder, 'both'))).toBe(false);
  });
  it('a report is not replaced where somebody put a file of his own beside it', async () => {
    const args = ['assess', join(folder, 'first.job.json'), '--out', join(folder, 'again')];
    expect((await run(args)).code).toBe(0);
    expect((await run(args)).code).toBe(0);
    writeFileSync(join(folder, 'again', 'first', 'thesis.txt'), 'mine');
    expect(await run(args)).toMatchObject({ code: 1, err: expect.stringContaining('holds thesis.txt') });
    expect(existsSync(join(folder, 'again', 'first', 'thesis.txt'))).toBe(true);
    expect(readdirSync(join(folder, 'again'))).toEqual(['first']);
  });
  it('an out folder that is a file', async () => {
    expect(await run(['assess', join(folder, 'first.job.json'), '--out', join(folder, 'good.csv')])).toMatchObject({ code: 1, err: expect.stringContaining('ENOTDIR') });
  });
  it('a report folder that holds something else is left alone', async () => {
    const name = `job-${++serial}`;
    writeFileSync(join(folder, `${name}.job.json`), JSON.stringify(good));
    mkdirSync(join(folder, 'mine', name), { recursive: true });
    writeFileSync(join(folder, 'mine', name, 'thesis.txt'), 'mine');
    const result = await run(['assess', join(folder, `${name}.job.json`), '--out', join(folder, 'mine')]);
    expect(result).toMatchObject({ code: 1, err: expect.stringContaining('holds thesis.txt') });
    expect(readdirSync(join(folder, 'mine'))).toEqual([name]);
    expect(readdirSync(join(folder, 'mine', name))).toEqual(['thesis.txt']);
  });
});

describe('bad usage ends with exit code 2', () => {
  it.each([[[], 'no command'], [['asess'], 'no command "asess"'], [['assess'], 'needs a job file'], [['assess', '--in', 'x'], "Unknown option '--in'"], [['inspect'], 'needs one file'], [['assess', 'a/run.job.json', 'b/run.job.json'], 'would both be reported in'], [['assess', '...json'], 'no name before .json']])('%j', async (args, message) => {
    const result = await run(args);
    expect(result.code).toBe(2);
    expect(result.err).toContain(message);
  });
});

describe('commands that need no job', () => {
  it('print the schema, the version and the help', async () => {
    expect(JSON.parse((await run(['schema'])).out).title).toBe('Quillshaft job');
    expect((await run(['--version'])).out).toMatch(/^\d+\.\d+\.\d+$/);
    expect((await run(['--help'])).out).toContain('Exit codes');
  });
  it('say what would be read', async () => {
    const result = await run(['inspect', join(folder, 'good.csv')]);
    expect(result.code).toBe(0);
    expect(result.out).toContain('bridge');
    expect(result.out).toContain('mV/V');
  });
});
