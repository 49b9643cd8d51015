import { checkChannel, isChannel, validRuns, type Channel } from '../record/Channel.js';
import { checkNumber, checkOptions, checkResult } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { makeResult } from '../record/result.js';
import { isCycleCount, type CycleCount } from '../count/CycleCount.js';
import { checkStressCycles, type StressCycles } from './StressCycles.js';
import type { StressKind } from './stress.js';

/** How far the highest stress stays from yield. */
export interface StaticMargin {
  /** The largest |stress|, Pa. */
  readonly peak: number;
  readonly kind: StressKind;
  /** Yield in that kind of stress, Pa. */
  readonly yieldStress: number;
  /** yieldStress / peak; above 1 the part does not yield. Infinity at no stress. */
  readonly margin: number;
  /** peak / yieldStress. */
  readonly utilisation: number;
  /** Sample index of the peak in a channel; −1 for cycles. */
  readonly at: number;
  /** Seconds from the first sample; null for cycles. */
  readonly seconds: number | null;
  readonly notes: readonly string[];
}

/**
 * Compares the largest nominal stress with yield: τ_y = Sy / √3 in shear (von Mises), Sy in direct stress.
 *
 * Kept: where the peak lies. Cost: one pass.
 *
 * @param stress a channel of nominal shear stress in Pa, or cycles of nominal stress; direct stress only as cycles
 * @param options yieldStrength of the material in tension, Pa
 * @returns peak, margin and utilisation
 * @throws InputError for local stress (a notch yields long before the shaft does), another unit, or a strength that is not above 0
 * @see shearStress
 * @example
 * const tau = shearStress(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 1, values: [0, -1000] }), solidSection(mm(50)));
 * staticMargin(tau, { yieldStrength: MPa(355) }).margin // => 5.0305
 * @references R. von Mises, 1913: shear yield at 1/√3 of the tensile yield. School knowledge.
 */
export function staticMargin(stress: Channel<'Pa'> | StressCycles<'nominal'>, options: { readonly yieldStrength: number }): StaticMargin {
  const where = 'staticMargin';
  checkOptions(where, options, { required: ['yieldStrength'] });
  checkNumber(where, 'yieldStrength', options.yieldStrength, { above: 0, unit: 'Pa' });
  const found = isChannel(stress) ? peakOfChannel(where, stress) : peakOfCycles(where, stress as StressCycles<'nominal'>);
  const yieldStress = found.kind === 'shear' ? options.yieldStrength / Math.sqrt(3) : options.yieldStrength;
  checkResult(where, 'stress and yieldStrength', { utilisation: found.peak / yieldStress });
  const notes = found.peak > yieldStress ? ['the nominal stress passes yield: the shaft deforms, and a stress life does not hold'] : [];
  return makeResult<StaticMargin>('StaticMargin', {
    ...found, yieldStress, margin: found.peak > 0 ? yieldStress / found.peak : Number.POSITIVE_INFINITY, utilisation: found.peak / yieldStress, notes: Object.freeze(notes),
  }, (m) => `Static margin ${m.margin.toPrecision(3)}: peak ${(m.peak / 1e6).toPrecision(4)} MPa in ${m.kind}, yield ${(m.yieldStress / 1e6).toPrecision(4)} MPa`);
}

function peakOfChannel(where: string, channel: Channel): { readonly peak: number; readonly kind: StressKind; readonly at: number; readonly seconds: number | null } {
  checkChannel(where, channel, ['Pa'], 'Turn torque into stress with shearStress.');
  let peak = -1;
  let at = -1;
  for (const run of validRuns(channel)) {
    for (let i = run.from; i < run.to; i++) {
      const v = Math.abs(channel.values[i]!);
      if (v > peak) {
        peak = v;
        at = i;
      }
    }
  }
  if (at < 0) throw new InputError({ where, argument: channel.name, expected: 'a channel with at least one valid sample', given: 'none' });
  return { peak, kind: 'shear', at, seconds: at / channel.sampleRate };
}

function peakOfCycles(where: string, cycles: StressCycles): { readonly peak: number; readonly kind: StressKind; readonly at: number; readonly seconds: number | null } {
  checkStressCycles(where, cycles, 'nominal');
  const list = cycles.cycles;
  const ends = isCycleCount(list) ? [list.closed.from, list.closed.to, list.residue.values, occupiedEdges(list)] : [list.from, list.to];
  let peak = 0;
  for (const values of ends) for (let i = 0; i < values.length; i++) peak = Math.max(peak, Math.abs(values[i]!));
  return { peak: peak * cycles.factor, kind: cycles.kind, at: -1, seconds: null };
}

/** Both edges of every class that holds a cycle. */
function occupiedEdges(count: CycleCount): Float64Array {
  if (!count.histogram) return new Float64Array(0);
  const { edges, counts, classes } = count.histogram;
  const found: number[] = [];
  for (let i = 0; i < classes; i++) for (let j = 0; j < classes; j++) if (counts[i * classes + j]! > 0) found.push(edges[i]!, edges[i + 1]!, edges[j]!, edges[j + 1]!);
  return Float64Array.from(found);
}
