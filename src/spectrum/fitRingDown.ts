import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult, readFrom } from '../record/result.js';
import { runsBetween, sliceSpans } from '../record/span.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import type { Unit } from '../record/units.js';
import { studentQuantile } from '../numeric/distributions.js';
import { leastSquares } from '../numeric/leastSquares.js';
import { fftPlan } from '../numeric/fft.js';
import { lagOne } from '../numeric/lagOne.js';
import { noiseAtMode } from '../numeric/noiseAtMode.js';
import { levenbergMarquardt, type FitModel, type NonlinearFit } from '../numeric/levenbergMarquardt.js';

/** What fitRingDown takes. Which window rings freely is a physical choice: it has no default. */
export interface RingDownOptions extends TimeWindow {
  /** How many modes ring, default 1. */
  readonly modes?: number;
  /** Band in which the modes are looked for, Hz; default everything. */
  readonly band?: { readonly from: number; readonly to: number };
  /** Does what it dies down to move in a straight line (drifting zero, friction)? Default false: it stands still. */
  readonly drift?: boolean;
  /** Level of the intervals, default 0.9. */
  readonly level?: number;
}

/** A value with its interval. */
export interface Estimate {
  readonly value: number;
  readonly standardError: number;
  readonly low: number;
  readonly high: number;
}

/** One mode of a ring-down. */
export interface RingDownMode {
  /** Hz, of the damped vibration: what a trace shows. */
  readonly frequency: Estimate;
  /** ζ = σ/√(σ² + ω²). */
  readonly dampingRatio: Estimate;
  /** δ = 2π σ/ω. */
  readonly logarithmicDecrement: number;
  /** At the beginning of the window, peak, in the unit of the channel. */
  readonly amplitude: number;
  /** Rms amplitude at which the mode is still being driven while it rings, in the unit of the channel; 0 where noise alone is left about it. */
  readonly driven: number;
}

/** What a ring-down shows. */
export interface RingDown {
  readonly unit: Unit;
  readonly window: TimeWindow;
  /** By frequency, lowest first. */
  readonly modes: readonly RingDownMode[];
  /** What the vibration dies down to, at the end of the window, and how fast that moves, unit per s; 0 where drift was not asked for. */
  readonly rest: number;
  readonly drift: number;
  /** Standard deviation of what the fit leaves, and its lag-one correlation (near 0 where noise alone is left). */
  readonly noise: number;
  readonly correlation: number;
  /** The damping of the first mode fitted on the early and the late half of its energy; they differ beyond 2.3 combined standard errors (chance: one in fifty); null where either cannot be fitted. */
  readonly amplitudeDependence: { readonly early: Estimate; readonly late: Estimate; readonly differ: boolean } | null;
  readonly level: number;
  readonly notes: readonly string[];
}

const where = 'fitRingDown';

/**
 * Fits freely ringing modes to a stretch of a signal: y = c (+ d·t) + Σ e^(−σₖt)·(aₖ cos ωₖt + bₖ sin ωₖt), by least squares on the
 * samples themselves, so that no filter and no envelope widens or bends the decay.
 *
 * Intervals come from the covariance of the fit, widened for what is left about the mode's own frequency: more noise than elsewhere, and the mode itself where turbulence still drives it
 * (correlated over 1/σ). An order that passes through the mode is no turbulence: fitSweep holds it. Masked samples are not read. Cost: about ten passes of 4·modes + 1 columns (2 with drift).
 *
 * @param channel the signal; best torque at the full sample rate
 * @param options from, to: a window in which nothing drives the shaft, s; modes; band, Hz; drift; level
 * @returns frequency and damping of each mode with intervals, the noise, and whether damping changes with amplitude
 * @throws InputError for a window with too few samples or without a decaying vibration, a mode outside the band, one that does not stand out of the noise, or one still driven at more than a fifth of its amplitude
 * @see halfPowerDamping, fitSweep, torsionalModes
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 200, values: Array.from({ length: 800 }, (_, i) => 100 * Math.exp(-0.5 * i / 200) * Math.cos(2 * Math.PI * 8 * i / 200)) });
 * fitRingDown(T, { from: 0, to: 4 }).modes[0].frequency.value // => 8.0000
 * fitRingDown(T, { from: 0, to: 4 }).modes[0].dampingRatio.value // => 0.009947
 * @references School knowledge (free decay of a damped oscillator); intervals: G. A. F. Seber and C. J. Wild, Nonlinear Regression, 1989, section 2.1 (from memory).
 */
export function fitRingDown(channel: Channel, options: RingDownOptions): RingDown {
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['from', 'to'], optional: ['modes', 'band', 'drift', 'level'] });
  if (options.drift !== undefined && typeof options.drift !== 'boolean') throw new InputError({ where, argument: 'drift', expected: 'true or false', given: String(options.drift) });
  const count = checkNumber(where, 'modes', options.modes ?? 1, { integer: true, min: 1, max: 8 });
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const band = bandOf(options.band, channel.sampleRate);
  const samples = read(channel, options, options.drift ?? false);
  if (samples.y.length < 8 * (4 * count + 1)) {
    throw new InputError({ where, argument: 'from, to', expected: `a window of at least ${8 * (4 * count + 1)} valid samples for ${count} mode${count === 1 ? '' : 's'}`, given: `${samples.y.length}` });
  }
  const fit = fitModes(samples, count, band, channel.sampleRate);
  if (!fit) throw new InputError({ where, argument: 'from, to', expected: 'a window in which a vibration dies down', given: `${options.from} s to ${options.to} s, where none could be fitted`, remedy: 'Move the window behind the trip, ask for fewer modes, or for drift where the zero moves.' });
  const modes = modesOf(fit, samples, level);
  checkModes(fit, samples, band);
  checkFree(modes, channel.unit);
  const correlation = lagOne(fit.residuals);
  const notes: string[] = [];
  if (correlation > 0.2) notes.push(`What the fit leaves goes together from sample to sample (${correlation.toFixed(2)}): another mode, an order or a slow change is in the window; the intervals are widened for what of it lies about the mode.`);
  for (const m of modes) if (m.driven > 0.02 * m.amplitude) notes.push(`The mode at ${m.frequency.value.toPrecision(4)} Hz is still driven, at ${(100 * m.driven / m.amplitude).toPrecision(2)} % of its first amplitude: the interval allows for turbulence, not for an order that passes through it. Use fitSweep where the speed takes one through.`);
  if (modes.some((m) => m.dampingRatio.low <= 0)) notes.push('The interval of a damping ratio reaches 0: the window does not tell it. Take a longer window, or one without other vibration.');
  const step = stepOf(samples.y);
  if (step > 2.5 * fit.nonlinear.linear.deviation) notes.push(`The signal stands in steps of ${step.toPrecision(3)} ${channel.unit}, more than its noise: what is left is no noise and the intervals are too narrow. End the window while the vibration is still several steps high.`);
  const dependence = amplitudeDependence(samples, modes[0]!, band, channel.sampleRate, level);
  if (dependence?.differ) notes.push('Damping changes with amplitude: the two halves of the decay differ by more than their uncertainty.');
  return readFrom(makeResult('RingDown', {
    unit: channel.unit, window: Object.freeze({ from: options.from, to: options.to }), modes: Object.freeze(modes), rest: fit.nonlinear.parameters.at(-1)!, drift: samples.drift ? fit.nonlinear.parameters.at(-2)! : 0, noise: fit.nonlinear.linear.deviation,
    correlation, amplitudeDependence: dependence, level, notes: Object.freeze(notes),
  }, (r) => `Ring-down: ${r.modes.map((m) => `${m.frequency.value.toPrecision(4)} Hz (${m.frequency.low.toPrecision(4)} to ${m.frequency.high.toPrecision(4)}), damping ${(100 * m.dampingRatio.value).toPrecision(3)} % (${(100 * m.dampingRatio.low).toPrecision(3)} to ${(100 * m.dampingRatio.high).toPrecision(3)})`).join('; ')}`), channel);
}

/** Valid samples of a window with their times from its beginning, and its longest run for the first look. */
interface Samples {
  readonly t: Float64Array;
  readonly y: Float64Array;
  readonly drift: boolean;
}

interface ModeFit {
  readonly nonlinear: NonlinearFit;
  readonly residuals: Float64Array;
}

function bandOf(band: RingDownOptions['band'], sampleRate: number): { readonly from: number; readonly to: number } {
  if (band === undefined) return { from: 0, to: sampleRate / 2 };
  checkOptions(`${where}, band`, band, { required: ['from', 'to'] });
  checkNumber(where, 'band.from', band.from, { min: 0, below: sampleRate / 2, unit: 'Hz' });
  checkNumber(where, 'band.to', band.to, { above: band.from, max: sampleRate / 2, unit: 'Hz' });
  return band;
}

function read(channel: Channel, window: TimeWindow, drift: boolean): Samples {
  const { from, to } = windowToSamples(where, channel, window);
  const runs = runsBetween(sliceSpans(channel.invalid, from, to), to - from);
  const n = runs.reduce((sum, run) => sum + run.to - run.from, 0);
  const t = new Float64Array(n);
  const y = new Float64Array(n);
  let at = 0;
  for (const run of runs) {
    for (let i = run.from; i < run.to; i++, at++) {
      t[at] = i / channel.sampleRate;
      y[at] = channel.values[from + i]!;
    }
  }
  return { t, y, drift };
}

/** Modes are found one by one on what the ones before leave, and fitted together each time. */
function fitModes(samples: Samples, count: number, band: { readonly from: number; readonly to: number }, sampleRate: number): ModeFit | null {
  const line = lineThrough(samples);
  const tail = samples.drift ? 2 : 1;
  let parameters: number[] = samples.drift ? [line.slope, line.end] : [line.end];
  let residuals = line.residuals;
  let nonlinear: NonlinearFit | null = null;
  for (let k = 0; k < count; k++) {
    const omega = 2 * Math.PI * strongest(samples.t, residuals, band, sampleRate);
    const sigma = decayOf(samples.t, residuals, omega);
    const { a, b } = amplitudes(samples.t, residuals, omega, sigma);
    const model = modelOf(samples);
    nonlinear = levenbergMarquardt(model, [...parameters.slice(0, -tail), sigma, omega, a, b, ...parameters.slice(-tail)]);
    if (!nonlinear) return null;
    parameters = Array.from(nonlinear.parameters);
    residuals = model.residuals(nonlinear.parameters);
  }
  for (let k = 0; k < count; k++) if (!(parameters[4 * k]! > 0) || !(parameters[4 * k + 1]! > 0)) return null;
  return { nonlinear: nonlinear!, residuals };
}

/** The mean, or with drift the straight line of least squares: its slope and its value at the last sample. */
function lineThrough({ t, y, drift }: Samples): { readonly slope: number; readonly end: number; readonly residuals: Float64Array } {
  const last = t.at(-1)!;
  const one = new Float64Array(t.length).fill(1);
  const fit = leastSquares(drift ? [one, t.map((v) => v - last)] : [one], y)!;
  const end = fit.coefficients[0]!, slope = fit.coefficients[1] ?? 0;
  return { slope, end, residuals: y.map((v, i) => v - end - slope * (t[i]! - last)) };
}

/** Refuses a mode that the fit took from outside the band, and one whose energy the largest of that many noise lines could reach (about once in 10⁵ windows). */
function checkModes(fit: ModeFit, { t, y }: Samples, band: { readonly from: number; readonly to: number }): void {
  const { parameters: p, linear } = fit.nonlinear;
  const least = (2 * Math.log(y.length) + 23) * linear.deviation ** 2;
  for (let k = 0; 4 * k + 3 < p.length; k++) {
    const frequency = p[4 * k + 1]! / (2 * Math.PI);
    if (frequency < band.from || frequency > band.to) {
      throw new InputError({ where, argument: 'band', expected: 'a band in which a mode rings', given: `one from ${band.from} to ${band.to} Hz; the nearest vibration is at ${frequency.toPrecision(4)} Hz`, remedy: 'Move the band, or ask for fewer modes.' });
    }
    const energy = t.reduce((sum, v) => sum + Math.exp(-2 * p[4 * k]! * v), 0) * (p[4 * k + 2]! ** 2 + p[4 * k + 3]! ** 2) / 2;
    if (!(energy > least)) {
      throw new InputError({ where, argument: 'from, to', expected: 'a window in which every mode asked for stands out of the noise', given: `one at ${frequency.toPrecision(4)} Hz that noise alone could make`, remedy: 'Move the window behind the trip, or ask for fewer modes.' });
    }
  }
}

/** Refuses modes that are driven at more than a fifth of what they ring down from: beyond that the intervals no longer hold the truth (own trials). */
function checkFree(modes: readonly RingDownMode[], unit: Unit): void {
  for (const { frequency, amplitude, driven } of modes) {
    if (driven <= 0.2 * amplitude) continue;
    throw new InputError({
      where, argument: 'from, to', expected: 'a window in which the mode rings freely', given: `one in which ${frequency.value.toPrecision(4)} Hz is still driven at ${driven.toPrecision(3)} ${unit}, ${Math.round((100 * driven) / amplitude)} % of the amplitude that it begins with`,
      remedy: 'Begin sooner or end sooner, or ask for one mode more where two are close; where an order passes through the mode use fitSweep with the measured speed, where turbulence drives it fitAmbient.',
    });
  }
}

/** The smallest step between different values: that of a quantised signal (half of the samples or more repeat a value), else 0. */
function stepOf(y: Float64Array): number {
  const sorted = y.slice().sort();
  let step = Infinity, different = 1;
  for (let i = 1; i < sorted.length; i++) {
    const d = sorted[i]! - sorted[i - 1]!;
    if (d <= 1e-9 * Math.max(1e-300, sorted.at(-1)! - sorted[0]!)) continue;
    different++;
    step = Math.min(step, d);
  }
  return 2 * different <= sorted.length && step < Infinity ? step : 0;
}

/** The model with four parameters a mode (σ, ω, a, b), and at the end (the slope and) the last value of the rest. */
function modelOf({ t, y, drift }: Samples): FitModel {
  const wave = (p: Float64Array, k: number, i: number): { c: number; s: number } => {
    const decay = Math.exp(-p[4 * k]! * t[i]!);
    const angle = p[4 * k + 1]! * t[i]!;
    return { c: decay * Math.cos(angle), s: decay * Math.sin(angle) };
  };
  const modes = (p: Float64Array): number => Math.floor((p.length - 1) / 4);
  const last = t.at(-1)!;
  return {
    residuals: (p) => y.map((v, i) => {
      let f = p[p.length - 1]! + (drift ? p[p.length - 2]! * (t[i]! - last) : 0);
      for (let k = 0; k < modes(p); k++) {
        const { c, s } = wave(p, k, i);
        f += p[4 * k + 2]! * c + p[4 * k + 3]! * s;
      }
      return v - f;
    }),
    jacobian: (p) => {
      const columns = Array.from({ length: p.length }, () => new Float64Array(t.length));
      columns.at(-1)!.fill(1);
      if (drift) columns[p.length - 2] = t.map((v) => v - last);
      for (let k = 0; k < modes(p); k++) {
        const [a, b] = [p[4 * k + 2]!, p[4 * k + 3]!];
        for (let i = 0; i < t.length; i++) {
          const { c, s } = wave(p, k, i);
          columns[4 * k]![i] = -t[i]! * (a * c + b * s);
          columns[4 * k + 1]![i] = t[i]! * (b * c - a * s);
          columns[4 * k + 2]![i] = c;
          columns[4 * k + 3]![i] = s;
        }
      }
      return columns;
    },
  };
}

/** Frequency of the highest bin in the band, of the samples laid on their clock (gaps as 0 for this first look only), four times padded. */
function strongest(t: Float64Array, y: Float64Array, band: { readonly from: number; readonly to: number }, sampleRate: number): number {
  const span = Math.round(t.at(-1)! * sampleRate) + 1;
  const size = 2 ** Math.ceil(Math.log2(4 * span));
  const input = new Float64Array(2 * size);
  for (let i = 0; i < y.length; i++) input[2 * Math.round(t[i]! * sampleRate)] = y[i]!;
  const output = new Float64Array(2 * size);
  fftPlan(size).forward(output, input);
  let best = -1, at = 1;
  for (let k = Math.max(1, Math.ceil((band.from * size) / sampleRate)); k <= Math.min(size / 2, Math.floor((band.to * size) / sampleRate)); k++) {
    const power = output[2 * k]! ** 2 + output[2 * k + 1]! ** 2;
    if (power > best) [best, at] = [power, k];
  }
  return (at * sampleRate) / size;
}

/** First guess of σ: from the amplitudes at the frequency in the first and second half, e^(σT/2) apart. */
function decayOf(t: Float64Array, y: Float64Array, omega: number): number {
  const half = y.length >> 1;
  const level = (from: number, to: number): number => {
    let c = 0, s = 0;
    for (let i = from; i < to; i++) {
      c += y[i]! * Math.cos(omega * t[i]!);
      s += y[i]! * Math.sin(omega * t[i]!);
    }
    return Math.hypot(c, s) / (to - from);
  };
  const span = t.at(-1)! - t[0]!;
  return Math.max(0.5 / span, Math.min(Math.log(level(0, half) / Math.max(level(half, y.length), 1e-300)) / (span / 2), 0.3 * omega));
}

function amplitudes(t: Float64Array, y: Float64Array, omega: number, sigma: number): { readonly a: number; readonly b: number } {
  let cc = 0, cs = 0, ss = 0, cy = 0, sy = 0;
  for (let i = 0; i < t.length; i++) {
    const decay = Math.exp(-sigma * t[i]!);
    const c = decay * Math.cos(omega * t[i]!);
    const s = decay * Math.sin(omega * t[i]!);
    cc += c * c;
    cs += c * s;
    ss += s * s;
    cy += c * y[i]!;
    sy += s * y[i]!;
  }
  const det = cc * ss - cs * cs;
  return { a: (ss * cy - cs * sy) / det, b: (cc * sy - cs * cy) / det };
}

function modesOf(fit: ModeFit, samples: Samples, level: number): RingDownMode[] {
  const { parameters, linear } = fit.nonlinear;
  const reach = studentQuantile(0.5 + level / 2, Math.max(1, samples.y.length - parameters.length));
  const estimate = (value: number, error: number): Estimate => Object.freeze({ value, standardError: error, low: value - reach * error, high: value + reach * error });
  const modes = Array.from({ length: Math.floor((parameters.length - 1) / 4) }, (_, k): RingDownMode => {
    const [sigma, omega, a, b] = parameters.slice(4 * k, 4 * k + 4) as unknown as [number, number, number, number];
    const cov = (i: number, j: number): number => linear.covariance[4 * k + i]![4 * k + j]!;
    const noise = noiseAtMode(fit.residuals, samples.t, sigma, omega);
    const widen = Math.sqrt(Math.max(1, noise.inflation));
    const natural2 = sigma * sigma + omega * omega;
    // ∂ζ/∂σ = ω²/(σ² + ω²)^1.5, ∂ζ/∂ω = −σω/(σ² + ω²)^1.5
    const [ds, dw] = [(omega * omega) / natural2 ** 1.5, (-sigma * omega) / natural2 ** 1.5];
    const zetaError = Math.sqrt(Math.max(0, ds * ds * cov(0, 0) + 2 * ds * dw * cov(0, 1) + dw * dw * cov(1, 1)));
    return Object.freeze({
      frequency: estimate(omega / (2 * Math.PI), (widen * Math.sqrt(cov(1, 1))) / (2 * Math.PI)),
      dampingRatio: estimate(sigma / Math.sqrt(natural2), widen * zetaError), logarithmicDecrement: (2 * Math.PI * sigma) / omega, amplitude: Math.hypot(a, b), driven: noise.driven,
    });
  });
  return modes.sort((p, q) => p.frequency.value - q.frequency.value);
}

function amplitudeDependence(samples: Samples, mode: RingDownMode, band: { readonly from: number; readonly to: number }, sampleRate: number, level: number): RingDown['amplitudeDependence'] {
  const sigma = 2 * Math.PI * mode.frequency.value * mode.dampingRatio.value;
  const middle = samples.t.findIndex((t) => t >= Math.LN2 / (2 * sigma));
  const near = { from: Math.max(band.from, 0.7 * mode.frequency.value), to: Math.min(band.to, 1.3 * mode.frequency.value) };
  const part = (from: number, to: number): Estimate | null => {
    if (to - from < 40 || (samples.t[to - 1]! - samples.t[from]!) * mode.frequency.value < 3) return null;
    const start = samples.t[from]!;
    const own = { t: samples.t.slice(from, to).map((t) => t - start), y: samples.y.slice(from, to), drift: samples.drift };
    const fit = fitModes(own, 1, near, sampleRate);
    return fit && modesOf(fit, own, level)[0]!.dampingRatio;
  };
  if (middle < 0) return null;
  const early = part(0, middle);
  const late = part(middle, samples.y.length);
  if (!early || !late) return null;
  return Object.freeze({ early, late, differ: Math.abs(early.value - late.value) > 2.3 * Math.hypot(early.standardError, late.standardError) });
}
