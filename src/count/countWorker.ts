// The entry of a counting thread: counts the piece it was started with and sends the parts of the count back.
import { parentPort, workerData } from 'node:worker_threads';
import type { Span } from '../record/span.js';
import { CycleCounter, type CounterOptions } from './CycleCounter.js';
import type { Unit } from '../record/units.js';

/** What a counting thread is started with. */
export interface CountTask {
  readonly values: Float64Array;
  readonly invalid: readonly Span[];
  readonly options: CounterOptions<Unit>;
}

if (parentPort) {
  const { values, invalid, options } = workerData as CountTask;
  const { closed, histogram, residue, largest, closedCycles, samples, validSamples } = new CycleCounter(options).push(values, invalid).finish();
  const arrays = [closed.from, closed.to, closed.fromAt, closed.at, residue.values, residue.at];
  parentPort.postMessage({ closed, histogram, residue, largest, closedCycles, samples, lostSamples: samples - validSamples }, arrays.map((a) => a.buffer as ArrayBuffer));
}
