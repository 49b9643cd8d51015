import { checkChannel, isChannel, validRuns, type Channel, type Step } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { coveredSamples, normaliseSpans, runsBetween, type Run, type Span } from '../record/span.js';
import { checkStart } from '../record/time.js';
import { isUnit, type Unit } from '../record/units.js';
import { GrowingFloats } from '../numeric/growing.js';
import { orderOf } from '../numeric/order.js';
import { closeCycles, findTurns, newStack, newTurnState, stackBase, type ClassGrid, type ClosedPairs, type OpenStack, type TurnState } from '../numeric/rainflow.js';
import { classifierOf, equalClasses, listEdges, type ClassEdges, type Classifier } from './classes.js';
import { assembleCount } from './assemble.js';
import type { ClosedCycles, CycleCount, FromToHistogram } from './CycleCount.js';
import { LargestKeeper } from './largest.js';
import { checkNext, type Stretch } from './succession.js';
import { checkFinite } from './turningPoints.js';

/** What a count keeps of its closed cycles, and the shaft that it belongs to. */
export interface KeepOptions {
  /** The shaft it is counted on. Counts of different shafts do not merge; of one shaft, channels of different names do. Where one of them does not state it, mergeCounts goes by the channels' names. */
  readonly shaft?: string;
  /** 'cycles' (default): every one, exactly. Class edges: a from–to histogram, and exactly only those outside the edges. */
  readonly keep?: 'cycles' | { readonly edges: ClassEdges };
  /** How many of the largest closed cycles to keep with their time stamps; 20 unless told. */
  readonly largest?: number;
  /** How many closed cycles may be kept exactly before the count is refused (40 bytes each); 50 million unless told. */
  readonly most?: number;
}

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

/** Samples between two stops of the kernel. */
const chunk = 4096;
/** Scratch arrays of the kernel; nothing in them outlives a call. */
const turns: Float64Array = new Float64Array(chunk + 2);
const places: Int32Array = new Int32Array(chunk + 3);
const out: ClosedPairs = { values: new Float64Array(2 * chunk), at: new Float64Array(2 * chunk) };

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
  readonly #most: number;
  readonly #turn: TurnState = newTurnState();
  readonly #stack: OpenStack = newStack();
  readonly #kept: GrowingFloats = new GrowingFloats();
  readonly #keptAt: GrowingFloats = new GrowingFloats();
  readonly #largest: LargestKeeper;
  readonly #edges: Float64Array | null;
  readonly #classOf: Classifier | null;
  /** One row and one column more than there are classes: rounding may take a value next to the last edge there. */
  readonly #counts: Float64Array;
  /** Equal classes, in which the kernel itself counts. */
  readonly #grid: ClassGrid | null;
  /** The name of its channels: the one that was stated, or that of the first. */
  #name: string | null;
  /** What was counted since the latest known instant. */
  #before: Stretch | null;
  #samples = 0;
  #lost = 0;
  #closed = 0;

  constructor(options: CounterOptions<U>) {
    const where = 'CycleCounter';
    checkOptions(where, options, { required: ['unit', 'sampleRate'], optional: ['start', 'name', 'shaft', 'trail', 'keep', 'largest', 'most'] });
    if (options.shaft !== undefined && (typeof options.shaft !== 'string' || options.shaft === '')) throw new InputError({ where, argument: 'shaft', expected: 'the name of a shaft', given: show(options.shaft) });
    if (!isUnit(options.unit)) throw new InputError({ where, argument: 'unit', expected: 'a unit', given: show(options.unit) });
    checkNumber(where, 'sampleRate', options.sampleRate, { above: 0, unit: 'Hz' });
    checkStart(where, options.start ?? null);
    const { keep = 'cycles', largest = 20, most = 50_000_000 } = options;
    if (keep !== 'cycles' && (typeof keep !== 'object' || keep === null || !('edges' in keep))) {
      throw new InputError({ where, argument: 'keep', expected: "'cycles' or { edges }", given: show(keep) });
    }
    this.#options = { ...options, largest: checkNumber(where, 'largest', largest, { integer: true, min: 0, max: 10_000 }) };
    this.#name = options.name ?? null;
    this.#before = typeof options.start === 'string' ? { start: options.start, samples: 0 } : null;
    this.#most = checkNumber(where, 'most', most, { integer: true, min: 1 });
    this.#largest = new LargestKeeper(largest);
    this.#edges = keep === 'cycles' ? null : listEdges(where, 'keep.edges', keep.edges);
    this.#classOf = this.#edges && classifierOf(this.#edges);
    this.#counts = new Float64Array(this.#edges ? this.#edges.length ** 2 : 0);
    const equal = this.#edges && equalClasses(this.#edges);
    this.#grid = equal && { ...equal, counts: this.#counts };
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
    for (const run of runs) checkFinite(where, block.subarray(run.from, run.to));
    this.#take(block, runs);
    return this;
  }

  /** The count so far. More blocks may follow. */
  finish(): CycleCount<U> {
    const turn = this.#turn;
    const stack = this.#stack;
    if (turn.stage === 2) {
      // The latest value stands as the last turning point; should the signal go on in its direction, what it closes stays closed.
      turns[0] = turn.last;
      turn.firstAt = turn.lastAt;
      this.#close(1, 0);
      stack.depth--;
      stack.peak = !stack.peak;
    }
    const end = turn.stage === 0 ? [] : [turn];
    const { unit, sampleRate, start = null, name = 'signal', shaft = null, trail = [], largest = 20 } = this.#options;
    const open = stack.depth - stackBase;
    const residue = { values: new Float64Array(open + end.length), at: new Float64Array(open + end.length) };
    residue.values.set(stack.values.subarray(stackBase, stack.depth));
    residue.at.set(stack.at.subarray(stackBase, stack.depth));
    end.forEach((t) => {
      residue.values[open] = t.last;
      residue.at[open] = t.lastAt;
    });
    return assembleCount({
      unit, sampleRate, start, samples: this.#samples, lostSamples: this.#lost, closed: this.#sorted(), closedCycles: this.#closed,
      histogram: this.#edges && this.#histogram(this.#edges),
      residue, largest: this.#largest.list(), largestKept: largest,
      sources: [Object.freeze({ name, shaft, start, from: 0, samples: this.#samples, trail })],
    });
  }

  #take(values: Float64Array, runs: readonly Run[]): void {
    const turn = this.#turn;
    for (const run of runs) {
      for (let from = run.from; from < run.to; from += chunk) {
        const known = turn.stage === 2;
        const found = findTurns(turn, values, from, Math.min(run.to, from + chunk), this.#samples, turns, places);
        if (!known && turn.stage === 2) this.#stack.peak = turns[0]! > (found > 1 ? turns[1]! : turn.last);
        this.#close(found, this.#samples);
      }
    }
    if (this.#before) this.#before = { start: this.#before.start, samples: this.#before.samples + values.length };
    this.#samples += values.length;
    this.#lost += values.length - coveredSamples(runs);
  }

  #close(found: number, offset: number): void {
    const before = this.#stack.depth;
    const handed = closeCycles(this.#stack, turns, places, found, this.#turn.firstAt, offset, out, this.#grid, this.#largest.floor);
    this.#closed += (before + found - this.#stack.depth) / 2;
    this.#keep(handed);
  }

  /** Takes what the kernel handed out: large cycles, and those that it did not count in a class itself. */
  #keep(handed: number): void {
    const { values, at } = out;
    const grid = this.#grid;
    const classOf = this.#classOf;
    const classes = this.#edges ? this.#edges.length - 1 : 0;
    const kept = this.#kept.room(2 * handed);
    const keptAt = this.#keptAt.room(2 * handed);
    let n = this.#kept.length;
    for (let k = 0; k < 2 * handed; k += 2) {
      const from = values[k]!;
      const to = values[k + 1]!;
      if (Math.abs(from - to) >= this.#largest.floor) this.#largest.offer(from, to, at[k]!, at[k + 1]!);
      if (classOf !== null) {
        if (grid !== null && Math.min(from, to) >= grid.low && Math.max(from, to) < grid.high) continue;
        const i = classOf(from);
        const j = classOf(to);
        if (i >= 0 && j >= 0 && i < classes && j < classes) {
          this.#counts[i * (classes + 1) + j]!++;
          continue;
        }
      }
      kept[n] = from;
      kept[n + 1] = to;
      keptAt[n] = at[k]!;
      keptAt[n + 1] = at[k + 1]!;
      n += 2;
    }
    this.#kept.length = n;
    this.#keptAt.length = n;
    if (n > 2 * this.#most) {
      throw new InputError({
        where: 'countCycles', argument: 'number of closed cycles to keep', expected: `at most ${this.#most}`, given: `${n / 2}`,
        remedy: this.#edges ? 'Widen the class edges, or raise most.' : 'Keep a histogram with keep: { edges: { from, to, classes } }, or raise most.',
      });
    }
  }

  #histogram(edges: Float64Array): FromToHistogram {
    const classes = edges.length - 1;
    const counts = new Float64Array(classes * classes);
    this.#counts.forEach((count, k) => {
      const i = Math.min(classes - 1, Math.floor(k / (classes + 1)));
      const j = Math.min(classes - 1, k % (classes + 1));
      counts[i * classes + j]! += count;
    });
    return { edges, classes, counts };
  }

  #sorted(): ClosedCycles {
    const kept = this.#kept.toArray();
    const keptAt = this.#keptAt.toArray();
    const n = kept.length / 2;
    const order = orderOf(Float64Array.from({ length: n }, (_, k) => keptAt[2 * k + 1]!));
    const pick = (source: Float64Array, side: 0 | 1): Float64Array => {
      const out = new Float64Array(n);
      for (let k = 0; k < n; k++) out[k] = source[2 * order[k]! + side]!;
      return out;
    };
    return { from: pick(kept, 0), to: pick(kept, 1), fromAt: pick(keptAt, 0), at: pick(keptAt, 1) };
  }
}
