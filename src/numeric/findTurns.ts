import { countingBlock } from './countingBlock.js';

const { turns, places } = countingBlock;

/** Where the search for turning points stands between two blocks. */
export interface TurnState {
  /** The latest value, which may yet be exceeded. */
  last: number;
  /** Its index: the last sample of its plateau. */
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
 * Finds the turning points that values[from … to) confirm, in one pass without branches on the data, and leaves them in
 * the counting block. The latest value stays in the state.
 *
 * @param to at most one counting block after `from`
 * @param offset is added to sample indices
 * @returns how many were confirmed
 */
export function findTurns(state: TurnState, values: Float64Array, from: number, to: number, offset: number): number {
  let i = from;
  let early = 0;
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
    places[0] = state.lastAt;
    early = 1;
    state.rising = values[i]! > state.last ? 1 : 0;
    state.stage = 2;
  }
  if (i >= to) return early;
  const found = scan(values, i, to, state.last, state.rising, early, offset - 1);
  // Before the first sample of a run there may be a gap: what turns there is the latest value of the run before.
  if (early === 0 && places[0] === i - 1 + offset) places[0] = state.lastAt;
  state.lastAt = to - 1 + offset;
  state.last = values[to - 1]!;
  state.rising ^= (found - early) & 1;
  return found;
}

/** The loop of findTurns by itself, for the compiler's sake: nothing but a number leaves it. */
function scan(values: Float64Array, from: number, to: number, last: number, rising: number, found: number, shift: number): number {
  for (let i = from; i < to; i++) {
    const v = values[i]!;
    turns[found] = last;
    places[found] = i + shift;
    const turned = (rising & +(v < last)) | ((rising ^ 1) & +(v > last));
    found = (found + turned) | 0;
    rising ^= turned;
    last = v;
  }
  return found;
}
