import { FormatError, InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import { allUnits, isUnit, type Unit } from '../record/units.js';
import { isInstant } from '../record/time.js';
import type { Step } from '../record/Channel.js';
import { version } from '../record/version.js';
import { assembleCount } from './assemble.js';
import { MemberReader } from './MemberReader.js';
import { isCycleCount, type ClosedCycles, type CountSource, type CycleCount, type FromToHistogram, type Residue } from './CycleCount.js';

/** The name and the version of the format. A reader refuses any other. */
export const countFormat = 'quillshaft cycle count';
/** The version of the format that writeCount writes. readCount reads versions 1 and 2 as well. */
export const countFormatVersion = 3;

/**
 * Writes a count as JSON text, exactly: readCount gives back an equal count, and counts that were written, read and
 * merged equal counts that were merged at once.
 *
 * The format, version 3: an object with `format` ('quillshaft cycle count'), `version` (3), `writtenBy`, `unit`, `sampleRate`
 * (Hz), `start` (ISO 8601 UTC or null), `samples`, `lostSamples`, `closedCycles`, `closed` { from, to, fromAt, at }, `histogram`
 * ({ edges, counts } with counts row by row, or null), `residue` { values, at }, `largest` { from, to, fromAt, at }, `largestKept`, `gate`
 * and `sources` [{ name, shaft, start, from, samples, trail }]. Version 1 had no `shaft`; it is read as not stated. Versions 1 and 2 had no `gate`; it is read as 0, though gateCycles may have been at work. Numbers are the shortest decimals that give the same double; times
 * and notes follow from the rest and are not stored.
 *
 * Cost: about 50 bytes for each closed cycle.
 *
 * @param count a count
 * @returns JSON text, to be stored as UTF-8
 * @throws InputError for something that is no count
 * @see readCount, writeCountFile
 * @example
 * const count = countCycles(Float64Array.of(0, 4, -6, 8, -2, 2, -10));
 * readCount(writeCount(count)).closed.from // => [-2]
 */
export function writeCount(count: CycleCount): string {
  if (!isCycleCount(count)) throw new InputError({ where: 'writeCount', argument: 'count', expected: 'a CycleCount', given: show(count) });
  const columns = (data: Readonly<Record<string, ArrayLike<number>>>): string => `{${Object.entries(data).map(([key, values]) => `"${key}":${numbers(values)}`).join(',')}}`;
  const { closed, histogram, residue, largest } = count;
  const of = (key: 'from' | 'to' | 'fromAt' | 'at'): number[] => largest.map((c) => c[key]);
  const members: Record<string, string> = {
    format: JSON.stringify(countFormat), version: String(countFormatVersion), writtenBy: JSON.stringify(`quillshaft ${version}`),
    unit: JSON.stringify(count.unit), sampleRate: String(count.sampleRate), start: JSON.stringify(count.start),
    samples: String(count.samples), lostSamples: String(count.samples - count.validSamples), closedCycles: String(count.closedCycles),
    closed: columns({ from: closed.from, to: closed.to, fromAt: closed.fromAt, at: closed.at }),
    histogram: histogram ? columns({ edges: histogram.edges, counts: histogram.counts }) : 'null',
    residue: columns({ values: residue.values, at: residue.at }),
    largest: columns({ from: of('from'), to: of('to'), fromAt: of('fromAt'), at: of('at') }), largestKept: String(count.largestKept), gate: String(count.gate),
    sources: JSON.stringify(count.sources),
  };
  return `{${Object.entries(members).map(([key, text]) => `\n"${key}":${text}`).join(',')}\n}\n`;
}

/** Numbers as JSON; −0 keeps its sign. */
function numbers(values: ArrayLike<number>): string {
  return `[${Array.from(values, (v) => (Object.is(v, -0) ? '-0' : String(v))).join(',')}]`;
}

/**
 * Reads a count that writeCount wrote, and checks it: format and version, every member and its kind, lengths, that places lie in the record and in
 * order (a cycle begins before it turns back), that ranges are finite, that the residue turns at each point, that instants are in the calendar, that the largest are
 * closed cycles, and that the numbers of cycles agree. What it cannot see is whether the cycles are those of the signal.
 *
 * @param text JSON text
 * @param file its name, for messages
 * @returns the count
 * @throws FormatError that says which member is wrong and how
 * @see writeCount mergeCounts
 * @example readCount('{"format":"quillshaft cycle count","version":4}') // => throws expected version 1, 2 or 3
 */
export function readCount(text: string, file = 'count'): CycleCount {
  return restoreCount(parseCount(text, file), file);
}

/** Checks the members of a count and makes it; columns may be lists or arrays of doubles. @throws FormatError that says which member is wrong and how */
export function restoreCount(data: Readonly<Record<string, unknown>>, file: string): CycleCount {
  const fail = (found: string, expected: string, remedy?: string): never => {
    throw new FormatError({ file, found, expected, ...(remedy ? { remedy } : {}) });
  };
  if (data['format'] !== countFormat) fail(`format ${show(data['format'])}`, `format '${countFormat}'`, 'Write it with writeCount.');
  if (![1, 2, countFormatVersion].includes(data['version'] as number)) fail(`version ${show(data['version'])}`, `version 1, 2 or ${countFormatVersion}`, 'Count again with this release, or read it with the release that wrote it.');
  const reader = new MemberReader(data, file);
  const unit = reader.choice('unit', isUnit, `one of ${allUnits.join(', ')}`) as Unit;
  const samples = reader.whole('samples');
  const closed = reader.columns('closed', ['from', 'to', 'fromAt', 'at']) as unknown as ClosedCycles;
  reader.cycles('closed', closed, samples, true);
  const residue = reader.columns('residue', ['values', 'at']) as unknown as Residue;
  reader.places('residue.at', residue.at, samples, true);
  reader.turns('residue.values', residue.values);
  const largest = reader.columns('largest', ['from', 'to', 'fromAt', 'at']) as unknown as ClosedCycles;
  reader.cycles('largest', largest, samples, false);
  const histogram = data['histogram'] === null ? null : readHistogram(reader, file);
  const closedCycles = reader.whole('closedCycles');
  const counted = closed.at.length + (histogram ? histogram.counts.reduce((a, b) => a + b, 0) : 0);
  if (counted !== closedCycles) fail(`${counted} cycles`, `${closedCycles} closed cycles, as closedCycles says`);
  const largestKept = reader.whole('largestKept');
  checkLargest(largest, largestKept, closed, closedCycles, histogram, fail);
  const lostSamples = reader.whole('lostSamples');
  if (lostSamples > samples) fail(`${lostSamples} lost samples`, `at most ${samples}`);
  const sampleRate = reader.number('sampleRate');
  if (!(sampleRate > 0) || !Number.isFinite(samples / sampleRate)) fail(`sampleRate ${sampleRate}`, 'a sampleRate above 0 that gives a finite time');
  const gate = data['version'] === countFormatVersion ? reader.number('gate') : 0;
  if (gate < 0) fail(`gate ${gate}`, 'a gate of at least 0');
  const start = reader.choice('start', isStart, 'an ISO 8601 UTC instant or null') as string | null;
  const sources = readSources(data['sources'], samples, sampleRate, data['version'] === 1, fail);
  if (start !== sources[0]!.start) fail(`start ${show(start)}`, `${show(sources[0]!.start)}, the start of the first source`);
  return assembleCount({
    unit, sampleRate, start, samples, lostSamples, closed, closedCycles, histogram, residue,
    largest: Array.from(largest.at, (at, k) => ({ from: largest.from[k]!, to: largest.to[k]!, fromAt: largest.fromAt[k]!, at })), largestKept, gate, sources,
  });
}

/** The object in a JSON text. @throws FormatError for something else */
export function parseCount(text: string, file: string): Record<string, unknown> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch (error) {
    throw new FormatError({ file, found: (error as Error).message, expected: 'JSON text' });
  }
  if (typeof data !== 'object' || data === null || Array.isArray(data)) throw new FormatError({ file, found: show(data), expected: 'a JSON object' });
  return data as Record<string, unknown>;
}

function readHistogram(reader: MemberReader, file: string): FromToHistogram {
  const { edges, counts } = reader.lists('histogram', ['edges', 'counts']) as { edges: Float64Array; counts: Float64Array };
  const classes = edges.length - 1;
  if (classes < 1 || edges.some((e, k) => k > 0 && !(e > edges[k - 1]!))) throw new FormatError({ file, found: 'histogram.edges that do not rise', expected: 'at least two rising edges' });
  if (counts.length !== classes ** 2) throw new FormatError({ file, found: `${counts.length} histogram.counts`, expected: `${classes ** 2} for ${classes} classes` });
  if (counts.some((n) => n < 0 || !Number.isInteger(n))) throw new FormatError({ file, found: 'histogram.counts that are no whole numbers', expected: 'whole numbers from 0' });
  return { edges, classes, counts };
}

/** Instants are written with four digits of the year. */
const yearTenThousand = Date.parse('9999-12-31T23:59:59Z') + 1000;

function readSources(sources: unknown, samples: number, sampleRate: number, first: boolean, fail: (found: string, expected: string) => never): readonly CountSource[] {
  if (!Array.isArray(sources) || sources.length === 0) return fail(`sources ${show(sources)}`, 'a list of at least one source');
  let next = 0;
  return sources.map((s: Partial<CountSource> | null, k): CountSource => {
    const ok = s && typeof s.name === 'string' && (first || s.shaft === null || (typeof s.shaft === 'string' && s.shaft !== '')) && isStart(s.start) && s.from === next && Number.isInteger(s.samples) && s.samples! >= 0 && Array.isArray(s.trail);
    if (!ok) return fail(`sources[${k}] ${show(s)}`, `a source with name, ${first ? '' : 'shaft, '}start, from ${next}, samples and trail`);
    if (s.start !== null && !(Date.parse(s.start!) + (1000 * s.samples!) / sampleRate < yearTenThousand)) return fail(`sources[${k}] of ${s.samples} samples from ${s.start}`, 'a source that ends before the year 10000');
    next += s.samples!;
    if (k === sources.length - 1 && next !== samples) return fail(`sources of ${next} samples`, `${samples} samples in all`);
    return Object.freeze({ name: s.name!, shaft: first ? null : s.shaft!, start: s.start!, from: s.from!, samples: s.samples!, trail: Object.freeze(s.trail as Step[]) });
  });
}

function checkLargest(largest: ClosedCycles, kept: number, closed: ClosedCycles, closedCycles: number, histogram: FromToHistogram | null, fail: (found: string, expected: string) => never): void {
  const rows = Math.min(kept, closedCycles);
  if (largest.at.length !== rows) fail(`${largest.at.length} largest cycles`, `${rows}, as largestKept and closedCycles say`);
  const rowAt = new Map(Array.from(closed.at, (at, k) => [at, k]));
  const inside = (value: number): boolean => histogram !== null && value >= histogram.edges[0]! && value <= histogram.edges.at(-1)!;
  largest.at.forEach((at, k) => {
    const row = rowAt.get(at);
    const known = row === undefined ? inside(largest.from[k]!) && inside(largest.to[k]!) : (['from', 'to', 'fromAt'] as const).every((key) => largest[key][k] === closed[key][row]);
    if (!known) fail(`largest[${k}] from ${largest.from[k]} to ${largest.to[k]} at ${at}`, 'one of the closed cycles');
  });
}

function isStart(value: unknown): boolean {
  return value === null || isInstant(value);
}
