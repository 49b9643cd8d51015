import type { Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { defineOperation } from '../record/operation.js';
import { checkFaults, faults, type Fault, type Span } from '../record/span.js';
import type { Unit } from '../record/units.js';

/** What may have happened while nothing was seen. Physical choices: none has a default. */
export interface WorstCaseOptions {
  /** Lowest and highest value that the shaft could have seen, in the channel's unit. */
  readonly low: number;
  readonly high: number;
  /** Full swings between the two per second of loss. */
  readonly cyclesPerSecond: number;
  /** Reasons that are filled. Default every reason. */
  readonly why?: readonly Fault[];
}

const operation = defineOperation<WorstCaseOptions>('worstCase', (channel, options) => {
  const where = 'worstCase';
  checkOptions(where, options, { required: ['low', 'high', 'cyclesPerSecond'], optional: ['why'] });
  const { low, high, cyclesPerSecond } = options;
  checkNumber(where, 'low', low, { unit: channel.unit });
  checkNumber(where, 'high', high, { above: low, unit: channel.unit });
  checkNumber(where, 'cyclesPerSecond', cyclesPerSecond, { min: 0, below: channel.sampleRate / 2, unit: 'Hz' });
  const why = checkFaults(where, options.why ?? faults);
  const values = channel.values.slice();
  const kept: Span[] = [];
  let reversals = 0, spans = 0;
  for (const span of channel.invalid) {
    if (!why.includes(span.why)) {
      kept.push(span);
      continue;
    }
    spans++;
    reversals += span.why === 'rail' ? fillRail(values, span, low, high) : fillGap(values, span, low, high, cyclesPerSecond / channel.sampleRate);
  }
  if (spans === 0) throw new InputError({ where, argument: 'why', expected: 'reasons for which something is masked', given: why.join(', ') });
  return { values, invalid: kept, found: { spans, reversals, low, high } };
});

/** A railed span goes to the bound on its own side. */
function fillRail(values: Float64Array, span: Span, low: number, high: number): number {
  const bound = values[span.from]! >= (low + high) / 2 ? high : low;
  values.fill(bound, span.from, span.to);
  return 1;
}

/** A gap swings between the bounds, first to the one farther from what came before. */
function fillGap(values: Float64Array, span: Span, low: number, high: number, cyclesPerSample: number): number {
  const length = span.to - span.from;
  const swings = Math.min(length, Math.max(2, Math.ceil(2 * cyclesPerSample * length)));
  const before = span.from > 0 ? values[span.from - 1]! : low;
  const first = high - before >= before - low ? 1 : 0;
  for (let i = 0; i < length; i++) values[span.from + i] = (Math.floor((i * swings) / length) + first) % 2 === 1 ? high : low;
  return swings;
}

/**
 * Fills masked spans with the worst that may have happened in them, for an upper bound of damage. It is a bound, no reconstruction: count it beside the
 * masked channel (the lower bound, which leaves the lost time out) and show both; take no mean, power or spectrum of it.
 *
 * A gap swings between low and high, `cyclesPerSecond` times a second and once at least; a railed span goes to the bound on its side. The filled samples count as valid.
 *
 * @param channel with masks
 * @param options low and high in the channel's unit, cyclesPerSecond in Hz (0 for one swing a gap), why
 * @returns the channel with the spans filled
 * @throws InputError where nothing is masked for the reasons given, or a bound is missing
 * @see markInvalid, lossMap
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, NaN, NaN, 3] });
 * Array.from(worstCase(T, { low: -5, high: 9, cyclesPerSecond: 0 }).values) // => [1,2,9,-5,3]
 */
export function worstCase<U extends Unit>(channel: Channel<U>, options: WorstCaseOptions): Channel<U> {
  return operation(channel, options) as Channel<U>;
}
