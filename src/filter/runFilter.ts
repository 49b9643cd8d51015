import { coveredSamples, type Run, type Span } from '../record/span.js';
import { InputError } from '../record/errors.js';
import { checkChoice, show } from '../record/check.js';
import { validRuns, type Channel, type Outcome } from '../record/Channel.js';
import { runSections, settledState, settlingSamples, zeroPhase } from '../numeric/sections.js';
import { bridgeGaps } from './bridgeGaps.js';
import type { FilterDesign } from './design.js';

/** How a filter is run over a channel. */
export interface FilterRunOptions {
  /** Forwards and backwards, so that nothing is shifted in time (default true); false = once, causal, with the delay of the filter. */
  readonly zeroPhase?: boolean;
  /** How a causal run starts: as if the first sample had stood for ever ('settled', default) or from zero ('rest'). */
  readonly startUp?: 'settled' | 'rest';
  /** What becomes of valid runs that are too short for the zero-phase extension: an error ('refuse', default) or a mask with the reason 'filter edge' ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
  /**
   * What the filter reads where samples are masked. 'apart' (default): every valid run on its own, each end continued by its odd mirror image, which overshoots where a run ends in the middle of a
   * swing and the cutoff is low: the step's `found.nearGaps` tells how many samples lie so close to a gap that they feel it. 'bridge': short gaps are read across; the mask and the recorded values stay, longer gaps keep runs apart. By low-pass and band-pass gaps up to half
   * a period of the upper edge (2 to 1000 samples), by the cubic fitted to half as many samples on either side; by the others, which let the noise of a few samples through as it is, gaps no longer than the padding, by the cubic
   * through two samples on either side.
   */
  readonly gaps?: 'apart' | 'bridge';
}

/** The keys of FilterRunOptions. */
export const runKeys = ['zeroPhase', 'startUp', 'shortRuns', 'gaps'] as const;

/** Splits valid runs into those longer than `padding` and masks for the rest, as shortRuns says. */
export function longRuns(where: string, channel: Channel, padding: number, shortRuns: 'refuse' | 'mask', runs: readonly Run[] = validRuns(channel)): { readonly runs: readonly Run[]; readonly masks: readonly Span[] } {
  const short = runs.filter((r) => r.to - r.from <= padding);
  if (runs.length === 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with at least one valid sample', given: 'all masked' });
  if (short.length > 0 && (shortRuns === 'refuse' || short.length === runs.length)) {
    const first = short[0]!;
    throw new InputError({
      where, argument: `valid runs of ${channel.name}`, expected: `longer than ${padding} samples, which the filter needs to settle at the ends`,
      given: `${short.length} shorter, the first with ${first.to - first.from} samples at sample ${first.from}`,
      remedy: short.length === runs.length ? 'Use a lower order, or a longer record.' : "Mask them with shortRuns: 'mask', or use a lower order.",
    });
  }
  return { runs: runs.filter((r) => r.to - r.from > padding), masks: validRuns(channel).filter((v) => short.some((r) => v.from >= r.from && v.to <= r.to)).map((r) => ({ ...r, why: 'filter edge' as const })) };
}

/** Longest gap that a filter reads across, and how many samples on either side it reads for that. What passes a low edge is smooth over half its period. */
function reachOf({ type, edges, sampleRate, padding }: FilterDesign): { readonly longest: number; readonly flank: number } {
  if (type !== 'lowpass' && type !== 'bandpass') return { longest: padding, flank: 2 };
  const longest = Math.min(1000, Math.max(2, Math.floor(sampleRate / (2 * edges.at(-1)!))));
  return { longest, flank: Math.max(2, longest >> 1) };
}

/** How many valid samples lie within the settling of the filter at a gap: on both sides of it, or behind it for a causal run. */
function nearGaps(runs: readonly Run[], within: number, both: boolean): { readonly samples: number; readonly within: number } {
  const last = runs.length - 1;
  const samples = runs.reduce((n, { from, to }, i) => n + Math.min(to - from, within * ((i > 0 ? 1 : 0) + (both && i < last ? 1 : 0))), 0);
  return { samples, within };
}

/** Runs a design over every valid run of a channel on its own, or over runs joined across short gaps. Values under masks stay as recorded. */
export function runFilter(where: string, channel: Channel, design: FilterDesign, options: FilterRunOptions, found: object): Outcome {
  const both = options.zeroPhase ?? true;
  const startUp = checkChoice(where, 'startUp', options.startUp ?? 'settled', ['settled', 'rest']);
  const shortRuns = checkChoice(where, 'shortRuns', options.shortRuns ?? 'refuse', ['refuse', 'mask']);
  if (typeof both !== 'boolean') throw new InputError({ where, argument: 'zeroPhase', expected: 'true or false', given: show(both) });
  if (both && options.startUp !== undefined) throw new InputError({ where, argument: 'startUp', expected: 'left out for a zero-phase run, which always starts settled', given: `'${startUp}'` });
  const gaps = checkChoice(where, 'gaps', options.gaps ?? 'apart', ['apart', 'bridge']);
  const { longest, flank } = reachOf(design);
  const bridged = gaps === 'bridge' ? bridgeGaps(channel, longest, flank) : null;
  const input = bridged?.values ?? channel.values;
  const { runs, masks } = longRuns(where, channel, both ? design.padding : 0, shortRuns, bridged?.runs);
  const values = channel.invalid.length + masks.length === 0 ? new Float64Array(input.length) : channel.values.slice();
  for (const { from, to } of runs) {
    if (both) zeroPhase(design.sections, input, values, from, to);
    else {
      const state = settledState(design.sections, startUp === 'settled' ? input[from]! : 0);
      runSections(design.sections, state, { input, from, output: values, to: from, count: to - from, step: 1 });
    }
  }
  if (bridged) for (const { from, to } of channel.invalid) values.set(channel.values.subarray(from, to), from);
  return {
    values, ...(masks.length > 0 ? { invalid: [...channel.invalid, ...masks] } : {}),
    found: {
      passes: both ? 2 : 1, ...found, runs: runs.length,
      ...(both ? { padding: design.padding } : {}), ...(runs.length > 1 ? { nearGaps: nearGaps(runs, settlingSamples(design.sections), both) } : {}), ...(bridged ? { bridged: { gaps: bridged.gaps, samples: bridged.samples, longest } } : {}), ...(masks.length > 0 ? { masked: { samples: coveredSamples(masks), runs: masks.length, why: 'filter edge' } } : {}),
    },
  };
}
