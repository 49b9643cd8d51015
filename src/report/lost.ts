import { estimateLoss, type LossEstimate } from '../clean/estimateLoss.js';
import { countCycles } from '../count/countCycles.js';
import type { Job } from './Job.js';
import { filteredBy, type PreparedSignal } from './prepare.js';
import { damageBy, type DamageChain } from './prices.js';

const draws = 40;

/** The damage with what was lost estimated; null where the job does not say for how long the load is alike, or nothing was lost. */
export function lostOf(job: Job, signal: PreparedSignal, chain: DamageChain): LossEstimate | null {
  if (job.faults?.alike === undefined || signal.zeroed.invalid.length === 0) return null;
  return estimateLoss(signal.zeroed, { of: (torque) => damageBy(chain, countCycles(filteredBy(job, torque))).total, within: job.faults.alike, draws });
}
