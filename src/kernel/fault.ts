import { InputError, FormatError } from '../record/errors.js';
import { inspect } from 'node:util';

/** What stopped a cell, as a notebook shows it. */
export interface CellFault {
  /** The class of the error: `'InputError'`, `'TypeError'`, `'CompileError'`, `'Interrupted'`. */
  readonly name: string;
  /** One sentence. */
  readonly message: string;
  /** The lines to print under the cell; the first one is the sentence. */
  readonly lines: readonly string[];
}

/** The stack frames of a cell carry this file name. */
const cellFile = 'evalmachine.<anonymous>';

/** Wraps the sentence that a stopped cell shows. */
export function interruptedFault(): CellFault {
  return { name: 'Interrupted', message: 'The cell was stopped.', lines: ['Interrupted: the cell was stopped.'] };
}

/**
 * What a notebook shows for something that a cell threw: for an error of ours the sentence alone and the line of the
 * cell; for any other error also the calls between the cell and the place that threw.
 *
 * @param thrown whatever was thrown
 * @param source the cell as written
 * @param output the JavaScript it became, by which stack frames count their lines
 */
export function faultOf(thrown: unknown, source: string, output: string): CellFault {
  if (!(thrown instanceof Error)) {
    const text = typeof thrown === 'string' ? thrown : inspect(thrown);
    return { name: 'Thrown', message: text, lines: [`Thrown: ${text}`] };
  }
  if (isInterrupt(thrown)) return interruptedFault();
  const lines = [`${thrown.name}: ${thrown.message}`];
  const frames = String(thrown.stack ?? '').split('\n').filter((line) => /^\s+at /.test(line));
  const inCell = frames.findIndex((frame) => frame.includes(cellFile));
  const place = frames.filter((frame) => frame.includes(cellFile)).map((frame) => placeInCell(frame, source, output)).find((text) => text !== null);
  if (place) lines.push(place);
  const ours = thrown instanceof InputError || thrown instanceof FormatError || ['InputError', 'FormatError'].includes(thrown.name);
  if (!ours) {
    const calls = frames.slice(0, inCell < 0 ? frames.length : inCell).filter((frame) => !/node:|\/tslab\/dist\/|\/dist\/kernel\//.test(frame));
    lines.push(...calls.slice(0, 8));
  }
  return { name: thrown.name, message: thrown.message, lines };
}

function isInterrupt(thrown: Error): boolean {
  return thrown.name === 'Interrupted' || thrown.message === 'Interrupted asynchronously' || (thrown as { code?: string }).code === 'ERR_SCRIPT_EXECUTION_INTERRUPTED';
}

/** The line of the cell that a stack frame points at, found by its text: the compiler keeps statements but not lines. */
function placeInCell(frame: string, source: string, output: string): string | null {
  const match = /<anonymous>:(\d+):\d+/.exec(frame);
  const plain = (line: string): string => line.replace(/\(0, [\w$]+\.([\w$]+)\)/g, '$1').replace(/\bexports\./g, '').replace(/["'`]/g, '"').replace(/[\s;]+/g, '');
  const wanted = plain(output.split('\n')[Number(match?.[1] ?? 0) - 1] ?? '').replace(/^"?(?:const|let|var|return)?(?:tsLastExpr\d*=)?/, '');
  if (wanted.length < 3) return null;
  const lines = source.split('\n');
  const at = lines.findIndex((line) => plain(line).replace(/^(?:const|let|var|return)/, '').startsWith(wanted.slice(0, 40)));
  return at < 0 ? null : `  at line ${at + 1}: ${lines[at]!.trim()}`;
}
