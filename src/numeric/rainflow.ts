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
  /** Its index: the first sample of its plateau. */
  lastAt: number;
  /** 0 nothing seen, 1 one value seen, 2 the first direction is known. */
  stage: 0 | 1 | 2;
  /** 1 while rising. */
  rising: number;
}

/** A fresh state. */
export function newTurnState(): TurnState {
  return { last: 0, lastAt: 0, stage: 0, rising: 0 };
}

/**
 * Finds the turning points that values[from … to) confirm, in one pass without branches on the data. The latest value
 * stays in the state.
 *
 * @param offset is added to sample indices
 * @param turns receives the values (room for to − from + 1)
 * @param turnsAt receives their indices
 * @returns how many were confirmed
 */
export function findTurns(state: TurnState, values: Float64Array, from: number, to: number, offset: number, turns: Float64Array, turnsAt: Float64Array): number {
  let i = from;
  let found = 0;
  if (state.stage === 0 && i < to) {
    state.last = values[i]!;
    state.lastAt = i + offset;
    state.stage = 1;
    i++;
  }
  if (state.stage === 1) {
    while (i < to && values[i] === state.last) i++;
    if (i === to) return 0;
    turns[0] = state.last;
    turnsAt[0] = state.lastAt;
    found = 1;
    state.rising = values[i]! > state.last ? 1 : 0;
    state.stage = 2;
  }
  let { last, lastAt, rising } = state;
  for (; i < to; i++) {
    const v = values[i]!;
    const up = +(v > last);
    const down = +(v < last);
    turns[found] = last;
    turnsAt[found] = lastAt;
    const turned = (rising & down) | ((rising ^ 1) & up);
    found += turned;
    rising ^= turned;
    if (v !== last) lastAt = i + offset;
    last = v;
  }
  state.last = last;
  state.lastAt = lastAt;
  state.rising = rising;
  return found;
}

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
export function reserve(stack: OpenStack, more: number): void {
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
 * Takes confirmed turning points onto the stack and closes cycles.
 *
 * @param peak is the first of them a peak?
 * @param pairs receives the values of each closed cycle: from, to (room for depth + count)
 * @param pairsAt receives their indices
 * @returns how many cycles were closed
 */
export function closeCycles(stack: OpenStack, turns: Float64Array, turnsAt: Float64Array, count: number, peak: boolean, pairs: Float64Array, pairsAt: Float64Array): number {
  reserve(stack, count);
  const { values, at } = stack;
  let depth = stack.depth;
  let a = values[depth - 3]!, b = values[depth - 2]!, c = values[depth - 1]!;
  let closed = 0;
  for (let k = 0; k < count; k++) {
    const d = turns[k]!;
    if (peak) {
      while (c >= a && d >= b) {
        pairs[closed] = b;
        pairs[closed + 1] = c;
        pairsAt[closed] = at[depth - 2]!;
        pairsAt[closed + 1] = at[depth - 1]!;
        closed += 2;
        depth -= 2;
        c = a;
        b = values[depth - 2]!;
        a = values[depth - 3]!;
      }
    } else {
      while (c < a && d < b) {
        pairs[closed] = b;
        pairs[closed + 1] = c;
        pairsAt[closed] = at[depth - 2]!;
        pairsAt[closed + 1] = at[depth - 1]!;
        closed += 2;
        depth -= 2;
        c = a;
        b = values[depth - 2]!;
        a = values[depth - 3]!;
      }
    }
    peak = !peak;
    values[depth] = d;
    at[depth] = turnsAt[k]!;
    depth++;
    a = b;
    b = c;
    c = d;
  }
  stack.depth = depth;
  return closed / 2;
}
