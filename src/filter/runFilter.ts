import { coveredSamples, type Run, type Span } from '../record/span.js';
import { InputError } from '../record/errors.js';
import { checkChoice } from '../record/check.js';
import { validRuns, type Channel, type Outcome } from '../record/Channel.js';
import { runSections, settledState, zeroPhase } from '../numeric/sections.js';
import type { FilterDesign } from './design.js';

/** How a filter is run over a channel. */
export interface FilterRunOptions {
  /** Forwards and backwards, so that nothing is shifted in time (default true); false = once, causal, with the delay of the filter. */
  readonly zeroPhase?: boolean;
  /** How a causal run starts: as if the first sample had stood for ever ('settled', default) or from zero ('rest'). */
  readonly startUp?: 'settled' | 'rest';
  /** What becomes of valid runs that are too short for the zero-phase extension: an error ('refuse', default) or a mask with the reason 'filter edge' ('mask'). */
  readonly shortRuns?: 'refuse' | 'mask';
}

/** The keys of FilterRunOptions. */
export const runKeys = ['zeroPhase', 'startUp', 'shortRuns'] as const;

/** Splits valid runs into those longer than `padding` and masks for the rest, as shortRuns says. */
export function longRuns(where: string, channel: Channel, padding: number, shortRuns: 'refuse' | 'mask'): { readonly runs: readonly Run[]; readonly masks: readonly Span[] } {
  const runs = validRuns(channel);
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
  return { runs: runs.filter((r) => r.to - r.from > padding), masks: short.map((r) => ({ ...r, why: 'filter edge' as const })) };
}

/** Runs a design over every valid run of a channel on its own. Values under masks stay as recorded. */
export function runFilter(where: string, channel: Channel, design: FilterDesign, options: FilterRunOptions, found: object): Outcome {
  const both = options.zeroPhase ?? true;
  const startUp = checkChoice(where, 'startUp', options.startUp ?? 'settled', ['settled', 'rest']);
  const shortRuns = checkChoice(where, 'shortRuns', options.shortRuns ?? 'refuse', ['refuse', 'mask']);
  if (typeof both !== 'boolean') throw new InputError({ where, argument: 'zeroPhase', expected: 'true or false', given: String(both) });
  if (both && options.startUp !== undefined) throw new InputError({ where, argument: 'startUp', expected: 'left out for a zero-phase run, which always starts settled', given: `'${startUp}'` });
  const { runs, masks } = longRuns(where, channel, both ? design.padding : 0, shortRuns);
  const values = channel.invalid.length + masks.length === 0 ? new Float64Array(channel.values.length) : channel.values.slice();
  for (const { from, to } of runs) {
    if (both) zeroPhase(design.sections, channel.values, values, from, to);
    else {
      const state = settledState(design.sections, startUp === 'settled' ? channel.values[from]! : 0);
      runSections(design.sections, state, { input: channel.values, from, output: values, to: from, count: to - from, step: 1 });
    }
  }
  return {
    values, ...(masks.length > 0 ? { invalid: [...channel.invalid, ...masks] } : {}),
    found: {
      passes: both ? 2 : 1, ...found, runs: runs.length,
      ...(both ? { padding: design.padding } : {}), ...(masks.length > 0 ? { masked: { samples: coveredSamples(masks), runs: masks.length, why: 'filter edge' } } : {}),
    },
  };
}
