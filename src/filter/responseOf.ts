import { checkList, checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf, makeResult } from '../record/result.js';
import { complex, divide, multiply, type Complex } from '../numeric/complex.js';
import { sectionCount, type Sections } from '../numeric/sections.js';
import type { FilterDesign } from './design.js';

/** Gain and phase of a filter over frequency. */
export interface FrequencyResponse {
  /** Hz. */
  readonly frequency: Float64Array;
  /** |H|, 1 = unchanged. */
  readonly gain: Float64Array;
  /** arg H in rad, unwrapped from the first frequency on; 0 everywhere for two passes. */
  readonly phase: Float64Array;
  /** 1 (causal) or 2 (zero phase). */
  readonly passes: 1 | 2;
}

/** What responseOf takes. */
export interface ResponseOptions {
  /** Frequencies in Hz, 0 to half the sample rate. Default: 512 evenly spaced ones from 0. */
  readonly frequency?: ArrayLike<number>;
  /** 1 = causal (default); 2 = forwards and backwards: gain |H|², phase 0. */
  readonly passes?: 1 | 2;
}

/** H(e^{iω}) of sections, ω in rad per sample. */
export function transferAt(sections: Sections, omega: number): Complex {
  const z = complex(Math.cos(omega), -Math.sin(omega));
  const z2 = complex(Math.cos(2 * omega), -Math.sin(2 * omega));
  let h = complex(1);
  for (let k = 0; k < sectionCount(sections); k++) {
    const at = (i: number): Complex => complex(
      sections[6 * k + i]! + sections[6 * k + i + 1]! * z.re + sections[6 * k + i + 2]! * z2.re,
      sections[6 * k + i + 1]! * z.im + sections[6 * k + i + 2]! * z2.im,
    );
    h = multiply(h, divide(at(0), at(3)));
  }
  return h;
}

/**
 * Gives the gain and phase of a design over frequency.
 *
 * Definition: H(e^{2πi f/fs}) = Π (b0 + b1·z⁻¹ + b2·z⁻²)/(1 + a1·z⁻¹ + a2·z⁻²). Cost: sections × frequencies.
 *
 * @param design from designLowpass and its kin
 * @param options frequency (Hz) and passes (1 or 2)
 * @returns frequency (Hz), gain (1 = unchanged), phase (rad)
 * @throws InputError for something that is no design, or a frequency outside 0 … sampleRate/2
 * @see designLowpass
 * @example
 * const design = designLowpass({ cutoff: 50, sampleRate: 1000 });
 * responseOf(design, { frequency: [0, 50] }).gain[1] // => 0.7071067812
 * responseOf(design, { frequency: [50], passes: 2 }).gain[0] // => 0.5
 */
export function responseOf(design: FilterDesign, options: ResponseOptions = {}): FrequencyResponse {
  const where = 'responseOf';
  if (kindOf(design) !== 'FilterDesign') {
    throw new InputError({ where, argument: 'design', expected: 'a FilterDesign', given: show(design), remedy: 'Make one with designLowpass, designHighpass, designBandpass or designBandstop.' });
  }
  checkOptions(where, options, { optional: ['frequency', 'passes'] });
  const passes = options.passes ?? 1;
  if (passes !== 1 && passes !== 2) throw new InputError({ where, argument: 'passes', expected: '1 or 2', given: show(passes) });
  const nyquist = design.sampleRate / 2;
  const asked = options.frequency === undefined ? Float64Array.from({ length: 512 }, (_, i) => (nyquist * i) / 512) : checkList(where, 'frequency', options.frequency, 'frequencies in Hz');
  const frequency = Float64Array.from(asked as ArrayLike<unknown>, (f) => checkNumber(where, 'frequency', f, { min: 0, max: nyquist, unit: 'Hz' }));
  const gain = new Float64Array(frequency.length);
  const phase = new Float64Array(frequency.length);
  let turns = 0, last = 0;
  frequency.forEach((f, i) => {
    const h = transferAt(design.sections, (2 * Math.PI * f) / design.sampleRate);
    const g = Math.hypot(h.re, h.im);
    gain[i] = passes === 2 ? g * g : g;
    const angle = Math.atan2(h.im, h.re);
    if (i > 0) turns -= Math.round((angle - last) / (2 * Math.PI));
    last = angle;
    if (passes === 1) phase[i] = angle + 2 * Math.PI * turns;
  });
  return makeResult<FrequencyResponse>('FrequencyResponse', { frequency, gain, phase, passes },
    (r) => `FrequencyResponse at ${r.frequency.length} frequencies, ${r.passes === 2 ? 'two passes' : 'one pass'}`);
}
