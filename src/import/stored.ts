import { makeChannel, type Channel, type Step } from '../record/Channel.js';
import { FormatError, InputError } from '../record/errors.js';
import { makeRecording, type Recording } from '../record/Recording.js';
import type { Span } from '../record/span.js';
import { isUnit, type Unit } from '../record/units.js';
import { version } from '../record/version.js';
import { nearest } from '../record/check.js';
import type { OpenFile } from './formats.js';
import type { ReadOptions } from './options.js';

/** What writeRecording puts beside the numbers, so that reading gives the same recording again. */
export interface Stored {
  readonly quillshaft: 1;
  readonly by: string;
  readonly name: string;
  readonly source: Recording['source'];
  readonly channels: readonly StoredChannel[];
}

/** A channel without its values. */
export interface StoredChannel {
  readonly name: string;
  readonly unit: Unit;
  readonly sampleRate: number;
  readonly start: string | null;
  readonly samples: number;
  readonly invalid: readonly Span[];
  readonly trail: readonly Step[];
}

/** The text that describes a recording, without its values. */
export function storedText(recording: Recording): string {
  const stored: Stored = {
    quillshaft: 1, by: `quillshaft ${version}`, name: recording.name, source: recording.source,
    channels: recording.channels.map(({ name, unit, sampleRate, start, values, invalid, trail }) => ({ name, unit, sampleRate, start, samples: values.length, invalid, trail })),
  };
  return JSON.stringify(stored);
}

/** Reads that text. @throws FormatError where it is damaged or of a later kind */
export function parseStored(file: string, text: string): Stored {
  let stored: Stored;
  try {
    stored = JSON.parse(text) as Stored;
  } catch (error) {
    throw damagedStore(file, (error as Error).message);
  }
  if (typeof stored !== 'object' || stored === null || !Array.isArray(stored.channels) || stored.channels.length === 0) throw damagedStore(file, 'no channels');
  if (typeof stored.quillshaft !== 'number') throw damagedStore(file, 'no kind');
  if (stored.quillshaft !== 1) throw new FormatError({ file, found: `a recording of kind ${JSON.stringify(stored.quillshaft)}`, expected: 'kind 1', remedy: 'Read it with the version that wrote it.' });
  for (const c of stored.channels) {
    const sound = typeof c === 'object' && c !== null && typeof c.name === 'string' && isUnit(c.unit) && typeof c.sampleRate === 'number' && Number.isSafeInteger(c.samples) && c.samples > 0 && Array.isArray(c.invalid) && Array.isArray(c.trail);
    if (!sound) throw damagedStore(file, 'a channel without name, unit, rate, length, masks or trail');
  }
  if (typeof stored.name !== 'string') throw damagedStore(file, 'no name');
  return stored;
}

function damagedStore(file: string, what: string): FormatError {
  return new FormatError({ file, found: `a damaged description of the recording (${what})`, expected: 'the description that writeRecording put there' });
}

/** Options that mean nothing for a file that states everything itself are refused. */
export function checkStoredOptions(where: string, options: ReadOptions): void {
  for (const key of Object.keys(options)) {
    if (key !== 'columns' && key !== 'name' && key !== 'units') {
      throw new InputError({ where, argument: key, expected: 'left out for a file that writeRecording wrote: it states its clock and layout itself', given: JSON.stringify((options as Record<string, unknown>)[key]) });
    }
  }
}

/** Which channels the options ask for, by their places. */
export function pickStored(where: string, stored: Stored, options: ReadOptions): readonly number[] {
  const names = stored.channels.map((c) => c.name);
  for (const name of [...(options.columns ?? []), ...Object.keys(options.units ?? {})]) {
    if (names.includes(name)) continue;
    const near = nearest(name, names);
    throw new InputError({ where, argument: 'columns', expected: `one of ${names.map((n) => `'${n}'`).join(', ')}`, given: `'${name}'`, ...(near ? { remedy: `Did you mean '${near}'?` } : {}) });
  }
  return options.columns?.map((name) => names.indexOf(name)) ?? names.map((_, i) => i);
}

/** The recording again. The trail that the file carries stands in the step's `earlier`. */
export function restoreRecording(open: OpenFile, stored: Stored, picks: readonly number[], columns: readonly Float64Array[], options: ReadOptions, where: string, about: { readonly format: string; readonly sha256: string }): Recording {
  const channels = picks.map((index, j): Channel => {
    const c = stored.channels[index]!;
    try {
      return makeChannel({
        name: c.name, unit: options.units?.[c.name] ?? c.unit, sampleRate: c.sampleRate, start: c.start, values: columns[j]!, invalid: c.invalid,
        step: { op: where, options: { file: open.file, ...options }, found: { ...about, rows: c.samples, samples: c.samples, sampleRate: c.sampleRate, clock: 'as stored', earlier: c.trail } },
      });
    } catch (error) {
      throw error instanceof InputError ? damagedStore(open.file, error.message) : error;
    }
  });
  return makeRecording(options.name ?? stored.name, channels, { file: open.file, sha256: about.sha256 });
}
