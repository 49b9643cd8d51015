import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import { startOffset } from '../record/readerOf.js';
import { kindOf, makeResult } from '../record/result.js';
import type { TimeWindow } from '../record/slice.js';
import type { PowerBalance } from './powerBalance.js';

/** What of the power put in comes out. */
export interface PowerEfficiency {
  /** Mean power out over mean power in, and its standard uncertainty. */
  readonly efficiency: number;
  readonly uncertainty: number;
  /** W, in less out, and its standard uncertainty. */
  readonly loss: number;
  readonly lossUncertainty: number;
  readonly notes: readonly string[];
}

const where = 'powerEfficiency';

/**
 * Gives the efficiency between two measured powers: η = P_out/P_in, u(η) = η·√((u_in/P_in)² + (u_out/P_out)²), with the uncertainties of both balances taken as independent.
 *
 * Kept: nothing of the samples. Both balances must be of the same stretch and of the same valid time, within 2 %; `alongside` of powerBalance leaves out of each what is masked in the other. Each has its own latency. Cost: none.
 *
 * @param input from powerBalance, where power is put in
 * @param output from powerBalance, where it comes out, over the same stretch
 * @returns efficiency and loss with their standard uncertainties
 * @throws InputError for something that is no balance, power that does not flow in, or stretches or masks that differ by more than 2 % of the time
 * @see powerBalance
 * @example
 * const at = (T, w) => powerBalance(makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: Array(40).fill(T) }), { speed: makeChannel({ name: 'n', unit: 'rad/s', sampleRate: 10, values: Array(40).fill(w) }), wholeRevolutions: false, uncertainty: { torque: 0.01 } });
 * powerEfficiency(at(310, 155), at(1180, 39)).efficiency // => 0.9578
 * powerEfficiency(at(310, 155), at(1180, 39)).uncertainty // => 0.01354
 * @references JCGM 100:2008, 5.1.2 (first-order propagation).
 */
export function powerEfficiency(input: PowerBalance, output: PowerBalance): PowerEfficiency {
  for (const [argument, balance] of [['input', input], ['output', output]] as const) {
    if (kindOf(balance) !== 'PowerBalance') throw new InputError({ where, argument, expected: 'a PowerBalance', given: show(balance), remedy: 'Make one with powerBalance.' });
  }
  if (!(input.meanPower > 0)) throw new InputError({ where, argument: 'input', expected: 'power above 0 W', given: `${input.meanPower.toPrecision(4)} W`, remedy: 'Swap the two where power flows the other way, or mend the sign of torque or speed.' });
  const late = startOffset(input.start, output.start);
  const apart = Math.max(Math.abs(output.from + late - input.from), Math.abs(output.to + late - input.to));
  if (apart > 0.02 * input.seconds) throw new InputError({ where, argument: 'output', expected: `over the same stretch as the input (${input.from.toPrecision(4)} to ${input.to.toPrecision(4)} s)`, given: `${(output.from + late).toPrecision(4)} to ${(output.to + late).toPrecision(4)} s of its time`, remedy: 'Give both balances the same from and to.' });
  const differ = lostInOne(input.lost, output.lost, late);
  if (differ > 0.02 * input.seconds) throw new InputError({ where, argument: 'output', expected: 'masked where the input is', given: `${differ.toPrecision(3)} s of ${input.seconds.toPrecision(4)} s masked in one of the two`, remedy: 'Give powerBalance the torque of the other shaft as alongside.' });
  const efficiency = output.meanPower / input.meanPower;
  const uncertainty = Math.hypot(output.uncertainty, efficiency * input.uncertainty) / input.meanPower;
  const notes: string[] = [];
  if (input.uncertainty === 0 || output.uncertainty === 0) notes.push('A balance without stated uncertainty counts as exact: give powerBalance the uncertainty of torque, zero, speed and latency.');
  if (input.lostTime > 0 || output.lostTime > 0) notes.push(`Masked time (${input.lostTime.toPrecision(3)} s in, ${output.lostTime.toPrecision(3)} s out) is taken as like the rest${differ > 0.001 * input.seconds ? `; ${differ.toPrecision(3)} s of it are masked in one of the two only: give powerBalance the torque of the other shaft as alongside where load changes` : ''}.`);
  if (input.start === null || output.start === null) notes.push('The start of a record is not known: the two are taken to begin together.');
  if (efficiency > 1) notes.push(`More comes out than goes in (${((efficiency - 1) / Math.max(uncertainty, 1e-12)).toPrecision(2)} standard uncertainties beyond 1): a zero, a gauge factor or a shaft diameter is off, or energy was stored.`);
  return makeResult('PowerEfficiency', {
    efficiency, uncertainty, loss: input.meanPower - output.meanPower, lossUncertainty: Math.hypot(input.uncertainty, output.uncertainty), notes: Object.freeze(notes),
  }, (r) => `Efficiency ${(100 * r.efficiency).toPrecision(4)} ± ${(100 * r.uncertainty).toPrecision(2)} %, loss ${(r.loss / 1000).toPrecision(4)} ± ${(r.lossUncertainty / 1000).toPrecision(2)} kW (standard uncertainty)`);
}

/** Seconds that are lost in one of two lists of stretches but not in both. */
function lostInOne(a: readonly TimeWindow[], b: readonly TimeWindow[], late: number): number {
  const total = (list: readonly TimeWindow[]): number => list.reduce((sum, s) => sum + s.to - s.from, 0);
  let both = 0;
  for (const x of a) for (const y of b) both += Math.max(0, Math.min(x.to, y.to + late) - Math.max(x.from, y.from + late));
  return Math.max(0, total(a) + total(b) - 2 * both);
}
