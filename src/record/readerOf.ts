import { validRuns, type Channel } from './Channel.js';
import { InputError } from './errors.js';
import { instantToNanoseconds } from './time.js';

/** Seconds from the first sample of `from` to the first sample of `to`; 0 where one of the two starts is not known. */
export function startOffset(from: string | null, to: string | null): number {
  if (from === null || to === null) return 0;
  return Number(instantToNanoseconds(to) - instantToNanoseconds(from)) / 1e9;
}

/**
 * Reads a slower or faster companion channel on the subject's clock, by straight lines between its valid samples.
 *
 * Where both starts are known the clocks are compared by them; else both are taken to begin together. The first and last valid
 * value hold for up to one sample of the companion beyond its ends.
 *
 * @returns a reader: seconds on the subject's clock → value, for times that do not run back
 * @throws InputError from the reader for a time the companion does not cover
 */
export function readerOf(where: string, companion: Channel, role: string, subjectStart: string | null): (seconds: number) => number {
  const shift = startOffset(companion.start, subjectStart);
  const { values, sampleRate } = companion;
  const runs = validRuns(companion);
  if (runs.length === 0) throw new InputError({ where, argument: role, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const first = runs[0]!.from;
  const last = runs.at(-1)!.to - 1;
  let r = 0;
  return (seconds) => {
    const at = (seconds + shift) * sampleRate;
    if (at < first - 1 || at > last + 1) {
      throw new InputError({ where, argument: role, expected: 'valid over the whole record', given: `${companion.name} without a value at ${seconds.toPrecision(6)} s`, remedy: 'Slice the record to the part that both cover.' });
    }
    if (at <= first) return values[first]!;
    if (at >= last) return values[last]!;
    while (r > 0 && at < runs[r]!.from) r--;
    while (at >= runs[r]!.to - 1 && r + 1 < runs.length && at >= runs[r + 1]!.from) r++;
    const run = runs[r]!;
    if (at <= run.to - 1) {
      const i = Math.min(Math.floor(at), run.to - 2);
      return i < run.from ? values[run.from]! : values[i]! + (at - i) * (values[i + 1]! - values[i]!);
    }
    const a = run.to - 1;
    const b = runs[r + 1]!.from;
    return values[a]! + ((at - a) / (b - a)) * (values[b]! - values[a]!);
  };
}
