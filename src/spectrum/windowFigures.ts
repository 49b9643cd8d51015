import { checkNumber, checkOptions } from '../record/check.js';
import { makeResult } from '../record/result.js';
import { windowSamples, type WindowChoice } from '../numeric/window.js';
import { fftPlan } from '../numeric/fft.js';
import { checkWindow, windowText } from './segmentation.js';

/** Figures of merit of a window. Bins are sampleRate/length apart. */
export interface WindowFigures {
  readonly window: WindowChoice;
  /** Samples, periodic form. */
  readonly length: number;
  /** Σ w / N: what a line on a bin is multiplied by. */
  readonly coherentGain: number;
  /** N·Σ w²/(Σ w)²: equivalent noise bandwidth, bins. */
  readonly enbw: number;
  /** Full width of the main lobe at half power and at half amplitude, bins. */
  readonly width3dB: number;
  readonly width6dB: number;
  /** Greatest side lobe, dB below the main lobe (negative). */
  readonly highestSidelobe: number;
  /** Loss of a line midway between two bins, dB. */
  readonly scalloping: number;
  /** Greatest deviation within half a bin either way, dB. */
  readonly ripple: number;
  /** Scalloping plus 10·log₁₀ ENBW, dB: least gain of a line over noise. */
  readonly worstCaseLoss: number;
  /** Σ w[n]·w[n + (1 − overlap)·N]/Σ w² at 50 % and 75 % overlap. */
  readonly correlation50: number;
  readonly correlation75: number;
}

/** |Σ w·e^{−2πixn/N}|/Σ w. */
function shape(w: Float64Array, x: number): number {
  let re = 0, im = 0, sum = 0;
  for (let n = 0; n < w.length; n++) {
    const angle = (2 * Math.PI * x * n) / w.length;
    re += w[n]! * Math.cos(angle);
    im += w[n]! * Math.sin(angle);
    sum += w[n]!;
  }
  return Math.hypot(re, im) / sum;
}

/** The x at which the main lobe falls through a level. */
function crossing(w: Float64Array, level: number): number {
  let high = 0.25;
  while (shape(w, high) > level) high += 0.25;
  let low = high - 0.25;
  for (let i = 0; i < 50; i++) {
    const mid = (low + high) / 2;
    if (shape(w, mid) > level) low = mid;
    else high = mid;
  }
  return low;
}

/** The greatest side lobe: a transform with 16 points a bin finds it, ternary search sharpens it. */
function highestSidelobe(w: Float64Array): number {
  const fine = 16;
  const long = fine * w.length;
  const z = new Float64Array(2 * long), out = new Float64Array(2 * long);
  w.forEach((v, n) => { z[2 * n] = v; });
  fftPlan(long).forward(out, z);
  const level = (k: number): number => Math.hypot(out[2 * k]!, out[2 * k + 1]!);
  let k = 1;
  while (k < long / 2 && (level(k) > level(0) / 2 || level(k + 1) < level(k))) k++;
  let best = k;
  for (; k <= long / 2; k++) if (level(k) > level(best)) best = k;
  let low = (best - 1) / fine, high = (best + 1) / fine;
  for (let i = 0; i < 60; i++) {
    const a = low + (high - low) / 3, b = high - (high - low) / 3;
    if (shape(w, a) < shape(w, b)) low = a;
    else high = b;
  }
  return shape(w, (low + high) / 2);
}

function correlation(w: Float64Array, shift: number): number {
  let cross = 0, power = 0;
  w.forEach((v, n) => {
    power += v * v;
    if (n >= shift) cross += v * w[n - shift]!;
  });
  return cross / power;
}

const dB = (ratio: number): number => 20 * Math.log10(ratio);

/**
 * Gives the figures of merit by which windows are compared, computed from the samples of the window.
 *
 * Definition: see each member; widths and losses from |W(x)| = |Σ w[n]·e^{−2πixn/N}|/Σ w[n], x in bins. Cost: a transform of 16·N points.
 *
 * @param window a name, or { kaiser: β }
 * @param options length: samples, from 16, default 512
 * @returns the figures
 * @throws InputError for a window that is not known
 * @see powerDensity, lineSpectrum
 * @example
 * const hann = windowFigures('hann');
 * hann.enbw // => 1.5
 * hann.scalloping // => 1.4236
 * hann.highestSidelobe // => -31.467
 * @references F. J. Harris, On the use of windows for harmonic analysis with the discrete Fourier transform, Proc. IEEE 66 (1978) 51, table I.
 */
export function windowFigures(window: WindowChoice, options: { readonly length?: number } = {}): WindowFigures {
  const where = 'windowFigures';
  const choice = checkWindow(where, window);
  checkOptions(where, options, { optional: ['length'] });
  const length = checkNumber(where, 'length', options.length ?? 512, { integer: true, min: 16, max: 65536 });
  const w = windowSamples(choice, length, 'periodic');
  let sum = 0, squares = 0;
  for (const v of w) {
    sum += v;
    squares += v * v;
  }
  const enbw = (length * squares) / (sum * sum);
  const scalloping = -dB(shape(w, 0.5));
  let ripple = 0;
  for (let x = 0; x <= 0.5; x += 1 / 128) ripple = Math.max(ripple, Math.abs(dB(shape(w, x))));
  return makeResult<WindowFigures>('WindowFigures', {
    window: choice, length, coherentGain: sum / length, enbw, width3dB: 2 * crossing(w, Math.SQRT1_2), width6dB: 2 * crossing(w, 0.5), highestSidelobe: dB(highestSidelobe(w)),
    scalloping, ripple, worstCaseLoss: scalloping + 10 * Math.log10(enbw), correlation50: correlation(w, Math.round(length / 2)), correlation75: correlation(w, Math.round(length / 4)),
  }, (f) => `WindowFigures ${windowText(f.window)}: ENBW ${f.enbw.toFixed(2)} bins, scalloping ${f.scalloping.toFixed(2)} dB, side lobes ${f.highestSidelobe.toFixed(0)} dB`);
}
