import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { assess } from '../../src/report/assess.js';
import { checkJob } from '../../src/report/readJob.js';
import { checkPlace } from '../../src/report/makeFolder.js';
import { writeFolder } from '../../src/report/writeFolder.js';

const file = fileURLToPath(new URL('../../sample-runs/run-d.job.json', import.meta.url));
const raw = JSON.parse(readFileSync(file, 'utf8'));
type Raw = typeof raw;

describe('what a step refuses is said by the file and the key of the job that asked for it', () => {
  it.each([
    ['a recording that is not there', (j: Raw) => { j.recording = { file: 'nowhere.csv', torque: 'torque' }; }, 'd.job.json: recording.file must be a file that can be read'],
    ['a channel that is not there', (j: Raw) => { j.recording.torque = 'torqe'; }, "d.job.json: recording.torque must be one of 'torque', got \"torqe\". Did you mean 'torque'?"],
    ['a unit that is no torque', (j: Raw) => { j.recording.torqueUnit = 'rpm'; }, 'd.job.json: recording.torque must be a channel of torque'],
    ['a cutoff beyond half the sample rate', (j: Raw) => { j.filter = { cutoff: '900 Hz' }; }, 'd.job.json: filter.cutoff must be below half the sample rate (100 Hz), got 900 Hz'],
    ['a rest window outside the record', (j: Raw) => { j.zero = { rest: [{ from: '1 s', to: '900 s' }], model: 'constant' }; }, 'd.job.json: zero.rest[0].to must be a finite number at least 0 s and at most 720'],
    ['a mask outside the record', (j: Raw) => { j.faults = { mask: [{ from: '1 s', to: '900 s', because: 'x' }] }; }, 'd.job.json: faults.mask[0].to must be a finite number'],
    ['a curve without what it needs', (j: Raw) => { j.otherCurves = [{ use: 'own', name: 'x' }]; }, 'd.job.json: otherCurves[0].measure must be given for "own", got nothing'],
    ['a category below zero', (j: Raw) => { j.otherCurves = [{ use: 'EN 1993-1-9 shear', category: '-80 MPa' }]; }, 'd.job.json: otherCurves[0].category must be a finite number above 0 MPa'],
    ['another curve that leaves to the stress the notch that the first one holds', (j: Raw) => {
      j.notch = { factor: 1, source: 'detail' };
      j.meanStress = { rule: 'none' };
      j.otherCurves = [{ ...j.curve }];
      j.curve = { use: 'EN 1993-1-9 shear', category: '80 MPa' };
    }, 'd.job.json: otherCurves[0].notchFactor must be given, because the curve 42CrMo4 shaft steel in torsion, notched holds no notch and the one assessed does, got nothing. State factor and source'],
    ['another curve whose own notch factor would count twice', (j: Raw) => { j.otherCurves = [{ use: 'EN 1993-1-9 shear', category: '80 MPa', notchFactor: { factor: 1.6, source: 'x' } }]; }, 'd.job.json: otherCurves[0].notchFactor.factor must be 1, because the curve EN 1993-1-9 shear 80 holds its notch already, got 1.6'],
    ['a raiser on top of another curve that holds no notch', (j: Raw) => { j.otherCurves = [{ ...j.curve, notchFactor: { factor: 1.6, source: 'x', basis: 'on top of the curve' } }]; }, 'd.job.json: otherCurves[0].notchFactor.basis must be "fatigue" or "theoretical"'],
  ])('%s', async (_, change, message) => {
    const job = structuredClone(raw);
    change(job);
    await expect(assess(checkJob(job, 'd.job.json', dirname(file)))).rejects.toThrow(message);
  });
});

describe('a folder that cannot be written', () => {
  const folder = mkdtempSync(join(tmpdir(), 'quillshaft-refusals-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const files = new Map([['page.html', 'x'], ['figures/a.svg', 'y']]);

  it('is refused below a file, and nothing is left', async () => {
    writeFileSync(join(folder, 'file'), '');
    await expect(writeFolder(join(folder, 'file', 'out', 'a'), files, 'page.html')).rejects.toThrow('folder must be a place that can be written');
    expect(readdirSync(folder)).toEqual(['file']);
  });
  it.skipIf(!existsSync('/proc/self'))('is refused on a file system that lets nobody write (skipped where there is none)', async () => {
    await expect(writeFolder('/proc/nowhere/a', files, 'page.html')).rejects.toThrow('folder must be a place that can be written');
  });
  it.skipIf(!existsSync('/proc/self'))('is refused before anything is computed for it (skipped where there is no such file system)', () => {
    expect(() => checkPlace('assess', '/proc/nowhere/a')).toThrow(/^assess: folder must be a place that can be written, got \/proc\/nowhere\/a \(ENOENT\)/);
  });
  it('is tried without a trace where it can be written, and refused where a file is in the way', () => {
    checkPlace('assess', join(folder, 'new', 'and', 'deep'));
    expect(readdirSync(folder)).toEqual(['file']);
    expect(() => checkPlace('assess', join(folder, 'file', 'a'))).toThrow('(ENOTDIR)');
  });
  it('is made with those above it where they are missing', async () => {
    await writeFolder(join(folder, 'deep', 'er', 'a'), files, 'page.html');
    expect(readFileSync(join(folder, 'deep', 'er', 'a', 'figures', 'a.svg'), 'utf8')).toBe('y');
    expect(readdirSync(join(folder, 'deep', 'er'))).toEqual(['a']);
  });
});
