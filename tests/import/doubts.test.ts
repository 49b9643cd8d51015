import { deflateSync, gzipSync } from 'node:zlib';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { describeFile, readRecording, type ReadOptions } from '../../src/index.js';
import { writeWhole } from '../../src/import/atomic.js';
import { allocated } from './allocated.js';
import { temporaryFolder } from './folder.js';

const golden = fileURLToPath(new URL('../golden/import/', import.meta.url));
const { at, write } = temporaryFolder();
const rows = (line: (i: number) => string, n = 12): string => Array.from({ length: n }, (_, i) => `${line(i)}\n`).join('');
const s = (i: number): string => (i / 100).toFixed(2);
const two = (i: number): string => String(i).padStart(2, '0');

describe('a table that can be read in two ways, or only with a guess, is refused with the way out:', () => {
  it.each<[title: string, content: string | Uint8Array, message: string, options?: ReadOptions]>([
    ['decimal commas between commas', `time (s),torque (Nm)\n${rows((i) => `0,${two(i)},1,${i}`)}`, 'commas that may part fields or mark decimals (4 fields under 2 headers)'],
    ['points that may part thousands between semicolons', `time (s);torque (Nm)\n${rows((i) => `${i};1.${200 + i}`)}`, "State decimal: '.' if the point marks decimals, or decimal: ',' if it parts thousands."],
    ['thousands parted by commas between semicolons', `time (s);torque (Nm)\n${rows((i) => `${s(i)};1,${200 + i}.5`)}`, "delimiter: ';' with decimal: '.' if they part thousands"],
    ['thousands in quotes', `time (s),torque (Nm)\n${rows((i) => `${s(i)},"1,${200 + i}"`)}`, 'found text in the column torque'],
    ['thousands that come late', `time (s),torque (Nm)\n${rows((i) => `${s(i)},${i}`, 2500)}25.0,"1,150.5"\n`, 'line 2502, column 2: expected a number with the decimal mark ".", found the text "1,150.5"'],
    ['UTF-16 of the other byte order', Buffer.from('\ufefftime (s),torque (Nm)\n0,1\n', 'utf16le').swap16(), 'found UTF-16 text. Save it again as UTF-8.'],
    ['line breaks within quoted headers', `"time\n(s)","torque\n(Nm)"\n${rows((i) => `${s(i)},${i}`)}`, 'commas that may part fields or mark decimals'],
    ['a delimiter too many in some rows', `time (s),torque (Nm)\n${rows((i) => `${s(i)},${i}${i % 2 ? ',' : ''}`)}`, 'line 3: expected 2 fields as in line 2, found 3 fields'],
    ['a comment among the rows', `time (s),torque (Nm)\n${rows((i) => `${s(i)},${i}${i === 5 ? '\n# marker' : ''}`)}`, 'line 8: expected 2 fields as in line 2, found 1 field ("# marker")'],
    ['a footer', `time (s),torque (Nm)\n${rows((i) => `${s(i)},${i}`)}End of record\n`, 'line 14: expected 2 fields'],
    ['days and months in an order that is not stated', `Datum;torque (Nm)\n${rows((i) => `01.03.2026 08:00:${two(i)};${i},5`)}`, 'line 2, column 1: expected ISO 8601 date-times, such as 2026-03-01T08:00:00.250Z, in one column, found dates or times such as "01.03.2026 08:00:00" in column Datum.'],
    ['dates with strokes', `date,torque (Nm)\n${rows((i) => `03/01/2026 08:00:${two(i)} PM,${i}.5`)}`, 'found dates or times such as "03/01/2026 08:00:00 PM" in column date.'],
    ['a time of day without a date', `time,torque (Nm)\n${rows((i) => `08:00:${two(i)}.000,${i}.5`)}`, 'found dates or times such as "08:00:00.000" in column time.'],
    ['a day that its month does not have', `time,torque (Nm)\n${rows((i) => `2026-02-${i < 5 ? 28 : 30} 08:00:${two(i)},${i}`)}`, 'line 7, column 1: expected an ISO 8601 date-time, found the text "2026-02-30 08:00:05"'],
    ['an hour that a day does not have', `time,torque (Nm)\n${rows((i) => `2026-02-28 ${i < 5 ? 23 : 24}:00:${two(i)},${i}`)}`, 'found the text "2026-02-28 24:00:05"'],
    ['no stamp in the first row of date-times', `time,torque (Nm)\n,0\n${rows((i) => `2026-02-28 08:00:${two(i)},${i}`)}`, 'line 2, column 1: expected an ISO 8601 date-time, found no date-time in the first row.'],
    ['the end of daylight saving in local time', `time,torque (Nm)\n${rows((i) => `2026-10-25 02:${two((50 + i * 2) % 60)}:00,${i}.5`, 10)}`, 'An hour back is what the end of daylight saving does to local time: write the times in UTC.'],
    ['a time of day that passes midnight', `time (s),torque (Nm)\n${rows((i) => `${((86399.95 + i / 100) % 86400).toFixed(2)},${i}`)}`, 'A day back is what midnight does to a time of day'],
    ['days as spreadsheets count them', `time,torque (Nm)\n${rows((i) => `${(46082 + i / 86400).toFixed(9)},${i}`)}`, "State timeUnit: 's' if they are seconds; write days as ISO 8601 date-times"],
    ['units in the fields', `time (s),torque\n${rows((i) => `${s(i)},${i} Nm`)}`, 'found text in the column torque'],
    ['a minus sign that is no hyphen', `time (s),torque (Nm)\n${rows((i) => `${s(i)},\u2212${i}`)}`, 'found text in the column torque'],
    ['more columns than a recording has', rows(() => '0,'.repeat(4999) + '0', 3), 'expected at most 4096, found 5000 columns.'],
    ['names above units of which one alone is known', `Drehzahl;Drehmoment\nrpm;kpm\n${rows((i) => `${1480 + i},5;${i},5`)}`, 'line 2: expected one, or names above units that are known, found two lines that may be the header ("Drehzahl;Drehmoment" and "rpm;kpm"). Write each unit behind its name in one line', { sampleRate: 100 }],
    ['a thousand-fold interpolation', `time (s),torque (Nm)\n0,1\n1e9,2\n`, 'a thousand samples for each of 2 rows, got 1000 Hz.', { resampleTo: { sampleRate: 1000 } }],
  ])('%s', async (title, content, message, options) => {
    await expect(readRecording(write(`${title.replaceAll(' ', '-')}.csv`, content), options)).rejects.toThrow(message);
  });
  it.each<[title: string, content: string, samples: number, options?: ReadOptions]>([
    ['line ends of three kinds', `time (s),torque (Nm)\r\n${rows((i) => `${s(i)},${i}`).replace(/\n/g, () => '\r\n')}`.replace('\r\n0.03', '\n0.03').replace('\r\n0.05', '\r0.05'), 12],
    ['numbers above the header', `Serial;1234\nRate;100\ntime (s);torque (Nm)\n${rows((i) => `${s(i)};${i}`)}`, 12],
    ['numbers above the header, parted by a blank line', `Station,7\nGain,2.5\n\ntime (s),torque (Nm)\n${rows((i) => `${s(i)},${i}`)}`, 12],
    ['blank lines', `time (s),torque (Nm)\n\n${rows((i) => `${s(i)},${i}\n`)}`, 12],
    ['a delimiter at the end of the header alone', `time (s),torque (Nm),\n${rows((i) => `${s(i)},${i}`)}`, 12],
    ['a delimiter at the end of the rows alone', `time (s),torque (Nm)\n${rows((i) => `${s(i)},${i},`)}`, 12],
    ['points between semicolons, as stated', `time (s);torque (Nm)\n${rows((i) => `${i};${i + 1}.${200 + i}`, 9).replace(/\.2\d\d/g, '')}`, 9],
  ])('but not %s', async (title, content, samples, options) => {
    const run = await readRecording(write(`${title.replaceAll(' ', '-')}.csv`, content), options);
    expect(run.channels.map((c) => [c.name, c.unit, c.values.length])).toEqual([['torque', 'N·m', samples]]);
    expect(run.channels[0]!.values[1]! - run.channels[0]!.values[0]!).toBe(1);
  });
  it.each([['s;kpm', '"kpm"'], ['[s];[kpm]', '"kpm"'], ['ms;furlong', '"furlong"']])('a unit that is not known, in a row of units below the names: %s, is said and is no header', async (units, named) => {
    const file = write('units.csv', `Zeit;Drehmoment\n${units}\n${rows((i) => `${i};${i},5`)}`);
    const described = await describeFile(file);
    expect(described.columns.map((c) => [c.name, c.unit, c.use])).toEqual([['Zeit', units.replace(/\W/g, ' ').trim().split(' ')[0], 'time'], ['Drehmoment', '?', 'channel']]);
    expect(described.layout).toMatchObject({ headerLine: 1, unitsLine: 2, firstDataLine: 3 });
    expect(described.notes).toEqual([`Drehmoment: the unit ${named} is not one that is known; state it with units`]);
    const run = await readRecording(file, { units: { Drehmoment: 'N·m' } });
    expect([run.channels[0]!.unit, run.channels[0]!.sampleRate, run.channels[0]!.trail[0]!.found]).toMatchObject(['N·m', units.startsWith('m') ? 1000 : 1, { notes: described.notes }]);
  });
  it('says that two lines of words stand above the numbers, and takes the one with a name of time as the header whatever stands above', async () => {
    const two = await describeFile(write('words.csv', `Zeit;Drehmoment\nx;kpm\n${rows((i) => `${i};${i},5`)}`), { sampleRate: 100 });
    expect(two.columns.map((c) => c.name)).toEqual(['x', 'kpm']);
    expect(two.notes).toContain('line 1 has as many fields as the header in line 2: if the header is units, write each behind its name in one line');
    const header = await describeFile(write('station.csv', `Station;Tarn Weir\ntime;V\n${rows((i) => `${i / 100};${i}`)}`));
    expect([header.columns.map((c) => c.name), header.notes]).toEqual([['time', 'V'], []]);
  });
  it('says that a header occurs twice, and an hour that is missing', async () => {
    expect((await describeFile(write('twice.csv', `time (s),torque (Nm),torque (Nm)\n${rows((i) => `${s(i)},${i},${i}`)}`))).notes).toContain('the header "torque (Nm)" occurs more than once: the later columns are numbered');
    const spring = write('spring.csv', `time,torque (Nm)\n${rows((i) => `2026-03-29 ${i < 6 ? '01' : '03'}:${two((54 + i) % 60)}:00,${i}.5`)}`);
    expect((await readRecording(spring)).channels[0]!.trail[0]!.found).toMatchObject({ gaps: 1, note: expect.stringContaining('daylight saving') });
  });
});

describe('an unknown variant is refused by name', () => {
  const changed = (name: string, file: string, change: (bytes: Buffer) => void): string => {
    const bytes = readFileSync(golden + name);
    change(bytes);
    return write(file, bytes);
  };
  it.each<[title: string, make: () => string, message: string]>([
    ['WAV, ADPCM', () => changed('pcm16.wav', 'ima.wav', (b) => b.writeUInt16LE(17, 20)), 'samples of format 17 with 16 bits'],
    ['WAV of the other byte order', () => changed('pcm16.wav', 'rifx.wav', (b) => b.write('RIFX')), 'found a WAV file of big-endian numbers (RIFX). Export it as WAV with little-endian numbers (RIFF).'],
    ['MAT of level 4, by SciPy', () => golden + 'level4.mat', 'level4.mat: expected a recording in a format that is read, found a MAT file of level 4. Save it as level 5 (-v6 or -v7).'],
    ['MAT of level 4, of the other byte order', () => write('big4.mat', Buffer.concat([Buffer.from(Uint32Array.of(1000, 2, 1, 0, 2).buffer).swap32(), Buffer.from('x\0'), Buffer.alloc(16)])), 'found a MAT file of level 4'],
    ['a spreadsheet workbook', () => golden + 'sheet.xlsx', 'found a spreadsheet workbook (XLSX, a ZIP container). Save the sheet as CSV.'],
    ['a ZIP container', () => golden + 'run.zip', 'found a ZIP container. Unpack it, and read the file inside.'],
    ['a ZIP container packed with gzip', () => write('zip.gz', gzipSync(readFileSync(`${golden}run.zip`))), 'found a ZIP container, packed with gzip.'],
    ['a TAR archive packed with gzip', () => golden + 'run.tar.gz', 'found a TAR archive, packed with gzip. Unpack it'],
    ['a file packed with xz', () => golden + 'run.csv.xz', 'found a file packed with bzip2, xz, zstd or 7z. Unpack it'],
    ['an old spreadsheet', () => write('old.xls', Buffer.concat([Buffer.from('d0cf11e0a1b11ae1', 'hex'), Buffer.alloc(600)])), 'found a compound document, as older spreadsheets are. Save the sheet as CSV.'],
    ['binary data of no known kind, packed with gzip', () => write('odd.gz', gzipSync(Uint8Array.from({ length: 500 }, (_, i) => (i * 37) % 256))), 'found binary data of a kind that is not known, packed with gzip.'],
    ['WAV packed with gzip', () => write('a.wav.gz', gzipSync(readFileSync(`${golden}pcm16.wav`))), 'found WAV packed with gzip. Unpack it first, with gunzip.'],
    ['MAT packed with gzip', () => write('a.mat.gz', gzipSync(readFileSync(`${golden}plain.mat`))), 'found MAT 5 packed with gzip'],
    ['MDF 3', () => changed('mdf-sorted.mf4', 'three.mf4', (b) => b.writeUInt16LE(330, 28)), 'found MDF version 330'],
    ['MDF with data values instead of records', () => changed('mdf-sorted.mf4', 'dv.mf4', (b) => b.write('##DV', b.indexOf('##DT'))), 'found records in the block "##DV" at byte'],
    ['MDF packed in another way', () => changed('mdf-packed.mf4', 'dz.mf4', (b) => b.writeUInt8(2, b.indexOf('##DZ') + 26)), 'found packing of kind 2 (##DZ at byte'],
    ['MDF with one block of data in two groups', () => changed('mdf-two.mf4', 'shared.mf4', (b) => {
      const first = b.indexOf('##DG');
      const second = b.indexOf('##DG', first + 4);
      b.copy(b, first + 24 + 16, second + 24 + 16, second + 24 + 24);
    }), 'found a second link to the block at byte'],
    ['universal file, dataset 55', () => write('55.uff', '    -1\n    55\nx\ny\n    -1\n'), 'found dataset 55 in line 2 left out'],
    ['universal file, another coding of numbers', () => write('vax.uff', readFileSync(`${golden}binary.uff`, 'latin1').replace('b     1     2', 'b     1     1')), 'line 2: expected byte order 1 or 2, coding 2 (IEEE 754)'],
  ])('%s', async (_, make, message) => {
    const file = make();
    await expect(readRecording(file)).rejects.toThrow(message);
  });
});

describe('packed data that unpacks to more than a recording', () => {
  it.each<[title: string, name: string, content: () => Uint8Array, message: string, options?: ReadOptions]>([
    ['one line of 40 MB', 'line.csv.gz', () => gzipSync(`time (s),torque (Nm)\n0,1\n1,2\n${'7'.repeat(40e6)}`), 'found a line of more than 1048576 bytes'],
    ['JSON of 30 MB', 'deep.json.gz', () => gzipSync(`[0${',0'.repeat(15e6)}]`), 'damaged gzip data', { pointers: { torque: '' } }],
    ['a MAT matrix of text', 'text.mat', () => {
      const head = Buffer.alloc(128, 0x20);
      head.write('MATLAB 5.0 MAT-file');
      head.writeUInt16LE(0x100, 124);
      head.write('IM', 126);
      const inside = Buffer.alloc(20e6);
      [14, 20e6 - 8, 6, 8, 4, 0, 5, 8, 1, 1e7].forEach((v, i) => inside.writeUInt32LE(v, 4 * i));
      const packed = deflateSync(inside);
      const tag = Buffer.alloc(8);
      tag.writeUInt32LE(15, 0);
      tag.writeUInt32LE(packed.length, 4);
      return Buffer.concat([head, tag, packed]);
    }, 'found no array of numbers (: text left out)'],
  ])('is refused without holding it: %s', async (_, name, content, message, options) => {
    const file = write(name, content());
    const { outcome, bytes } = await allocated(() => readRecording(file, options));
    expect(() => { if ('error' in outcome) throw outcome.error; }).toThrow(message);
    expect(bytes).toBeLessThan(30e6);
  });
});

describe('a file is written as a whole or not at all', () => {
  it('when writing fails half-way, what was there stays and nothing is left beside it', async () => {
    mkdirSync(at('out'));
    writeFileSync(at('out/run.csv'), 'as before');
    const full = async (temporary: string): Promise<void> => {
      writeFileSync(temporary, 'half of ');
      throw Object.assign(new Error('ENOSPC: no space left on device, write'), { code: 'ENOSPC' });
    };
    await expect(writeWhole('writeRecording', at('out/run.csv'), true, full)).rejects.toThrow('"run.csv", which could not be written (ENOSPC: no space left on device, write). Nothing was left behind: make room');
    await expect(writeWhole('writeRecording', at('out/new.csv'), false, full)).rejects.toThrow('ENOSPC');
    expect(readdirSync(at('out'))).toEqual(['run.csv']);
    expect(readFileSync(at('out/run.csv'), 'utf8')).toBe('as before');
  });
});
