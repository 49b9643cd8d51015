/** Samples that the counting kernel takes in at once. */
const length = 4096;

/**
 * Where the counting kernel works; nothing in it outlives a block. The loops of the kernel take these arrays as
 * constants of their module: so the compiler knows where they lie and how long they are.
 */
export const countingBlock: {
  readonly length: number;
  /** Confirmed turning points, and their sample indices. From place `spare` on: two by two, points that were closed from the stack. */
  readonly turns: Float64Array;
  readonly places: Float64Array;
  readonly spare: number;
  /** Closed cycles: the place of the first of two neighbours in `turns` and `places`. */
  readonly pairs: Int32Array;
} = {
  length,
  turns: new Float64Array(2 * length + 4),
  places: new Float64Array(2 * length + 4),
  spare: length + 2,
  pairs: new Int32Array(length + 2),
};
