import { checkChoice, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { validRuns, type Channel } from '../record/Channel.js';
import { segmentStarts, type Detrend, type Segmentation } from '../numeric/segments.js';
import { windowNames, windowSamples, type WindowChoice } from '../numeric/window.js';

/** How a record is cut into segments for an averaged spectrum. */
export interface SegmentOptions {
  /** Length of a segment in samples, any whole number from 2. Either this or segmentSeconds, no default: it sets the resolution, enbw = (bins of the window)·sampleRate/segment. */
  readonly segment?: number;
  /** Length of a segment in seconds, rounded to whole samples. */
  readonly segmentSeconds?: number;
  /** Part of a segment that the next one shares, 0 ≤ overlap < 1, default 0.5. */
  readonly overlap?: number;
  /** Default 'hann' (periodic form). */
  readonly window?: WindowChoice;
  /** What is taken out of every segment before the window: its mean (default), its straight line, or nothing. */
  readonly detrend?: Detrend;
}

/** The keys of SegmentOptions. */
export const segmentKeys = ['segment', 'segmentSeconds', 'overlap', 'window', 'detrend'] as const;

/** Segments that were cut, and what was left out. */
export interface Cut extends Segmentation {
  readonly length: number;
  readonly hop: number;
  readonly overlap: number;
  readonly choice: WindowChoice;
  /** How many segments each valid run gave. */
  readonly perRun: readonly number[];
  readonly notes: readonly string[];
}

/** The window itself. @throws InputError for a name that is not known or a β that is not above 0. */
export function checkWindow(where: string, window: unknown): WindowChoice {
  if (typeof window === 'object' && window !== null) {
    const { kaiser } = checkOptions<{ kaiser: number }>(where, window as { kaiser: number }, { required: ['kaiser'] });
    return { kaiser: checkNumber(where, 'window.kaiser', kaiser, { above: 0, max: 600 }) };
  }
  if (!windowNames.includes(window as never)) {
    throw new InputError({ where, argument: 'window', expected: `one of ${windowNames.map((w) => `'${w}'`).join(', ')}, or { kaiser: β }`, given: show(window) });
  }
  return window as WindowChoice;
}

/** A window as text: 'hann', 'Kaiser β = 8.6'. */
export function windowText(window: WindowChoice): string {
  return typeof window === 'string' ? window : `Kaiser β = ${window.kaiser}`;
}

/** Segment length in samples from the options. */
function lengthOf(where: string, options: SegmentOptions, sampleRate: number): number {
  const { segment, segmentSeconds } = options;
  if ((segment === undefined) === (segmentSeconds === undefined)) {
    throw new InputError({
      where, argument: 'segment', expected: 'given in samples, or segmentSeconds in seconds, one of the two', given: segment === undefined ? 'neither' : 'both',
      remedy: 'A segment of T seconds tells frequencies about 1.5/T Hz apart (Hann).',
    });
  }
  if (segment !== undefined) return checkNumber(where, 'segment', segment, { integer: true, min: 2 });
  checkNumber(where, 'segmentSeconds', segmentSeconds, { min: 2 / sampleRate, unit: 's' });
  return Math.round(segmentSeconds! * sampleRate);
}

/** Cuts the valid runs that all the channels share into whole segments. Nothing is padded, and no masked sample is read. */
export function cutSegments(where: string, channel: Channel, options: SegmentOptions, runs: readonly { readonly from: number; readonly to: number }[] = validRuns(channel)): Cut {
  const length = lengthOf(where, options, channel.sampleRate);
  const overlap = checkNumber(where, 'overlap', options.overlap ?? 0.5, { min: 0, below: 1 });
  const choice = checkWindow(where, options.window ?? 'hann');
  const detrend = checkChoice<Detrend>(where, 'detrend', options.detrend ?? 'mean', ['mean', 'linear', 'none']);
  const hop = length - Math.floor(overlap * length);
  const perRun = runs.map((r) => segmentStarts(r.from, r.to, length, hop));
  const starts = perRun.flat();
  if (starts.length === 0) {
    const longest = runs.reduce((n, r) => Math.max(n, r.to - r.from), 0);
    throw new InputError({
      where, argument: 'segment', expected: `no longer than the longest valid run of ${channel.name} (${longest} samples, ${(longest / channel.sampleRate).toPrecision(4)} s)`,
      given: `${length} samples`, remedy: 'Use a shorter segment, or a gap-aware estimate (gapSpectrum).',
    });
  }
  const read = perRun.reduce((n, s) => n + (s.length === 0 ? 0 : (s.length - 1) * hop + length), 0);
  const possible = segmentStarts(0, channel.values.length, length, hop).length;
  const notes: string[] = [];
  if (possible > starts.length) notes.push(`${possible - starts.length} of ${possible} segments left out because a gap falls into them`);
  const unread = channel.values.length - read;
  if (unread > 0) notes.push(`${unread} of ${channel.values.length} samples lie in no segment (masked, or left over at the end of a run)`);
  return { length, hop, overlap, choice, detrend, starts, perRun: perRun.map((s) => s.length), window: windowSamples(choice, length, 'periodic'), notes };
}
