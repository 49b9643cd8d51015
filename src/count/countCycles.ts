import type { Channel } from '../record/Channel.js';
import { checkOptions } from '../record/check.js';
import type { Unit } from '../record/units.js';
import type { KeepOptions } from './ClosedKeeper.js';
import { CycleCounter } from './CycleCounter.js';
import type { CycleCount } from './CycleCount.js';
import { readSignal } from './turningPoints.js';

/** What countCycles may be told. */
export interface CountOptions<U extends Unit = Unit> extends KeepOptions {
  /** The unit of bare numbers; '1' unless told. Channels bring their own. */
  readonly unit?: U;
  /** Samples per second of bare numbers; 1 Hz unless told. Channels bring their own. */
  readonly sampleRate?: number;
}

/**
 * Counts rainflow cycles of a signal: the exact closed cycles and the residue.
 *
 * Of four successive turning points x₁ x₂ x₃ x₄ the inner two are a closed cycle where |x₃ − x₂| is not larger than
 * either neighbouring range; they are taken out and the rest is looked at again. Of two equal turning points the later
 * one counts as the higher, so that the pairing is unique. Ranges are exact: no classes, no gate.
 *
 * Masked spans are bridged: the turning points on both sides join, and the lost time is carried.
 *
 * Kept: every closed cycle with its place, the residue, the largest cycles with time stamps, the trail of the channel.
 * Cost: one pass; 40 bytes for each closed cycle, or one matrix where class edges are declared.
 *
 * @param signal a channel, or bare numbers
 * @param options what to keep, and the shaft; all of it may be left out
 * @returns the count; mergeCounts joins counts of successive pieces, closeResidue makes cycles for damage of it
 * @throws InputError where nothing valid is there, a number is too large for a finite range or mean, or more cycles close than may be kept
 * @see CycleCounter mergeCounts closeResidue gateCycles
 * @example
 * const count = countCycles(Float64Array.of(-2, 1, -3, 5, -1, 3, -4, 4, -2));
 * count.closed.from // => [-1]
 * count.closed.to // => [3]
 * count.residue.values // => [-2,1,-3,5,-4,4,-2]
 * @references C. Amzallag, J. P. Gerey, J. L. Robert and J. Bahuaud, Standardization of the rainflow counting method for fatigue analysis, Int. J. Fatigue 16 (1994) 287–293.
 */
export function countCycles<U extends Unit = '1'>(signal: Channel<U> | Float64Array, options: CountOptions<U> = {}): CycleCount<U> {
  const where = 'countCycles';
  const { channel, values, unit } = readSignal<U>(where, signal);
  checkOptions(where, options, { optional: ['keep', 'largest', 'most', 'shaft', ...(channel ? [] : ['unit', 'sampleRate'])] });
  const { keep = 'cycles', largest = 20, most = 50_000_000, shaft } = options;
  const kept = { keep, largest, most, ...(shaft === undefined ? {} : { shaft }) };
  const counter = new CycleCounter<U>(channel
    ? { unit: channel.unit, sampleRate: channel.sampleRate, start: channel.start, name: channel.name, trail: channel.trail, ...kept }
    : { unit: options.unit ?? unit, sampleRate: options.sampleRate ?? 1, ...kept });
  return counter.push(channel ?? values).finish();
}
