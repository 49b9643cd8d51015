import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { describeFile, readRecording, type ReadOptions } from '../../src/index.js';
import { temporaryFolder } from './folder.js';

const { write } = temporaryFolder();

/** Torque 1.5, −2.25, missing, 1000.125 and speed 10, 20, 30, 40 at 100 Hz, in many spellings. */
interface Case { readonly title: string; readonly name: string; readonly content: string | Uint8Array; readonly options?: ReadOptions; readonly start?: string }
const cases: readonly Case[] = [
  { title: 'commas and units in round brackets', name: 'a.csv', content: 'Time (s),Torque (N.m),Speed (rpm)\n0.00,1.5,10\n0.01,-2.25,20\n0.02,,30\n0.03,1000.125,40\n' },
  { title: 'semicolons, decimal commas, a units row and CRLF', name: 'b.csv', content: 'Time;Torque;Speed\r\n[s];[Nm];[1/min]\r\n0,00;1,5;10\r\n0,01;-2,25;20\r\n0,02;NaN;30\r\n0,03;1000,125;40\r\n' },
  { title: 'tabs, a byte-order mark and square brackets', name: 'c.tsv', content: '\ufeffTime [ms]\tTorque [Nm]\tSpeed [rpm]\n0\t1.5\t10\n10\t-2.25\t20\n20\tnan\t30\n30\t1000.125\t40\n' },
  { title: 'preamble lines and a trailing delimiter', name: 'd.csv', content: 'Tarn Weir pumping station, pump 2\nOperator: nobody, Date: today\n\nTime (s),Torque (Nm),Speed (rpm),\n0.00,1.5,10,\n0.01,-2.25,20,\n0.02,NaN,30,\n0.03,1000.125,40,\n' },
  { title: 'quoted headers and quoted numbers', name: 'e.csv', content: '"Time (s)","Torque (Nm)","Speed (rpm)"\n"0.00","1.5","10"\n"0.01","-2.25","20"\n"0.02","","30"\n"0.03","1000.125","40"\n' },
  { title: 'quoted decimal commas between commas', name: 'f.csv', content: '"Time (s)","Torque (Nm)","Speed (rpm)"\n"0,00","1,5","10"\n"0,01","-2,25","20"\n"0,02","","30"\n"0,03","1000,125","40"\n' },
  { title: 'pipes and signs and exponents', name: 'g.txt', content: 'time_s|torque_Nm|speed_rpm\n0.00|+1.5|1e1\n0.01|-2.25E0|2.0e+1\n0.02|n/a|30\n0.03|1.000125e3|40\n' },
  { title: 'columns aligned with blanks under a comment header', name: 'h.txt', content: '# time_s   torque_Nm  speed_rpm\n   0.00      1.5      10\n   0.01     -2.25     20\n   0.02      NaN      30\n   0.03   1000.125    40\n' },
  { title: 'ISO date-times in UTC', name: 'i.csv', start: '2026-03-01T08:00:00.000Z', content: 'Timestamp,Torque / Nm,Speed / rpm\n2026-03-01T08:00:00.000Z,1.5,10\n2026-03-01T08:00:00.010Z,-2.25,20\n2026-03-01T08:00:00.020Z,#N/A,30\n2026-03-01T08:00:00.030Z,1000.125,40\n' },
  { title: 'date-times of a stated zone with decimal commas', name: 'j.csv', start: '2026-03-01T07:00:00.000Z', options: { timeZone: '+01:00' }, content: 'Zeit;Torque [Nm];Speed [U/min]\n2026-03-01 08:00:00,000;1,5;10\n2026-03-01 08:00:00,010;-2,25;20\n2026-03-01 08:00:00,020;;30\n2026-03-01 08:00:00,030;1000,125;40\n' },
  { title: 'no time column, the rate is stated', name: 'k.csv', options: { sampleRate: 100 }, content: 'Torque (Nm),Speed (rpm)\n1.5,10\n-2.25,20\nNaN,30\n1000.125,40\n' },
  { title: 'no header at all', name: 'l.csv', options: { timeColumn: 'column 1', units: { 'column 2': 'N·m', 'column 3': 'rpm' } }, content: '0.00;1.5;10\n0.01;-2.25;20\n0.02;;30\n0.03;1000.125;40\n' },
  { title: 'seconds since 1970', name: 'm.csv', start: '2026-03-01T08:00:00.000Z', content: 'time,Torque (Nm),Speed (rpm)\n1772352000.00,1.5,10\n1772352000.01,-2.25,20\n1772352000.02,,30\n1772352000.03,1000.125,40\n' },
  { title: 'thousands parted by commas, as stated', name: 'n.csv', options: { decimal: '.' }, content: 'Time (s);Torque (Nm);Speed (rpm)\n0.00;1.5;10\n0.01;-2.25;20\n0.02;;30\n0.03;1,000.125;40\n' },
  { title: 'packed with gzip', name: 'o.csv.gz', content: gzipSync('Time (s),Torque (Nm),Speed (rpm)\n0.00,1.5,10\n0.01,-2.25,20\n0.02,,30\n0.03,1000.125,40\n') },
  { title: 'headers that are not UTF-8, and line ends of CR alone', name: 'p.csv', content: Buffer.from('Time (s);Torque (N\xb7m);Speed (rpm)\r0.00;1.5;10\r0.01;-2.25;20\r0.02;;30\r0.03;1000.125;40\r', 'latin1') },
];

describe('a text table is read whatever its dialect:', () => {
  it.each(cases)('$title', async ({ name, content, options, start }) => {
    const file = write(name, content);
    const description = await describeFile(file, options);
    expect(description.refusals).toEqual([]);
    expect(description).toMatchObject({ format: 'text', rows: 4, sampleRate: 100, samples: 4, start: start ?? null });
    const run = await readRecording(file, options);
    const [torque, speed] = run.channels;
    expect(Array.from(torque!.values)).toEqual([1.5, -2.25, NaN, 1000.125]);
    expect(torque!.invalid).toEqual([{ from: 2, to: 3, why: 'not a number' }]);
    expect(Array.from(speed!.values)).toEqual([10, 20, 30, 40]);
    expect(run.channels.map((c) => [c.unit, c.sampleRate, c.start])).toEqual([['N·m', 100, start ?? null], ['rpm', 100, start ?? null]]);
    expect(torque!.trail.map((s) => s.op)).toEqual(['readRecording']);
    expect(torque!.trail[0]!.found).toMatchObject({ rows: 4, samples: 4, notANumber: 1, sha256: run.source!.sha256 });
    expect(run.source!.file).toBe(name);
  });
});
