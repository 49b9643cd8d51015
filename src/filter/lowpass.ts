import { checkChoice, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Channel, Outcome } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { checkFrequency, designBandpass, designBandstop, designHighpass, designLowpass, prewarp, type FilterDesign, type ShapeOptions } from './design.js';
import { transferAt } from './responseOf.js';
import { runFilter, runKeys, type FilterRunOptions } from './runFilter.js';

/** What every filter takes besides its edges. */
export interface FilterOptions extends ShapeOptions, FilterRunOptions {
  /**
   * What the edge means for a zero-phase run. 'each pass' (default): each of the two passes is −3.01 dB there, both
   * together −6.02 dB. '-3dB': both passes together are −3.01 dB there (Butterworth only); the design edge is moved to suit.
   */
  readonly cutoffAt?: 'each pass' | '-3dB';
}

/** What lowpass and highpass take. */
export interface EdgeFilterOptions extends FilterOptions {
  /** Hz, 0 to half the sample rate. No default: it is a physical choice. */
  readonly cutoff: number;
}

/** What bandpass and bandstop take. */
export interface BandFilterOptions extends FilterOptions {
  /** Lower edge, Hz. No default. */
  readonly from: number;
  /** Upper edge, Hz. No default. */
  readonly to: number;
}

type FilterType = 'lowpass' | 'highpass' | 'bandpass' | 'bandstop';
const keys = ['order', 'family', 'ripple', 'stopband', 'cutoffAt', ...runKeys];

/** The frequency whose pre-warped value is w. */
function unwarp(w: number, sampleRate: number): number {
  return (Math.atan(w) * sampleRate) / Math.PI;
}

/**
 * The design edges for which two Butterworth passes are −3.01 dB together at the edges asked for. With
 * C = (√2 − 1)^{1/(2n)} a low-pass edge becomes Ω/C, a high-pass edge Ω·C, a bandwidth B/C (pass) or B·C (stop) about
 * the same centre; Ω = tan(πf/fs).
 *
 * @references D. A. Winter, Biomechanics and Motor Control of Human Movement (C = 0.802 for n = 2; from memory), here with the exact pre-warping.
 */
function compensated(type: FilterType, edges: readonly number[], order: number, sampleRate: number): number[] {
  const C = (Math.SQRT2 - 1) ** (1 / (2 * order));
  const [low, high] = edges.map((f) => prewarp(f, sampleRate)) as [number, number];
  if (type === 'lowpass') return [unwarp(low / C, sampleRate)];
  if (type === 'highpass') return [unwarp(low * C, sampleRate)];
  const half = (type === 'bandpass' ? (high - low) / C : (high - low) * C) / 2;
  const reach = Math.sqrt(half * half + low * high);
  return [unwarp(reach - half, sampleRate), unwarp(reach + half, sampleRate)];
}

function designOf(type: FilterType, edges: readonly number[], sampleRate: number, { order, family, ripple, stopband }: ShapeOptions): FilterDesign {
  const shape = { ...(order !== undefined && { order }), ...(family !== undefined && { family }), ...(ripple !== undefined && { ripple }), ...(stopband !== undefined && { stopband }), sampleRate };
  if (type === 'lowpass') return designLowpass({ cutoff: edges[0]!, ...shape });
  if (type === 'highpass') return designHighpass({ cutoff: edges[0]!, ...shape });
  return (type === 'bandpass' ? designBandpass : designBandstop)({ from: edges[0]!, to: edges[1]!, ...shape });
}

function filterBy(type: FilterType, channel: Channel, options: FilterOptions, edges: readonly number[]): Outcome {
  const cutoffAt = checkChoice(type, 'cutoffAt', options.cutoffAt ?? 'each pass', ['each pass', '-3dB']);
  const twice = options.zeroPhase ?? true;
  const move = cutoffAt === '-3dB' && twice;
  if (move && (options.family ?? 'butterworth') !== 'butterworth') {
    throw new InputError({ where: type, argument: 'cutoffAt', expected: "'each pass' for every family but butterworth", given: "'-3dB'" });
  }
  const plain = designOf(type, edges, channel.sampleRate, options);
  const design = move ? designOf(type, compensated(type, edges, plain.order, channel.sampleRate), channel.sampleRate, options) : plain;
  const attenuation = edges.map((f) => {
    const h = transferAt(design.sections, (2 * Math.PI * f) / channel.sampleRate);
    return -(twice ? 20 : 10) * Math.log10(h.re * h.re + h.im * h.im);
  });
  return runFilter(type, channel, design, options, {
    family: design.family, order: design.order, designEdges: design.edges, attenuationAtEdges: attenuation.map((a) => Number(a.toFixed(3))),
  });
}

function checkEdge(type: FilterType, channel: Channel, options: EdgeFilterOptions): readonly number[] {
  const { cutoff } = checkOptions(type, options, { required: ['cutoff'], optional: keys });
  return [checkFrequency(type, 'cutoff', cutoff, channel.sampleRate)];
}

function checkBand(type: FilterType, channel: Channel, options: BandFilterOptions): readonly number[] {
  const { from, to } = checkOptions(type, options, { required: ['from', 'to'], optional: keys });
  checkFrequency(type, 'from', from, channel.sampleRate);
  checkFrequency(type, 'to', to, channel.sampleRate);
  if (!(from < to)) throw new InputError({ where: type, argument: 'to', expected: `above from (${from} Hz)`, given: `${to} Hz` });
  return [from, to];
}

const lowpassOperation = defineOperation<EdgeFilterOptions>('lowpass', (c, o) => filterBy('lowpass', c, o, checkEdge('lowpass', c, o)));
const highpassOperation = defineOperation<EdgeFilterOptions>('highpass', (c, o) => filterBy('highpass', c, o, checkEdge('highpass', c, o)));
const bandpassOperation = defineOperation<BandFilterOptions>('bandpass', (c, o) => filterBy('bandpass', c, o, checkBand('bandpass', c, o)));
const bandstopOperation = defineOperation<BandFilterOptions>('bandstop', (c, o) => filterBy('bandstop', c, o, checkBand('bandstop', c, o)));

/**
 * Takes away what is faster than the cutoff. Zero-phase by default: forwards and backwards, so that peaks stay where
 * they are; the gain is |H|², −6.02 dB at the cutoff unless cutoffAt: '-3dB' is asked for (the step's `found` states
 * the attenuation at the edges in dB).
 *
 * Definition: Butterworth of the order given (default 4), second-order sections, odd extension and settled start at
 * both ends (as scipy.signal.sosfiltfilt).
 *
 * Kept: unit, clock, masks; each valid run is filtered on its own, or with gaps: 'bridge' runs are read across short gaps; values under masks stay as recorded. Cost: two walks per two sections.
 *
 * What the ends of runs cost in damage, on seven seeded records with 300 gaps each (sample run c, its true torque): filtered at 100 Hz, far above the swings, 0.2 % at most by either way; at 20 Hz, hardly above them, the mirror image
 * overshoots by up to 0.8 % at slope 3 and by 5 to 29 % at slope 8 with a knee, and bridging is off by less than 0.05 % and 1 %. The step's `found.nearGaps` tells how many samples lie so close to a gap that they feel it. Repair the clock first: a jump where frames were lost rings like a step.
 *
 * @param channel any unit, on its repaired clock
 * @param options cutoff (Hz), order (default 4), zeroPhase (default true), cutoffAt, startUp (causal only), shortRuns, gaps, family
 * @returns the filtered channel
 * @throws InputError for a cutoff not below half the sample rate, or a valid run too short to settle
 * @see designLowpass, responseOf, decimate
 * @example
 * const step = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 64 }, (_, i) => (i < 32 ? 0 : 100)) });
 * const smooth = lowpass(step, { cutoff: 50 });
 * smooth.values[31] + smooth.values[32] // => 100.00
 * smooth.trail[1].found.attenuationAtEdges // => [6.021]
 * lowpass(step, { cutoff: 600 }) // => throws lowpass: cutoff must be below half the sample rate (500 Hz), got 600 Hz.
 * @references F. Gustafsson, Determining the initial states in forward-backward filtering, IEEE Trans. Signal Processing 44 (1996) 988, describes the end problem; the odd extension is common practice, no source.
 */
export function lowpass<U extends Unit>(channel: Channel<U>, options: EdgeFilterOptions): Channel<U> {
  return lowpassOperation(channel, options) as Channel<U>;
}

/**
 * Takes away what is slower than the cutoff, the mean included.
 *
 * Definition, what is kept and cost: as lowpass, with the high-pass design.
 *
 * @param channel any unit
 * @param options as lowpass
 * @returns the filtered channel
 * @throws InputError as lowpass
 * @see designHighpass, removeDrift
 * @example
 * const level = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: new Float64Array(100).fill(7) });
 * highpass(level, { cutoff: 5 }).values[50] // => 0.0000000
 */
export function highpass<U extends Unit>(channel: Channel<U>, options: EdgeFilterOptions): Channel<U> {
  return highpassOperation(channel, options) as Channel<U>;
}

/**
 * Keeps what lies between two frequencies.
 *
 * Definition, what is kept and cost: as lowpass, with the band-pass design (2·order poles).
 *
 * @param channel any unit
 * @param options from and to (Hz), the rest as lowpass
 * @returns the filtered channel
 * @throws InputError where not 0 < from < to < sampleRate/2, or a valid run is too short
 * @see designBandpass
 * @example
 * const tone = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 1000 }, (_, i) => 50 + Math.cos(2 * Math.PI * 0.03 * i)) });
 * bandpass(tone, { from: 20, to: 45 }).values[500] // => 1.000
 */
export function bandpass<U extends Unit>(channel: Channel<U>, options: BandFilterOptions): Channel<U> {
  return bandpassOperation(channel, options) as Channel<U>;
}

/**
 * Takes away what lies between two frequencies.
 *
 * Definition, what is kept and cost: as lowpass, with the band-stop design (2·order poles).
 *
 * @param channel any unit
 * @param options as bandpass
 * @returns the filtered channel
 * @throws InputError as bandpass
 * @see designBandstop, notch
 * @example
 * const hum = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 2000 }, (_, i) => 50 + Math.cos(2 * Math.PI * 0.05 * i)) });
 * bandstop(hum, { from: 40, to: 60, order: 2 }).values[1000] // => 50.00
 */
export function bandstop<U extends Unit>(channel: Channel<U>, options: BandFilterOptions): Channel<U> {
  return bandstopOperation(channel, options) as Channel<U>;
}
