import { checkNumber, checkOptions } from '../record/check.js';
import type { Channel } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import type { Unit } from '../record/units.js';
import { checkFrequency, checkHeld, makeDesign, type FilterDesign } from './design.js';
import { runFilter, runKeys, type FilterRunOptions } from './runFilter.js';

/** What a notch takes. */
export interface NotchShape {
  /** The line to take out, Hz. No default. */
  readonly frequency: number;
  /** Width between the −3.01 dB points of one pass, Hz. No default: narrow keeps more of the signal, but rings for longer (about 1/(π·width) s). */
  readonly width: number;
  /** How many multiples of the line are taken out, the line itself included. Default 1. */
  readonly harmonics?: number;
}

/** What notch takes. */
export interface NotchOptions extends NotchShape, FilterRunOptions {}

/**
 * Designs a notch: one section of two zeros on the unit circle for each multiple of the line.
 *
 * Definition: H(z) = g·(1 − 2·cos ω₀·z⁻¹ + z⁻²)/(1 − 2·g·cos ω₀·z⁻¹ + (2g − 1)·z⁻²), g = 1/(1 + tan(π·width/fs)), ω₀ = 2π·f/fs.
 *
 * @param options frequency, width (Hz), harmonics (default 1), sampleRate (Hz)
 * @returns the design
 * @throws InputError where a multiple of the line is not below half the sample rate, or the width reaches half of it
 * @see notch, responseOf
 * @example
 * responseOf(designNotch({ frequency: 50, width: 2, sampleRate: 1000 }), { frequency: [51] }).gain[0] // => 0.704
 * @references S. J. Orfanidis, Introduction to Signal Processing, 1996, section 11.3 (as scipy.signal.iirnotch; from memory).
 */
export function designNotch(options: NotchShape & { readonly sampleRate: number }): FilterDesign {
  const where = 'designNotch';
  const { frequency, width, sampleRate } = checkOptions(where, options, { required: ['frequency', 'width', 'sampleRate'], optional: ['harmonics'] });
  checkNumber(where, 'sampleRate', sampleRate, { above: 0, unit: 'Hz' });
  const count = checkNumber(where, 'harmonics', options.harmonics ?? 1, { integer: true, min: 1 });
  checkFrequency(where, 'width', width, sampleRate);
  checkHeld(where, 'width', width, sampleRate);
  checkNumber(where, 'frequency', frequency, { above: 0, unit: 'Hz' });
  checkFrequency(where, count === 1 ? 'frequency' : `frequency × ${count}`, frequency * count, sampleRate);
  const gain = 1 / (1 + Math.tan((Math.PI * width) / sampleRate));
  const rows = Array.from({ length: count }, (_, i) => {
    const c = 2 * Math.cos((2 * Math.PI * frequency * (i + 1)) / sampleRate);
    return [gain, -gain * c, gain, 1, -gain * c, 2 * gain - 1];
  });
  return makeDesign({ type: 'notch', family: null, order: 2 * count, edges: [frequency], sampleRate, sections: Float64Array.from(rows.flat()) });
}

const notchOperation = defineOperation<NotchOptions>('notch', (channel, options) => {
  checkOptions('notch', options, { required: ['frequency', 'width'], optional: ['harmonics', ...runKeys] });
  const { frequency, width, harmonics } = options;
  const design = designNotch({ frequency, width, ...(harmonics !== undefined && { harmonics }), sampleRate: channel.sampleRate });
  return runFilter('notch', channel, design, options, { frequencies: Array.from({ length: harmonics ?? 1 }, (_, i) => frequency * (i + 1)), ringSeconds: 1 / (Math.PI * width) });
});

/**
 * Takes out one frequency, and multiples of it if asked: the hum of a supply, for one. Zero-phase by default.
 *
 * Definition: as designNotch; two passes are −6.02 dB at frequency ± width/2.
 *
 * Kept: unit, clock, masks; each valid run on its own. Near the ends of a run the notch still rings (`found` says for how long).
 * Cost: one walk forwards and one back per two multiples.
 *
 * @param channel any unit
 * @param options frequency (Hz), width (Hz), harmonics (default 1), zeroPhase (default true), startUp, shortRuns
 * @returns the filtered channel
 * @throws InputError as designNotch, or for a run too short
 * @see bandstop
 * @example
 * const hum = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 4000 }, (_, i) => 80 + Math.sin(2 * Math.PI * 0.05 * i)) });
 * notch(hum, { frequency: 50, width: 2 }).values[2000] // => 80.000
 */
export function notch<U extends Unit>(channel: Channel<U>, options: NotchOptions): Channel<U> {
  return notchOperation(channel, options) as Channel<U>;
}
