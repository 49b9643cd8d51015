/** Samples that the counting kernel takes in at once. */
const length = 4096;

/**
 * Where the counting kernel works; nothing in it outlives a block. The loops of the kernel take these arrays as
 * constants of their module: so the compiler knows where they lie and how long they are.
 */
export const countingBlock: {
  readonly length: number;
  /** Confirmed turning points, and their sample indices. */
  readonly turns: Float64Array;
  readonly places: Float64Array;
  /** Closed cycles, two numbers each: from and to, and their sample indices. */
  readonly pairs: Float64Array;
  readonly pairsAt: Float64Array;
} = {
  length,
  turns: new Float64Array(length + 2),
  places: new Float64Array(length + 2),
  pairs: new Float64Array(length + 2),
  pairsAt: new Float64Array(length + 2),
};
