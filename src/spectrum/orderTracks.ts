import { checkList, checkNumber, checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { perRms, type AmplitudeKind } from './lineSpectrum.js';
import { cutRevolutions, type RevolutionOptions } from './orderSpectrum.js';
import { checkAngleRecord, type AngleRecord } from './toShaftAngle.js';

/** One order over the run. */
export interface OrderTrack {
  /** Cycles a revolution. */
  readonly order: number;
  readonly amplitude: Float64Array;
  /** rad, of a cosine at angle zero, −π to π. */
  readonly phase: Float64Array;
}

/** Orders over time and speed. */
export interface OrderTracks {
  readonly name: string;
  /** Middle of each segment, seconds from the channel's first sample. */
  readonly time: Float64Array;
  /** Mean over each segment's revolutions, rad/s. */
  readonly speed: Float64Array;
  readonly tracks: readonly OrderTrack[];
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  readonly revolutions: number;
  readonly notes: readonly string[];
}

/** What orderTracks takes. */
export interface OrderTracksOptions extends RevolutionOptions {
  /** The orders, from one cycle a segment (1/revolutions) to below half the samples of a revolution; they need not be whole. No default. */
  readonly orders: readonly number[];
}

/**
 * Follows single orders through a run: amplitude and phase of each over speed and time.
 *
 * Definition: X(o) = Σ w[m]·(x[m] − mean)·e^{−i·o·θ_m} over segments of whole revolutions; amplitude = 2·|X|/Σ w (peak), phase = arg X. Orders closer than the window's main lobe (2/revolutions
 * for Hann) run into each other.
 *
 * Cost: samples × orders.
 *
 * @param record from toShaftAngle
 * @param options orders and revolutions, no default; overlap (default 0.5), window (default 'hann'), amplitude (default 'peak')
 * @returns time (s), speed (rad/s) and one track an order
 * @throws InputError for an order outside the record, or no piece of so many revolutions
 * @see orderSpectrum, speedMap
 * @example
 * const turn = (i) => 2 * Math.PI * (5 * (i / 1000) + 2 * (i / 1000) ** 2);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 10 + 3 * Math.cos(2 * turn(i) + 0.5)) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 2 * Math.PI * (5 + 4 * (i / 1000))) });
 * const t = orderTracks(toShaftAngle(T, { speed, samplesPerRevolution: 64 }), { orders: [2], revolutions: 4 });
 * t.tracks[0].amplitude[5] // => 3.000
 */
export function orderTracks(record: AngleRecord, options: OrderTracksOptions): OrderTracks {
  const where = 'orderTracks';
  checkAngleRecord(where, record);
  checkOptions(where, options, { required: ['orders', 'revolutions'], optional: ['overlap', 'window', 'amplitude'] });
  checkList(where, 'orders', options.orders, 'a list of at least one order');
  checkNumber(where, 'revolutions', options.revolutions, { integer: true, min: 1 });
  // Below one cycle a segment an order is not told from the mean; at half the samples of a revolution it is not told from its mirror.
  for (const o of options.orders) checkNumber(where, 'orders', o, { min: 1 / options.revolutions, below: record.samplesPerRevolution / 2 });
  const { segments, window, kind } = cutRevolutions(where, record, options);
  const scale = (Math.SQRT2 * perRms(kind)) / window.reduce((a, b) => a + b, 0);
  const pitch = (2 * Math.PI) / record.samplesPerRevolution;
  const tracks = options.orders.map((order) => Object.freeze({ order, amplitude: new Float64Array(segments.length), phase: new Float64Array(segments.length) }));
  const time = new Float64Array(segments.length), speed = new Float64Array(segments.length);
  segments.forEach(({ piece, at }, s) => {
    let mean = 0;
    for (let m = 0; m < window.length; m++) mean += piece.values[at + m]! / window.length;
    for (const { order, amplitude, phase } of tracks) {
      let re = 0, im = 0;
      for (let m = 0; m < window.length; m++) {
        const angle = order * (piece.first + at + m) * pitch;
        const v = window[m]! * (piece.values[at + m]! - mean);
        re += v * Math.cos(angle);
        im -= v * Math.sin(angle);
      }
      amplitude[s] = scale * Math.hypot(re, im);
      phase[s] = Math.atan2(im, re);
    }
    const end = Math.min(at + window.length, piece.time.length - 1);
    time[s] = (piece.time[at]! + piece.time[end]!) / 2;
    speed[s] = ((end - at) * pitch) / (piece.time[end]! - piece.time[at]!);
  });
  return makeResult<OrderTracks>('OrderTracks', { name: record.name, time, speed, tracks: Object.freeze(tracks), kind, unit: record.unit, revolutions: options.revolutions, notes: record.notes },
    (t) => `OrderTracks of ${t.name} [${t.unit} ${t.kind}]: orders ${t.tracks.map((k) => k.order).join(', ')} at ${t.time.length} places`);
}
