import { checkChannel, duration, formatSeconds, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { omegaReader } from '../record/omegaReader.js';
import { makeResult, readFrom } from '../record/result.js';
import type { TimeWindow } from '../record/slice.js';

/** What a machine does over a stretch of time. */
export type StateName = 'stop' | 'start' | 'steady' | 'load change' | 'trip' | 'coast-down' | 'reverse';

/** A stretch in one state. */
export interface MachineState extends TimeWindow {
  readonly state: StateName;
  /** Means of the valid samples: rad/s and N·m. */
  readonly speed: number;
  readonly torque: number;
}

/** Limits by which states are told. All are physical choices: none has a default. */
export interface StateOptions {
  /** Speed of the shaft, rpm or rad/s. */
  readonly speed: Channel<'rpm' | 'rad/s'>;
  /** rad/s: the shaft stands below it, and turns above twice that. */
  readonly standstill: number;
  /** rad/s²: speed is steady below it and changes above twice that. */
  readonly speedChange: number;
  /** N·m: a mean torque that moves by more between two blocks one `block` apart is a change of load; a fall by more at the beginning of a coast-down is a trip. */
  readonly torqueChange: number;
  /** s: length of the blocks over which means are taken; longer than a few periods of the lowest mode. */
  readonly block: number;
  /** s: a steady stretch or a change of load that lasts less joins the longer of the two beside it; default 0, none does. */
  readonly dwell?: number;
}

/** The states of a record, in order, without gaps. */
export interface MachineStates {
  readonly states: readonly MachineState[];
  /** s in each state. */
  readonly time: Readonly<Partial<Record<StateName, number>>>;
  readonly notes: readonly string[];
}

const where = 'segmentStates';

/** Means of a block, and the largest and least torque sample would not tell a state, so only means are kept. */
interface Block { readonly speed: number; readonly torque: number; readonly valid: boolean }

/**
 * Parts a record into states by speed and torque: stop, start (from a stop until speed is steady), steady, load change, trip (torque falls away
 * and speed follows), coast-down (to a stop), reverse. Limits act with hysteresis 1 : 2, so that noise does not make states flicker.
 *
 * It works on means over blocks; a block without a valid torque sample takes the state of the one before. The result is plain data: edit it, and
 * hand its windows to summarise or countCycles.
 *
 * @param torque N·m
 * @param options speed, standstill (rad/s), speedChange (rad/s²), torqueChange (N·m), block (s), dwell (s)
 * @returns states with their windows in s, their mean speed and torque, and the time in each
 * @throws InputError for another unit, a limit that is not above 0, or a record of fewer than four blocks
 * @see torqueEvents, summarise
 * @example
 * const speed = makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Array.from({ length: 600 }, (_, i) => Math.max(0, Math.min(40, (i - 100) * 0.8, (520 - i) * 0.8))) });
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array.from(speed.values, (w) => 3 * w * w) });
 * segmentStates(torque, { speed, standstill: 1, speedChange: 2, torqueChange: 5000, block: 1 }).states.map((s) => s.state) // => ["stop","start","steady","coast-down","stop"]
 * @references Common practice, no source.
 */
export function segmentStates(torque: Channel<'N·m'>, options: StateOptions): MachineStates {
  checkChannel(where, torque, ['N·m'], "Convert it with convert(channel, 'N·m').");
  checkOptions(where, options, { required: ['speed', 'standstill', 'speedChange', 'torqueChange', 'block'], optional: ['dwell'] });
  const standstill = checkNumber(where, 'standstill', options.standstill, { above: 0, unit: 'rad/s' });
  const speedChange = checkNumber(where, 'speedChange', options.speedChange, { above: 0, unit: 'rad/s²' });
  const torqueChange = checkNumber(where, 'torqueChange', options.torqueChange, { above: 0, unit: 'N·m' });
  const block = checkNumber(where, 'block', options.block, { min: 2 / torque.sampleRate, unit: 's' });
  const dwell = checkNumber(where, 'dwell', options.dwell ?? 0, { min: 0, unit: 's' });
  const blocks = meansOf(torque, options.speed, block);
  if (blocks.length < 4) throw new InputError({ where, argument: 'block', expected: `at most a quarter of the record (${(duration(torque) / 4).toPrecision(3)} s)`, given: `${block} s` });
  if (!blocks.some((b) => b.valid)) throw new InputError({ where, argument: torque.name, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const turning = turningBlocks(blocks, standstill);
  const names = blocks.map((b, k): StateName => (!turning[k] ? 'stop' : b.speed < 0 ? 'reverse' : 'steady'));
  for (const run of runsOf(names, 'steady')) nameWithin(names, blocks, run, { speedChange, torqueChange, block });
  settle(names, dwell / block);
  const states = joined(names, blocks, block, duration(torque));
  const time: Partial<Record<StateName, number>> = {};
  for (const s of states) time[s.state] = (time[s.state] ?? 0) + s.to - s.from;
  const notes = notesOn(blocks, names, states, { standstill, block });
  return readFrom(makeResult('MachineStates', { states: Object.freeze(states), time: Object.freeze(time), notes: Object.freeze(notes) },
    (r) => `States: ${r.states.map((s) => `${s.state} ${formatSeconds(s.to - s.from)}`).join(', ')}`), torque, options.speed);
}

function meansOf(torque: Channel, speed: Channel<'rpm' | 'rad/s'>, block: number): Block[] {
  const { at } = omegaReader(where, torque, { speed });
  const size = Math.round(block * torque.sampleRate);
  const blocks: Block[] = [];
  let mask = 0;
  for (let from = 0; from + size <= torque.values.length || blocks.length === 0; from += size) {
    const to = Math.min(torque.values.length, from + 2 * size > torque.values.length ? torque.values.length : from + size);
    let sumW = 0, sumT = 0, n = 0;
    for (let i = from; i < to; i++) {
      sumW += at(i);
      while (mask < torque.invalid.length && torque.invalid[mask]!.to <= i) mask++;
      if (mask < torque.invalid.length && torque.invalid[mask]!.from <= i) continue;
      sumT += torque.values[i]!;
      n++;
    }
    blocks.push({ speed: sumW / (to - from), torque: n > 0 ? sumT / n : blocks.at(-1)?.torque ?? 0, valid: n > 0 });
  }
  return blocks;
}

function notesOn(blocks: readonly Block[], names: readonly StateName[], states: readonly MachineState[], { standstill, block }: { readonly standstill: number; readonly block: number }): string[] {
  const blind = blocks.filter((b) => !b.valid).length;
  const notes = blind > 0 ? [`${blind} of ${blocks.length} blocks hold no valid torque sample and take the state before them.`] : [];
  const short = states.filter((s) => (s.state === 'steady' || s.state === 'load change') && s.to - s.from < 2.5 * block).length;
  if (short > 4 && 3 * short > states.length) notes.push(`${short} of ${states.length} states last two blocks or less: speedChange or torqueChange lies within what the machine does all the time. Raise it, take longer blocks, or give dwell.`);
  const creeping = blocks.filter((b, k) => names[k] === 'stop' && Math.abs(b.speed) > 0.05 * standstill);
  const fastest = creeping.reduce((most, b) => Math.max(most, Math.abs(b.speed)), 0);
  if (creeping.length * block > 5) notes.push(`In ${creeping.length} blocks counted as stop the shaft turns slowly, at up to ${fastest.toPrecision(2)} rad/s: lower standstill where barring or reverse turning shall be told.`);
  return notes;
}

/** Steady stretches and changes of load shorter than the dwell, the shortest first, take the name of the longer one beside them. */
function settle(names: StateName[], dwell: number): void {
  const loose = (name: StateName | undefined): boolean => name === 'steady' || name === 'load change';
  for (;;) {
    const runs = [...runsOf(names, 'steady'), ...runsOf(names, 'load change')];
    const length = (at: number): number => runs.find((r) => r.from <= at && at < r.to)!.to - runs.find((r) => r.from <= at && at < r.to)!.from;
    const short = runs.filter((r) => r.to - r.from < dwell && (loose(names[r.from - 1]) || loose(names[r.to]))).sort((a, b) => a.to - a.from - (b.to - b.from))[0];
    if (!short) return;
    const before = loose(names[short.from - 1]) ? length(short.from - 1) : 0;
    const after = loose(names[short.to]) ? length(short.to) : 0;
    names.fill(before >= after ? names[short.from - 1]! : names[short.to]!, short.from, short.to);
  }
}

/** Turning above twice the standstill speed, standing below it; in between as before. */
function turningBlocks(blocks: readonly Block[], standstill: number): boolean[] {
  let turning = Math.abs(blocks[0]!.speed) > standstill;
  return blocks.map(({ speed }) => {
    if (Math.abs(speed) > 2 * standstill) turning = true;
    if (Math.abs(speed) < standstill) turning = false;
    return turning;
  });
}

interface BlockRun { readonly from: number; readonly to: number }

function runsOf(names: readonly StateName[], state: StateName): BlockRun[] {
  const runs: BlockRun[] = [];
  for (let k = 0, from = -1; k <= names.length; k++) {
    if (names[k] === state && from < 0) from = k;
    if (names[k] !== state && from >= 0) {
      runs.push({ from, to: k });
      from = -1;
    }
  }
  return runs;
}

/** Names the blocks of one turning run: start at its head, trip and coast-down at its tail, load changes between. */
function nameWithin(names: StateName[], blocks: readonly Block[], run: BlockRun, limits: { readonly speedChange: number; readonly torqueChange: number; readonly block: number }): void {
  const changing = movingBlocks(blocks, run, limits);
  const fromStop = run.from > 0 && names[run.from - 1] === 'stop';
  const toStop = run.to < names.length && names[run.to] === 'stop';
  let head = run.from;
  if (fromStop) {
    while (head < run.to && (head === run.from || changing[head - run.from])) names[head++] = 'start';
  }
  let tail = run.to;
  if (toStop) {
    while (tail > head && (tail === run.to || changing[tail - 1 - run.from])) names[--tail] = 'coast-down';
    const slowing = tail;
    tail = nameTrip(names, blocks, Math.max(head, 1), tail, run.to, limits.torqueChange);
    changing.fill(false, slowing - run.from, tail - run.from);
  }
  for (let k = head; k < tail; k++) {
    const step = k > head ? Math.abs(blocks[k]!.torque - blocks[k - 1]!.torque) : 0;
    if (changing[k - run.from] || step > limits.torqueChange) names[k] = 'load change';
  }
}

/**
 * A trip is the block near the beginning of a coast-down in which torque falls most, if it falls by more than the limit. Slopes of speed see it a block
 * early: what comes before it stays as it was.
 *
 * @returns where the tail begins
 */
function nameTrip(names: StateName[], blocks: readonly Block[], head: number, tail: number, end: number, torqueChange: number): number {
  const fall = (k: number): number => Math.abs(blocks[k - 1]!.torque) - Math.abs(blocks[k]!.torque);
  let at = -1;
  for (let k = Math.max(head, tail); k < Math.min(tail + 3, end); k++) if (at < 0 || fall(k) > fall(at)) at = k;
  if (at < 0 || fall(at) <= torqueChange) return tail;
  for (let k = tail; k < at; k++) names[k] = 'steady';
  names[at] = 'trip';
  return at;
}

/** Speed changes above twice the limit, and goes on changing until it falls below the limit. */
function movingBlocks(blocks: readonly Block[], run: BlockRun, { speedChange, block }: { readonly speedChange: number; readonly block: number }): boolean[] {
  let moving = false;
  return blocks.slice(run.from, run.to).map((_, k) => {
    const at = run.from + k;
    const before = blocks[Math.max(0, at - 1)]!;
    const after = blocks[Math.min(blocks.length - 1, at + 1)]!;
    const slope = Math.abs(after.speed - before.speed) / (2 * block);
    if (slope > 2 * speedChange) moving = true;
    if (slope < speedChange) moving = false;
    return moving;
  });
}

function joined(names: readonly StateName[], blocks: readonly Block[], block: number, end: number): MachineState[] {
  const states: MachineState[] = [];
  let from = 0;
  for (let k = 1; k <= names.length; k++) {
    if (k < names.length && names[k] === names[from]) continue;
    const part = blocks.slice(from, k);
    const mean = (of: (b: Block) => number): number => part.reduce((s, b) => s + of(b), 0) / part.length;
    states.push(Object.freeze({ state: names[from]!, from: from * block, to: k === names.length ? end : k * block, speed: mean((b) => b.speed), torque: mean((b) => b.torque) }));
    from = k;
  }
  return states;
}

/** States edited by hand, checked: in order, without gaps or overlaps. @throws InputError where they are not */
export function checkStates(place: string, states: readonly MachineState[]): readonly MachineState[] {
  states.forEach((s, k) => {
    if (!(s.to > s.from)) throw new InputError({ where: place, argument: `states[${k}]`, expected: 'a stretch that ends after it begins', given: `${s.from} s to ${s.to} s` });
    if (k > 0 && Math.abs(s.from - states[k - 1]!.to) > 1e-9) throw new InputError({ where: place, argument: `states[${k}].from`, expected: `where the state before it ends (${states[k - 1]!.to} s)`, given: show(s.from) });
  });
  return states;
}
