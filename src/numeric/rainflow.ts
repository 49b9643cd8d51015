/**
 * The counting kernel: samples → turning points → closed cycles, block by block, on typed arrays.
 *
 * Four-point rule (C. Amzallag, J. P. Gerey, J. L. Robert and J. Bahuaud, Standardization of the rainflow counting
 * method for fatigue analysis, Int. J. Fatigue 16 (1994) 287–293): of four successive turning points the inner two
 * close a cycle where their range is not larger than either neighbouring range. Ties are settled by time: of two
 * equal turning points the later one counts as the higher, by less than any number. So no two points are ever equal,
 * the pairing is unique whatever the order of closing, and counts of pieces merge exactly.
 */

/** Where the search for turning points stands between two blocks. */
export interface TurnState {
  /** The latest value, which may yet be exceeded. */
  last: number;
  /** Its index: the last sample of its plateau. */
  lastAt: number;
  /** The index of the first turning point that the latest call found. */
  firstAt: number;
  /** 0 nothing seen, 1 one value seen, 2 the first direction is known. */
  stage: 0 | 1 | 2;
  /** 1 while rising. */
  rising: number;
}

/** A fresh state. */
export function newTurnState(): TurnState {
  return { last: 0, lastAt: 0, firstAt: 0, stage: 0, rising: 0 };
}

/**
 * Finds the turning points that values[from … to) confirm, in one pass without branches on the data. The latest value
 * stays in the state.
 *
 * @param offset is added to sample indices
 * @param turns receives the values (room for to − from + 1)
 * @param places receives the indices without the offset (room for to − from + 2), but for the first one, which stands in state.firstAt
 * @returns how many were confirmed
 */
export function findTurns(state: TurnState, values: Float64Array, from: number, to: number, offset: number, turns: Float64Array, places: Int32Array): number {
  let i = from;
  let found = 0;
  if (state.stage === 0 && i < to) {
    state.last = values[i]!;
    state.lastAt = i + offset;
    state.stage = 1;
    i++;
  }
  if (state.stage === 1) {
    const first = i;
    while (i < to && values[i] === state.last) i++;
    if (i > first) state.lastAt = i - 1 + offset;
    if (i >= to) return 0;
    turns[0] = state.last;
    state.firstAt = state.lastAt;
    found = 1;
    state.rising = values[i]! > state.last ? 1 : 0;
    state.stage = 2;
  }
  if (i >= to) return found;
  const early = found;
  found = scan(values, i, to, state.last, state.rising, early, turns, places);
  // Before the first sample of a run there may be a gap: what turns there is the latest value of the run before.
  if (early === 0) state.firstAt = places[0] === i - 1 ? state.lastAt : places[0]! + offset;
  state.lastAt = to - 1 + offset;
  state.last = values[to - 1]!;
  state.rising ^= (found - early) & 1;
  return found;
}

/** The loop of findTurns by itself, for the compiler's sake: nothing but a number leaves it. */
function scan(values: Float64Array, from: number, to: number, last: number, rising: number, found: number, turns: Float64Array, places: Int32Array): number {
  for (let i = from; i < to; i++) {
    const v = values[i]!;
    turns[found] = last;
    places[found] = i - 1;
    const turned = (rising & +(v < last)) | ((rising ^ 1) & +(v > last));
    found = (found + turned) | 0;
    rising ^= turned;
    last = v;
  }
  return found;
}

/** The open turning points. Three places at the bottom hold NaN, to which no comparison is true: no test for an empty stack is needed. */
export interface OpenStack {
  values: Float64Array;
  at: Float64Array;
  /** Places in use, the three at the bottom included. */
  depth: number;
  /** Is the next turning point a peak? */
  peak: boolean;
}

/** Places below the first open turning point. */
export const stackBase = 3;

/** An empty stack. */
export function newStack(room = 64): OpenStack {
  return { values: new Float64Array(room + stackBase).fill(Number.NaN, 0, stackBase), at: new Float64Array(room + stackBase), depth: stackBase, peak: false };
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

/** Equal classes in which the kernel counts at once: class ⌊(value − low) · perUnit⌋ for low ≤ value < high. */
export interface ClassGrid {
  readonly low: number;
  readonly high: number;
  readonly classes: number;
  /** Classes per unit of the values. */
  readonly perUnit: number;
  /** counts[i · (classes + 1) + j]: from class i to class j; rounding may give class `classes` next to high. */
  readonly counts: Float64Array;
}

/** What the kernel hands out: from and to of each cycle, and their indices. */
export interface ClosedPairs {
  values: Float64Array;
  at: Float64Array;
}

/**
 * Takes confirmed turning points onto the stack and closes cycles. Those within the grid are counted in their class and
 * handed out only where their range is `floor` or more; all others are handed out.
 *
 * @param firstAt the index of the first turning point
 * @param offset is added to places[1 …]
 * @param out receives the cycles that are handed out; it grows as needed
 * @returns how many were handed out; out.values and out.at hold twice as many numbers
 */
export function closeCycles(stack: OpenStack, turns: Float64Array, places: Int32Array, count: number, firstAt: number, offset: number, out: ClosedPairs, grid: ClassGrid | null, floor: number): number {
  reserve(stack, count);
  if (out.values.length < stack.depth + count + 2) {
    out.values = new Float64Array(2 * (stack.depth + count + 2));
    out.at = new Float64Array(out.values.length);
  }
  const { values, at } = stack;
  const pairs = out.values;
  const pairsAt = out.at;
  const counts = grid === null ? pairs : grid.counts;
  const stride = grid === null ? 0 : (grid.classes + 1) | 0;
  const perUnit = grid === null ? 0 : grid.perUnit;
  const low = grid === null ? 0 : grid.low;
  const high = grid === null ? 0 : grid.high;
  let depth = stack.depth | 0;
  let n = 0;
  let place = firstAt;
  // The three turning points on top, the latest one last.
  let a = values[depth - 3]!, b = values[depth - 2]!, c = values[depth - 1]!;
  for (let k = stack.peak ? 0 : -1; k < count; k += 2) {
    if (k >= 0) {
      const peak = turns[k]!;
      while (c >= a && peak >= b) {
        depth -= 2;
        if (c >= low && b < high) {
          counts[(((b - low) * perUnit) | 0) * stride + (((c - low) * perUnit) | 0)]!++;
          if (b - c >= floor) {
            pairs[n] = b;
            pairs[n + 1] = c;
            pairsAt[n] = at[depth]!;
            pairsAt[n + 1] = at[depth + 1]!;
            n += 2;
          }
        } else {
          pairs[n] = b;
          pairs[n + 1] = c;
          pairsAt[n] = at[depth]!;
          pairsAt[n + 1] = at[depth + 1]!;
          n += 2;
        }
        c = a;
        b = values[depth - 2]!;
        a = values[depth - 3]!;
      }
      values[depth] = peak;
      at[depth] = place;
      depth++;
      place = places[k + 1]! + offset;
      a = b;
      b = c;
      c = peak;
    }
    if (k + 1 >= count) break;
    const valley = turns[k + 1]!;
    while (c < a && valley < b) {
      depth -= 2;
      if (b >= low && c < high) {
        counts[(((b - low) * perUnit) | 0) * stride + (((c - low) * perUnit) | 0)]!++;
        if (c - b >= floor) {
          pairs[n] = b;
          pairs[n + 1] = c;
          pairsAt[n] = at[depth]!;
          pairsAt[n + 1] = at[depth + 1]!;
          n += 2;
        }
      } else {
        pairs[n] = b;
        pairs[n + 1] = c;
        pairsAt[n] = at[depth]!;
        pairsAt[n + 1] = at[depth + 1]!;
        n += 2;
      }
      c = a;
      b = values[depth - 2]!;
      a = values[depth - 3]!;
    }
    values[depth] = valley;
    at[depth] = place;
    depth++;
    place = places[k + 2]! + offset;
    a = b;
    b = c;
    c = valley;
  }
  stack.depth = depth;
  if (count % 2 === 1) stack.peak = !stack.peak;
  return n / 2;
}
