import type { Channel } from '../record/Channel.js';
import { checkChannel, validRuns } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import type { Unit } from '../record/units.js';
import { countCycles } from './countCycles.js';

/** A gate that the noise of a record suggests. */
export interface GateSuggestion<U extends Unit = Unit> {
  readonly unit: U;
  /** No closed cycle of the rest windows reaches it. */
  readonly gate: number;
  /** The largest range that closed while nothing happened. */
  readonly largestRange: number;
  /** Closed cycles of the rest windows. */
  readonly cycles: number;
  /** Seconds of the rest windows that were valid. */
  readonly restTime: number;
  readonly notes: readonly string[];
}

/**
 * Suggests a gate from the noise floor: the smallest gate that leaves out every cycle that closed in windows in which
 * the shaft did nothing. Slow drift stays in the residue and does not raise it.
 *
 * Nothing is gated by it: it is a suggestion for gateCycles. Cost: a count of the windows.
 *
 * @param channel the channel that is to be counted, with all its filters
 * @param options rest: windows in seconds from the first sample
 * @returns the gate in the unit of the channel, and what it rests on
 * @throws InputError where the windows hold no closed cycle
 * @see gateCycles
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1, values: [0, 0.2, -0.1, 0.1, 0, 0.3, 50, -50, 40] });
 * suggestGate(torque, { rest: [{ from: 0, to: 6 }] }).largestRange // => 0.1
 */
export function suggestGate<U extends Unit>(channel: Channel<U>, options: { readonly rest: readonly TimeWindow[] }): GateSuggestion<U> {
  const where = 'suggestGate';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['rest'] });
  let largestRange = 0, cycles = 0, samples = 0;
  options.rest.forEach((window, k) => {
    const { from, to } = windowToSamples(where, channel, window, `rest[${k}]`);
    const parts = validRuns(channel).filter((run) => run.to > from && run.from < to).map((run) => channel.values.slice(Math.max(run.from, from), Math.min(run.to, to)));
    for (const part of parts) {
      const count = countCycles(part, { largest: 1 });
      cycles += count.closedCycles;
      samples += part.length;
      largestRange = Math.max(largestRange, count.largest[0]?.range ?? 0);
    }
  });
  if (cycles === 0) {
    throw new InputError({ where, argument: 'rest', expected: 'windows long enough for a cycle of noise to close', given: `${samples} valid samples with no closed cycle`, remedy: 'Give longer rest windows, or choose the gate by hand.' });
  }
  return makeResult<GateSuggestion<U>>('GateSuggestion', {
    unit: channel.unit, gate: largestRange * (1 + Number.EPSILON * 4), largestRange, cycles, restTime: samples / channel.sampleRate,
    notes: Object.freeze([`${cycles} cycles closed in ${(samples / channel.sampleRate).toPrecision(3)} s of rest; a longer rest may show a larger one (common practice, no source).`]),
  }, (g) => `GateSuggestion [${g.unit}]: ${g.gate.toPrecision(3)} from ${g.cycles} cycles of noise`);
}
