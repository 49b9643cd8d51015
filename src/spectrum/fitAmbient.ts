import { checkChannel, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { normalQuantile } from '../numeric/distributions.js';
import { levenbergMarquardt, type FitModel } from '../numeric/levenbergMarquardt.js';
import type { Estimate } from './fitRingDown.js';
import { powerDensity, type PowerDensity } from './powerDensity.js';

/** What fitAmbient takes. The band is a physical choice without a default. */
export interface AmbientOptions {
  /** Hz: holds one mode and no line of an order or of the mains. */
  readonly band: { readonly from: number; readonly to: number };
  /** Samples of a segment; default the power of two nearest to 40 bandwidths' resolution that leaves at least 8 segments. */
  readonly segment?: number;
  /** Level of the intervals, default 0.9. */
  readonly level?: number;
}

/** A mode read from a running record alone. */
export interface AmbientFit {
  /** Hz, undamped. */
  readonly frequency: Estimate;
  readonly dampingRatio: Estimate;
  /** Power density far below the mode and of the floor beneath it (about 0 where none can be told), in the spectrum's unit. */
  readonly excitation: number;
  readonly floor: number;
  /** Width of the mode, 2ζf, over the spacing of the spectrum. */
  readonly binsAcross: number;
  readonly level: number;
  readonly notes: readonly string[];
}

const where = 'fitAmbient';

/**
 * Reads a mode from a running record, without knowing what drives it: P(f) = S/((1 − r²)² + (2ζr)²) + B, r = f/f₀, fitted to the Welch
 * spectrum in a band, each bin weighted by its own expectation (variance P²/averages).
 *
 * It takes the excitation as flat over the band. Intervals come from the covariance of the fit, widened because the bins of overlapping, windowed segments
 * do not tell independently. Cost: one spectrum and some twenty passes over the band.
 *
 * @param channel torque (or another response) in a steady state
 * @param options band, Hz; segment, samples; level
 * @returns frequency and damping with intervals
 * @throws InputError for a band with fewer than 12 bins or without a mode in it
 * @see fitRingDown, fitSweep, compareModes
 * @example
 * (not run: needs a record)
 * fitAmbient(slice(torque, { from: 60, to: 600 }), { band: { from: 6, to: 11 } }).dampingRatio.value // => 0.0071
 * @references P. Whittle, Estimation and information in stationary time series, Arkiv för Matematik 2 (1953) 423 (weighting of a spectrum by its expectation; from memory).
 */
export function fitAmbient(channel: Channel, options: AmbientOptions): AmbientFit {
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['band'], optional: ['segment', 'level'] });
  checkOptions(`${where}, band`, options.band, { required: ['from', 'to'] });
  const from = checkNumber(where, 'band.from', options.band.from, { above: 0, below: channel.sampleRate / 2, unit: 'Hz' });
  const to = checkNumber(where, 'band.to', options.band.to, { above: from, max: channel.sampleRate / 2, unit: 'Hz' });
  const level = checkNumber(where, 'level', options.level ?? 0.9, { above: 0, below: 1 });
  const segment = options.segment ?? 2 ** Math.floor(Math.log2(channel.values.length / 5));
  const spectrum = powerDensity(channel, { segment });
  const bins: number[] = [];
  spectrum.frequency.forEach((f, k) => {
    if (f >= from && f <= to) bins.push(k);
  });
  if (bins.length < 12) throw new InputError({ where, argument: 'band', expected: 'at least 12 bins of the spectrum', given: `${bins.length}`, remedy: 'Widen it, or use longer segments.' });
  const f = Float64Array.from(bins, (k) => spectrum.frequency[k]!);
  const P = Float64Array.from(bins, (k) => spectrum.density[k]!);
  const fit = reweighted(f, P);
  if (!fit) throw new InputError({ where, argument: 'band', expected: 'one mode inside', given: `a band from ${from} to ${to} Hz to which none could be fitted`, remedy: 'Look at the spectrum with plotSpectrum and move the band.' });
  const [f0, logZeta, excitation, floor] = fit.parameters as unknown as [number, number, number, number];
  const zeta = Math.exp(logZeta);
  if (f0 < from || f0 > to) throw new InputError({ where, argument: 'band', expected: 'one mode inside', given: `one at ${f0.toPrecision(3)} Hz, outside it` });
  const widen = widening(channel, spectrum);
  const reach = normalQuantile(0.5 + level / 2);
  const error = (k: number): number => widen * Math.sqrt(fit.linear.covariance[k]![k]! / (fit.linear.deviation ** 2 * spectrum.effectiveAverages));
  const binsAcross = (2 * zeta * f0 * segment) / channel.sampleRate;
  const notes = binsAcross < 4 ? [`The mode is only ${binsAcross.toPrecision(2)} bins wide: the window makes it look more damped than it is. Use longer segments.`] : [];
  const fe = error(0), ze = error(1);
  return makeResult('AmbientFit', {
    frequency: Object.freeze({ value: f0, standardError: fe, low: f0 - reach * fe, high: f0 + reach * fe }),
    dampingRatio: Object.freeze({ value: zeta, standardError: zeta * ze, low: zeta * Math.exp(-reach * ze), high: zeta * Math.exp(reach * ze) }),
    excitation, floor, binsAcross, level, notes: Object.freeze(notes),
  }, (m) => `Mode from running: ${m.frequency.value.toPrecision(4)} Hz, damping ${(100 * m.dampingRatio.value).toPrecision(3)} % (${(100 * m.dampingRatio.low).toPrecision(3)} to ${(100 * m.dampingRatio.high).toPrecision(3)})`);
}

/** Model value and its derivatives by f₀, ln ζ, S, B at each frequency. */
function shape(f: Float64Array, p: Float64Array): { readonly value: Float64Array; readonly columns: Float64Array[] } {
  const [f0, zeta, S, B] = [p[0]!, Math.exp(p[1]!), p[2]!, p[3]!];
  const value = new Float64Array(f.length);
  const columns = [0, 1, 2, 3].map(() => new Float64Array(f.length));
  for (let i = 0; i < f.length; i++) {
    const r2 = (f[i]! / f0) ** 2;
    const D = (1 - r2) ** 2 + 4 * zeta * zeta * r2;
    value[i] = S / D + B;
    columns[0]![i] = (-S / (D * D)) * ((4 * r2 * (1 - r2)) / f0 - (8 * zeta * zeta * r2) / f0);
    columns[1]![i] = (-S / (D * D)) * 8 * zeta * zeta * r2;
    columns[2]![i] = 1 / D;
    columns[3]![i] = 1;
  }
  return { value, columns };
}

/** Fits with each bin weighted by the expectation of the fit before, until that settles. */
function reweighted(f: Float64Array, P: Float64Array): ReturnType<typeof levenbergMarquardt> {
  const peak = P.reduce((best, v, k) => (v > P[best]! ? k : best), 0);
  const least = P.reduce((a, b) => Math.min(a, b));
  let parameters: Float64Array = Float64Array.of(f[peak]!, Math.log(0.01), P[peak]! * 4e-4, least / 2);
  let fit: ReturnType<typeof levenbergMarquardt> = null;
  for (let round = 0; round < 12; round++) {
    const weight = (round === 0 ? smoothed(P) : shape(f, parameters).value).map((v) => 1 / Math.max(v, least / 10));
    const model: FitModel = {
      residuals: (p) => shape(f, p).value.map((v, i) => (P[i]! - v) * weight[i]!),
      jacobian: (p) => shape(f, p).columns.map((c) => c.map((v, i) => v * weight[i]!)),
    };
    fit = levenbergMarquardt(model, parameters, 200);
    if (!fit) return null;
    const moved = Math.abs(fit.parameters[0]! - parameters[0]!) / parameters[0]! + Math.abs(fit.parameters[1]! - parameters[1]!);
    parameters = fit.parameters;
    if (moved < 1e-6) break;
  }
  return fit;
}

/** Means over up to ten bins on either side: the first weights. */
function smoothed(P: Float64Array): Float64Array {
  return P.map((_, i) => {
    const part = P.subarray(Math.max(0, i - 10), i + 11);
    return part.reduce((sum, v) => sum + v, 0) / part.length;
  });
}

/** Root of what the bins seem to tell (bins · averages) over what the record can tell (band · time). */
function widening(channel: Channel, spectrum: PowerDensity): number {
  const seconds = (spectrum.segment * (1 + (spectrum.segments - 1) * (1 - spectrum.overlap))) / channel.sampleRate;
  return Math.sqrt((spectrum.segment / channel.sampleRate) * spectrum.effectiveAverages / seconds);
}
