import { makeChannel, type Channel } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { makeRecording, pick, type Recording } from '../record/Recording.js';
import type { Span } from '../record/span.js';
import { instantToNanoseconds } from '../record/time.js';

/** How a piece is called in messages. */
const nameOf = (recording: Recording): string => recording.source?.file ?? recording.name;

/**
 * Joins recordings of one shaft, in time order, to one: what a recorder cut into files becomes the record that it was.
 *
 * Where their start times are known, or else where the time columns that they were read by go on from file to file, the pause
 * between two files is masked as 'clock gap' with no number in it. Where neither is so (no time, or the time of each file begins
 * anew), the files are laid edge to edge. Each channel begins with the step `joinRecordings`, whose found names the
 * files with their SHA-256 and the seconds at which each begins, and by what they were placed. Counting the joined channel gives the count that
 * mergeCounts gives of the files, bit for bit where there is no pause.
 *
 * Kept: values, units, masks. Cost: one copy.
 *
 * @param recordings at least one; channels of the same names, units and rates
 * @returns the recording of all
 * @throws InputError for files whose channels differ, that overlap or run back in time, of which only some know their start, that hold the very samples of another and no time to tell them apart, or whose pauses are longer than what was recorded
 * @see readRecording mergeCounts fileSumLoss
 * @example
 * const piece = (values) => makeRecording('piece', [makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values })]);
 * Array.from(pick(joinRecordings([piece([1, 2]), piece([3])]), 'torque').values) // => [1,2,3]
 */
export function joinRecordings(recordings: readonly Recording[]): Recording {
  const first = recordings[0];
  if (!first) throw new InputError({ where: 'joinRecordings', argument: 'recordings', expected: 'at least one recording', given: 'none' });
  if (recordings.length === 1) return first;
  for (const later of recordings.slice(1)) checkAlike(first, later);
  const last = recordings.at(-1)!;
  return makeRecording(`${nameOf(first)} to ${nameOf(last)} (${recordings.length} files)`, first.channels.map((c) => joinChannel(recordings, recordings.map((r) => pick(r, c.name)))));
}

function checkAlike(first: Recording, later: Recording): void {
  const words = (r: Recording): string => r.channels.map((c) => `${c.name} in ${c.unit} at ${c.sampleRate} Hz`).sort().join(', ');
  if (words(first) === words(later)) return;
  throw new InputError({ where: 'joinRecordings', argument: nameOf(later), expected: `with the channels of ${nameOf(first)} (${words(first)})`, given: words(later) });
}

function joinChannel(recordings: readonly Recording[], pieces: readonly Channel[]): Channel {
  const { name, unit, sampleRate, start } = pieces[0]!;
  const { by, before } = placing(recordings, pieces);
  const begins: number[] = [];
  let end = 0;
  pieces.forEach((piece, k) => {
    begins.push(end + (k === 0 ? 0 : checkedPause(recordings, k, before(k, end), sampleRate)));
    end = begins[k]! + piece.values.length;
  });
  const recorded = pieces.reduce((sum, piece) => sum + piece.values.length, 0);
  if (end - recorded > recorded) {
    throw new InputError({
      where: 'joinRecordings', argument: 'recordings', expected: 'with pauses that are not longer than what was recorded', given: `${(recorded / sampleRate).toPrecision(4)} s recorded and ${((end - recorded) / sampleRate).toPrecision(4)} s between the files`,
      remedy: 'Count each file and join the counts with mergeCounts.',
    });
  }
  const values = new Float64Array(end).fill(Number.NaN);
  const invalid: Span[] = [];
  pieces.forEach((piece, k) => {
    const from = begins[k]!;
    if (k > 0 && from > begins[k - 1]! + pieces[k - 1]!.values.length) invalid.push({ from: begins[k - 1]! + pieces[k - 1]!.values.length, to: from, why: 'clock gap' });
    values.set(piece.values, from);
    for (const span of piece.invalid) invalid.push({ ...span, from: span.from + from, to: span.to + from });
  });
  const files = recordings.map((r, k) => ({ file: nameOf(r), sha256: r.source?.sha256 ?? null, seconds: begins[k]! / sampleRate }));
  return makeChannel({ name, unit, sampleRate, start, values, invalid, step: { op: 'joinRecordings', options: { channel: name }, found: { files, pauses: (end - recorded) / sampleRate, timed: by !== 'edge to edge', placedBy: by } } });
}

/** By what files are placed in time, and the samples between the end of the piece before and the next, below 0 where they overlap. */
interface Placing {
  readonly by: 'start' | 'time column' | 'edge to edge';
  readonly before: (k: number, end: number) => { readonly pause: number; readonly begins: string };
}

function placing(recordings: readonly Recording[], pieces: readonly Channel[]): Placing {
  const { sampleRate, start } = pieces[0]!;
  const other = pieces.findIndex((piece) => (piece.start === null) !== (start === null));
  if (other >= 0) {
    const [known, not] = start === null ? [other, 0] : [0, other];
    throw new InputError({ where: 'joinRecordings', argument: nameOf(recordings[not]!), expected: `with a start time, as ${nameOf(recordings[known]!)} has one`, given: 'none' });
  }
  if (start !== null) {
    const begin = instantToNanoseconds(start);
    return { by: 'start', before: (k, end) => ({ pause: (Number(instantToNanoseconds(pieces[k]!.start!) - begin) / 1e9) * sampleRate - end, begins: `a start at ${pieces[k]!.start}` }) };
  }
  const stamps = pieces.map(stampsOf);
  const first = stamps[0];
  if (first && stamps.every((s) => s !== null) && stamps.some((s) => Math.abs(s!.first - first.first) * sampleRate > 0.5)) {
    return { by: 'time column', before: (k) => ({ pause: (stamps[k]!.first - stamps[k - 1]!.last) * sampleRate - 1, begins: `time from ${Number(stamps[k]!.first.toPrecision(12))} s in its time column` }) };
  }
  refuseCopies(recordings);
  return { by: 'edge to edge', before: () => ({ pause: 0, begins: '' }) };
}

/** First and last time of a file as its time column has them, s; null where the channel was not read by one, or has been cut since. */
function stampsOf({ trail, values, sampleRate }: Channel): { readonly first: number; readonly last: number } | null {
  const found = trail[0]!.found as { readonly clock?: string; readonly samples?: number; readonly sampleRate?: number; readonly firstStamp?: number; readonly lastStamp?: number; readonly localSecond?: number };
  if (found.clock !== 'from stamps' || found.samples !== values.length || found.sampleRate !== sampleRate) return null;
  const { firstStamp, lastStamp, localSecond = 0 } = found;
  return firstStamp === undefined || lastStamp === undefined ? null : { first: localSecond + firstStamp, last: localSecond + lastStamp };
}

/** Whole samples of a pause. @throws InputError where there is none, but an overlap */
function checkedPause(recordings: readonly Recording[], k: number, { pause, begins }: { readonly pause: number; readonly begins: string }, sampleRate: number): number {
  if (pause >= -0.5) return Math.round(Math.max(0, pause));
  throw new InputError({
    where: 'joinRecordings', argument: nameOf(recordings[k]!), expected: `one that begins after the end of ${nameOf(recordings[k - 1]!)}`, given: `${begins}, which is ${(-pause / sampleRate).toPrecision(3)} s before that end`,
    remedy: `Give the files in time order, each stretch of time once.${begins.startsWith('time') ? ' Where the time of each file begins anew, read them with sampleRate, which leaves their time unread and lays them edge to edge.' : ''}`,
  });
}

/** Refuses a file that holds the very samples of another: what nobody's clock tells apart would be counted twice. */
function refuseCopies(recordings: readonly Recording[]): void {
  const varies = ({ values }: Channel): boolean => values.some((v) => !Object.is(v, values[0]));
  const same = (a: Recording, b: Recording): boolean => a.channels.some(varies) && a.channels.every((channel) => {
    const other = pick(b, channel.name).values;
    return other.length === channel.values.length && channel.values.every((v, i) => Object.is(v, other[i]));
  });
  recordings.forEach((later, k) => {
    const copied = recordings.slice(0, k).find((earlier) => same(earlier, later));
    if (copied) {
      throw new InputError({
        where: 'joinRecordings', argument: nameOf(later), expected: 'one with samples of its own', given: `the very samples of ${nameOf(copied)}`,
        remedy: 'Name each file once; to count a record several times use repeatCount.',
      });
    }
  });
}
