import { checkChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { spanOf } from '../numeric/moments.js';
import { toJson } from '../record/json.js';
import { coveredSamples, normaliseSpans, runsBetween, type Run, type Span } from '../record/span.js';
import { equalRuns, heldLimit, noiseBlocks, smallestStep } from './equalRuns.js';
import { makeFaultReport, type FaultReport } from './FaultReport.js';
import { findRails, type RailRule } from './findRails.js';
import { findRepeats } from './repeats.js';
import { findSaturation } from './findSaturation.js';
import { findSpikes, type SpikeRule } from './findSpikes.js';
import { findStuckBits } from './findStuckBits.js';
import { findWraps, type WrapRule } from './findWraps.js';

/** Which faults to look for. Each can be switched off with false. Spikes are looked for only when the highest mode is given: it is a physical choice. */
export interface FaultOptions {
  /** Lost samples that the receiver wrote as one exact value: `level` (default 0). */
  readonly dropout?: false | { readonly level?: number };
  /** A value repeated for longer than the noise allows, or `longerThan` seconds. */
  readonly held?: false | { readonly longerThan?: number };
  /** The ends of the converter's range: found from the record, or `high` and `low` in the channel's unit. */
  readonly rail?: false | RailRule;
  /** Jumps of 1 to 3 samples there and back that no mode up to `highestMode` (Hz) can make. */
  readonly spike?: false | SpikeRule;
  /** Crests flattened by the amplifier. */
  readonly saturation?: false;
  /** Bits that do not move, and spells of coarse quantisation. */
  readonly stuckBit?: false;
  /** Counts that run over the end of their range. */
  readonly wrapAround?: false | WrapRule;
}

const where = 'findFaults';

/**
 * Finds the faults of a radio strain-gauge record: dropouts, held values, rails, wrap-around, stuck bits, spikes, saturation. It changes nothing:
 * markInvalid masks what the report lists.
 *
 * Rules. A run of equal samples is too long when noise would make one like it fewer than 0.01 times in the whole record:
 * samples · p^(length − 1) < 0.01, at least 3 samples, where p, the chance that a sample repeats, is counted over about
 * a thousand runs around it (over those of the same value where they are 30 or more). In a smooth stretch (steps seldom change sign) the crests of a
 * digitised signal repeat too, so there the run must also begin or end with a jump of more than 3 quanta.
 * - dropout: such a run at exactly `level`; shorter ones when the signal jumps to it and back from one side, by more than 3 median steps (8 for a single
 *   sample); two samples or more also in passing, with jumps of more than 30 quanta on both sides.
 * - held value: such a run at any other value, and what stands at that value across a dropout. Its first sample cannot be told from a true one and is listed too.
 * - rail: the highest (lowest) value, when it stands in at least 3 samples and in 5 times as many as any of the 8 levels below (above) it.
 * - wrap-around: a step of more than half the range, from one end of it to the other; samples on the wrong turn.
 * - stuck bit: 100 steps or more that are all multiples of 4 quanta or more; in counts also a bit that stands still while the signal spans 4 of its periods.
 * - spike: 1 to 3 samples that depart from the cubic through their neighbours by 4 times what their neighbours do within one and a half periods of the highest mode (so that a
 *   ring-down is none), with jumps there and back that are too steep for a pulse of the highest mode, and without flanks. State the highest mode too high rather than too low: a true peak taken for a spike costs life.
 * - saturation: two or more noisy plateaus at the record's extreme, with flanks 3 times too steep for a smooth crest; or three or more crests that a curve cut off at one level fits better than a smooth one.
 *
 * Only valid samples are read, each rule sees what the ones before it left. Cost: a few passes, 8 bytes a sample.
 *
 * @param channel the record as it was received, best before any filter (a filter hides equal samples)
 * @param options each fault: false, or its limits; spike: { highestMode } in Hz
 * @returns spans with reasons, counts and seconds, an edit list, the rules with their limits, notes
 * @throws InputError for an unknown option or a limit out of bounds
 * @see markInvalid, markValid, lossMap
 * @example
 * const T = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [5.1, 5.3, 4.9, 5.2, 0, 0, 0, 5.4, 5.0, 4.8] });
 * findFaults(T).spans // => [{"from":4,"to":7,"why":"dropout"}]
 * @references Common practice, no source; the bound on run lengths is the expected number of runs of a Bernoulli sequence.
 */
export function findFaults(channel: Channel, options: FaultOptions = {}): FaultReport {
  checkChannel(where, channel);
  checkFaultOptions(channel, options);
  const { values } = channel;
  const n = values.length;
  const runs = equalRuns(values, validRuns(channel));
  const blocks = noiseBlocks(values, runs);
  const quantum = smallestStep(values, runs);
  const level = options.dropout === false ? null : (options.dropout?.level ?? 0);
  const notes: string[] = [];
  const rails = options.rail === false ? null : findRails(channel, runs, quantum, level, options.rail ?? {});
  const held = options.held === false ? null : (options.held ?? {});
  const asked = held?.longerThan === undefined ? null : Math.floor(held.longerThan * channel.sampleRate * (1 + 1e-12)) + 1;
  // Every span here is a whole run, so a run both railed and held is called a rail.
  const spans: Span[] = [...(rails?.spans ?? []), ...findRepeats(channel, runs, blocks, { level, held: held !== null, asked, quantum })];
  // One by one: a record may hold more of them than a call takes arguments.
  const add = (more: readonly Span[]): void => more.forEach((span) => spans.push(span));
  notes.push(...(rails?.notes ?? []));
  const left = (): readonly Run[] => runsBetween(normaliseSpans([...channel.invalid, ...spans], n, where), n);
  const wraps = options.wrapAround === false ? null : findWraps(channel, left(), options.wrapAround ?? {});
  add(wraps?.spans ?? []);
  const stuck = options.stuckBit === false ? null : findStuckBits(channel, left(), quantum);
  add(stuck?.spans ?? []);
  notes.push(...(stuck?.notes ?? []));
  if (options.spike) {
    add(findSpikes(channel, left(), quantum, options.spike));
    if (options.spike.highestMode > channel.sampleRate / 4) notes.push('The highest mode lies above a quarter of the sample rate: true pulses can be as short as spikes, and only the steepest spikes are found.');
  }
  else if (options.spike === undefined) notes.push('Spikes were not looked for: give spike: { highestMode } in Hz.');
  const valid = options.saturation === false ? [] : left();
  const saturated = ([1, -1] as const).map((sign) => findSaturation(channel, valid, quantum, sign));
  for (const s of saturated) {
    add(s.spans);
    if (s.level !== null) notes.push(`The amplifier flattens crests at ${s.level}: the true extremes were beyond, and damage without them is a lower bound.`);
  }
  if (runs.count > 0 && quantum === 0) notes.push('The valid samples all have one value; nothing can be told from them.');
  const quiet = coveredSamples(spans.filter((s) => s.why === 'held value')) / n;
  if (quiet > 0.1) notes.push(`${(100 * quiet).toPrecision(2)} % of the samples are held values: where the signal is that quiet or free of noise, give held: { longerThan } in seconds, or held: false.`);
  const coarse = coarseness(values, left(), quantum);
  if (coarse !== null) notes.push(coarse);
  const limits = blocks.map((b) => heldLimit(b.repeat, n));
  const rules = toJson({
    dropout: level === null ? false : { level }, quantum,
    held: held === null ? false : { longerThan: held.longerThan ?? null, leastSamples: Math.min(...limits), mostSamples: Math.max(...limits) },
    rail: rails ? rails.rule : false, wrapAround: wraps ? { modulus: wraps.modulus } : false, stuckBit: stuck !== null,
    spike: options.spike || false, saturation: options.saturation === false ? false : { high: saturated[0]!.level, low: saturated[1]!.level },
  });
  return makeFaultReport(channel, spans, rules, notes);
}

/** A sentence where the whole record is digitised in few steps (quantisation error q/√12: W. R. Bennett, Bell Syst. Tech. J. 27 (1948) 446). */
function coarseness(values: Float64Array, valid: readonly Run[], quantum: number): string | null {
  const span = spanOf(values, valid);
  if (quantum === 0 || !(span > 0) || span / quantum > 64 || values.length < 1000) return null;
  return `The record spans only ${Math.round(span / quantum)} steps of ${quantum.toPrecision(3)}: coarse quantisation, with an error of ${(quantum / Math.sqrt(12)).toPrecision(2)} (a step / √12) in every sample and small cycles lost.`;
}

const limitKeys = { dropout: ['level'], held: ['longerThan'], rail: ['high', 'low'], spike: ['highestMode', 'longest'], wrapAround: ['modulus'], saturation: [], stuckBit: [] } as const;

function checkFaultOptions(channel: Channel, options: FaultOptions): void {
  checkOptions(where, options, { optional: Object.keys(limitKeys) });
  const bounds = {
    level: {}, high: {}, low: {}, longerThan: { above: 0, unit: 's' }, highestMode: { above: 0, below: channel.sampleRate / 2, unit: 'Hz' },
    longest: { integer: true, min: 1, max: 3 }, modulus: { above: 0 },
  };
  for (const [name, known] of Object.entries(limitKeys)) {
    const value: unknown = options[name as keyof FaultOptions];
    if (value === undefined || value === false) continue;
    if (typeof value !== 'object' || known.length === 0) throw new InputError({ where, argument: name, expected: known.length === 0 ? 'false, or left out' : 'false, or an object of limits', given: show(value) });
    checkOptions(`${where}, ${name}`, value as object, { required: name === 'spike' ? ['highestMode'] : [], optional: known });
    for (const key of known) {
      const limit = (value as Record<string, unknown>)[key];
      if (limit !== undefined) checkNumber(where, `${name}.${key}`, limit, bounds[key]);
    }
  }
}
