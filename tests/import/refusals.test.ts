import { mkdirSync, writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { createRandom, describeFile, readRecording, streamChannel, writeRecording, makeRecording, makeChannel, type ReadOptions } from '../../src/index.js';
import { temporaryFolder } from './folder.js';

const { at, write } = temporaryFolder();
const rows = (n: number): string => Array.from({ length: n }, (_, i) => `${i / 100},${i}`).join('\n');
const noise = (n: number): Uint8Array => {
  const random = createRandom(1);
  return Uint8Array.from({ length: n }, () => random.below(256));
};

/** What is wrong, the file, and the sentence. */
const table: readonly (readonly [title: string, content: string | Uint8Array, message: string, options?: ReadOptions])[] = [
  ['an empty file', '', 'expected a recording, found an empty file.'],
  ['empty lines only', '\n\n  \n', 'expected rows of numbers, found only empty lines.'],
  ['a header only', 'time (s),torque (N·m)\n', 'found one line only ("time (s),torque (N·m)")'],
  ['prose', 'Dear all,\nplease find the torque attached.\nRegards\n', 'expected a table of numbers below at most one header, found no row of numbers.'],
  ['binary rubbish', noise(5000), 'found binary data of a kind that is not known'],
  ['UTF-16', Buffer.from('\ufefftime,torque\n0,1\n', 'utf16le'), 'expected UTF-8 text, found UTF-16 text. Save it again as UTF-8.'],
  ['a column of text', 'time (s),state\n0,on\n0.01,off\n', 'found text in the column state'],
  ['text only', 'state\non\noff\n', 'found no row of numbers'],
  ['text in a column of numbers', `time (s),torque (N·m)\n${rows(300)}\n3.00,over\n3.01,1\n`, 'line 302, column 2: expected a number with the decimal mark ".", found the text "over" in column torque. Write an empty field where a value is missing'],
  ['a row with too few fields', `time (s),torque (N·m)\n${rows(50)}\n0.5\n0.51,1\n`, 'line 52: expected 2 fields as in line 2, found 1 field ("0.5"). Cut the line out or complete it.'],
  ['a row with too many fields', `time (s),torque (N·m)\n${rows(50)}\n0.5,1,7\n`, 'line 52: expected 2 fields as in line 2, found 3 fields ("0.5,1,7").'],
  ['a file that was cut within a row', `time (s),torque (N·m),speed (rpm)\n0,1,2\n0.01,1,2\n0.02,1`, 'line 4: expected 3 fields as in line 2, found 2 fields'],
  ['another decimal mark halfway', 'time (s);torque (N·m)\n0,00;1,5\n0,01;2,5\n0,02;3.5\n', 'line 4, column 2: expected a number with the decimal mark ",", found the text "3.5"'],
  ['a comma that may be either mark', 'time (s);torque (N·m)\n0;1,234\n1;2,345\n', "State decimal: ',' if the comma marks decimals, or decimal: '.' if it parts thousands."],
  ['twice as many fields as headers', 'time (s),torque (N·m)\n0,00,1,5\n0,01,2,5\n', 'commas that may part fields or mark decimals (4 fields under 2 headers)'],
  ['whole numbers between commas without a header', '1,5\n2,5\n3,7\n', "State delimiter: ',' if they part fields"],
  ['fewer headers than fields', 'time (s);torque (N·m)\n0;1;2\n1;2;3\n', 'line 2: expected as many fields as headers, found 3 fields under a header of 2.'],
  ['two columns of time', 'Date,Time,torque (N·m)\n1,0,5\n1,0.1,6\n', "found 2 columns that may hold time (Date, Time). State timeColumn: 'Date', for one."],
  ['no column of time', 'torque (N·m);speed (rpm)\n1;2\n2;3\n', 'found no column of time among torque, speed. Give sampleRate (Hz) if the rows are evenly spaced'],
  ['time alone', 'time (s)\n0.00\n0.01\n', 'expected at least one measured quantity, found time only.'],
  ['one row', 'time (s),torque (N·m)\n0,1\n', 'expected at least two time stamps, found 1 row. Give sampleRate if the file states none.'],
  ['an empty line within a single column', 'torque (N·m)\n1.5\n\n2.5\n', 'line 3: expected a number in every line, found an empty line within a single column.', { sampleRate: 10 }],
  ['a time column that is not there', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "timeColumn must be one of 'time', 'torque', got 'tme'. Did you mean 'time'?", { timeColumn: 'tme' }],
  ['a channel that is not there', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "columns must be one of 'time', 'torque', got 'speed'.", { columns: ['speed'] }],
  ['time asked for as a channel', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "columns must be made of measured quantities, got the time column 'time'.", { columns: ['time'] }],
  ['a unit for a column that is not there', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "units must be by the names 'torque', got 'speed'.", { units: { speed: 'rpm' } }],
  ['a unit that is none', 'time (s),torque (N·m)\n0,1\n0.1,2\n', 'units.torque must be one of ', { units: { torque: 'Nm' as never } }],
  ['an unknown option', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "the unknown key 'samplerate'. Did you mean 'sampleRate'?", { samplerate: 1 } as never],
  ['a rate of zero', 'time (s),torque (N·m)\n0,1\n0.1,2\n', 'sampleRate must be a finite number above 0 Hz, got 0 Hz.', { sampleRate: 0 }],
  ['a block without a rule', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "block must be given together with splitWhere, got 1. For example splitWhere: 'time falls back'.", { block: 1 }],
  ['a rule that is none', 'time (s),torque (N·m)\n0,1\n0.1,2\n', "splitWhere must be 'time falls back', { columnChanges: name } or { gapLongerThan: seconds }", { splitWhere: 'often' as never }],
  ['both a rate and interpolation', 'time (s),torque (N·m)\n0,1\n0.1,2\n', 'resampleTo must be left out where sampleRate is given', { sampleRate: 1, resampleTo: { sampleRate: 2 } }],
  ['JSON without arrays', '{"a": 1}', 'It holds no array of numbers.'],
  ['JSON that was cut', '{"a": [1, 2', 'found JSON that is not complete'],
  ['a pointer that leads nowhere', '{"a": [1, 2, 3], "t": [0, 1, 2]}', 'found nothing at /b. Name them', { pointers: { b: '/b' } }],
  ['arrays of different lengths', '{"a": [1, 2, 3], "t": [0, 1]}', 'expected 2 as for time, found 3 numbers for a.', { pointers: { time: '/t', a: '/a' } }],
  ['a damaged description', '# quillshaft recording {"quillshaft":1,"channels":[{}]}\ntime (s),a (V)\n0,1\n', 'found a damaged description of the recording'],
  ['a description of a later kind', '# quillshaft recording {"quillshaft":2,"channels":[{}]}\ntime (s),a (V)\n0,1\n', 'expected kind 1, found a recording of kind 2.'],
  ['something that begins like Parquet', 'PAR1 and no more than that', 'expected a complete Parquet file'],
  ['packed data that was cut', gzipSync(`time (s),torque (N·m)\n${rows(5000)}\n`).subarray(0, 3000), 'expected a complete gzip file, found damaged gzip data'],
  ['a very long line', `time (s),torque (N·m)\n${rows(5)}\n${'7'.repeat(17 << 16)}`, 'found a line of more than 1048576 bytes'],
];

describe('a bad recording gives one clear sentence:', () => {
  it.each(table.map(([title, content, message, options]) => ({ title, content, message, options })))('$title', async ({ title, content, message, options }) => {
    const file = write(`${title.replaceAll(' ', '-')}.csv`, content);
    await expect(readRecording(file, options)).rejects.toThrow(message);
    await expect(readRecording(file, options)).rejects.toMatchObject({ name: expect.stringMatching(/^(InputError|FormatError)$/) });
    const error = await readRecording(file, options).catch((e: Error) => e.message);
    expect(String(error)).not.toMatch(/\n|undefined|NaN s|\[object/);
    expect(String(error).length).toBeLessThan(700);
  });
  it('a file that is not there, a directory, no path at all', async () => {
    await expect(readRecording(at('none.csv'))).rejects.toThrow('which is not there.');
    mkdirSync(at('folder'));
    for (const verb of [readRecording, describeFile]) await expect(verb(at('folder'))).rejects.toThrow('file must be a file, got the directory "folder". Name one file in it.');
    await expect(readRecording(undefined as never)).rejects.toThrow('file must be the path of a file, got undefined.');
  });
  it('a damaged packed file, though enough of it could be read', async () => {
    const packed = gzipSync(`time (s),torque (N·m)\n${rows(20000)}\n`);
    const bad = Uint8Array.from(packed);
    bad[packed.length >> 1]! ^= 0x40;
    await expect(readRecording(write('flipped.csv.gz', bad))).rejects.toMatchObject({ name: 'FormatError' });
    await expect(readRecording(write('short.csv.gz', packed.subarray(0, packed.length - 6)))).rejects.toThrow('damaged gzip data');
  });
  it('a stream of a channel that is not named, or of one block of many', async () => {
    const file = write('ok.csv', `time (s),torque (N·m)\n${rows(20)}\n`);
    await expect(streamChannel(file, {} as never)).rejects.toThrow('channel must be the name of a channel');
    await expect(streamChannel(file, { channel: 'torque', splitWhere: 'time falls back' } as never)).rejects.toThrow('splitWhere must be left out, got a value. Read the file with readRecording for that.');
    await expect(streamChannel(file, { channel: 'torque', blockLength: 0 })).rejects.toThrow('blockLength must be a whole number at least 1');
  });
  it('names with characters that have a meaning in patterns or in SQL are only names', async () => {
    const run = makeRecording("it's", [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 2] })]);
    for (const name of ["a'b[1]*.parquet", 'a?b.parquet', 'plain.csv']) {
      await writeRecording(run, at(name));
      expect((await readRecording(at(name))).channels[0]!.values).toEqual(Float64Array.of(1, 2));
    }
    writeFileSync(at('a1b.parquet'), 'PAR1');
    expect((await readRecording(at('a?b.parquet'))).name).toBe("it's");
  });
});
