import { checkChannel, type Channel } from '../record/Channel.js';
import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { windowToSamples, type TimeWindow } from '../record/slice.js';
import { unitConversion, type Unit } from '../record/units.js';
import { studentQuantile } from '../numeric/distributions.js';
import { levenbergMarquardt, normalSolve, type FitModel, type NonlinearFit } from '../numeric/levenbergMarquardt.js';
import { lagOne } from '../numeric/lagOne.js';
import { createRandom } from '../numeric/random.js';
import { drivenBasis } from '../numeric/drivenOscillator.js';
import type { Estimate } from './fitRingDown.js';

/** What fitSweep takes. The window, the order and the law of the excitation are physical choices without a default. */
export interface SweepOptions extends TimeWindow {
  /** Measured speed over the whole window. */
  readonly speed: Channel<'rpm' | 'rad/s'>;
  /** The exciting order: cycles a revolution. */
  readonly order: number;
  /** Does the exciting torque keep its amplitude, or does it go with the square of speed (imbalance, pump blades)? */
  readonly excitation: 'constant' | 'speed squared';
  /** Level of the intervals, default 0.9. */
  readonly level?: number;
}

/** One mode that a sweep drove. */
export interface SweepFit {
  readonly unit: Unit;
  readonly order: number;
  /** Hz, undamped. */
  readonly frequency: Estimate;
  readonly dampingRatio: Estimate;
  /** Shaft speed at which the order meets the mode, rpm. */
  readonly criticalSpeed: number;
  /** Quasi-static amplitude of the excited signal, in the unit of the channel (at mean speed for 'speed squared'), and the dynamic magnifier 1/(2ζ). */
  readonly staticAmplitude: number;
  readonly magnifier: number;
  /** Hz/s at the mean of the window; above 0 for a run-up. */
  readonly sweepRate: number;
  readonly noise: number;
  readonly correlation: number;
  readonly level: number;
  /** What was fitted, at each sample of the window: the exciting frequency, Hz, the signal and the fitted vibration, in the unit of the channel. */
  readonly trace: { readonly sampleRate: number; readonly frequency: Float64Array; readonly signal: Float64Array; readonly fitted: Float64Array };
  readonly notes: readonly string[];
}

const where = 'fitSweep';

/**
 * Fits one mode to a signal that an order of a shaft with measured speed drives through its resonance: x″ + 2ζω₀x′ + ω₀²x = ω₀²·u, with
 * u = g(a cos φ + b sin φ), φ = order·∫ω dt, g = 1 or (ω/ω̄)². The oscillator is integrated at the sample rate, so
 * that build-up and beat behind a fast sweep are part of the model; a free decay, a constant and a slope are fitted along.
 *
 * The intervals hold the noise of the signal, that of the speed, which its own second differences show and whose integral is the angle, and the error of the integration. Kept: nothing of the samples. Cost: about 160 integrations of the window. Masked samples must not lie in the window.
 *
 * @param channel torque (or another response), best band-passed around the order so that other orders do not weigh
 * @param options from, to, s; speed; order; excitation; level
 * @returns frequency and damping with intervals, the critical speed, the magnifier
 * @throws InputError for masked samples in the window, a speed that does not cover it, or a resonance outside the swept band
 * @see fitRingDown, halfPowerDamping
 * @example
 * (not run: needs a run-up)
 * const band = bandpass(torque, { from: 5, to: 14 });
 * fitSweep(band, { from: 40, to: 75, speed, order: 5, excitation: 'speed squared' }).dampingRatio.value // => 0.0071
 * @references F. M. Lewis, Vibration during acceleration through a critical speed, Trans. ASME 54 (1932) 253 (why a fast sweep peaks late and low; from memory).
 */
export function fitSweep(channel: Channel, options: SweepOptions): SweepFit {
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['from', 'to', 'speed', 'order', 'excitation'], optional: ['level'] });
  const order = checkNumber(where, 'order', options.order, { above: 0 });
  checkChoice(where, 'excitation', options.excitation, ['constant', 'speed squared']);
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const { from, to } = windowToSamples(where, channel, options);
  if (channel.invalid.some((s) => s.from < to && s.to > from)) throw new InputError({ where, argument: 'from, to', expected: 'a window without masked samples', given: 'one with some', remedy: 'Move the window, or fit the ring-down after it.' });
  const y = channel.values.slice(from, to);
  const step = 1 / channel.sampleRate;
  const speedOf = speedReader(options.speed, y.length, from / channel.sampleRate, step);
  const drive = driveOf(speedOf(options.speed.values), order, step, options.excitation);
  const start = firstGuess(y, drive, step);
  const model = modelOf(y, drive, step);
  const linear = project(model.basis(start.omega, start.zeta), y);
  const fit = linear && levenbergMarquardt(model, [start.omega, Math.log(start.zeta), ...linear.coefficients]);
  if (!fit) throw new InputError({ where, argument: 'from, to', expected: 'a window in which the order drives one mode', given: 'a signal to which none could be fitted', remedy: 'Band-pass around the order, or move the window.' });
  const [w, logZeta, a, b] = fit.parameters as unknown as [number, number, number, number];
  const swept = { low: Math.min(...ends(drive.frequency)), high: Math.max(...ends(drive.frequency)) };
  const f = w / (2 * Math.PI);
  if (f < swept.low || f > swept.high) throw new InputError({ where, argument: 'from, to', expected: `a resonance inside the swept band (${swept.low.toPrecision(3)} to ${swept.high.toPrecision(3)} Hz)`, given: `one at ${f.toPrecision(3)} Hz`, remedy: 'Take a longer sweep.' });
  const residuals = model.residuals(fit.parameters);
  const r = lagOne(residuals);
  const widen = Math.sqrt((1 + Math.max(0, Math.min(0.95, r))) / (1 - Math.max(0, Math.min(0.95, r))));
  const reach = studentQuantile(0.5 + level / 2, fit.linear.degreesOfFreedom);
  const zeta = Math.exp(logZeta);
  const speedNoise = noiseOf(options.speed.values);
  const bySpeed = spreadBySpeed(model, fit, options.speed.values, speedNoise, (values) => driveOf(speedOf(values), order, step, options.excitation));
  const byModel = integrationError(f, zeta, channel.sampleRate);
  const errorOf = (k: 0 | 1): number => Math.hypot(widen * Math.sqrt(fit.linear.covariance[k]![k]!), bySpeed[k]!, byModel[k]);
  const notes = [...(bySpeed[1]! > widen * Math.sqrt(fit.linear.covariance[1]![1]!) ? [`Noise of the speed (${speedNoise.toPrecision(2)} ${options.speed.unit} from sample to sample) makes more than half of the interval: angle from pulses is better.`] : []), ...(r > 0.2 ? [`What the fit leaves goes together from sample to sample (${r.toFixed(2)}): other orders or modes are in the signal; the intervals are widened for it.`] : [])];
  return makeResult('SweepFit', {
    unit: channel.unit, order, frequency: estimate(f, errorOf(0) / (2 * Math.PI), reach),
    dampingRatio: Object.freeze({ value: zeta, standardError: zeta * errorOf(1), low: zeta * Math.exp(-reach * errorOf(1)), high: zeta * Math.exp(reach * errorOf(1)) }),
    criticalSpeed: (60 * f) / order, staticAmplitude: Math.hypot(a, b), magnifier: 1 / (2 * zeta),
    sweepRate: (drive.frequency.at(-1)! - drive.frequency[0]!) / (y.length * step), noise: fit.linear.deviation, correlation: r, level,
    trace: Object.freeze({ sampleRate: channel.sampleRate, frequency: drive.frequency, signal: y, fitted: y.map((v, i) => v - residuals[i]!) }), notes: Object.freeze(notes),
  }, (s) => `Sweep of order ${s.order}: ${s.frequency.value.toPrecision(4)} Hz (${s.criticalSpeed.toPrecision(4)} rpm), damping ${(100 * s.dampingRatio.value).toPrecision(3)} % (${(100 * s.dampingRatio.low).toPrecision(3)} to ${(100 * s.dampingRatio.high).toPrecision(3)})`);
}

/** What integrating over whole samples may be off in ω₀ (rad/s) and ln ζ: it goes with the fourth power of frequency over sample rate; the factors 1 and 2 by own trials against a finer integration, 30 to 400 Hz, ζ 0.3 to 5 %. */
function integrationError(f: number, zeta: number, sampleRate: number): readonly [number, number] {
  const part = (f / sampleRate) ** 4;
  return [2 * Math.PI * f * zeta * part, 2 * part];
}

function estimate(value: number, error: number, reach: number): Estimate {
  return Object.freeze({ value, standardError: error, low: value - reach * error, high: value + reach * error });
}

/** The exciting phase, frequency (Hz) and gain at each sample. */
interface Drive {
  readonly phase: Float64Array;
  readonly frequency: Float64Array;
  readonly gain: Float64Array | null;
}

/** Reads values on the clock of the speed channel at the samples of the window, in rad/s, by straight lines. */
function speedReader(speed: Channel<'rpm' | 'rad/s'>, n: number, begin: number, step: number): (values: Float64Array) => Float64Array {
  checkChannel(where, speed, ['rpm', 'rad/s'] as const);
  const { factor } = unitConversion(speed.unit, 'rad/s');
  const last = (begin + (n - 1) * step) * speed.sampleRate;
  if (last > speed.values.length - 1 + 1e-6) throw new InputError({ where, argument: 'speed', expected: 'a speed that covers the window', given: `one that ends after ${(speed.values.length / speed.sampleRate).toPrecision(4)} s` });
  const first = begin * speed.sampleRate;
  if (speed.invalid.some((s) => s.from <= last && s.to > first)) throw new InputError({ where, argument: 'speed', expected: 'a speed without masked samples in the window', given: 'one with some' });
  return (values) => Float64Array.from({ length: n }, (_, i) => {
    const x = Math.min((begin + i * step) * speed.sampleRate, values.length - 1);
    const k = Math.min(Math.floor(x), values.length - 2);
    return factor * (values[k]! + (x - k) * (values[k + 1]! - values[k]!));
  });
}

/** Standard deviation of white noise on a smooth curve, from its second differences: √(Σ(x₋ − 2x + x₊)²/6n). */
function noiseOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 1; i + 1 < values.length; i++) sum += (values[i - 1]! - 2 * values[i]! + values[i + 1]!) ** 2;
  return Math.sqrt(sum / (6 * Math.max(1, values.length - 2)));
}

/** How far noise of the speed moves the parameters: standard deviation over 60 seeded draws of (JᵀJ)⁻¹Jᵀ(f with it − f without). */
function spreadBySpeed(model: SweepModel, { parameters: p, linear }: NonlinearFit, speed: Float64Array, deviation: number, driveWith: (values: Float64Array) => Drive): Float64Array {
  const squares = new Float64Array(p.length);
  if (linear.deviation === 0 || !(deviation > 1e-9 * Math.max(...ends(speed).map(Math.abs)))) return squares;
  const random = createRandom(1);
  const columns = model.jacobian(p);
  const plain = model.value(p);
  const draws = 60;
  for (let d = 0; d < draws; d++) {
    const moved = model.value(p, driveWith(speed.map((v) => v + deviation * random.normal())));
    const slopes = columns.map((column) => column.reduce((sum, v, i) => sum + v * (moved[i]! - plain[i]!), 0));
    linear.covariance.forEach((row, k) => { squares[k]! += (row.reduce((sum, c, j) => sum + c * slopes[j]!, 0) / linear.deviation ** 2) ** 2 / draws; });
  }
  return squares.map(Math.sqrt);
}

function driveOf(omega: Float64Array, order: number, step: number, excitation: SweepOptions['excitation']): Drive {
  const n = omega.length;
  const phase = new Float64Array(n);
  for (let i = 1; i < n; i++) phase[i] = phase[i - 1]! + (order * step * (omega[i]! + omega[i - 1]!)) / 2;
  const mean = omega.reduce((s, w) => s + w, 0) / n;
  return { phase, frequency: omega.map((w) => (order * w) / (2 * Math.PI)), gain: excitation === 'constant' ? null : omega.map((w) => (w / mean) ** 2) };
}

interface SweepModel extends FitModel {
  basis(omega: number, zeta: number): Float64Array[];
  /** With another drive where one is given. */
  value(p: Float64Array, drive?: Drive): Float64Array;
}

/** Model with parameters ω₀, ln ζ, then the amplitudes of cosine, sine, free cosine, free sine, constant, slope. */
function modelOf(y: Float64Array, drive: Drive, step: number): SweepModel {
  const n = y.length;
  const one = new Float64Array(n).fill(1);
  const slope = Float64Array.from({ length: n }, (_, i) => i / n - 0.5);
  const basis = (omega: number, zeta: number, by: Drive = drive): Float64Array[] => {
    const { cosine, sine, freeCosine, freeSine } = drivenBasis({ omega, zeta, step, phase: by.phase, gain: by.gain });
    return [cosine, sine, freeCosine, freeSine, one, slope];
  };
  const value = (p: Float64Array, by?: Drive): Float64Array => combine(basis(p[0]!, Math.exp(p[1]!), by), p.subarray(2));
  return {
    basis, value,
    residuals: (p) => {
      const f = value(p);
      for (let i = 0; i < n; i++) f[i] = y[i]! - f[i]!;
      return f;
    },
    jacobian: (p) => [difference(value, p, 0, 1e-6 * p[0]!), difference(value, p, 1, 1e-4), ...basis(p[0]!, Math.exp(p[1]!))],
  };
}

function combine(basis: readonly Float64Array[], amplitudes: Float64Array): Float64Array {
  const f = new Float64Array(basis[0]!.length);
  basis.forEach((column, k) => {
    const c = amplitudes[k]!;
    for (let i = 0; i < f.length; i++) f[i]! += c * column[i]!;
  });
  return f;
}

function difference(value: (p: Float64Array) => Float64Array, p: Float64Array, k: number, h: number): Float64Array {
  const at = (d: number): Float64Array => value(p.map((v, i) => (i === k ? v + d : v)));
  const up = at(h);
  const down = at(-h);
  return up.map((v, i) => (v - down[i]!) / (2 * h));
}

/** Best of a small net around where the demodulated order is largest; a fast sweep peaks late, so earlier frequencies are tried too. */
function firstGuess(y: Float64Array, drive: Drive, step: number): { readonly omega: number; readonly zeta: number } {
  const peak = largestAt(y, drive, step);
  const n = y.length;
  const rate = (drive.frequency[n - 1]! - drive.frequency[0]!) / (n * step);
  const reach = Math.sign(rate) * Math.sqrt(Math.abs(rate));
  const { basis } = modelOf(y, drive, step);
  let best = { omega: 2 * Math.PI * drive.frequency[peak]!, zeta: 0.01, sum: Infinity };
  for (const back of [-0.3, 0, 0.3, 0.7, 1.2, 1.8]) {
    const f = drive.frequency[peak]! - back * reach;
    if (!(f > 0)) continue;
    for (const zeta of [0.003, 0.01, 0.03]) {
      const fit = project(basis(2 * Math.PI * f, zeta), y);
      if (fit && fit.sum < best.sum) best = { omega: 2 * Math.PI * f, zeta, sum: fit.sum };
    }
  }
  return best;
}

/** Sample at which the order, demodulated over about four of its periods, is largest. */
function largestAt(y: Float64Array, drive: Drive, step: number): number {
  const n = y.length;
  const mean = y.reduce((s, v) => s + v, 0) / n;
  const width = Math.max(4, Math.round(4 / (drive.frequency[n >> 1]! * step)));
  let c = 0, s = 0, best = -1, at = n >> 1;
  for (let i = 0; i < n; i++) {
    const v = y[i]! - mean;
    c += v * Math.cos(drive.phase[i]!);
    s += v * Math.sin(drive.phase[i]!);
    const j = i - width;
    if (j >= 0) {
      c -= (y[j]! - mean) * Math.cos(drive.phase[j]!);
      s -= (y[j]! - mean) * Math.sin(drive.phase[j]!);
      if (c * c + s * s > best) [best, at] = [c * c + s * s, i - (width >> 1)];
    }
  }
  return at;
}

/** Best amplitudes of a basis, and the sum of squares they leave. */
function project(basis: readonly Float64Array[], y: Float64Array): { readonly coefficients: Float64Array; readonly sum: number } | null {
  const coefficients = normalSolve(basis, y);
  if (!coefficients) return null;
  const f = combine(basis, coefficients);
  return { coefficients, sum: y.reduce((sum, v, i) => sum + (v - f[i]!) ** 2, 0) };
}

function ends(values: Float64Array): readonly number[] {
  let low = Infinity, high = -Infinity;
  for (const v of values) {
    if (v < low) low = v;
    if (v > high) high = v;
  }
  return [low, high];
}
