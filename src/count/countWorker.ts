// A counting thread. It is sent the options of a count and then one stretch of samples after the other; after each it
// answers null, after the last one with the parts of the count.
import { parentPort, workerData } from 'node:worker_threads';
import type { Span } from '../record/span.js';
import type { CountParts } from './assemble.js';
import { CycleCounter, type CounterOptions } from './CycleCounter.js';
import type { Unit } from '../record/units.js';

/** Memory that two threads see. */
export interface SharedRing {
  readonly samples: Float64Array;
  /** taken[0]: how many stretches of the present count were taken. */
  readonly taken: Int32Array;
}

/** Samples of the ring that come next. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  /** Masked spans, from the stretch's first sample. */
  readonly invalid: readonly Span[];
  readonly last: boolean;
}

/** What a thread gives for its part of a signal. */
export type ThreadParts = Pick<CountParts<Unit>, 'closed' | 'histogram' | 'residue' | 'largest' | 'closedCycles' | 'samples' | 'lostSamples'>;

if (parentPort) {
  const port = parentPort;
  const { samples, taken } = workerData as SharedRing;
  let counter: CycleCounter | null = null;
  port.on('message', (message: CounterOptions<Unit> | Stretch) => {
    if ('unit' in message) {
      counter = new CycleCounter(message);
      return;
    }
    counter!.push(samples.subarray(message.from, message.to), message.invalid);
    Atomics.add(taken, 0, 1);
    if (!message.last) {
      port.postMessage(null);
      return;
    }
    const parts = partsOf(counter!);
    counter = null;
    port.postMessage(parts, buffersOf(parts));
  });
}

function partsOf(counter: CycleCounter): ThreadParts {
  const { closed, histogram, residue, largest, closedCycles, samples, validSamples } = counter.finish();
  return { closed, histogram, residue, largest, closedCycles, samples, lostSamples: samples - validSamples };
}

/** What need not be copied on the way. */
function buffersOf({ closed, residue }: ThreadParts): ArrayBuffer[] {
  return [closed.from, closed.to, closed.fromAt, closed.at, residue.values, residue.at].map((a) => a.buffer as ArrayBuffer);
}
