import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { segmentStarts, segmentTransform, type Detrend } from '../numeric/segments.js';
import { windowSamples, type WindowChoice } from '../numeric/window.js';
import { binFactor, type AmplitudeKind } from './lineSpectrum.js';
import { checkWindow, windowText } from './segmentation.js';
import { checkAngleRecord, type AnglePiece, type AngleRecord } from './toShaftAngle.js';

/** How a record over angle is cut. */
export interface RevolutionOptions {
  /** Length of a segment in whole revolutions: orders 1/revolutions apart. No default. */
  readonly revolutions: number;
  /** Part of a segment that the next one shares, rounded to whole revolutions, default 0.5. */
  readonly overlap?: number;
  /** Default 'hann'. */
  readonly window?: WindowChoice;
  /** Default 'peak'. */
  readonly amplitude?: AmplitudeKind;
}

/** What orderSpectrum takes. */
export interface OrderSpectrumOptions extends RevolutionOptions {
  /** Default 'mean'. */
  readonly detrend?: Detrend;
}

/** Amplitude and phase by order. */
export interface OrderSpectrum {
  readonly name: string;
  /** Cycles a revolution. */
  readonly order: Float64Array;
  readonly amplitude: Float64Array;
  /** rad, of a cosine at angle zero. */
  readonly phase: Float64Array;
  /** Amplitude of the average over amplitude on average: 1 where every segment has the same phase. */
  readonly steadiness: Float64Array;
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  readonly of: Unit;
  readonly samplesPerRevolution: number;
  readonly revolutions: number;
  readonly segments: number;
  readonly window: WindowChoice;
  /** Orders that the window tells apart (equivalent noise bandwidth). */
  readonly resolution: number;
  /** rad/s. */
  readonly slowest: number;
  readonly fastest: number;
  readonly notes: readonly string[];
}

/** A segment of a piece, by its first sample. */
export interface AngleSegment {
  readonly piece: AnglePiece;
  readonly at: number;
}

/** The checked options, and the segments. */
export function cutRevolutions(where: string, record: AngleRecord, options: RevolutionOptions): { readonly segments: readonly AngleSegment[]; readonly window: Float64Array; readonly choice: WindowChoice; readonly kind: AmplitudeKind } {
  const revolutions = checkNumber(where, 'revolutions', options.revolutions, { integer: true, min: 1 });
  const overlap = checkNumber(where, 'overlap', options.overlap ?? 0.5, { min: 0, below: 1 });
  const choice = checkWindow(where, options.window ?? 'hann');
  const kind = checkChoice<AmplitudeKind>(where, 'amplitude', options.amplitude ?? 'peak', ['peak', 'rms', 'peak-to-peak']);
  const length = revolutions * record.samplesPerRevolution;
  const hop = Math.max(1, Math.round(revolutions * (1 - overlap))) * record.samplesPerRevolution;
  const segments = record.pieces.flatMap((piece) => segmentStarts(0, piece.values.length, length, hop).map((at) => ({ piece, at })));
  if (segments.length === 0) {
    const longest = record.pieces.reduce((n, p) => Math.max(n, p.values.length), 0) / record.samplesPerRevolution;
    throw new InputError({ where, argument: 'revolutions', expected: `no more than the longest piece has (${longest.toFixed(2)})`, given: String(revolutions) });
  }
  return { segments, window: windowSamples(choice, length, 'periodic'), choice, kind };
}

/**
 * Gives amplitude and phase by order of rotation.
 *
 * Definition: X[k] over segments of whole revolutions, turned back by e^{−i·o·θ} for the angle θ at which a segment begins, o = k/revolutions; amplitude = c·√avg|X|²/Σ w, phase = arg avg X,
 * steadiness = |avg X|/√avg|X|².
 *
 * Kept: phases are averaged over the longest stretch of followed angle only (`notes`). Cost: one transform a segment.
 *
 * @param record from toShaftAngle
 * @param options revolutions (whole), no default; overlap (default 0.5), window (default 'hann'), detrend (default 'mean'), amplitude (default 'peak')
 * @returns order, amplitude, phase (rad), steadiness, resolution (orders), notes
 * @throws InputError where no piece holds so many revolutions
 * @see orderTracks, toShaftAngle
 * @example
 * const turn = (i) => 2 * Math.PI * (5 * (i / 1000) + 2 * (i / 1000) ** 2);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 10 + 3 * Math.cos(2 * turn(i) + 0.5)) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 2 * Math.PI * (5 + 4 * (i / 1000))) });
 * const s = orderSpectrum(toShaftAngle(T, { speed, samplesPerRevolution: 64 }), { revolutions: 10 });
 * s.order[20] // => 2
 * s.amplitude[20] // => 3.000
 * s.phase[20] // => 0.500
 */
export function orderSpectrum(record: AngleRecord, options: OrderSpectrumOptions): OrderSpectrum {
  const where = 'orderSpectrum';
  checkAngleRecord(where, record);
  checkOptions(where, options, { required: ['revolutions'], optional: ['overlap', 'window', 'detrend', 'amplitude'] });
  const detrend = checkChoice<Detrend>(where, 'detrend', options.detrend ?? 'mean', ['mean', 'linear', 'none']);
  const { segments, window, choice, kind } = cutRevolutions(where, record, options);
  const S = record.samplesPerRevolution, R = options.revolutions;
  const bins = (window.length >> 1) + 1;
  const main = mostSegments(segments);
  const power = new Float64Array(bins), re = new Float64Array(bins), im = new Float64Array(bins), own = new Float64Array(bins);
  let slowest = Infinity, fastest = 0, counted = 0;
  for (const { piece, at } of segments) {
    const X = segmentTransform(piece.values, at, window, detrend);
    const whole = piece.first + at;
    const inMain = piece.turn === main;
    if (inMain) counted++;
    for (let k = 0; k < bins; k++) {
      const p = X[2 * k]! ** 2 + X[2 * k + 1]! ** 2;
      power[k]! += p;
      if (!inMain) continue;
      const back = (-2 * Math.PI * ((k * whole) % (R * S))) / (R * S);
      const c = Math.cos(back), s = Math.sin(back);
      own[k]! += p;
      re[k]! += X[2 * k]! * c - X[2 * k + 1]! * s;
      im[k]! += X[2 * k]! * s + X[2 * k + 1]! * c;
    }
    for (let i = at; i < at + window.length; i++) {
      slowest = Math.min(slowest, piece.speed[i]!);
      fastest = Math.max(fastest, piece.speed[i]!);
    }
  }
  const sum = window.reduce((a, b) => a + b, 0), squares = window.reduce((a, b) => a + b * b, 0);
  const notes = [...record.notes, ...(counted < segments.length ? [`phases from ${counted} of ${segments.length} segments: those of the longest stretch of followed angle`] : [])];
  return makeResult<OrderSpectrum>('OrderSpectrum', {
    name: record.name, order: power.map((_, k) => k / R), amplitude: power.map((p, k) => (binFactor(k, R * S, kind) * Math.sqrt(p / segments.length)) / sum),
    phase: re.map((r, k) => Math.atan2(im[k]!, r)), steadiness: re.map((r, k) => (own[k]! > 0 ? Math.hypot(r, im[k]!) / Math.sqrt(own[k]! * counted) : 0)), kind, unit: record.unit, of: record.unit,
    samplesPerRevolution: S, revolutions: R, segments: segments.length, window: choice, resolution: (S * squares) / (sum * sum), slowest, fastest, notes: Object.freeze(notes),
  }, (s) => `OrderSpectrum of ${s.name} [${s.unit} ${s.kind}]: orders 0 to ${s.samplesPerRevolution / 2} in steps of 1/${s.revolutions}, ${s.segments} segments (${windowText(s.window)})`);
}

/** The stretch of followed angle that gives the most segments. */
function mostSegments(segments: readonly AngleSegment[]): number {
  const count = new Map<number, number>();
  for (const { piece } of segments) count.set(piece.turn, (count.get(piece.turn) ?? 0) + 1);
  return [...count].reduce((a, b) => (b[1] > a[1] ? b : a))[0];
}
