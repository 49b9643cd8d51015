import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { evaluateSpline } from '../numeric/cubicSpline.js';
import { segmentTransform } from '../numeric/segments.js';
import { binFactor, type AmplitudeKind } from './lineSpectrum.js';
import { cutRevolutions } from './orderSpectrum.js';
import { binFrequencies } from './powerDensity.js';
import { cutSegments } from './segmentation.js';
import { angleCurve, angleKeys, type ShaftAngleSource } from './shaftAngle.js';
import { toShaftAngle } from './toShaftAngle.js';
import type { WindowChoice } from '../numeric/window.js';

/** What speedMap takes. */
export interface SpeedMapOptions extends ShaftAngleSource {
  /** 'frequency': amplitude over Hz, in segments of time; 'order': over cycles a revolution, in segments of whole revolutions. No default. */
  readonly axis: 'frequency' | 'order';
  /** Width of a class of speed, rad/s; rpm(20) is 20 rpm. No default. */
  readonly classWidth: number;
  /** Length of a segment for 'frequency': samples, or seconds. One of the two. */
  readonly segment?: number;
  readonly segmentSeconds?: number;
  /** Length of a segment for 'order', whole revolutions, and samples of a revolution. */
  readonly revolutions?: number;
  readonly samplesPerRevolution?: number;
  /** Default 0.5. */
  readonly overlap?: number;
  /** Default 'hann'. */
  readonly window?: WindowChoice;
  /** Default 'peak'. */
  readonly amplitude?: AmplitudeKind;
}

/** Amplitude over frequency or order, and over speed. */
export interface SpeedMap {
  readonly name: string;
  readonly axis: 'frequency' | 'order';
  /** Hz, or cycles a revolution. */
  readonly along: Float64Array;
  /** Middle of each class of speed that has segments, rad/s, rising. */
  readonly speed: Float64Array;
  readonly classWidth: number;
  /** One spectrum a class, the root mean square over its segments. */
  readonly amplitude: readonly Float64Array[];
  /** Segments in each class. */
  readonly segments: Float64Array;
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  readonly of: Unit;
  /** Greatest change of speed within a segment, rad/s. */
  readonly speedChange: number;
  readonly notes: readonly string[];
}

/** Powers summed by class of speed. */
class Classes {
  private readonly sums = new Map<number, { power: Float64Array; count: number }>();
  private readonly width: number;
  change = 0;

  constructor(width: number) {
    this.width = width;
  }

  add(X: Float64Array, speed: number, change: number): void {
    const key = Math.floor(speed / this.width);
    const entry = this.sums.get(key) ?? { power: new Float64Array(X.length / 2), count: 0 };
    for (let k = 0; k < entry.power.length; k++) entry.power[k]! += X[2 * k]! ** 2 + X[2 * k + 1]! ** 2;
    entry.count++;
    this.change = Math.max(this.change, Math.abs(change));
    this.sums.set(key, entry);
  }

  /** Classes in rising speed; amplitude = factor·√(mean power). */
  read(factor: (bin: number) => number): { readonly speed: Float64Array; readonly amplitude: Float64Array[]; readonly segments: Float64Array } {
    const keys = [...this.sums.keys()].sort((a, b) => a - b);
    const entries = keys.map((k) => this.sums.get(k)!);
    return {
      speed: Float64Array.from(keys, (k) => (k + 0.5) * this.width), segments: Float64Array.from(entries, (e) => e.count),
      amplitude: entries.map((e) => e.power.map((p, k) => factor(k) * Math.sqrt(p / e.count))),
    };
  }
}

const allKeys = [...angleKeys, 'segment', 'segmentSeconds', 'revolutions', 'samplesPerRevolution', 'overlap', 'window', 'amplitude'];

function overFrequency(where: string, channel: Channel, options: SpeedMapOptions, classes: Classes): { along: Float64Array; length: number; sum: number; notes: string[] } {
  const { segment, segmentSeconds, overlap, window } = options;
  const cut = cutSegments(where, channel, { ...(segment !== undefined && { segment }), ...(segmentSeconds !== undefined && { segmentSeconds }), ...(overlap !== undefined && { overlap }), ...(window !== undefined && { window }) });
  const curve = angleCurve(where, channel, options);
  let left = 0;
  for (const at of cut.starts as readonly number[]) {
    const begin = at / channel.sampleRate, end = (at + cut.length - 1) / channel.sampleRate;
    const theta = curve.pieces.find((p) => p.x[0]! <= begin && end <= p.x.at(-1)!);
    if (!theta) { left++; continue; }
    const places = Float64Array.from([begin, end]);
    const angle = evaluateSpline(theta, places), speed = evaluateSpline(theta, places, 1);
    classes.add(segmentTransform(channel.values, at, cut.window, cut.detrend), (angle[1]! - angle[0]!) / (end - begin), speed[1]! - speed[0]!);
  }
  const notes = [...curve.notes, ...cut.notes, ...(left > 0 ? [`${left} segments left out: speed not followed all through`] : [])];
  return { along: binFrequencies(channel.sampleRate, cut.length), length: cut.length, sum: cut.window.reduce((a, b) => a + b, 0), notes };
}

function overOrder(where: string, channel: Channel, options: SpeedMapOptions, classes: Classes): { along: Float64Array; length: number; sum: number; notes: string[] } {
  const { samplesPerRevolution, pulses, offsets, speed, minimumSpeed, revolutions, overlap, window } = options;
  for (const key of ['revolutions', 'samplesPerRevolution'] as const) {
    if (options[key] === undefined) throw new InputError({ where, argument: key, expected: "given for the axis 'order'", given: 'nothing' });
  }
  const source = { ...(pulses && { pulses }), ...(offsets && { offsets }), ...(speed && { speed }), ...(minimumSpeed !== undefined && { minimumSpeed }) };
  const record = toShaftAngle(channel, { ...source, samplesPerRevolution: samplesPerRevolution! });
  const cut = cutRevolutions(where, record, { revolutions: revolutions!, ...(overlap !== undefined && { overlap }), ...(window !== undefined && { window }) });
  for (const { piece, at } of cut.segments) {
    const end = at + cut.window.length - 1;
    const mean = ((end - at) * 2 * Math.PI) / samplesPerRevolution! / (piece.time[end]! - piece.time[at]!);
    classes.add(segmentTransform(piece.values, at, cut.window, 'mean'), mean, piece.speed[end]! - piece.speed[at]!);
  }
  return { along: Float64Array.from({ length: (cut.window.length >> 1) + 1 }, (_, k) => k / revolutions!), length: cut.window.length, sum: cut.window.reduce((a, b) => a + b, 0), notes: [...record.notes] };
}

/**
 * Maps amplitude over frequency (or order) and speed: lines that follow the speed are excited by the shaft, lines that stay are natural or electrical frequencies.
 *
 * Definition: segments are gathered by their mean speed into classes; amplitude = √2·√(mean over the class of 2·|X|²)/Σ w (peak). For 'frequency' as lineSpectrum, for 'order' as orderSpectrum.
 *
 * Kept: only whole valid segments over which the speed is followed. `notes` say by how much the speed changes within a segment: over frequency a line of order o smears over o times that. Cost: one transform a segment.
 *
 * @param channel any unit
 * @param options axis and classWidth (rad/s), no default; pulses or speed; segment or segmentSeconds ('frequency'); revolutions and samplesPerRevolution ('order'); overlap, window, amplitude
 * @returns along (Hz or orders), speed (rad/s), one spectrum a class
 * @throws InputError as powerDensity or toShaftAngle
 * @see speedCrossings, orderTracks
 * @example
 * const n = 8000;
 * const turn = (i) => 2 * Math.PI * (5 * (i / 1000) + (i / 1000) ** 2);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: n }, (_, i) => 3 * Math.cos(2 * turn(i)) + Math.cos(2 * Math.PI * 0.08 * i)) });
 * const speed = makeChannel({ name: 'speed', unit: 'rad/s', sampleRate: 1000, values: Array.from({ length: n }, (_, i) => 2 * Math.PI * (5 + 2 * (i / 1000))) });
 * const map = speedMap(T, { axis: 'order', speed, classWidth: rpm(60), revolutions: 4, samplesPerRevolution: 64 });
 * map.amplitude[5][8] // => 3.00
 */
export function speedMap(channel: Channel, options: SpeedMapOptions): SpeedMap {
  const where = 'speedMap';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['axis', 'classWidth'], optional: allKeys });
  const axis = checkChoice(where, 'axis', options.axis, ['frequency', 'order']);
  const classWidth = checkNumber(where, 'classWidth', options.classWidth, { above: 0, unit: 'rad/s' });
  const kind = checkChoice<AmplitudeKind>(where, 'amplitude', options.amplitude ?? 'peak', ['peak', 'rms', 'peak-to-peak']);
  const foreign = axis === 'frequency' ? (['revolutions', 'samplesPerRevolution'] as const) : (['segment', 'segmentSeconds'] as const);
  for (const key of foreign) if (options[key] !== undefined) throw new InputError({ where, argument: key, expected: `left out for the axis '${axis}'`, given: String(options[key]) });
  const classes = new Classes(classWidth);
  const { along, length, sum, notes } = (axis === 'frequency' ? overFrequency : overOrder)(where, channel, options, classes);
  const { speed, amplitude, segments } = classes.read((k) => binFactor(k, length, kind) / sum);
  if (speed.length === 0) throw new InputError({ where, argument: 'segment', expected: 'short enough that the speed is followed over one', given: 'none such', remedy: 'Use a shorter segment, or look at the masks of the speed.' });
  const change = (classes.change * 30) / Math.PI;
  return makeResult<SpeedMap>('SpeedMap', {
    name: channel.name, axis, along, speed, classWidth, amplitude: Object.freeze(amplitude), segments, kind, unit: channel.unit, of: channel.unit, speedChange: classes.change,
    notes: Object.freeze([...notes, `the speed changes by up to ${change.toPrecision(2)} rpm within a segment${axis === 'frequency' ? `: order o smears over up to o × ${(change / 60).toPrecision(2)} Hz` : ''}`]),
  }, (m) => `SpeedMap of ${m.name} [${m.unit} ${m.kind}] over ${m.axis}: ${m.speed.length} classes of ${((m.classWidth * 30) / Math.PI).toPrecision(3)} rpm, ${m.segments.reduce((a, b) => a + b, 0)} segments`);
}
