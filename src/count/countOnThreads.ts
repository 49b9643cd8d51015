import type { Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { sliceSpans, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { assembleCount } from './assemble.js';
import { checkKept } from './ClosedKeeper.js';
import type { CountOptions } from './countCycles.js';
import { CountingThread, stretchLength } from './CountingThread.js';
import type { ThreadParts } from './countWorker.js';
import type { CycleCount } from './CycleCount.js';
import { CycleCounter, type CounterOptions } from './CycleCounter.js';
import { mergeCounts } from './mergeCounts.js';
import { checkFinite, checkSizes, readSignal } from './turningPoints.js';

/** What countOnThreads may be told. */
export interface ThreadOptions<U extends Unit = Unit> extends CountOptions<U> {
  /** Threads in all, this one included: 1 … 64, 2 unless told. */
  readonly threads?: number;
}

/**
 * Counts rainflow cycles on several threads. The signal is cut into as many pieces, each is counted by itself, and the
 * counts are merged: the result is that of countCycles, bit for bit.
 *
 * The samples of another thread pass through 2 MB that both see. Worth it in classes, from some thirty million samples on
 * or from one million on where the threads wait already. Where every cycle is kept, sorting and joining them takes longer
 * than finding them, and one thread is as quick.
 *
 * Cost: one pass, shared; a thread takes about 0.1 s to start, and waits for the next count.
 *
 * @param signal a channel, or bare numbers
 * @param options as of countCycles, and threads
 * @returns the count
 * @throws InputError as countCycles does; an error of a thread is passed on
 * @see countCycles mergeCounts
 * @example (not run: needs the built library) await countOnThreads(torque, { threads: 2 })
 */
export async function countOnThreads<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: ThreadOptions<U> = {}): Promise<CycleCount<U>> {
  const where = 'countOnThreads';
  const { channel, values, unit, runs } = readSignal<U>(where, signal, false);
  checkOptions(where, options, { optional: ['keep', 'largest', 'most', 'shaft', 'threads', ...(channel ? [] : ['unit', 'sampleRate'])] });
  const threads = Math.min(checkNumber(where, 'threads', options.threads ?? 2, { integer: true, min: 1, max: 64 }), values.length);
  const { keep = 'cycles', largest = 20, most = 50_000_000 } = options;
  const settings: CounterOptions<U> = { unit: channel ? channel.unit : options.unit ?? unit, sampleRate: channel?.sampleRate ?? options.sampleRate ?? 1, keep, largest, most };
  const cuts = Array.from({ length: threads + 1 }, (_, k) => Math.floor((k * values.length) / threads));
  const masks = (from: number, to: number): readonly Span[] => sliceSpans(channel?.invalid ?? [], from, to);
  const others = cuts.slice(1, -1).map(() => CountingThread.start(where));
  const theirs = Promise.all(others.map((thread, k) => thread.count(values.subarray(cuts[k + 1]!, cuts[k + 2]!), masks(cuts[k + 1]!, cuts[k + 2]!), settings)));
  const own = new CycleCounter(settings);
  try {
    for (let from = 0; from < cuts[1]!; from += stretchLength) {
      const to = Math.min(from + stretchLength, cuts[1]!);
      own.push(values.subarray(from, to), masks(from, to));
      for (const thread of others) thread.feed();
    }
    const pieces = [own.finish(), ...(await theirs).map((parts) => countOf(parts, settings, largest))];
    // Each thread keeps to the bound by itself; the whole does it here.
    checkKept(where, pieces.reduce((sum, piece) => sum + piece.closed.at.length, 0), most, keep !== 'cycles');
    const count = named(mergeCounts<Unit>(...pieces) as CycleCount<U>, channel, options.shaft ?? null);
    await Promise.all(others.map((thread, k) => thread.rest(pieces[k + 1]!.closed.at.length)));
    return count;
  } catch (error) {
    theirs.catch(() => undefined);
    await Promise.all(others.map((thread) => thread.end()));
    // A thread knows its own samples only: numbers that are refused are named by their place in the whole.
    if (!channel) checkFinite(where, values);
    for (const run of runs) checkSizes(channel?.name ?? 'signal', values.subarray(run.from, run.to), (k) => run.from + k);
    throw error;
  }
}

function countOf<U extends Unit>(parts: ThreadParts, { unit, sampleRate }: CounterOptions<U>, largestKept: number): CycleCount<U> {
  return assembleCount({ ...parts, unit, sampleRate, start: null, largestKept, sources: [{ name: 'signal', shaft: null, start: null, from: 0, samples: parts.samples, trail: [] }] });
}

/** The count of the pieces as one of the signal that they were cut from. */
function named<U extends Unit>(whole: CycleCount<U>, channel: Channel<U> | null, shaft: string | null): CycleCount<U> {
  const start = channel?.start ?? null;
  return assembleCount({
    ...whole, start, lostSamples: whole.samples - whole.validSamples,
    sources: [Object.freeze({ name: channel?.name ?? 'signal', shaft, start, from: 0, samples: whole.samples, trail: channel?.trail ?? [] })],
  });
}
