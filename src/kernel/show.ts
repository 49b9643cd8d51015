import { createRequire } from 'node:module';
import { inspect } from 'node:util';
import { bundleOf } from './bundle.js';
import './views.js';

/** The part of tslab through which its cells display something. */
interface TslabOutput {
  readonly lastWriteDisplayData: ((data: object, update: boolean) => void) | null;
}

/**
 * Shows a value under the running notebook cell: results with their figure, tables as tables, everything else as text.
 *
 * In a Quillshaft notebook the last expression of a cell shows itself, and `show` is for the ones before it. In a stock
 * tslab notebook `show` is the way to a rich view. Without a notebook it prints the value's line.
 *
 * @param values what to show, in order
 * @see toSvg
 * @example (not run: it writes to the notebook or the console)
 * show(pick(run, 'torque'));
 */
export function show(...values: readonly unknown[]): void {
  const write = notebookOutput();
  for (const value of values) {
    if (write) write({ data: bundleOf(value), metadata: {}, transient: {} }, false);
    else process.stdout.write(`${typeof value === 'string' ? value : inspect(value)}\n`);
  }
}

/** The output of the notebook that this process runs, if it runs one: that of the tslab that is loaded, whichever copy. */
function notebookOutput(): TslabOutput['lastWriteDisplayData'] {
  const { cache } = createRequire(import.meta.url);
  for (const [file, module] of Object.entries(cache)) {
    if (!/[\\/]tslab[\\/]dist[\\/]jupyter\.js$/.test(file)) continue;
    const write = (module?.exports as Partial<TslabOutput> | undefined)?.lastWriteDisplayData;
    if (write) return write;
  }
  return null;
}
