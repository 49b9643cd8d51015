import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { countInClasses, type ClassGrid } from '../numeric/countInClasses.js';
import { countingBlock } from '../numeric/countingBlock.js';
import { GrowingFloats } from '../numeric/growing.js';
import { orderOf } from '../numeric/order.js';
import { classifierOf, equalClasses, listEdges, type ClassEdges, type Classifier } from './classes.js';
import type { ClosedCycles, FromToHistogram } from './CycleCount.js';
import { LargestKeeper } from './largest.js';

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

/** Refuses to keep more cycles than asked. @throws InputError with the way out, in classes or not */
export function checkKept(where: string, kept: number, most: number, inClasses: boolean): void {
  if (kept <= most) return;
  throw new InputError({
    where, argument: 'number of closed cycles to keep', expected: `at most ${most}`, given: `${kept}`,
    remedy: inClasses ? 'Widen the class edges, or raise most.' : 'Keep a histogram with keep: { edges: { from, to, classes } }, or raise most.',
  });
}

/** Keeps what is kept of closed cycles: each one, or a from–to histogram and those outside its edges; and the largest. */
export class ClosedKeeper {
  /** How many cycles were taken. */
  taken = 0;
  readonly largest: LargestKeeper;
  readonly #most: number;
  readonly #kept: GrowingFloats = new GrowingFloats();
  readonly #keptAt: GrowingFloats = new GrowingFloats();
  readonly #edges: Float64Array | null;
  readonly #classOf: Classifier | null;
  /** One row and one column more than there are classes: rounding may take a value next to the last edge there. */
  readonly #counts: Float64Array;
  /** Equal classes, in which the kernel counts. */
  readonly #grid: ClassGrid | null;

  constructor(where: string, { keep = 'cycles', largest = 20, most = 50_000_000 }: KeepOptions) {
    if (keep !== 'cycles' && (typeof keep !== 'object' || keep === null || !('edges' in keep))) {
      throw new InputError({ where, argument: 'keep', expected: "'cycles' or { edges }", given: show(keep) });
    }
    this.largest = new LargestKeeper(checkNumber(where, 'largest', largest, { integer: true, min: 0, max: 10_000 }));
    this.#most = checkNumber(where, 'most', most, { integer: true, min: 1 });
    this.#edges = keep === 'cycles' ? null : listEdges(where, 'keep.edges', keep.edges);
    this.#classOf = this.#edges && classifierOf(this.#edges);
    this.#counts = new Float64Array(this.#edges ? this.#edges.length ** 2 : 0);
    const equal = this.#edges && equalClasses(this.#edges);
    this.#grid = equal && { ...equal, counts: this.#counts };
  }

  /** Takes the first `n` cycles of the counting block. */
  take(n: number): void {
    const grid = this.#grid;
    this.taken += n;
    const left = grid === null ? n : countInClasses(n, grid, this.largest.floor);
    const kept = this.#kept.room(2 * left);
    const keptAt = this.#keptAt.room(2 * left);
    const { turns, places, pairs } = countingBlock;
    let end = this.#kept.length;
    for (let k = 0; k < left; k++) {
      const place = pairs[k]!;
      const from = turns[place]!;
      const to = turns[place + 1]!;
      if (Math.abs(from - to) >= this.largest.floor) this.largest.offer(from, to, places[place]!, places[place + 1]!);
      if (grid !== null && Math.min(from, to) >= grid.low && Math.max(from, to) < grid.high) continue;
      if (this.#classified(from, to)) continue;
      kept[end] = from;
      kept[end + 1] = to;
      keptAt[end] = places[place]!;
      keptAt[end + 1] = places[place + 1]!;
      end += 2;
    }
    this.#kept.length = end;
    this.#keptAt.length = end;
    checkKept('countCycles', end / 2, this.#most, this.#edges !== null);
  }

  /** The cycles that are kept exactly, in time order. */
  cycles(): ClosedCycles {
    const n = this.#kept.length / 2;
    const kept = this.#kept.room(0);
    const keptAt = this.#keptAt.room(0);
    const ends = new Float64Array(n);
    for (let k = 0; k < n; k++) ends[k] = keptAt[2 * k + 1]!;
    const order = orderOf(ends);
    const pick = (source: Float64Array, side: 0 | 1): Float64Array => {
      const out = new Float64Array(n);
      for (let k = 0; k < n; k++) out[k] = source[2 * order[k]! + side]!;
      return out;
    };
    return { from: pick(kept, 0), to: pick(kept, 1), fromAt: pick(keptAt, 0), at: pick(keptAt, 1) };
  }

  /** The cycles in classes, where class edges were told. */
  histogram(): FromToHistogram | null {
    if (this.#edges === null) return null;
    const classes = this.#edges.length - 1;
    const counts = new Float64Array(classes * classes);
    this.#counts.forEach((count, k) => {
      const i = Math.min(classes - 1, Math.floor(k / (classes + 1)));
      const j = Math.min(classes - 1, k % (classes + 1));
      counts[i * classes + j]! += count;
    });
    return { edges: this.#edges, classes, counts };
  }

  /** Counts a cycle in its class; false where it has none. */
  #classified(from: number, to: number): boolean {
    if (this.#edges === null || this.#classOf === null) return false;
    const classes = this.#edges.length - 1;
    const i = this.#classOf(from);
    const j = this.#classOf(to);
    if (i < 0 || j < 0 || i >= classes || j >= classes) return false;
    this.#counts[i * (classes + 1) + j]!++;
    return true;
  }
}
