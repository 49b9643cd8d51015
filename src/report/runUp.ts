import { InputError } from '../record/errors.js';
import { validRuns } from '../record/Channel.js';
import { convert } from '../record/convert.js';
import { slice, type TimeWindow } from '../record/slice.js';
import { rpm } from '../record/units.js';
import { orderTracks, type OrderTracks } from '../spectrum/orderTracks.js';
import { speedMap, type SpeedMap } from '../spectrum/speedMap.js';
import { toShaftAngle } from '../spectrum/toShaftAngle.js';
import type { Conduct } from './conduct.js';
import type { PreparedSignal } from './prepare.js';

/** What a record shows of the shaft over speed. */
export interface RunUp {
  /** Amplitude over frequency and speed; null where the speed hardly changes. */
  readonly map: SpeedMap | null;
  /** The orders of the drive over the longest run up or down; null where there is none that is long enough. */
  readonly tracks: OrderTracks | null;
  /** The stretch of the tracks, s. */
  readonly stretch: TimeWindow | null;
  /** Why a map or tracks could not be made. */
  readonly notes: readonly string[];
}

/** Classes of speed up to the top speed, and how many of them must hold a spectrum for a map to be worth a look. */
const classes = 40, leastClasses = 12;
/** Revolutions of a run for order tracks, and spectra along it. */
const leastRevolutions = 60, spectraAlong = 30;
/** As many lines as can be told apart. */
const mostOrders = 6;

/** The speed map of the record, and the exciting orders (rising) over its longest run up or down. */
export function runUpOf(signal: PreparedSignal, conduct: Conduct | null, orders: readonly number[]): RunUp | null {
  if (!signal.speed) return null;
  const notes: string[] = [];
  const made = <T>(what: string, make: () => T): T | null => {
    try {
      return make();
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      notes.push(`No ${what}: ${error.message}`);
      return null;
    }
  };
  const stretch = longestRun(conduct);
  const map = travels(signal) ? made('speed map', () => mapOf(signal)) : null;
  return {
    map: map && map.speed.length >= leastClasses ? map : null, stretch, notes,
    tracks: stretch && orders.length > 0 ? made('order tracks', () => tracksOf(signal, stretch, orders)) : null,
  };
}

function topSpeed({ speed }: PreparedSignal): number {
  let top = 0;
  for (const run of validRuns(speed!)) for (let i = run.from; i < run.to; i++) top = Math.max(top, Math.abs(speed!.values[i]!));
  return rpm(top);
}

/** A class of about a fortieth of the top speed: 1, 2 or 5 times a power of ten, rpm. */
function classWidth(top: number): number {
  const wanted = (top * 30) / Math.PI / classes;
  const power = 10 ** Math.floor(Math.log10(wanted));
  return rpm(power * [1, 2, 5, 10].find((step) => step * power >= 0.999 * wanted)!);
}

/** Does the speed pass through as many classes as a map needs? */
function travels(signal: PreparedSignal): boolean {
  const top = topSpeed(signal);
  if (!(top > 0)) return false;
  const width = (classWidth(top) * 30) / Math.PI;
  const passed = new Set<number>();
  for (const run of validRuns(signal.speed!)) for (let i = run.from; i < run.to; i++) passed.add(Math.floor(Math.abs(signal.speed!.values[i]!) / width));
  return passed.size >= leastClasses;
}

function mapOf(signal: PreparedSignal): SpeedMap {
  const { zeroed, speed } = signal;
  const longest = validRuns(zeroed).reduce((most, run) => Math.max(most, run.to - run.from), 0);
  return speedMap(zeroed, { axis: 'frequency', speed: convert(speed!, 'rad/s'), classWidth: classWidth(topSpeed(signal)), segment: 2 ** Math.floor(Math.log2(Math.min(2 * zeroed.sampleRate, longest))) });
}

function longestRun(conduct: Conduct | null): TimeWindow | null {
  const runs = (conduct?.states.states ?? []).filter((s) => s.state === 'start' || s.state === 'coast-down');
  const turns = (s: (typeof runs)[number]): number => (Math.abs(s.speed) * (s.to - s.from)) / (2 * Math.PI);
  const best = runs.sort((a, b) => turns(b) - turns(a))[0];
  return best && turns(best) >= leastRevolutions ? { from: best.from, to: best.to } : null;
}

function tracksOf({ zeroed, speed }: PreparedSignal, stretch: TimeWindow, orders: readonly number[]): OrderTracks {
  const record = toShaftAngle(slice(zeroed, stretch), { speed: convert(slice(speed!, stretch), 'rad/s'), samplesPerRevolution: 2 ** Math.ceil(Math.log2(4 * Math.max(8, ...orders))) });
  const turns = record.pieces.reduce((most, piece) => Math.max(most, piece.values.length / record.samplesPerRevolution), 0);
  return orderTracks(record, { orders: orders.slice(0, mostOrders), revolutions: Math.max(4, Math.min(16, Math.floor(turns / spectraAlong))) });
}
