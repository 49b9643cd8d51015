import type { CountSource, LargestCycle } from './CycleCount.js';
import { shiftInstant } from '../record/time.js';

/** A closed cycle by itself. */
export interface OneCycle {
  readonly from: number;
  readonly to: number;
  readonly fromAt: number;
  readonly at: number;
}

/** Keeps the `most` cycles of largest range; of equal ranges the earlier ones. */
export class LargestKeeper {
  readonly #kept: OneCycle[] = [];
  readonly #most: number;
  /** A cycle below this range is not among the largest. */
  floor: number;

  constructor(most: number) {
    this.#most = most;
    this.floor = most === 0 ? Infinity : -1;
  }

  offer(from: number, to: number, fromAt: number, at: number): void {
    const range = Math.abs(from - to);
    if (range < this.floor) return;
    const kept = this.#kept;
    let k = kept.length;
    while (k > 0 && before(range, at, kept[k - 1]!)) k--;
    if (k >= this.#most) return;
    kept.splice(k, 0, { from, to, fromAt, at });
    if (kept.length > this.#most) kept.pop();
    if (kept.length === this.#most) this.floor = Math.abs(kept.at(-1)!.from - kept.at(-1)!.to);
  }

  list(): readonly OneCycle[] {
    return [...this.#kept];
  }
}

function before(range: number, at: number, other: OneCycle): boolean {
  const otherRange = Math.abs(other.from - other.to);
  return range > otherRange || (range === otherRange && at < other.at);
}

/** When a sample of a count was taken: its source, the seconds from the start of that source and, where known, the instant. */
export function whenOf(sources: readonly CountSource[], sampleRate: number, at: number): { readonly source: CountSource; readonly seconds: number; readonly time: string | null } {
  let source = sources[0]!;
  for (const s of sources) if (s.from <= at) source = s;
  const seconds = (at - source.from) / sampleRate;
  return { source, seconds, time: shiftInstant(source.start, seconds) };
}

/** The cycles with range, mean and time stamp. */
export function stampCycles(cycles: readonly OneCycle[], sources: readonly CountSource[], sampleRate: number): readonly LargestCycle[] {
  return Object.freeze(cycles.map((c) => {
    const { seconds, time } = whenOf(sources, sampleRate, c.at);
    return Object.freeze({ range: Math.abs(c.from - c.to), mean: (c.from + c.to) / 2, from: c.from, to: c.to, fromAt: c.fromAt, at: c.at, seconds, time });
  }));
}
