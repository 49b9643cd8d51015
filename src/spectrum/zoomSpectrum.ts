import { checkChoice, checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import type { Unit } from '../record/units.js';
import { chirpZ } from '../numeric/chirpZ.js';
import { loadSegment, type Detrend } from '../numeric/segments.js';
import { windowSamples, type WindowChoice } from '../numeric/window.js';
import { perRms, type AmplitudeKind } from './lineSpectrum.js';
import { checkWindow } from './segmentation.js';

/** What zoomSpectrum takes. */
export interface ZoomOptions {
  /** Band, Hz, 0 ≤ from < to ≤ half the sample rate. No default. */
  readonly from: number;
  readonly to: number;
  /** How many frequencies, from 2, both ends included. Default 512. */
  readonly points?: number;
  /** Default 'hann'. */
  readonly window?: WindowChoice;
  /** Default 'mean'. */
  readonly detrend?: Detrend;
  /** Default 'peak'. */
  readonly amplitude?: AmplitudeKind;
}

/** Amplitude and phase of one run at closely spaced frequencies. */
export interface ZoomSpectrum {
  readonly name: string;
  /** Hz. */
  readonly frequency: Float64Array;
  readonly amplitude: Float64Array;
  /** rad, of a cosine at the first sample of the run. */
  readonly phase: Float64Array;
  readonly kind: AmplitudeKind;
  readonly unit: Unit;
  readonly of: Unit;
  /** Hz: what the length of the run and the window can tell apart; points closer than this only draw the lobe finely. */
  readonly resolution: number;
  /** The run that was read: the longest valid one, samples. */
  readonly fromSample: number;
  readonly toSample: number;
  readonly notes: readonly string[];
}

/**
 * Looks closely at a band: the windowed transform of the longest valid run at frequencies as close as wished (chirp-z).
 *
 * Definition: X(f) = Σ w[n]·(x[n] − trend)·e^{−2πifn/fs}, f = from … to; amplitude = 2·|X|/Σ w (peak). No finer resolution than the run's length gives: enbw/T.
 *
 * Kept: masked samples are not read; the notes say where there is more than one run. Cost: three transforms of the run's length plus points.
 *
 * @param channel any unit
 * @param options from, to (Hz), points (default 512), window (default 'hann'), detrend (default 'mean'), amplitude (default 'peak')
 * @returns frequency (Hz), amplitude, phase (rad), resolution (Hz), notes
 * @throws InputError for a band outside 0 … sampleRate/2, or a run of a few samples
 * @see lineSpectrum, findLines
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 10000 }, (_, i) => 4 * Math.cos(2 * Math.PI * 0.06137 * i)) });
 * const z = zoomSpectrum(T, { from: 61, to: 62, points: 101 });
 * z.amplitude[37] // => 4.000
 * @references L. R. Rabiner, R. W. Schafer and C. M. Rader, The chirp z-transform algorithm, IEEE Trans. Audio Electroacoustics 17 (1969) 86.
 */
export function zoomSpectrum(channel: Channel, options: ZoomOptions): ZoomSpectrum {
  const where = 'zoomSpectrum';
  checkChannel(where, channel);
  checkOptions(where, options, { required: ['from', 'to'], optional: ['points', 'window', 'detrend', 'amplitude'] });
  const top = channel.sampleRate / 2;
  const from = checkNumber(where, 'from', options.from, { min: 0, max: top, unit: 'Hz' });
  const to = checkNumber(where, 'to', options.to, { above: from, max: top, unit: 'Hz' });
  const points = checkNumber(where, 'points', options.points ?? 512, { integer: true, min: 2, max: 1_000_000 });
  const choice = checkWindow(where, options.window ?? 'hann');
  const detrend = checkChoice<Detrend>(where, 'detrend', options.detrend ?? 'mean', ['mean', 'linear', 'none']);
  const kind = checkChoice<AmplitudeKind>(where, 'amplitude', options.amplitude ?? 'peak', ['peak', 'rms', 'peak-to-peak']);
  const runs = validRuns(channel);
  if (runs.length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with at least one valid sample', given: 'all masked' });
  const run = runs.reduce((a, b) => (b.to - b.from > a.to - a.from ? b : a));
  const n = run.to - run.from;
  const window = windowSamples(choice, n, 'periodic');
  const pairs = new Float64Array(2 * n);
  loadSegment(pairs, 0, channel.values, run.from, window, detrend);
  const step = (to - from) / (points - 1);
  const out = chirpZ(pairs.filter((_, j) => j % 2 === 0), from / channel.sampleRate, step / channel.sampleRate, points);
  const sum = window.reduce((a, b) => a + b, 0), squares = window.reduce((a, b) => a + b * b, 0);
  const resolution = (channel.sampleRate * squares) / (sum * sum);
  if (!(resolution <= top / 4)) throw new InputError({ where, argument: channel.name, expected: 'a valid run long enough to tell an eighth of the sample rate', given: `${n} samples, which tell ${resolution.toPrecision(3)} Hz`, remedy: 'Use a longer record, or look at the samples themselves.' });
  const frequency = Float64Array.from({ length: points }, (_, k) => from + k * step);
  const amplitude = frequency.map((f, k) => ((f === 0 ? 1 : f === top ? perRms(kind) : Math.SQRT2 * perRms(kind)) * Math.hypot(out[2 * k]!, out[2 * k + 1]!)) / sum);
  const notes = runs.length > 1 ? [`only the longest of ${runs.length} valid runs was read: ${n} of ${channel.values.length} samples`] : [];
  return makeResult<ZoomSpectrum>('ZoomSpectrum', {
    name: channel.name, frequency, amplitude, phase: frequency.map((_, k) => Math.atan2(out[2 * k + 1]!, out[2 * k]!)), kind, unit: channel.unit, of: channel.unit,
    resolution, fromSample: run.from, toSample: run.to, notes: Object.freeze(notes),
  }, (z) => `ZoomSpectrum of ${z.name} [${z.unit} ${z.kind}]: ${z.frequency[0]} to ${z.frequency.at(-1)} Hz, resolution ${z.resolution.toPrecision(3)} Hz`);
}
