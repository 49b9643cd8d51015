import { countingBlock } from './countingBlock.js';

/*
 * Four-point rule (C. Amzallag, J. P. Gerey, J. L. Robert and J. Bahuaud, Standardization of the rainflow counting
 * method for fatigue analysis, Int. J. Fatigue 16 (1994) 287–293): of four successive turning points the inner two
 * close a cycle where their range is not larger than either neighbouring range. Ties are settled by time: of two
 * equal turning points the later one counts as the higher, by less than any number. So no two points are ever equal,
 * the pairing is unique whatever the order of closing, and counts of pieces merge exactly.
 *
 * What closes and what stays open can hardly be foretold, so no branch of these loops depends on it: each step writes
 * both outcomes and goes on from one of them.
 */

const { turns, places, pairs, spare } = countingBlock;
/** The places of the turning points that a pass leaves. */
const staying: Int32Array = new Int32Array(spare);

/** The open turning points. Three places at the bottom hold NaN, to which no comparison is true: no test for an empty stack is needed. */
export interface OpenStack {
  values: Float64Array;
  at: Float64Array;
  /** Places in use, the three at the bottom included. */
  depth: number;
}

/** Places below the first open turning point. */
export const stackBase = 3;

/** An empty stack. */
export function newStack(room = 64): OpenStack {
  return { values: new Float64Array(room + stackBase).fill(Number.NaN, 0, stackBase), at: new Float64Array(room + stackBase), depth: stackBase };
}

/** Makes room for `more` further turning points. */
function reserve(stack: OpenStack, more: number): void {
  const need = stack.depth + more;
  if (need <= stack.values.length) return;
  const room = Math.max(need, 2 * stack.values.length);
  for (const key of ['values', 'at'] as const) {
    const wider = new Float64Array(room);
    wider.set(stack[key].subarray(0, stack.depth));
    stack[key] = wider;
  }
}

/**
 * Closes cycles of the turning points in the counting block and takes the others onto the stack. First, three times over,
 * those that close between their neighbours in the block, which are most of them; then what is left against the stack.
 *
 * @param count how many turning points there are
 * @param peak 1 where the first of them is a peak
 * @param take is called with the number of cycles whenever there are some in `pairs` of the counting block
 */
export function closeCycles(stack: OpenStack, count: number, peak: number, take: (cycles: number) => void): void {
  reserve(stack, count);
  let left = count;
  for (let pass = 0; pass < 3 && left > 3; pass++) {
    const stay = closeNeighbours(left, peak);
    take((left - stay) / 2);
    moveTogether(stay);
    left = stay;
  }
  for (let k = 0; k < left;) {
    const before = stack.depth - k;
    k = closeOpen(stack, k, left, peak ^ (k & 1));
    take((before + k - stack.depth) / 2);
  }
}

/** Lists the cycles that close between their neighbours, and the turning points that stay. @returns how many stay */
function closeNeighbours(count: number, peak: number): number {
  let n = 0;
  let stay = 1;
  let peaks = peak;
  let closed = 0;
  let inner = +(turns[2]! >= turns[0]!) ^ peak;
  staying[0] = 0;
  // Points a b c d, b at place k: b and c close where c lies on b's side of a and d lies beyond b.
  for (let k = 1; k < count - 2; k++) {
    const outer = +(turns[k + 2]! >= turns[k]!) ^ peaks;
    const closes = inner & outer;
    pairs[n] = k;
    staying[stay] = k;
    n = (n + closes) | 0;
    stay = (stay + ((closes | closed) ^ 1)) | 0;
    closed = closes;
    inner = outer ^ 1;
    peaks ^= 1;
  }
  staying[stay] = count - 2;
  stay += closed ^ 1;
  staying[stay] = count - 1;
  return stay + 1;
}

/** Moves the turning points that stay to the front. */
function moveTogether(count: number): void {
  for (let k = 0; k < count; k++) {
    turns[k] = turns[staying[k]!]!;
    places[k] = places[staying[k]!]!;
  }
}

/**
 * Takes turning points from place k on onto the stack and lists the cycles that close, until there are no more points or no more room.
 *
 * @returns the place of the turning point that is next
 */
function closeOpen(stack: OpenStack, k: number, count: number, peak: number): number {
  const { values, at } = stack;
  let depth = stack.depth | 0;
  let n = 0;
  while (k < count && 2 * n + 1 < spare) {
    const a = values[depth - 3]!, b = values[depth - 2]!, c = values[depth - 1]!, d = turns[k]!;
    const closes = (peak & +(c >= a) & +(d >= b)) | ((peak ^ 1) & +(c < a) & +(d < b));
    const opens = closes ^ 1;
    const place = spare + 2 * n;
    pairs[n] = place;
    turns[place] = b;
    turns[place + 1] = c;
    places[place] = at[depth - 2]!;
    places[place + 1] = at[depth - 1]!;
    values[depth] = d;
    at[depth] = places[k]!;
    n = (n + closes) | 0;
    depth = (depth + opens - 2 * closes) | 0;
    k = (k + opens) | 0;
    peak ^= opens;
  }
  stack.depth = depth;
  return k;
}
