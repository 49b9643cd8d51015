import { checkNumber, checkOptions } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { validRuns, type Channel, type Outcome } from '../record/Channel.js';
import { defineOperation } from '../record/operation.js';
import { normaliseSpans, spansWhere } from '../record/span.js';
import { segmentTransform } from '../numeric/segments.js';
import { windowSamples } from '../numeric/window.js';

/** What speedFromLines takes. */
export interface SpeedFromLinesOptions {
  /** The order whose line is followed, cycles a revolution. No default. */
  readonly order: number;
  /** Band in which that line moves, Hz. No default. */
  readonly from: number;
  readonly to: number;
  /** Length of a segment, s: the line's frequency should change by little more than 1/segmentSeconds over it. No default. */
  readonly segmentSeconds: number;
  /** Greatest change of the line's frequency, Hz/s. No default. */
  readonly mostChange: number;
  /** How far the line must stand above the median of the band, dB, default 10; below it the speed is masked. */
  readonly above?: number;
}

/** The path through rows of log powers that has the greatest sum, stepping at most `reach` columns a row (dynamic programming). Rows that are null cost nothing. */
function bestPath(rows: readonly (Float64Array | null)[], columns: number, reach: number): Int32Array {
  let score = new Float64Array(columns);
  const back = rows.map(() => new Int32Array(columns));
  rows.forEach((row, t) => {
    const next = new Float64Array(columns);
    for (let c = 0; c < columns; c++) {
      let best = c;
      for (let d = Math.max(0, c - reach); d <= Math.min(columns - 1, c + reach); d++) if (score[d]! > score[best]!) best = d;
      next[c] = score[best]! + (row ? row[c]! : 0);
      back[t]![c] = best;
    }
    score = next;
  });
  const path = new Int32Array(rows.length);
  let c = score.indexOf(score.reduce((a, b) => Math.max(a, b), -Infinity));
  for (let t = rows.length - 1; t >= 0; t--) {
    path[t] = c;
    c = back[t]![c]!;
  }
  return path;
}

/** Centre of the power of the bins within three of the highest one, bins from it, after twice the median is taken off: right for a steady and for a sweeping line. */
function centre(power: Float64Array, k: number, median: number): number {
  let sum = 0, moment = 0;
  const reach = Math.min(3, k, power.length - 1 - k);
  for (let d = -reach; d <= reach; d++) {
    const p = Math.max(0, power[k + d]! - 2 * median);
    sum += p;
    moment += d * p;
  }
  return sum > 0 ? moment / sum : 0;
}

const operation = defineOperation<SpeedFromLinesOptions>('speedFromLines', (channel, options): Outcome => {
  const where = 'speedFromLines';
  checkOptions(where, options, { required: ['order', 'from', 'to', 'segmentSeconds', 'mostChange'], optional: ['above'] });
  const fs = channel.sampleRate;
  const order = checkNumber(where, 'order', options.order, { above: 0 });
  const from = checkNumber(where, 'from', options.from, { above: 0, below: fs / 2, unit: 'Hz' });
  const to = checkNumber(where, 'to', options.to, { above: from, below: fs / 2, unit: 'Hz' });
  const mostChange = checkNumber(where, 'mostChange', options.mostChange, { above: 0, unit: 'Hz/s' });
  const above = 10 ** (checkNumber(where, 'above', options.above ?? 10, { min: 0, unit: 'dB' }) / 10);
  const hop = Math.max(1, Math.round((checkNumber(where, 'segmentSeconds', options.segmentSeconds, { min: 16 / fs, unit: 's' }) * fs) / 8));
  const length = 8 * hop;
  const first = Math.max(1, Math.floor((from * length) / fs)), last = Math.min(length / 2 - 1, Math.ceil((to * length) / fs));
  const columns = last - first + 1;
  if (validRuns(channel).length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const count = Math.floor((channel.values.length - length) / hop) + 1;
  if (count < 4 || columns < 5) throw new InputError({ where, argument: 'segmentSeconds', expected: 'such that the record holds four segments and the band five bins', given: `${count < 0 ? 0 : count} and ${columns}`, remedy: 'Use a shorter segment for more segments, a longer one or a wider band for more bins.' });
  const window = windowSamples('hann', length, 'periodic');
  const valid = (at: number): boolean => channel.invalid.every((s) => s.to <= at || s.from >= at + length);
  const powers = Array.from({ length: count }, (_, t) => {
    if (!valid(t * hop)) return null;
    const X = segmentTransform(channel.values, t * hop, window, 'mean');
    return Float64Array.from({ length: columns + 2 }, (_x, c) => X[2 * (first - 1 + c)]! ** 2 + X[2 * (first - 1 + c) + 1]! ** 2 + 1e-300);
  });
  const path = bestPath(powers.map((p) => p && p.slice(1, -1).map(Math.log)), columns, Math.max(1, Math.ceil((mostChange * hop * length) / (fs * fs))));
  const values = new Float64Array(count + 4);
  const known = new Uint8Array(count + 4);
  let weak = 0;
  powers.forEach((p, t) => {
    if (!p) return;
    let k = path[t]! + 1;
    for (const d of [-1, 1]) if (p[k + d]! > p[k]! && k + d >= 1 && k + d <= columns) k += d;
    const median = p.slice(1, -1).sort()[columns >> 1]!;
    if (p[k]! < above * median) { weak++; return; }
    values[t + 4] = (2 * Math.PI * (first - 1 + k + centre(p, k, median)) * fs) / length / order;
    known[t + 4] = 1;
  });
  const read = powers.filter((p) => p).length;
  // A bin of noise is above the median by that factor with probability 2^−above; segments an eighth apart tell as much as one in eight of them.
  const chance = 1 - (1 - 2 ** -above) ** columns;
  if (chance > 0.5) throw new InputError({ where, argument: 'above', expected: `at least ${Math.ceil(100 * 10 * Math.log10(-Math.log2(1 - 2 ** (-1 / columns)))) / 100} dB for a band of ${columns} bins, which noise alone reaches in half of the segments`, given: `${options.above ?? 10} dB`, remedy: 'Raise it, or narrow the band.' });
  const byChance = read * (chance + 2 * Math.sqrt((chance * (1 - chance)) / Math.max(1, read / 8)));
  if (read - weak <= byChance) throw new InputError({ where, argument: 'above', expected: 'such that the line stands out somewhere, and more often than noise alone would', given: `${options.above ?? 10} dB, which ${read - weak} of ${read} segments reach (noise alone: about ${Math.round(chance * read)})`, remedy: 'Look at speedMap or spectrogram for the line, and state its band.' });
  return { name: 'speed', unit: 'rad/s', sampleRate: fs / hop, values, invalid: normaliseSpans(spansWhere(count + 4, (i) => known[i] === 0, 'out of range'), count + 4), found: { segments: count, weak, segmentSamples: length, chance } };
});

/**
 * Estimates the speed from the channel's own order line, where no pick-up was there.
 *
 * Definition: power spectra of segments an eighth of a segment apart; the path of bins in the band that has the greatest sum of log powers and moves no faster than mostChange (dynamic programming);
 * its frequency between the bins by the centre of power of the bins within three of the highest; speed = 2π·f/order, stamped at the middle of each segment.
 *
 * Kept: the start; where a segment holds a masked sample, where the line does not stand out, and over the first half segment the speed is masked as 'out of range'. Cost: one transform a segment.
 *
 * @param channel any unit
 * @param options order, from, to (Hz), segmentSeconds (s), mostChange (Hz/s), no defaults; above (dB)
 * @returns a channel called speed, rad/s, eight values a segment
 * @throws InputError where the record is too short, the band too narrow, or no line stands out oftener than one of noise would
 * @see speedFromPulses, toShaftAngle
 * @example
 * const turn = (i) => 2 * Math.PI * (10 * (i / 1000) + 0.5 * (i / 1000) ** 2);
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 1000, values: Array.from({ length: 10000 }, (_, i) => 30 + 3 * Math.cos(2 * turn(i))) });
 * const speed = speedFromLines(T, { order: 2, from: 15, to: 45, segmentSeconds: 0.8, mostChange: 4 });
 * convert(speed, 'rpm').values[50] // => 900
 */
export function speedFromLines(channel: Channel, options: SpeedFromLinesOptions): Channel<'rad/s'> {
  return operation(channel, options) as Channel<'rad/s'>;
}
