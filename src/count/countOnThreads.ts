import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import type { Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { sliceSpans } from '../record/span.js';
import type { Unit } from '../record/units.js';
import { assembleCount, type CountParts } from './assemble.js';
import type { CountOptions } from './countCycles.js';
import type { CountTask } from './countWorker.js';
import type { CycleCount } from './CycleCount.js';
import { CycleCounter, type CounterOptions } from './CycleCounter.js';
import { mergeCounts } from './mergeCounts.js';
import { readSignal } from './turningPoints.js';

/** What countOnThreads may be told. */
export interface ThreadOptions<U extends Unit = Unit> extends CountOptions<U> {
  /** Threads in all, this one included: 1 … 64, 2 unless told. */
  readonly threads?: number;
}

/**
 * Counts rainflow cycles on several threads. The signal is cut into as many pieces, each is counted by itself, and the
 * counts are merged: the result is that of countCycles, bit for bit.
 *
 * A piece for another thread is copied, unless its numbers lie in a SharedArrayBuffer. Worth it from some ten million samples on.
 *
 * Cost: one pass, shared; a thread takes about 0.1 s to start.
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
  const { channel, values, unit } = readSignal<U>(where, signal);
  checkOptions(where, options, { optional: ['keep', 'largest', 'most', 'shaft', 'threads', ...(channel ? [] : ['unit', 'sampleRate'])] });
  const threads = Math.min(checkNumber(where, 'threads', options.threads ?? 2, { integer: true, min: 1, max: 64 }), values.length);
  const { keep = 'cycles', largest = 20, most = 50_000_000 } = options;
  const settings: CounterOptions<U> = { unit: channel ? channel.unit : options.unit ?? unit, sampleRate: channel?.sampleRate ?? options.sampleRate ?? 1, keep, largest, most };
  const cuts = Array.from({ length: threads + 1 }, (_, k) => Math.floor((k * values.length) / threads));
  const task = (k: number): CountTask => ({ values: values.subarray(cuts[k]!, cuts[k + 1]!), invalid: sliceSpans(channel?.invalid ?? [], cuts[k]!, cuts[k + 1]!), options: settings });
  const others = Array.from({ length: threads - 1 }, (_, k) => onThread(where, task(k + 1)));
  const own = task(0);
  // The threads start while this one counts; should it throw, theirs are still waited for.
  const first = await settle(() => new CycleCounter(settings).push(own.values, own.invalid).finish());
  const parts = await Promise.allSettled(others);
  const failed = [first, ...parts].find((p) => p.status === 'rejected');
  if (failed) throw failed.reason;
  const start = channel?.start ?? null;
  const piece = (p: ThreadParts): CycleCount<U> => assembleCount({ ...p, unit: settings.unit, sampleRate: settings.sampleRate, start: null, largestKept: largest, sources: [{ name: 'signal', shaft: null, start: null, from: 0, samples: p.samples, trail: [] }] });
  const pieces = [(first as PromiseFulfilledResult<CycleCount<U>>).value, ...parts.map((p) => piece((p as PromiseFulfilledResult<ThreadParts>).value))];
  const whole = mergeCounts(...pieces);
  return assembleCount({
    ...whole, start, lostSamples: whole.samples - whole.validSamples,
    sources: [Object.freeze({ name: channel?.name ?? 'signal', shaft: options.shaft ?? null, start, from: 0, samples: values.length, trail: channel?.trail ?? [] })],
  });
}

type ThreadParts = Pick<CountParts<Unit>, 'closed' | 'histogram' | 'residue' | 'largest' | 'closedCycles' | 'samples' | 'lostSamples'>;

async function settle<T>(work: () => T): Promise<PromiseSettledResult<T>> {
  const [result] = await Promise.allSettled([Promise.resolve().then(work)]);
  return result!;
}

function onThread(where: string, task: CountTask): Promise<ThreadParts> {
  const entry = new URL('./countWorker.js', import.meta.url);
  if (!existsSync(fileURLToPath(entry))) {
    return Promise.reject(new InputError({ where, argument: 'threads', expected: '1 where the library is run from its sources', given: '2 or more', remedy: 'Build it with npm run build.' }));
  }
  const shared = task.values.buffer instanceof SharedArrayBuffer;
  const values = shared ? task.values : task.values.slice();
  return new Promise((resolve, reject) => {
    const worker = new Worker(entry, { workerData: { ...task, values }, transferList: shared ? [] : [values.buffer as ArrayBuffer] });
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', (code) => reject(new Error(`a counting thread ended with code ${code} before its count`)));
  });
}
