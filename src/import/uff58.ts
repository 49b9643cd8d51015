import { FormatError } from '../record/errors.js';
import { instantToNanoseconds } from '../record/time.js';
import { parseUnit, quantityOf, unitConversion } from '../record/units.js';
import { readWhole } from './bytes.js';
import { readNumbers } from './ByteReader.js';
import { notRead, type RawTable } from './table.js';
import { tablesFormat } from './tablesFormat.js';

const mark = '    -1';

/**
 * Universal file dataset 58 (function at nodal degree of freedom), text and binary (58b): time responses only.
 *
 * @references Structural Dynamics Research Laboratory, University of Cincinnati: Universal File Formats, dataset 58 and 58b (public description).
 */
export const uff58Format: ReturnType<typeof tablesFormat> = tablesFormat('universal file 58', (open) => /^\s*-1\s*\r?\n\s*\d{1,6}[b ]?/.test(Buffer.from(open.head.subarray(0, 200)).toString('latin1')), async (open, _options, _where, whole) => {
  const bytes = await readWhole(open.path, open.size);
  const tables: RawTable[] = [];
  const notes: string[] = [];
  for (const set of dataSets(open.file, bytes)) {
    if (set.kind !== 58) {
      notes.push(`dataset ${set.kind} in line ${set.line} left out`);
      continue;
    }
    const found = readFunction(open.file, bytes, set, whole);
    if (typeof found === 'string') notes.push(`dataset 58 in line ${set.line} left out: ${found}`);
    else tables.push(found);
  }
  if (tables.length === 0) throw new FormatError({ file: open.file, found: notes[0] ?? 'no dataset 58', expected: 'a dataset 58 that holds a time response' });
  return { tables, notes };
});

/** One dataset: its number, its header lines, and where its data lie. */
interface DataSet {
  readonly kind: number;
  readonly line: number;
  readonly header: readonly string[];
  readonly from: number;
  readonly to: number;
  /** Binary data: byte order and coding. */
  readonly binary: { readonly littleEndian: boolean } | null;
}

class Lines {
  at = 0;
  line = 0;
  constructor(private readonly bytes: Buffer) {}

  get done(): boolean {
    return this.at >= this.bytes.length;
  }

  next(): string {
    let end = this.bytes.indexOf(10, this.at);
    if (end < 0) end = this.bytes.length;
    const text = this.bytes.subarray(this.at, Math.min(end, this.at + 200)).toString('latin1').replace(/\r$/, '');
    this.at = end + 1;
    this.line++;
    return text;
  }
}

function* dataSets(file: string, bytes: Buffer): Generator<DataSet> {
  const lines = new Lines(bytes);
  while (!lines.done) {
    if (lines.next().trimEnd() !== mark) continue;
    if (lines.done) return;
    const title = lines.next();
    const { line } = lines;
    const kind = Number(title.slice(0, 6));
    if (!Number.isInteger(kind)) throw new FormatError({ file, line, found: JSON.stringify(title.slice(0, 20)), expected: 'the number of a dataset' });
    const binary = title[6] === 'b';
    const header: string[] = [];
    if (kind === 58) for (let i = 0; i < 11 && !lines.done; i++) header.push(lines.next());
    const from = lines.at;
    if (binary) {
      const order = numberOf(title.slice(7, 13));
      const coding = numberOf(title.slice(13, 19));
      const headerLines = numberOf(title.slice(19, 31));
      const length = numberOf(title.slice(31, 43));
      if (headerLines !== 11 || coding !== 2 || (order !== 1 && order !== 2) || !Number.isInteger(length) || length < 0) {
        throw new FormatError({ file, line, found: `a head of binary data that says ${JSON.stringify(title.slice(7, 43).trim())}`, expected: 'byte order 1 or 2, coding 2 (IEEE 754), 11 header lines and the length of the data' });
      }
      if (from + length > bytes.length) throw new FormatError({ file, line, found: `${length} bytes of data in a file with ${Math.max(0, bytes.length - from)} left`, expected: 'a complete dataset', remedy: 'Copy the file again from where it was recorded.' });
      lines.at = from + length;
      yield { kind, line, header, from, to: lines.at, binary: { littleEndian: order === 1 } };
      while (!lines.done && lines.next().trim() === '');
      continue;
    }
    let to = from;
    let closed = false;
    while (!lines.done) {
      to = lines.at;
      if (lines.next().trimEnd() === mark) {
        closed = true;
        break;
      }
    }
    if (!closed && kind === 58) throw new FormatError({ file, line, found: 'a dataset 58 that does not end', expected: 'a closing line with -1', remedy: 'Copy the file again from where it was recorded.' });
    yield { kind, line, header, from, to, binary: null };
  }
}

/** The time response in a dataset 58, or why it is left out. */
function readFunction(file: string, bytes: Buffer, set: DataSet, withValues: boolean): RawTable | string {
  const fail = (record: number, found: string, expected: string): FormatError => new FormatError({ file, line: set.line + record, found, expected });
  if (set.header.length < 11) throw fail(set.header.length, 'the end of the file', '11 header lines of a dataset 58');
  const whole = (record: number, from: number, to: number): number => {
    const text = set.header[record - 1]!.slice(from, to);
    const value = numberOf(text);
    if (text.trim() === '' || !Number.isInteger(value)) throw fail(record, JSON.stringify(text.trim()), 'a whole number');
    return value;
  };
  const real = (record: number, from: number, to: number): number => {
    const value = numberOf(set.header[record - 1]!.slice(from, to));
    if (!Number.isFinite(value)) throw fail(record, JSON.stringify(set.header[record - 1]!.slice(from, to).trim()), 'a number');
    return value;
  };
  const type = whole(6, 0, 5);
  if (type !== 1 && type !== 0) return `function type ${type} is no time response`;
  const coding = whole(7, 0, 10);
  const count = whole(7, 10, 20);
  const even = whole(7, 20, 30) === 1;
  const minimum = real(7, 30, 43);
  const written = real(7, 43, 56);
  if (coding === 5 || coding === 6) return 'complex values';
  if (coding !== 2 && coding !== 4) throw fail(7, `ordinates of type ${coding}`, '2 (single), 4 (double), 5 or 6 (complex)');
  if (count < 1) throw fail(7, `${count} values`, 'at least one');
  if (even && !(written > 0)) throw fail(7, `an increment of ${written}`, 'a time step above 0');
  const abscissa = whole(8, 0, 10);
  if (abscissa !== 17 && abscissa !== 0 && abscissa !== 1) return `abscissa of type ${abscissa} is no time`;
  const timeUnit = set.header[7]!.slice(46, 67).trim();
  const perUnit = secondsPer(timeUnit);
  if (perUnit === null) return `time in ${JSON.stringify(timeUnit)}, which is no known unit of time`;
  const increment = written * perUnit;
  const values = even && !withValues ? { time: null, ordinate: notRead } : set.binary ? binaryValues(bytes, set, coding === 4, count, even, fail) : textValues(bytes, set, coding === 4, count, even, fail);
  const unitText = set.header[8]!.slice(46, 66).trim();
  const ids = set.header.slice(0, 5).map((l) => l.trim());
  const place = `${set.header[5]!.slice(31, 41).trim()} ${set.header[5]!.slice(41, 51).trim()}:${set.header[5]!.slice(51, 55).trim()}`.trim();
  const label = ids[0] !== '' && ids[0] !== 'NONE' ? ids[0]! : place;
  const unit = unitText === '' || unitText === 'NONE' ? null : unitText;
  const date = isoOf(ids[2] ?? '');
  return {
    file, rows: count, time: perUnit === 1 ? values.time : (values.time?.map((t) => t * perUnit) ?? null), ...(even ? { sampleRate: rateOf(increment) } : {}),
    origin: date === null ? null : instantToNanoseconds(date) + BigInt(Math.round((even ? minimum * perUnit : 0) * 1e9)),
    about: { format: set.binary ? 'universal file 58b' : 'universal file 58', line: set.line, functionType: type, abscissaMinimum: minimum, abscissaIncrement: written, abscissaUnit: timeUnit, ids, place },
    columns: [{ name: label, unit: unit === null ? '?' : (parseUnit(unit) ?? '?'), values: values.ordinate, about: { unitInFile: unit } }],
    lineOf: async () => set.line,
  };
}

/** Seconds in the unit that the header states for time; a second where it states none; null for what is no time. */
function secondsPer(text: string): number | null {
  if (/^(none|s|sec|seconds?)?$/i.test(text)) return 1;
  const unit = parseUnit(text);
  return unit !== null && quantityOf(unit) === quantityOf('s') ? unitConversion(unit, 's').factor : null;
}

/** The decimal number that a field holds, with e or Fortran's d before the exponent; NaN else. */
function numberOf(text: string): number {
  return /^\s*[+-]?0[xob]/i.test(text) ? NaN : Number(text.replace(/[dD]/, 'e'));
}

/** ISO dates, as writeRecording puts them into the third line; other forms of date state no zone and are left as text. */
function isoOf(text: string): string | null {
  return /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?Z$/.test(text) && !Number.isNaN(Date.parse(text)) ? text : null;
}

/** The roundest rate whose period, written with the six digits of the format, is the increment. */
export function rateOf(increment: number): number {
  const written = increment.toExponential(5);
  for (let digits = 1; digits <= 12; digits++) {
    const rate = Number((1 / increment).toPrecision(digits));
    if ((1 / rate).toExponential(5) === written) return rate;
  }
  return 1 / increment;
}

type Fail = (record: number, found: string, expected: string) => FormatError;
interface Values { readonly time: Float64Array | null; readonly ordinate: Float64Array }

function binaryValues(bytes: Buffer, set: DataSet, double: boolean, count: number, even: boolean, fail: Fail): Values {
  const { littleEndian } = set.binary!;
  const length = set.to - set.from;
  const kind = double ? 'float64' : 'float32';
  const size = double ? 8 : 4;
  const tooMany = (bytesThere: number): FormatError => fail(7, `${bytesThere} bytes of data`, `no more than ${count} values, as the header says`);
  if (even) {
    if (length < count * size) throw fail(7, `${count} values in ${length} bytes`, `${count * size} bytes of data`);
    if (length >= (count + 1) * size) throw tooMany(length);
    return { time: null, ordinate: readNumbers(bytes, kind, littleEndian, set.from, count) };
  }
  // Single abscissa and double ordinate by the text format's rule; some writers store both as double.
  const stampSize = double && length >= count * 16 ? 8 : 4;
  if (length < count * (stampSize + size)) throw fail(7, `${count} pairs in ${length} bytes`, `${count * (stampSize + size)} bytes of data`);
  if (length >= (count + 1) * (stampSize + size)) throw tooMany(length);
  return {
    time: readNumbers(bytes, stampSize === 8 ? 'float64' : 'float32', littleEndian, set.from, count, stampSize + size),
    ordinate: readNumbers(bytes, kind, littleEndian, set.from + stampSize, count, stampSize + size),
  };
}

function textValues(bytes: Buffer, set: DataSet, double: boolean, count: number, even: boolean, fail: Fail): Values {
  // A value has a field of 13 characters or more; the last on a line may be shorter.
  if (count * (even ? 6 : 12) > set.to - set.from + 24) throw fail(7, `${count} values in ${set.to - set.from} bytes of text`, 'as many values as the header says');
  const ordinate = new Float64Array(count);
  const time = even ? null : new Float64Array(count);
  const widths = even ? (double ? [20, 20, 20, 20] : [13, 13, 13, 13, 13, 13]) : double ? [13, 20, 13, 20] : [13, 13, 13, 13, 13, 13];
  const text = new Lines(bytes.subarray(set.from, set.to));
  const total = even ? count : 2 * count;
  let read = 0;
  let rest = '';
  for (let record = 12; read < total && !text.done; record++) {
    const line = text.next();
    let at = 0;
    for (let field = 0; field < widths.length && read < total; at += widths[field]!, field++) {
      const cell = line.slice(at, at + widths[field]!).trim();
      if (cell === '' && at >= line.trimEnd().length) break;
      const value = /^nan$/i.test(cell) ? NaN : numberOf(cell);
      if (cell === '' || (Number.isNaN(value) && !/^nan$/i.test(cell))) throw fail(record, JSON.stringify(cell), 'a number');
      if (even) ordinate[read] = value;
      else if (read % 2 === 0) time![read >> 1] = value;
      else ordinate[read >> 1] = value;
      read++;
    }
    rest = line.slice(at).trim();
  }
  if (read < total) throw fail(7, `${even ? read : read >> 1} values`, `${count} values, as the header says`);
  let more = rest;
  while (more === '' && !text.done) more = text.next().trim();
  if (more !== '') throw fail(7, `more values (${JSON.stringify(more.slice(0, 26))})`, `${count} values, as the header says`);
  return { time, ordinate };
}
