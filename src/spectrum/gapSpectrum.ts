import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { chirpZ } from '../numeric/chirpZ.js';
import { sinePower } from '../numeric/lombScargle.js';
import { perRms, type AmplitudeKind } from './lineSpectrum.js';

/** What gapSpectrum takes. */
export interface GapSpectrumOptions {
  /** Band, Hz, 0 < from < to < half the sample rate. No default. */
  readonly from: number;
  readonly to: number;
  /** Hz between frequencies, default a quarter of 1/(time from the first to the last valid sample). */
  readonly step?: number;
  /** Default 'peak'. */
  readonly amplitude?: AmplitudeKind;
}

/** The amplitudes of the sines that fit a gappy record best, one frequency at a time. */
export interface GapSpectrum {
  readonly name: string;
  /** Hz. */
  readonly frequency: Float64Array;
  readonly amplitude: Float64Array;
  /** Amplitude that noise of the record's variance exceeds anywhere in the band with probability 0.01. */
  readonly limit: number;
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  readonly of: Unit;
  /** Valid samples, and their part of the time that they span. */
  readonly samples: number;
  readonly coverage: number;
  /** By what a line leaks to a place that many steps off, because of the gaps: 1 at 0 steps. */
  readonly pattern: Float64Array;
  readonly notes: readonly string[];
}

/**
 * Estimates a spectrum where gaps leave no whole segments: at each frequency the sine that fits all valid samples best (Lomb–Scargle).
 *
 * Definition: P(f) = ½·[(Σ x·cos ω(t−τ))²/Σ cos² ω(t−τ) + (Σ x·sin ω(t−τ))²/Σ sin² ω(t−τ)], tan 2ωτ = Σ sin 2ωt/Σ cos 2ωt, x less its mean; amplitude = √(4·P/N) (peak). The
 * sums are taken exactly by chirp-z transforms, for the samples lie on one clock.
 *
 * Kept: nothing is filled in; masked samples are not read. A line also shows at the places that `pattern` gives, however clean the record. Cost: six transforms of the record's length plus frequencies.
 *
 * @param channel any unit
 * @param options from, to (Hz), step (Hz), amplitude (default 'peak')
 * @returns frequency (Hz), amplitude, limit, coverage, pattern, notes
 * @throws InputError for a band outside 0 … sampleRate/2, or fewer than three valid samples
 * @see powerDensity
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 100, values: Array.from({ length: 2000 }, (_, i) => 6 * Math.sin(2 * Math.PI * 0.0725 * i)), invalid: [{ from: 300, to: 800, why: 'dropout' }, { from: 900, to: 1500, why: 'dropout' }] });
 * const g = gapSpectrum(T, { from: 5, to: 10, step: 0.05 });
 * g.amplitude[45] // => 6.00
 * @references J. D. Scargle, Studies in astronomical time series analysis II, Astrophysical Journal 263 (1982) 835, eq. 10 and 14 (limit); W. H. Press and G. B. Rybicki, ibid. 338 (1989) 277.
 */
export function gapSpectrum(channel: Channel, options: GapSpectrumOptions): GapSpectrum {
  const where = 'gapSpectrum';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['from', 'to'], optional: ['step', 'amplitude'] });
  const top = channel.sampleRate / 2;
  const from = checkNumber(where, 'from', options.from, { above: 0, below: top, unit: 'Hz' });
  const to = checkNumber(where, 'to', options.to, { above: from, below: top, unit: 'Hz' });
  const kind = checkChoice<AmplitudeKind>(where, 'amplitude', options.amplitude ?? 'peak', ['peak', 'rms', 'peak-to-peak']);
  const runs = validRuns(channel);
  const samples = runs.reduce((n, r) => n + r.to - r.from, 0);
  if (samples < 3) throw new InputError({ where, argument: channel.name, expected: 'a channel with at least three valid samples', given: `${samples}` });
  const first = runs[0]!.from, last = runs.at(-1)!.to;
  const step = checkNumber(where, 'step', options.step ?? channel.sampleRate / (4 * (last - first)), { above: 0, unit: 'Hz' });
  const points = Math.floor((to - from) / step + 1e-9) + 1;
  if (points > 10_000_000) throw new InputError({ where, argument: 'step', expected: 'large enough for at most ten million frequencies', given: `${step} Hz, ${points} frequencies` });
  let mean = 0;
  for (const r of runs) for (let i = r.from; i < r.to; i++) mean += channel.values[i]! / samples;
  const signal = new Float64Array(last - first), mask = new Float64Array(last - first);
  let squares = 0;
  for (const r of runs) for (let i = r.from; i < r.to; i++) {
    signal[i - first] = channel.values[i]! - mean;
    mask[i - first] = 1;
    squares += signal[i - first]! ** 2;
  }
  const f0 = from / channel.sampleRate, df = step / channel.sampleRate;
  const x = chirpZ(signal, f0, df, points), m = chirpZ(mask, 2 * f0, 2 * df, points), p = chirpZ(mask, 0, df, Math.min(points, 4096));
  const scale = perRms(kind) / Math.SQRT2;
  const frequency = Float64Array.from({ length: points }, (_, k) => from + k * step);
  const amplitude = frequency.map((_, k) => scale * Math.sqrt((4 * sinePower({ xc: x[2 * k]!, xs: -x[2 * k + 1]!, c2: m[2 * k]!, s2: -m[2 * k + 1]!, count: samples })) / samples));
  const independent = Math.max(1, ((to - from) * (last - first)) / channel.sampleRate);
  const limit = scale * Math.sqrt((-4 * Math.log(1 - 0.99 ** (1 / independent)) * (squares / samples)) / samples);
  const coverage = samples / (last - first);
  return makeResult<GapSpectrum>('GapSpectrum', {
    name: channel.name, frequency, amplitude, limit, kind, unit: channel.unit, of: channel.unit, samples, coverage, pattern: Float64Array.from({ length: p.length / 2 }, (_, k) => Math.hypot(p[2 * k]!, p[2 * k + 1]!) / samples),
    notes: Object.freeze([`${(100 * coverage).toPrecision(3)} % of the time is valid; a strong line also shows where the gaps repeat it (see pattern)`]),
  }, (g) => `GapSpectrum of ${g.name} [${g.unit} ${g.kind}]: ${g.frequency.length} frequencies from ${g.samples} samples, ${(100 * g.coverage).toPrecision(3)} % of the time`);
}
