import type { ColumnTable } from 'arquero';
import { createRequire } from 'node:module';
import { checkChannel, duration, validRuns, type Channel } from '../record/Channel.js';
import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import type { Recording } from '../record/Recording.js';
import { kindOf } from '../record/result.js';
import { coveredSamples } from '../record/span.js';

const require = createRequire(import.meta.url);

/**
 * Summarises channels in a table, one row each: valid and lost time, least and greatest value, mean, standard deviation (n − 1), rms, median, 5 % and 95 % quantile, crest
 * (largest size over rms), skewness and excess kurtosis of the sample. The statistics are those of simple-statistics; what too few values cannot give is empty.
 *
 * Kept: masked samples are left out. Cost: one sort of each channel.
 *
 * @param channels a channel, several, or a recording; units and rates may differ
 * @returns an Arquero table; each row is in the unit of its channel
 * @throws InputError for something else, or a channel that is masked throughout
 * @see toTable
 * @example
 * const table = summaryTable(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: [1, 2, NaN, 3, 4] }));
 * table.get('mean', 0) // => 2.5
 * table.get('lost [s]', 0) // => 1
 */
export function summaryTable(channels: Channel | readonly Channel[] | Recording): ColumnTable {
  const where = 'summaryTable';
  const list = (kindOf(channels) === 'Recording' ? (channels as Recording).channels : Array.isArray(channels) ? channels : [channels]) as readonly Channel[];
  if (list.length === 0) throw new InputError({ where, argument: 'channels', expected: 'at least one channel', given: show(channels) });
  const rows = list.map((channel) => summaryOf(where, checkChannel(where, channel)));
  const { from } = require('arquero') as typeof import('arquero');
  return from(rows) as ColumnTable;
}

function summaryOf(where: string, channel: Channel): object {
  const runs = validRuns(channel);
  const valid = new Float64Array(coveredSamples(runs));
  let at = 0;
  for (const { from, to } of runs) {
    valid.set(channel.values.subarray(from, to), at);
    at += to - from;
  }
  if (valid.length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with valid samples', given: 'one that is masked throughout' });
  const { mean, medianSorted, quantileSorted, rootMeanSquare, sampleKurtosis, sampleSkewness, sampleStandardDeviation } = require('simple-statistics') as typeof import('simple-statistics');
  const sorted = valid.sort() as unknown as number[];
  const rms = rootMeanSquare(sorted);
  const n = sorted.length;
  const spread = sorted[n - 1]! > sorted[0]!;
  return {
    channel: channel.name, unit: channel.unit, 'sample rate [Hz]': channel.sampleRate, 'valid [s]': n / channel.sampleRate, 'lost [s]': duration(channel) - n / channel.sampleRate,
    min: sorted[0]!, max: sorted[n - 1]!, mean: mean(sorted), 'standard deviation': n > 1 ? sampleStandardDeviation(sorted) : null, rms, median: medianSorted(sorted),
    'quantile 5 %': quantileSorted(sorted, 0.05), 'quantile 95 %': quantileSorted(sorted, 0.95), crest: rms > 0 ? Math.max(Math.abs(sorted[0]!), Math.abs(sorted[n - 1]!)) / rms : null,
    skewness: n > 2 && spread ? sampleSkewness(sorted) : null, 'excess kurtosis': n > 3 && spread ? sampleKurtosis(sorted) : null,
  };
}
