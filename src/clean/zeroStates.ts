import type { Channel } from '../record/Channel.js';
import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { momentsWithin } from '../record/momentsWithin.js';
import { kindOf } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { unitConversion } from '../record/units.js';
import { mergeMoments, type Moments } from '../numeric/moments.js';
import type { RestStates } from './findRestStates.js';
import { readerOf, startOffset } from '../record/readerOf.js';

/** A state without load: a window of the record in seconds, and what was read by hand in it. */
export interface ZeroState extends TimeWindow {
  /** Temperature at the gauge, °C, where there is no temperature channel. */
  readonly temperature?: number;
  /** Speed with its sign, rad/s, where there is no speed channel: 0 at rest, the sign of the direction when barred. */
  readonly speed?: number;
}

/** A piece of a state: mean over its valid samples, and of what the zero may depend on. */
export interface Batch {
  readonly state: number;
  readonly samples: number;
  readonly mean: number;
  readonly time: number;
  readonly temperature: number | null;
  readonly speed: number | null;
}

/** A state as it was read. */
export interface ReadState extends TimeWindow {
  readonly moments: Moments;
  readonly batches: readonly Batch[];
}

/** Channels that the zero may depend on. */
export interface Companions {
  readonly temperature?: Channel<'°C' | 'K' | '°F'>;
  readonly speed?: Channel<'rpm' | 'rad/s'>;
}

/** The windows as seconds of the channel's own clock, sorted. */
export function restWindows(where: string, channel: Channel, rest: RestStates | readonly ZeroState[]): readonly ZeroState[] {
  const found = kindOf(rest) === 'RestStates' ? (rest as RestStates) : null;
  const list: readonly ZeroState[] | undefined = found ? found.windows : (rest as readonly ZeroState[]);
  if (!Array.isArray(list) || list.length === 0) {
    throw new InputError({ where, argument: 'rest', expected: 'at least one window of rest', given: found ? 'rest states without a window' : show(rest), remedy: 'Give windows in seconds, or let findRestStates find them with a speed channel.' });
  }
  list.forEach((w: unknown, i) => {
    if (typeof w !== 'object' || w === null) throw new InputError({ where, argument: `rest[${i}]`, expected: 'a window { from, to } in s', given: show(w) });
    for (const end of ['from', 'to'] as const) if (typeof (w as ZeroState)[end] !== 'number') throw new InputError({ where, argument: `rest[${i}].${end}`, expected: 'a finite number in s', given: show((w as ZeroState)[end]) });
  });
  const shift = found ? startOffset(channel.start, found.start) : 0;
  const end = channel.values.length / channel.sampleRate;
  const moved = list.map((w) => (found ? { ...w, from: clip(w.from + shift, end), to: clip(w.to + shift, end) } : w)).filter((w) => !found || w.to > w.from);
  if (moved.length === 0) throw new InputError({ where, argument: 'rest', expected: 'at least one window within the record', given: 'windows outside it' });
  return [...moved].sort((a, b) => a.from - b.from);
}

function clip(t: number, end: number): number {
  return Math.min(end, Math.max(0, t));
}

/** Reads every state: only valid samples, in pieces of equal length. A state that is masked throughout is left out with a note; where all are, that is refused. */
export function readStates(where: string, channel: Channel, windows: readonly ZeroState[], companions: Companions, pieces: number, notes: string[]): ReadState[] {
  const temperature = companions.temperature ? celsiusReader(where, companions.temperature, channel.start) : null;
  const speed = companions.speed ? speedReader(where, companions.speed, channel.start) : null;
  const states = windows.map((window, state): ReadState => {
    if (state > 0 && window.from < windows[state - 1]!.to - 0.5 / channel.sampleRate) {
      throw new InputError({ where, argument: 'rest', expected: 'windows that do not overlap', given: `${windows[state - 1]!.from} to ${windows[state - 1]!.to} s and ${window.from} to ${window.to} s` });
    }
    const { from, to } = windowToSamples(where, channel, window, `rest[${state}]`);
    if (window.temperature !== undefined) checkNumber(where, `rest[${state}].temperature`, window.temperature, { above: -273.15, unit: '°C' });
    if (window.speed !== undefined) checkNumber(where, `rest[${state}].speed`, window.speed, { unit: 'rad/s' });
    const count = Math.max(1, Math.min(pieces, Math.floor((to - from) / 4)));
    const batches: Batch[] = [];
    let moments: Moments = { count: 0, mean: 0, squares: 0, min: Infinity, max: -Infinity };
    for (let b = 0; b < count; b++) {
      const piece = momentsWithin(channel, from + Math.floor(((to - from) * b) / count), from + Math.floor(((to - from) * (b + 1)) / count));
      if (piece.moments.count === 0) continue;
      moments = mergeMoments(moments, piece.moments);
      const time = piece.meanIndex / channel.sampleRate;
      const across = (read: (t: number) => number): number => {
        let sum = 0;
        for (let k = 0; k < 8; k++) sum += read((from + ((to - from) * (b + (k + 0.5) / 8)) / count) / channel.sampleRate);
        return sum / 8;
      };
      batches.push({
        state, samples: piece.moments.count, mean: piece.moments.mean, time,
        temperature: temperature ? across(temperature) : (window.temperature ?? null), speed: speed ? across(speed) : (window.speed ?? null),
      });
    }
    return { from: window.from, to: window.to, moments, batches };
  });
  const kept = states.filter((s) => s.moments.count > 0);
  const spell = (s: TimeWindow): string => `${s.from} to ${s.to} s`;
  if (kept.length === 0) throw new InputError({ where, argument: 'rest', expected: 'a window with valid samples', given: `${states.map(spell).join(', ')}, masked throughout`, remedy: 'Give a rest at which the signal came through.' });
  for (const s of states) if (s.moments.count === 0) notes.push(`The rest from ${spell(s)} is masked throughout and left out.`);
  return kept;
}

/** Temperature in °C on the channel's clock. */
export function celsiusReader(where: string, channel: NonNullable<Companions['temperature']>, start: string | null): (t: number) => number {
  const { factor, offset } = unitConversion(channel.unit, '°C', where);
  const read = readerOf(where, channel, 'temperature', start);
  return (t) => read(t) * factor + offset;
}

/** Speed in rad/s on the channel's clock. */
export function speedReader(where: string, channel: NonNullable<Companions['speed']>, start: string | null): (t: number) => number {
  const { factor } = unitConversion(channel.unit, 'rad/s', where);
  const read = readerOf(where, channel, 'speed', start);
  return (t) => read(t) * factor;
}
