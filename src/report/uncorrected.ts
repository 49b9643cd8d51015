import type { Recording } from '../record/Recording.js';
import { countCycles } from '../count/countCycles.js';
import type { Damage } from '../fatigue/damage.js';
import type { Job } from './Job.js';
import { asReceived, type PreparedSignal } from './prepare.js';
import { damageBy, type DamageChain } from './prices.js';

/** What the record would have given as it was received: no fault masked, rows edge to edge. */
export interface Uncorrected {
  readonly damage: number;
  readonly perHour: number;
  /** Damage in an hour over that assessed. */
  readonly ratio: number;
}

/** The damage without any correction; null where nothing was corrected or nothing does damage. */
export function uncorrectedOf(job: Job, recording: Recording, signal: PreparedSignal, chain: DamageChain, assessed: Damage): Uncorrected | null {
  if (signal.masked.invalid.length === signal.raw.invalid.length || !(assessed.perHour > 0)) return null;
  const { total, perHour } = damageBy(chain, countCycles(asReceived(job, recording, signal)));
  return Object.freeze({ damage: total, perHour, ratio: perHour / assessed.perHour });
}
