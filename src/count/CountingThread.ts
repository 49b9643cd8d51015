import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { InputError } from '../record/errors.js';
import { sliceSpans, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';
import type { SharedRing, Stretch, ThreadParts } from './countWorker.js';
import type { CounterOptions } from './CycleCounter.js';

/** Samples that a thread is handed at once. */
export const stretchLength = 65_536;
/** Stretches that may wait for it. */
const waiting = 4;
/** Closed cycles that a thread may have kept if it is to wait: what it kept takes memory until it counts again, 40 bytes each or more. */
const mostKept = 1_000_000;
/** Threads that have counted and wait for the next count; they do not keep the process alive. */
const idle: CountingThread[] = [];

/** A thread that counts. Its samples pass through a small memory that both threads see: so a long signal is never copied as a whole. */
export class CountingThread {
  readonly #worker: Worker;
  readonly #ring: SharedRing = { samples: new Float64Array(new SharedArrayBuffer(8 * waiting * stretchLength)), taken: new Int32Array(new SharedArrayBuffer(4)) };
  #values: Float64Array = new Float64Array(0);
  #invalid: readonly Span[] = [];
  /** The first sample that was not handed over yet, and how many stretches were. */
  #next = 0;
  #given = 0;

  /** A thread that waits, or a new one. @throws InputError where the library is not built */
  static start(where: string): CountingThread {
    const entry = new URL('./countWorker.js', import.meta.url);
    if (!existsSync(fileURLToPath(entry))) {
      throw new InputError({ where, argument: 'threads', expected: '1 where the library is run from its sources', given: '2 or more', remedy: 'Build it with npm run build.' });
    }
    return idle.pop() ?? new CountingThread(entry);
  }

  private constructor(entry: URL) {
    this.#worker = new Worker(entry, { workerData: this.#ring });
  }

  /** Counts values; masked spans are counted from their first one. Call feed while they are being counted, as often as there is time. */
  async count(values: Float64Array, invalid: readonly Span[], options: CounterOptions<Unit>): Promise<ThreadParts> {
    this.#values = values;
    this.#invalid = invalid;
    this.#next = 0;
    this.#given = 0;
    Atomics.store(this.#ring.taken, 0, 0);
    const worker = this.#worker;
    worker.ref();
    worker.postMessage(options);
    this.feed();
    return await new Promise((resolve, reject) => {
      worker.on('message', (parts: ThreadParts | null) => (parts ? resolve(parts) : this.feed()));
      worker.once('error', reject);
      worker.once('exit', (code) => reject(new Error(`a counting thread ended with code ${code} before its count`)));
    });
  }

  /** Hands over as many stretches as there is room for. */
  feed(): void {
    const { samples, taken } = this.#ring;
    while (this.#next < this.#values.length && this.#given - Atomics.load(taken, 0) < waiting) {
      const end = Math.min(this.#next + stretchLength, this.#values.length);
      const from = (this.#given % waiting) * stretchLength;
      const stretch: Stretch = { from, to: from + end - this.#next, invalid: sliceSpans(this.#invalid, this.#next, end), last: end === this.#values.length };
      samples.set(this.#values.subarray(this.#next, end), from);
      this.#worker.postMessage(stretch);
      this.#next = end;
      this.#given++;
    }
  }

  /** Lets the thread wait for the next count, unless it kept many cycles. */
  async rest(kept: number): Promise<void> {
    for (const event of ['message', 'error', 'exit']) this.#worker.removeAllListeners(event);
    this.#values = new Float64Array(0);
    if (kept > mostKept) return await this.end();
    this.#worker.unref();
    idle.push(this);
  }

  /** Ends the thread, whatever it does. */
  async end(): Promise<void> {
    await this.#worker.terminate();
  }
}
