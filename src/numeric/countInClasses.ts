import { countingBlock } from './countingBlock.js';

const { turns, pairs } = countingBlock;

/** Equal classes: class ⌊(value − low) · perUnit⌋ for low ≤ value < high. */
export interface ClassGrid {
  readonly low: number;
  readonly high: number;
  readonly classes: number;
  /** Classes per unit of the values. */
  readonly perUnit: number;
  /** counts[i · (classes + 1) + j]: from class i to class j; rounding may give class `classes` next to high. */
  readonly counts: Float64Array;
}

/**
 * Counts the first `n` pairs of the counting block in their classes. Those outside the grid, and those whose range is
 * `floor` or more, are moved to the front.
 *
 * @returns how many were moved
 */
export function countInClasses(n: number, grid: ClassGrid, floor: number): number {
  const { low, high, perUnit, counts } = grid;
  const stride = grid.classes + 1;
  let moved = 0;
  for (let k = 0; k < n; k++) {
    const place = pairs[k]!;
    const from = turns[place]!;
    const to = turns[place + 1]!;
    if (from >= low && from < high && to >= low && to < high) {
      counts[Math.imul(((from - low) * perUnit) | 0, stride) + (((to - low) * perUnit) | 0)]!++;
      if (Math.abs(from - to) < floor) continue;
    }
    pairs[moved] = place;
    moved++;
  }
  return moved;
}
