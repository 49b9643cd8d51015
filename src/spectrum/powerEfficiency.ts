import { InputError } from '../record/errors.js';
import { show } from '../record/check.js';
import { kindOf, makeResult } from '../record/result.js';
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
 * Kept: nothing of the samples. Each balance has its own latency and masks. Cost: none.
 *
 * @param input from powerBalance, where power is put in
 * @param output from powerBalance, where it comes out, over the same stretch
 * @returns efficiency and loss with their standard uncertainties
 * @throws InputError for something that is no balance, power that does not flow in, or stretches whose lengths differ by more than 2 %
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
  if (Math.abs(output.seconds / input.seconds - 1) > 0.02) throw new InputError({ where, argument: 'output', expected: `over the same stretch as the input (${input.seconds.toPrecision(4)} s)`, given: `${output.seconds.toPrecision(4)} s`, remedy: 'Give both balances the same from and to.' });
  const efficiency = output.meanPower / input.meanPower;
  const uncertainty = Math.hypot(output.uncertainty, efficiency * input.uncertainty) / input.meanPower;
  const notes: string[] = [];
  if (input.uncertainty === 0 || output.uncertainty === 0) notes.push('A balance without stated uncertainty counts as exact: give powerBalance the uncertainty of torque, zero, speed and latency.');
  if (input.lostTime > 0 || output.lostTime > 0) notes.push(`Masked time (${input.lostTime.toPrecision(3)} s in, ${output.lostTime.toPrecision(3)} s out) is taken as like the rest of each: mask both alike where load changes.`);
  if (efficiency > 1) notes.push(`More comes out than goes in (${((efficiency - 1) / Math.max(uncertainty, 1e-12)).toPrecision(2)} standard uncertainties beyond 1): a zero, a gauge factor or a shaft diameter is off, or energy was stored.`);
  return makeResult('PowerEfficiency', {
    efficiency, uncertainty, loss: input.meanPower - output.meanPower, lossUncertainty: Math.hypot(input.uncertainty, output.uncertainty), notes: Object.freeze(notes),
  }, (r) => `Efficiency ${(100 * r.efficiency).toPrecision(4)} ± ${(100 * r.uncertainty).toPrecision(2)} %, loss ${(r.loss / 1000).toPrecision(4)} ± ${(r.lossUncertainty / 1000).toPrecision(2)} kW (standard uncertainty)`);
}
