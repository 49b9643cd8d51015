import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { sectionCount, zeroPhasePadding, type Sections } from '../numeric/sections.js';
import { bilinear, toBandpass, toBandstop, toHighpass, toLowpass, toSections } from './digital.js';
import { bessel, butterworth, chebyshev1, chebyshev2, type ZeroPoleGain } from './prototype.js';

/** The analogue family that a filter is made from. */
export type FilterFamily = 'butterworth' | 'chebyshev 1' | 'chebyshev 2' | 'bessel';

/** What shapes a filter besides its edges. */
export interface ShapeOptions {
  /** Order of the low-pass prototype, 1 to 20, default 4; a band filter has twice as many poles. */
  readonly order?: number;
  /** Default 'butterworth'. */
  readonly family?: FilterFamily;
  /** Ripple of the pass band, 1e-6 to 300 dB; needed for 'chebyshev 1', whose edge is where the gain leaves the ripple. */
  readonly ripple?: number;
  /** Attenuation of the stop band, 1e-6 to 300 dB; needed for 'chebyshev 2', whose edge is where the stop band begins. */
  readonly stopband?: number;
}

/** What a low-pass or high-pass design takes. */
export interface EdgeDesignOptions extends ShapeOptions {
  /** Edge, Hz: −3.01 dB of one pass for 'butterworth' and 'bessel'. No default. */
  readonly cutoff: number;
  /** Hz. */
  readonly sampleRate: number;
}

/** What a band-pass or band-stop design takes. */
export interface BandDesignOptions extends ShapeOptions {
  /** Lower edge, Hz. No default. */
  readonly from: number;
  /** Upper edge, Hz. No default. */
  readonly to: number;
  /** Hz. */
  readonly sampleRate: number;
}

/** A digital filter as second-order sections. */
export interface FilterDesign {
  readonly type: 'lowpass' | 'highpass' | 'bandpass' | 'bandstop' | 'notch';
  readonly family: FilterFamily | null;
  readonly order: number;
  /** Edges in Hz: one for a low-pass or high-pass, two for a band, one (the centre) for a notch. */
  readonly edges: readonly number[];
  readonly sampleRate: number;
  /** b0 b1 b2 1 a1 a2 of every section, one section after another; the first carries the gain. */
  readonly sections: Sections;
  /** Samples by which a zero-phase run is extended at each end; a run must be longer. */
  readonly padding: number;
}

const shapeKeys = ['order', 'family', 'ripple', 'stopband'] as const;

/** Part of the sample rate below which rounding moves the gain of a low-pass by more than a millionth. */
const finest = 2e-6;

/** Ripples that double precision holds; nobody measures as little or as much. */
const heldRipple = { min: 1e-6, max: 300, unit: 'dB' } as const;

/** Refuses an edge or a bandwidth so small a part of the sample rate that double precision no longer holds the filter. */
export function checkHeld(where: string, argument: string, value: number, sampleRate: number): void {
  if (value < finest * sampleRate) {
    throw new InputError({ where, argument, expected: `at least ${finest} of the sample rate (${finest * sampleRate} Hz), below which rounding spoils the filter`, given: `${value} Hz`, remedy: 'Use decimate first.' });
  }
}

/** Frequency strictly between 0 and half the sample rate. */
export function checkFrequency(where: string, argument: string, value: unknown, sampleRate: number): number {
  checkNumber(where, argument, value, { above: 0, unit: 'Hz' });
  if ((value as number) >= sampleRate / 2) {
    throw new InputError({ where, argument, expected: `below half the sample rate (${sampleRate / 2} Hz)`, given: `${value} Hz` });
  }
  return value as number;
}

/** The checked low-pass prototype of cutoff 1 rad/s, its order and family. */
function prototypeOf(where: string, options: ShapeOptions): { readonly prototype: ZeroPoleGain; readonly order: number; readonly family: FilterFamily } {
  const order = checkNumber(where, 'order', options.order ?? 4, { integer: true, min: 1, max: 20 });
  const family = checkChoice<FilterFamily>(where, 'family', options.family ?? 'butterworth', ['butterworth', 'chebyshev 1', 'chebyshev 2', 'bessel']);
  const needs: Readonly<Record<string, FilterFamily>> = { ripple: 'chebyshev 1', stopband: 'chebyshev 2' };
  for (const key of ['ripple', 'stopband'] as const) {
    if (options[key] !== undefined && needs[key] !== family) {
      throw new InputError({ where, argument: key, expected: `left out for the family ${family}`, given: `${options[key]} dB` });
    }
  }
  const prototype = family === 'butterworth' ? butterworth(order)
    : family === 'chebyshev 1' ? chebyshev1(order, checkNumber(where, 'ripple', options.ripple, heldRipple))
      : family === 'chebyshev 2' ? chebyshev2(order, checkNumber(where, 'stopband', options.stopband, heldRipple))
        : bessel(order, '-3dB');
  return { prototype, order, family };
}

/** Freezes a design and gives it its line. */
export function makeDesign(data: Omit<FilterDesign, 'padding'>): FilterDesign {
  return makeResult<FilterDesign>('FilterDesign', { ...data, edges: Object.freeze([...data.edges]), padding: zeroPhasePadding(data.sections) },
    (d) => `FilterDesign ${d.family ?? ''} ${d.type} order ${d.order}, ${d.edges.join(' to ')} Hz at ${d.sampleRate} Hz, ${sectionCount(d.sections)} sections`.replace('  ', ' '));
}

/** The analogue frequency tan(π·f/sampleRate) that the bilinear transform puts at f. */
export function prewarp(frequency: number, sampleRate: number): number {
  return Math.tan((Math.PI * frequency) / sampleRate);
}

function edgeDesign(type: 'lowpass' | 'highpass', options: EdgeDesignOptions): FilterDesign {
  const where = type === 'lowpass' ? 'designLowpass' : 'designHighpass';
  const { cutoff, sampleRate } = checkOptions(where, options, { required: ['cutoff', 'sampleRate'], optional: shapeKeys });
  checkNumber(where, 'sampleRate', sampleRate, { above: 0, unit: 'Hz' });
  checkFrequency(where, 'cutoff', cutoff, sampleRate);
  checkHeld(where, 'cutoff', cutoff, sampleRate);
  const { prototype, order, family } = prototypeOf(where, options);
  const w = prewarp(cutoff, sampleRate);
  const analogue = type === 'lowpass' ? toLowpass(prototype, w) : toHighpass(prototype, w);
  return makeDesign({ type, family, order, edges: [cutoff], sampleRate, sections: toSections(bilinear(analogue)) });
}

function bandDesign(type: 'bandpass' | 'bandstop', options: BandDesignOptions): FilterDesign {
  const where = type === 'bandpass' ? 'designBandpass' : 'designBandstop';
  const { from, to, sampleRate } = checkOptions(where, options, { required: ['from', 'to', 'sampleRate'], optional: shapeKeys });
  checkNumber(where, 'sampleRate', sampleRate, { above: 0, unit: 'Hz' });
  checkFrequency(where, 'from', from, sampleRate);
  checkFrequency(where, 'to', to, sampleRate);
  checkNumber(where, 'to', to, { above: from, unit: 'Hz' });
  checkHeld(where, 'from', from, sampleRate);
  checkHeld(where, 'to less from', to - from, sampleRate);
  const { prototype, order, family } = prototypeOf(where, options);
  const low = prewarp(from, sampleRate);
  const high = prewarp(to, sampleRate);
  const centre = Math.sqrt(low * high);
  const analogue = type === 'bandpass' ? toBandpass(prototype, centre, high - low) : toBandstop(prototype, centre, high - low);
  return makeDesign({ type, family, order, edges: [from, to], sampleRate, sections: toSections(bilinear(analogue)) });
}

/**
 * Designs a low-pass as second-order sections: analogue prototype, pre-warped edge, bilinear transform.
 *
 * Definition (Butterworth): |H(f)|² = 1/(1 + (tan(πf/fs)/tan(πfc/fs))^{2n}), −3.01 dB at the cutoff.
 *
 * Kept: nothing is measured here. Cost: a few microseconds.
 *
 * @param options cutoff (Hz), sampleRate (Hz), order (1 to 20, default 4), family (default 'butterworth'), ripple or stopband (dB) where the family needs one
 * @returns the design; its sections pair poles and zeros as scipy.signal.butter(output='sos') does
 * @throws InputError for a cutoff outside 0 … sampleRate/2, an order outside 1 … 20, or a ripple that the family does not take
 * @see lowpass, responseOf
 * @example
 * designLowpass({ cutoff: 50, sampleRate: 1000 }).sections.length / 6 // => 2
 * designLowpass({ cutoff: 150, sampleRate: 1000, order: 1 }).sections[0] // => 0.3375401519
 * @references A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, 1989, section 7.1.2 (bilinear transform; from memory).
 */
export function designLowpass(options: EdgeDesignOptions): FilterDesign {
  return edgeDesign('lowpass', options);
}

/**
 * Designs a high-pass as second-order sections: the low-pass prototype with s → ω/s, then as designLowpass.
 *
 * Definition (Butterworth): |H(f)|² = 1/(1 + (tan(πfc/fs)/tan(πf/fs))^{2n}).
 *
 * @param options as designLowpass
 * @returns the design
 * @throws InputError as designLowpass
 * @see highpass
 * @example
 * designHighpass({ cutoff: 2, sampleRate: 1000, order: 2 }).sections[0] // => 0.9911535951
 */
export function designHighpass(options: EdgeDesignOptions): FilterDesign {
  return edgeDesign('highpass', options);
}

/**
 * Designs a band-pass as second-order sections: the low-pass prototype with s → (s² + ω₀²)/(B·s), ω₀ the geometric
 * mean and B the difference of the pre-warped edges; 2·order poles.
 *
 * @param options from and to (Hz, from < to), the rest as designLowpass
 * @returns the design, −3.01 dB at both edges (Butterworth)
 * @throws InputError where the edges are not 0 < from < to < sampleRate/2
 * @see bandpass
 * @example
 * designBandpass({ from: 20, to: 40, sampleRate: 1000 }).sections.length / 6 // => 4
 */
export function designBandpass(options: BandDesignOptions): FilterDesign {
  return bandDesign('bandpass', options);
}

/**
 * Designs a band-stop as second-order sections: the low-pass prototype with s → B·s/(s² + ω₀²).
 *
 * @param options as designBandpass
 * @returns the design, −3.01 dB at both edges (Butterworth), zero at their geometric mean after pre-warping
 * @throws InputError as designBandpass
 * @see bandstop, notch
 * @example
 * designBandstop({ from: 45, to: 55, sampleRate: 1000, order: 2 }).sections.length / 6 // => 2
 */
export function designBandstop(options: BandDesignOptions): FilterDesign {
  return bandDesign('bandstop', options);
}
