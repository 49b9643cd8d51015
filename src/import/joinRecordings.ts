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
 * Where both start times are known, the pause between two files is masked as 'clock gap' with no number in it; where none
 * is known, the files are laid edge to edge. Each channel begins with the step `joinRecordings`, whose found names the
 * files with their SHA-256 and the seconds at which each begins. Counting the joined channel gives the count that
 * mergeCounts gives of the files, bit for bit where there is no pause.
 *
 * Kept: values, units, masks. Cost: one copy.
 *
 * @param recordings at least one; channels of the same names, units and rates
 * @returns the recording of all
 * @throws InputError for files whose channels differ, that overlap or run back in time, of which only some know their start, or whose pauses are longer than what was recorded
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
  const begins: number[] = [];
  let end = 0;
  pieces.forEach((piece, k) => {
    begins.push(end + (k === 0 ? 0 : pauseBefore(recordings, pieces, k, end)));
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
  return makeChannel({ name, unit, sampleRate, start, values, invalid, step: { op: 'joinRecordings', options: { channel: name }, found: { files, pauses: (end - recorded) / sampleRate, timed: start !== null } } });
}

/** Samples between the end of the piece before and this one. */
function pauseBefore(recordings: readonly Recording[], pieces: readonly Channel[], k: number, end: number): number {
  const { sampleRate, start } = pieces[0]!;
  const own = pieces[k]!.start;
  if ((own === null) !== (start === null)) {
    const [known, not] = own === null ? [0, k] : [k, 0];
    throw new InputError({ where: 'joinRecordings', argument: nameOf(recordings[not]!), expected: `with a start time, as ${nameOf(recordings[known]!)} has one`, given: 'none' });
  }
  if (own === null || start === null) return 0;
  const pause = (Number(instantToNanoseconds(own) - instantToNanoseconds(start)) / 1e9) * sampleRate - end;
  if (pause >= -0.5) return Math.round(Math.max(0, pause));
  throw new InputError({
    where: 'joinRecordings', argument: nameOf(recordings[k]!), expected: `a start after the end of ${nameOf(recordings[k - 1]!)}`, given: `${own}, which is ${(-pause / sampleRate).toPrecision(3)} s before that end`,
    remedy: 'Give the files in time order, each stretch of time once.',
  });
}
