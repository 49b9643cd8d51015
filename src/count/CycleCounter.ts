import { checkChannel, isChannel, validRuns, type Channel, type Step } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { coveredSamples, normaliseSpans, runsBetween, type Run, type Span } from '../record/span.js';
import { checkStart } from '../record/time.js';
import { isUnit, type Unit } from '../record/units.js';
import { closeCycles, newStack, stackBase, type OpenStack } from '../numeric/closeCycles.js';
import { countingBlock } from '../numeric/countingBlock.js';
import { findTurns, newTurnState, type TurnState } from '../numeric/findTurns.js';
import { assembleCount } from './assemble.js';
import { ClosedKeeper, type KeepOptions } from './ClosedKeeper.js';
import type { CycleCount, Residue } from './CycleCount.js';
import { checkNext, type Stretch } from './succession.js';
import { checkFinite, checkSizes } from './turningPoints.js';

/** What a counter is told of the signal that it will be fed. */
export interface CounterOptions<U extends Unit> extends KeepOptions {
  readonly unit: U;
  /** Hz. */
  readonly sampleRate: number;
  readonly start?: string | null;
  readonly name?: string;
  /** The steps that led to the signal. */
  readonly trail?: readonly Step[];
}

/**
 * A rainflow count that is fed block by block: the count of the blocks is the count of the whole signal, bit for bit.
 * It holds the open turning points and what is kept of the closed cycles; with class edges its memory does not grow with the length.
 *
 * @see countCycles mergeCounts
 * @example
 * const counter = new CycleCounter({ unit: 'N·m', sampleRate: 100 });
 * counter.push(Float64Array.of(0, 4, -6, 8, -2));
 * counter.push(Float64Array.of(2, -10, 6, -4, 3, 0));
 * counter.finish().closed.from // => [-2]
 */
export class CycleCounter<U extends Unit = Unit> {
  readonly #options: CounterOptions<U>;
  readonly #turn: TurnState = newTurnState();
  readonly #stack: OpenStack = newStack();
  readonly #keeper: ClosedKeeper;
  readonly #closed = (cycles: number): void => this.#keeper.take(cycles);
  /** The name of its channels: the one that was stated, or that of the first. */
  #name: string | null;
  /** What was counted since the latest known instant. */
  #before: Stretch | null;
  #samples = 0;
  #lost = 0;

  constructor(options: CounterOptions<U>) {
    const where = 'CycleCounter';
    checkOptions(where, options, { required: ['unit', 'sampleRate'], optional: ['start', 'name', 'shaft', 'trail', 'keep', 'largest', 'most'] });
    if (options.shaft !== undefined && (typeof options.shaft !== 'string' || options.shaft === '')) throw new InputError({ where, argument: 'shaft', expected: 'the name of a shaft', given: show(options.shaft) });
    if (!isUnit(options.unit)) throw new InputError({ where, argument: 'unit', expected: 'a unit', given: show(options.unit) });
    checkNumber(where, 'sampleRate', options.sampleRate, { above: 0, unit: 'Hz' });
    checkStart(where, options.start ?? null);
    this.#options = options;
    this.#keeper = new ClosedKeeper(where, options);
    this.#name = options.name ?? null;
    this.#before = typeof options.start === 'string' ? { start: options.start, samples: 0 } : null;
  }

  /**
   * Counts on over the next samples.
   *
   * @param block the samples that follow the ones before: bare numbers, or a channel of the same unit, rate and name that begins where they ended (to half a sample, where both starts are known)
   * @param invalid masked spans of bare numbers, counted from the block's first sample; the count bridges them
   * @returns the counter itself
   * @throws InputError for another unit, rate or name, a channel that begins before or after that end (join counts with mergeCounts), or a bare number outside the masks that is not finite
   */
  push(block: Float64Array | Channel<U>, invalid: readonly Span[] = []): this {
    const where = 'CycleCounter.push';
    if (isChannel(block)) {
      checkChannel(where, block, [this.#options.unit]);
      if (block.sampleRate !== this.#options.sampleRate) {
        throw new InputError({ where, argument: `sampleRate of ${block.name}`, expected: `${this.#options.sampleRate} Hz, as the counter's`, given: `${block.sampleRate} Hz`, remedy: 'Resample the channel first.' });
      }
      checkNext(where, block, this.#name, this.#before);
      this.#name = block.name;
      this.#take(block.values, validRuns(block));
      if (block.start !== null) this.#before = { start: block.start, samples: block.values.length };
      return this;
    }
    if (!(block instanceof Float64Array)) throw new InputError({ where, argument: 'block', expected: 'a Float64Array or a Channel', given: show(block) });
    const runs = runsBetween(normaliseSpans(invalid, block.length, where), block.length);
    for (const run of runs) checkFinite(where, block.subarray(run.from, run.to), run.from);
    this.#take(block, runs);
    return this;
  }

  /** The count so far. More blocks may follow. @throws InputError where a number is too large for a finite range or mean */
  finish(): CycleCount<U> {
    const { unit, sampleRate, start = null, name = 'signal', shaft = null, trail = [], largest = 20 } = this.#options;
    const residue = this.#residue();
    checkSizes(this.#name ?? name, residue.values, (k) => residue.at[k]!);
    const keeper = this.#keeper;
    return assembleCount({
      unit, sampleRate, start, samples: this.#samples, lostSamples: this.#lost, closed: keeper.cycles(), closedCycles: keeper.taken, histogram: keeper.histogram(),
      residue, largest: keeper.largest.list(), largestKept: largest,
      sources: [Object.freeze({ name, shaft, start, from: 0, samples: this.#samples, trail })],
    });
  }

  /** What is open, the highest and the lowest value among it. The latest value stands as its last turning point; should the signal go on in its direction, what it closes stays closed. */
  #residue(): Residue {
    const turn = this.#turn;
    const stack = this.#stack;
    if (turn.stage === 2) {
      countingBlock.turns[0] = turn.last;
      countingBlock.places[0] = turn.lastAt;
      closeCycles(stack, 1, turn.rising, this.#closed);
      stack.depth--;
    }
    const open = stack.depth - stackBase;
    const length = turn.stage === 0 ? 0 : open + 1;
    const values = new Float64Array(length).fill(turn.last, open);
    const at = new Float64Array(length).fill(turn.lastAt, open);
    values.set(stack.values.subarray(stackBase, stack.depth));
    at.set(stack.at.subarray(stackBase, stack.depth));
    return { values, at };
  }

  #take(values: Float64Array, runs: readonly Run[]): void {
    const turn = this.#turn;
    for (const run of runs) {
      for (let from = run.from; from < run.to; from += countingBlock.length) {
        const found = findTurns(turn, values, from, Math.min(run.to, from + countingBlock.length), this.#samples);
        closeCycles(this.#stack, found, (turn.rising ^ found) & 1, this.#closed);
      }
    }
    if (this.#before) this.#before = { start: this.#before.start, samples: this.#before.samples + values.length };
    this.#samples += values.length;
    this.#lost += values.length - coveredSamples(runs);
  }
}
