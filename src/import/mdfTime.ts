import { FormatError } from '../record/errors.js';
import { numbersOf, type MdfChannel } from './mdfChannel.js';

/** The seconds of every record: the master's numbers, or for a virtual master its conversion of the record number. */
export function secondsOfRows(file: string, master: MdfChannel, data: Uint8Array, size: number, count: number): Float64Array {
  if (master.sync !== 1) throw new FormatError({ file, found: `the master ${master.name} of sync type ${master.sync} (##CN at byte ${master.at})`, expected: 'a master of time (1)' });
  if (master.type === 2) return numbersOf(master, data, size, count);
  const { offset, factor } = master.conversion;
  return Float64Array.from({ length: count }, (_, i) => offset + factor * i);
}
