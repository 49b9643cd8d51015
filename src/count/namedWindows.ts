import { countUpTo } from '../numeric/countUpTo.js';
import { checkNumber, checkText, show } from '../record/check.js';
import { formatSeconds } from '../record/Channel.js';
import { InputError } from '../record/errors.js';
import { coveredSamples, normaliseSpans, type Span } from '../record/span.js';
import type { Cycles } from './CycleCount.js';

/** A named part of a record, in seconds from the first sample of the count. */
export interface NamedWindow {
  readonly name: string;
  readonly from: number;
  readonly to: number;
}

/**
 * Samples and rate of the records that cycles come from.
 *
 * @throws InputError where there is no one clock, or the cycles stand for another time than that of their records (repeated, extrapolated, of one state)
 */
export function clockOf(where: string, cycles: Cycles): { readonly sampleRate: number; readonly samples: number } {
  const { sampleRate, sources } = cycles;
  const refuse = (given: string, remedy?: string): never => {
    throw new InputError({ where, argument: 'cycles', expected: 'from a record, with their place in time', given, ...(remedy ? { remedy } : {}) });
  };
  const samples = sources.reduce((sum, source) => sum + source.samples, 0);
  if (samples === 0) return refuse('a table of cycles');
  if (sampleRate === null) return refuse('cycles of several shafts');
  const recorded = samples / sampleRate;
  const stated = cycles.validTime + cycles.lostTime;
  if (Math.abs(stated - recorded) > 1e-9 * recorded) {
    return refuse(`cycles for ${formatSeconds(stated)} from a record of ${formatSeconds(recorded)}: repeated, extrapolated, or of one state`, 'Give the cycles of the whole record, once.');
  }
  return { samples, sampleRate };
}

/** The masked spans of the channel that was counted, checked against the lost time of its cycles. @throws InputError where they are not of that length in all */
export function maskedSpans(where: string, cycles: Cycles, invalid: readonly Span[]): readonly Span[] {
  const { samples, sampleRate } = clockOf(where, cycles);
  if (!Array.isArray(invalid)) throw new InputError({ where, argument: 'invalid', expected: 'a list of spans', given: show(invalid) });
  const spans = normaliseSpans(invalid, samples, where);
  const masked = coveredSamples(spans);
  if (Math.abs(masked - cycles.lostTime * sampleRate) > 0.5) {
    throw new InputError({ where, argument: 'invalid', expected: `the masked spans of the counted channel, ${formatSeconds(cycles.lostTime)} in all`, given: `spans of ${formatSeconds(masked / sampleRate)}`, remedy: 'Give invalid of the very channel that was counted.' });
  }
  return spans;
}

/** Windows in order of time, checked. @throws InputError where they overlap or end before they begin */
export function checkWindows(where: string, windows: readonly NamedWindow[]): readonly NamedWindow[] {
  if (!Array.isArray(windows) || windows.length === 0) throw new InputError({ where, argument: 'windows', expected: 'at least one named window', given: show(windows) });
  Array.from(windows as readonly NamedWindow[]).forEach((window, i) => {
    if (typeof window !== 'object' || window === null) throw new InputError({ where, argument: `windows[${i}]`, expected: 'a window with name, from and to', given: show(window) });
    checkText(where, `windows[${i}].name`, window.name, 'a text');
    checkNumber(where, `windows[${i}].from`, window.from, { min: 0, unit: 's' });
    checkNumber(where, `windows[${i}].to`, window.to, { above: window.from, unit: 's' });
  });
  const sorted = [...(windows as readonly NamedWindow[])].sort((a, b) => a.from - b.from);
  for (let i = 1; i < sorted.length; i++) {
    if (sorted[i]!.from < sorted[i - 1]!.to) throw new InputError({ where, argument: 'windows', expected: 'apart from each other', given: `${sorted[i - 1]!.name} to ${sorted[i - 1]!.to} s and ${sorted[i]!.name} from ${sorted[i]!.from} s` });
  }
  return sorted;
}

/** The window that holds a moment; null where none does. */
export function windowAt(sorted: readonly NamedWindow[], seconds: number): NamedWindow | null {
  const window = sorted[countUpTo(sorted.length, (k) => sorted[k]!.from, seconds) - 1];
  return window && seconds < window.to ? window : null;
}
