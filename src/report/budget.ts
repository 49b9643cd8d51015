import type { Gauge } from '../gauge/Gauge.js';
import { bridgeUnits, strainUnits, type BridgeUnit, type StrainUnit } from '../gauge/Gauge.js';
import { torqueBudget, type TorqueBudgetOptions } from '../gauge/torqueBudget.js';
import type { UncertaintyBudget } from '../gauge/uncertaintyBudget.js';
import type { Job } from './Job.js';
import { elasticOf, largestSample, sectionOf, type PreparedSignal } from './prepare.js';

/** The budgets of torque and of the stress under the gauge, at the largest torque of the record. */
export interface GaugeBudgets {
  readonly torque: UncertaintyBudget;
  readonly stress: UncertaintyBudget;
}

/** Budgets as the job states them; null where it states none, or where the signal was not turned by a gauge. */
export function budgetsOf(job: Job, signal: PreparedSignal): GaugeBudgets | null {
  if (!job.budget || !job.gauge) return null;
  const unit = signal.masked.unit as BridgeUnit | StrainUnit;
  if (![...bridgeUnits, ...strainUnits].includes(unit)) return null;
  const found = <T>(op: string): T | undefined => signal.zeroed.trail.find((s) => s.op === op)?.found as T | undefined;
  const perUnit = found<{ readonly torquePerUnit: number }>('toTorque')!.torquePerUnit;
  const zero = found<{ readonly standardErrorAtMiddle: number }>('removeZero')?.standardErrorAtMiddle;
  const options: Omit<TorqueBudgetOptions, 'quantity'> = {
    gauge: { ...job.gauge, ...elasticOf(job) } as Gauge, section: sectionOf(job.shaft), unit, uncertainty: job.budget,
    signal: { value: largestSample(signal.zeroed) / perUnit, standard: 0 }, ...(zero === undefined ? {} : { zero: { value: 0, standard: Math.abs(zero / perUnit) } }),
  };
  return { torque: torqueBudget({ ...options, quantity: 'torque' }), stress: torqueBudget({ ...options, quantity: 'shear stress' }) };
}
