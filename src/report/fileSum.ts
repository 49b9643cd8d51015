import { slice } from '../record/slice.js';
import { duration } from '../record/Channel.js';
import { makeResult } from '../record/result.js';
import { countCycles } from '../count/countCycles.js';
import type { Damage } from '../fatigue/damage.js';
import type { PreparedSignal } from './prepare.js';
import { damageBy, type DamageChain } from './prices.js';

/** What would be lost if the files of one shaft were assessed one by one and their damages added. */
export interface FileSum {
  readonly files: readonly { readonly file: string; readonly seconds: number; readonly damage: number }[];
  /** Damage of the files joined in time order, as assessed. */
  readonly joined: number;
  /** Sum of the damages of the files, each counted alone. */
  readonly summed: number;
  /** summed / joined; below 1 the sum makes the shaft look better than it is. */
  readonly ratio: number;
}

/** Damage of each file alone beside that of the whole; null for a job of one file, or without damage. */
export function fileSumOf(signal: PreparedSignal, chain: DamageChain, assessed: Damage): FileSum | null {
  const found = signal.raw.trail[0]!.found as { readonly files?: readonly { readonly file: string; readonly seconds: number }[] };
  const pieces = signal.raw.trail[0]!.op === 'joinRecordings' ? found.files! : [];
  if (pieces.length < 2 || !(assessed.total > 0)) return null;
  const files = pieces.map(({ file, seconds }, k) => {
    const part = slice(signal.filtered, { from: seconds, to: pieces[k + 1]?.seconds ?? duration(signal.filtered) });
    return Object.freeze({ file, seconds, damage: damageBy(chain, countCycles(part)).total });
  });
  const summed = files.reduce((sum, f) => sum + f.damage, 0);
  return makeResult<FileSum>('FileSum', { files: Object.freeze(files), joined: assessed.total, summed, ratio: summed / assessed.total }, (s) => `FileSum: ${s.files.length} files one by one give ${(100 * s.ratio).toPrecision(3)} % of the damage of the files joined`);
}
