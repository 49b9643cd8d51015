import { slice } from '../record/slice.js';
import { countCycles } from '../count/countCycles.js';
import type { Damage } from '../fatigue/damage.js';
import { damageByState, type StateDamage } from '../fatigue/damageByTime.js';
import { damageConvergence, type DamageConvergence } from '../fatigue/damageConvergence.js';
import { spectralDamage, type SpectralDamage } from '../fatigue/spectralDamage.js';
import type { Conduct } from './conduct.js';
import type { PreparedSignal } from './prepare.js';
import { damageBy, type DamageChain } from './prices.js';
import type { Resonance } from './resonance.js';

/** Half width of the 90 % interval of the damage rate at which a record counts as long enough (common practice, no source). */
export const settledWithin = 0.2;

/** Where and how steadily the damage is done. */
export interface DamageRates {
  /** By state; null where none were looked for. */
  readonly byState: readonly StateDamage[] | null;
  /** How well the record settles its damage rate; null without damage. */
  readonly settling: DamageConvergence | null;
  /** Damage rate of the steady stretch from its spectrum, beside that of its rainflow count without mean stress; null without such a stretch. */
  readonly spectral: (SpectralDamage & { readonly counted: number }) | null;
}

/** Damage by state, its convergence, and the spectral estimate beside the count. */
export function ratesOf(chain: DamageChain, signal: PreparedSignal, conduct: Conduct | null, resonance: Resonance, assessed: Damage, cutoff: number | undefined): DamageRates {
  return {
    byState: conduct && conduct.states.states.length > 0 ? damageByState(assessed, conduct.states.states.map(({ state, from, to }) => ({ name: state, from, to }))) : null,
    settling: assessed.total > 0 ? damageConvergence(assessed, { within: settledWithin, invalid: signal.filtered.invalid }) : null,
    spectral: spectralOf(chain, signal, resonance, cutoff),
  };
}

function spectralOf(chain: DamageChain, signal: PreparedSignal, { stretch, spectrum }: Resonance, cutoff: number | undefined): DamageRates['spectral'] {
  if (!stretch) return null;
  const { curve } = chain.options;
  const { frequency, density } = spectrum;
  const to = cutoff !== undefined && cutoff < frequency.at(-1)! ? cutoff : undefined;
  // A torque that stands still has no spectrum to estimate from.
  if (!density.some((power, k) => power > 0 && frequency[k]! > 0 && (to === undefined || frequency[k]! <= to))) return null;
  const estimate = spectralDamage(spectrum, { curve, factor: chain.notch.value / chain.section.polarModulus, ...(to === undefined ? {} : { to }) });
  const counted = damageBy({ ...chain, options: { ...chain.options, meanStress: 'none' } }, countCycles(slice(signal.filtered, stretch))).perHour;
  return { ...estimate, counted };
}
