import { checkChoice, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { runSections, settledState, zeroPhasePadding, type Sections, type SectionState } from '../numeric/sections.js';
import type { FilterDesign } from './design.js';

/** What a StreamFilter takes. */
export interface StreamFilterOptions {
  /** Forwards and backwards (default true), or once. */
  readonly zeroPhase?: boolean;
  /** How a causal run starts, as in lowpass; default 'settled'. */
  readonly startUp?: 'settled' | 'rest';
}

/** Samples after which the slowest pole of a cascade has forgotten all but 1e-16 of its state. */
function memoryOf(sections: Sections): number {
  let slowest = 0;
  for (let k = 0; k < sections.length; k += 6) {
    const a1 = sections[k + 4]!, a2 = sections[k + 5]!;
    const d = (a1 * a1) / 4 - a2;
    slowest = Math.max(slowest, d < 0 ? Math.sqrt(a2) : Math.abs(a1) / 2 + Math.sqrt(d));
  }
  return slowest === 0 ? 1 : Math.ceil(Math.log(1e-16) / Math.log(slowest)) + 1;
}

/**
 * Filters a run of samples that comes block by block, in memory that does not grow with the run.
 *
 * Definition: as lowpass and its kin over one valid run. Causal: the same bytes as at once. Zero phase: the backward pass begins in samples further on, far enough for the slowest pole
 * to forget how it began, so that the answer agrees with that at once to rounding (1e-11 of the signal); what comes out lags behind what goes in by `delay` samples until finish.
 *
 * A masked span ends a run: finish it, and begin another filter behind the gap.
 *
 * Cost: two walks, the backward one over at most twice the samples.
 *
 * @throws InputError for something that is no design, a block that is no Float64Array of finite numbers, a push after finish, or a run too short for the odd extension
 * @see lowpass, designLowpass, streamChannel
 * @example
 * const design = designLowpass({ cutoff: 50, sampleRate: 1000 });
 * const filter = new StreamFilter(design);
 * const x = Float64Array.from({ length: 1000 }, (_, i) => Math.sin(0.1 * i));
 * const parts = [filter.push(x.subarray(0, 300)), filter.push(x.subarray(300)), filter.finish()];
 * parts.reduce((n, p) => n + p.length, 0) // => 1000
 */
export class StreamFilter {
  /** Most samples that are held back until finish. */
  readonly delay: number;
  private readonly sections: Sections;
  private readonly both: boolean;
  private readonly startUp: 'settled' | 'rest';
  private readonly padding: number;
  private readonly memory: number;
  private ahead: SectionState | null = null;
  /** Zero phase: samples that went forwards and wait for the way back. */
  private waiting: Float64Array;
  private held = 0;
  /** The first samples until there are enough of them, then the last ones, for the odd extensions. */
  private edge: Float64Array = new Float64Array(0);
  private done = false;

  constructor(design: FilterDesign, options: StreamFilterOptions = {}) {
    const where = 'StreamFilter';
    if (kindOf(design) !== 'FilterDesign') throw new InputError({ where, argument: 'design', expected: 'a FilterDesign', given: show(design), remedy: 'Make one with designLowpass and its kin.' });
    checkOptions(where, options, { optional: ['zeroPhase', 'startUp'] });
    this.sections = design.sections;
    if (typeof (options.zeroPhase ?? true) !== 'boolean') throw new InputError({ where, argument: 'zeroPhase', expected: 'true or false', given: show(options.zeroPhase) });
    this.both = options.zeroPhase ?? true;
    this.startUp = checkChoice(where, 'startUp', options.startUp ?? 'settled', ['settled', 'rest']);
    this.padding = zeroPhasePadding(design.sections);
    this.memory = this.both ? memoryOf(design.sections) : 0;
    this.delay = this.both ? 2 * Math.max(this.memory, 16384) : 0;
    this.waiting = new Float64Array(this.both ? this.delay : 0);
  }

  /** Takes the next samples and gives those that are ready, which may be none. */
  push(block: Float64Array): Float64Array {
    if (this.done) throw new InputError({ where: 'StreamFilter.push', argument: 'block', expected: 'pushed before finish', given: 'a push after it', remedy: 'Begin another StreamFilter for the next run.' });
    checkBlock(block);
    if (!this.both) return this.once(block);
    if (!this.ahead) {
      this.edge = joined(this.edge, block);
      if (this.edge.length <= this.padding) return new Float64Array(0);
      const first = this.edge;
      this.begin(first);
      this.edge = first.slice(-this.padding - 1);
      return this.take(first);
    }
    this.edge = joined(this.edge, block.subarray(Math.max(0, block.length - this.padding - 1))).slice(-this.padding - 1);
    return this.take(block);
  }

  /** Ends the run and gives all that was held back. */
  finish(): Float64Array {
    this.done = true;
    if (!this.both) return new Float64Array(0);
    if (!this.ahead) {
      throw new InputError({ where: 'StreamFilter.finish', argument: 'run', expected: `longer than ${this.padding} samples, which the filter needs to settle at the ends`, given: `${this.edge.length}`, remedy: 'Use a lower order, or leave the run out.' });
    }
    const p = this.padding, last = this.edge;
    const tail = Float64Array.from({ length: p }, (_, i) => 2 * last[p]! - last[p - 1 - i]!);
    runSections(this.sections, this.ahead, { input: tail, from: 0, output: tail, to: 0, count: p, step: 1 });
    const back = settledState(this.sections, tail[p - 1]!);
    runSections(this.sections, back, { input: tail, from: p - 1, output: tail, to: p - 1, count: p, step: -1 });
    const rest = this.waiting.slice(0, this.held);
    if (this.held > 0) runSections(this.sections, back, { input: rest, from: this.held - 1, output: rest, to: this.held - 1, count: this.held, step: -1 });
    return rest;
  }

  private once(block: Float64Array): Float64Array {
    if (block.length === 0) return new Float64Array(0);
    this.ahead ??= settledState(this.sections, this.startUp === 'settled' ? block[0]! : 0);
    const out = new Float64Array(block.length);
    runSections(this.sections, this.ahead, { input: block, from: 0, output: out, to: 0, count: block.length, step: 1 });
    return out;
  }

  /** The odd extension before the first sample. */
  private begin(first: Float64Array): void {
    const p = this.padding;
    const head = Float64Array.from({ length: p }, (_, i) => 2 * first[0]! - first[p - i]!);
    this.ahead = settledState(this.sections, head[0]!);
    runSections(this.sections, this.ahead, { input: head, from: 0, output: head, to: 0, count: p, step: 1 });
  }

  /** Sends samples forwards, and those that lie far enough back on the way back. */
  private take(block: Float64Array): Float64Array {
    const ready: Float64Array[] = [];
    for (let at = 0; at < block.length;) {
      const count = Math.min(block.length - at, this.delay - this.held);
      runSections(this.sections, this.ahead!, { input: block, from: at, output: this.waiting, to: this.held, count, step: 1 });
      at += count;
      this.held += count;
      if (this.held === this.delay) ready.push(this.wayBack());
    }
    return ready.length === 1 ? ready[0]! : ready.reduce(joined, new Float64Array(0));
  }

  private wayBack(): Float64Array {
    const n = this.held, keep = this.memory;
    const out = new Float64Array(n);
    const back = settledState(this.sections, this.waiting[n - 1]!);
    runSections(this.sections, back, { input: this.waiting, from: n - 1, output: out, to: n - 1, count: n, step: -1 });
    this.waiting.copyWithin(0, n - keep, n);
    this.held = keep;
    return out.subarray(0, n - keep);
  }
}

/** A number that is none would spoil all that comes after it. */
function checkBlock(block: Float64Array): void {
  const argument = 'block', where = 'StreamFilter.push', expected = 'a Float64Array of finite numbers';
  if (!(block instanceof Float64Array)) throw new InputError({ where, argument, expected, given: show(block) });
  for (let i = 0; i < block.length; i++) {
    if (!(Math.abs(block[i]!) < Infinity)) throw new InputError({ where, argument, expected, given: `${block[i]} at ${i}`, remedy: 'A masked span ends a run: finish it, and begin another StreamFilter behind it.' });
  }
}

function joined(a: Float64Array, b: Float64Array): Float64Array {
  const both = new Float64Array(a.length + b.length);
  both.set(a);
  both.set(b, a.length);
  return both;
}
