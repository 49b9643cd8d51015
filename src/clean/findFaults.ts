import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { toJson } from '../record/json.js';
import { coveredSamples, type Span } from '../record/span.js';
import { equalRuns, heldLimit, noiseBlocks, repeatAt, smallestStep, stepAfter, type EqualRuns, type NoiseBlock } from './equalRuns.js';
import { makeFaultReport, type FaultReport } from './FaultReport.js';
import { findRails, type RailRule } from './findRails.js';

/** Which faults to look for. Each can be switched off with false; the rules are technical and have defaults. */
export interface FaultOptions {
  /** Lost samples that the receiver wrote as one exact value: `level` (default 0). */
  readonly dropout?: false | { readonly level?: number };
  /** A value repeated for longer than the noise allows, or `longerThan` seconds. */
  readonly held?: false | { readonly longerThan?: number };
  /** The ends of the converter's range: found from the record, or `high` and `low` in the channel's unit. */
  readonly rail?: false | RailRule;
}

const where = 'findFaults';

/**
 * Finds dropouts, held values and rails in a record. It changes nothing: markInvalid masks what the report lists.
 *
 * Rules. A run of equal samples is too long when noise would make one like it fewer than 0.01 times in the whole record:
 * samples · p^(length − 1) < 0.01, at least 3 samples, where p, the chance that a sample repeats, is counted over about
 * a thousand runs around it (over those of the same value where they are 30 or more). In a smooth stretch (steps seldom change sign) the crests of a digitised signal repeat too, so there
 * the run must also begin or end with a jump of more than 3 quanta.
 * - dropout: such a run at exactly `level`; shorter ones when the signal jumps to it and back by more than 8 median steps, from and to one side.
 * - held value: such a run at any other value.
 * - rail: the highest (lowest) value, when it stands in at least 3 samples and in 5 times as many as any of the 8 levels below (above) it.
 *
 * Only valid samples are read. Cost: a few passes, 8 bytes a sample.
 *
 * @param channel the record as it was received, best before any filter (a filter hides equal samples)
 * @param options dropout, held and rail: false, or their limits
 * @returns spans with reasons, counts and seconds, the rules with their limits, notes
 * @throws InputError for an unknown option or a limit out of bounds
 * @see markInvalid, markValid
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [5.1, 5.3, 4.9, 5.2, 0, 0, 0, 5.4, 5.0, 4.8] });
 * findFaults(T).spans // => [{"from":4,"to":7,"why":"dropout"}]
 * @references Common practice, no source; the bound on run lengths is the expected number of runs of a Bernoulli sequence.
 */
export function findFaults(channel: Channel, options: FaultOptions = {}): FaultReport {
  checkChannel(where, channel);
  checkFaultOptions(options);
  const { values } = channel;
  const runs = equalRuns(values, validRuns(channel));
  const blocks = noiseBlocks(values, runs);
  const quantum = smallestStep(values, runs);
  const level = options.dropout === false ? null : (options.dropout?.level ?? 0);
  const spans: Span[] = [];
  const notes: string[] = [];
  if (options.dropout !== false || options.held !== false) {
    spans.push(...repeats(channel, runs, blocks, quantum, level, options));
  }
  const rails = options.rail === false ? null : findRails(channel, runs, quantum, level, options.rail ?? {});
  if (rails) {
    spans.unshift(...rails.spans); // every span is a whole run, so a run both railed and held is called a rail
    notes.push(...rails.notes);
  }
  if (runs.count > 0 && quantum === 0) notes.push('The valid samples all have one value; nothing can be told from them.');
  const held = coveredSamples(spans.filter((s) => s.why === 'held value')) / values.length;
  if (held > 0.1) notes.push(`${(100 * held).toPrecision(2)} % of the samples are held values: where the signal is that quiet or free of noise, give held: { longerThan } in seconds, or held: false.`);
  const limits = blocks.map((b) => heldLimit(b.repeat, values.length));
  const rules = toJson({
    dropout: level === null ? false : { level }, quantum,
    held: options.held === false ? false : { longerThan: options.held?.longerThan ?? null, leastSamples: Math.min(...limits), mostSamples: Math.max(...limits) },
    rail: rails ? rails.rule : false,
  });
  return makeFaultReport(channel, spans, rules, notes);
}

/** Runs that are longer than noise allows, and short visits to the dropout level. */
function repeats(channel: Channel, runs: EqualRuns, blocks: readonly NoiseBlock[], quantum: number, level: number | null, options: FaultOptions): Span[] {
  const { values, sampleRate } = channel;
  const spans: Span[] = [];
  const held = options.held ?? {};
  const asked = held === false || held.longerThan === undefined ? null : Math.floor(held.longerThan * sampleRate * (1 + 1e-12)) + 1;
  let r = 0;
  for (const block of blocks) {
    const limit = heldLimit(block.repeat, values.length);
    const limits = new Map<number, number>();
    const limitAt = (value: number): number => {
      let own = limits.get(value);
      if (own === undefined) limits.set(value, own = heldLimit(repeatAt(values, runs, block, value), values.length));
      return own;
    };
    for (; r < block.endRun; r++) {
      const length = runs.lengths[r]!;
      const from = runs.starts[r]!;
      const atLevel = values[from] === level;
      if (!atLevel && (length < 2 || held === false)) continue;
      const before = stepAfter(values, runs, r - 1);
      const after = stepAfter(values, runs, r);
      const jumps = !block.smooth || !(Math.abs(before) <= 3 * quantum) || !(Math.abs(after) <= 3 * quantum);
      const tooLong = asked !== null && !atLevel ? length >= asked : length >= limit && jumps && length >= limitAt(values[from]!);
      const visit = atLevel && before * after < 0 && Math.min(Math.abs(before), Math.abs(after)) > 8 * block.step;
      if (tooLong || visit) spans.push({ from, to: from + length, why: atLevel ? 'dropout' : 'held value' });
    }
  }
  return spans;
}

function checkFaultOptions(options: FaultOptions): void {
  checkOptions(where, options, { optional: ['dropout', 'held', 'rail'] });
  const keys = { dropout: ['level'], held: ['longerThan'], rail: ['high', 'low'] } as const;
  for (const [name, known] of Object.entries(keys)) {
    const value: unknown = options[name as keyof FaultOptions];
    if (value === undefined || value === false) continue;
    if (typeof value !== 'object') throw new InputError({ where, argument: name, expected: 'false, or an object of limits', given: show(value) });
    checkOptions(`${where}, ${name}`, value as object, { optional: known });
    for (const key of known) {
      const limit = (value as Record<string, unknown>)[key];
      if (limit !== undefined) checkNumber(where, `${name}.${key}`, limit, key === 'longerThan' ? { above: 0, unit: 's' } : {});
    }
  }
}
