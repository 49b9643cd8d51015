import type ts from '@tslab/typescript-for-tslab';
import { AsyncLocalStorage } from 'node:async_hooks';
import { performance } from 'node:perf_hooks';
import { setImmediate } from 'node:timers';
import { compiler } from './compiler.js';

/** What a running cell carries through its awaits. */
interface CellMark {
  stopped: boolean;
}

const cells = new AsyncLocalStorage<CellMark>();
let breathed = 0;

/** How long a loop with awaits may run before it lets messages and signals through, ms. */
const patience = 50;

/**
 * Loops that await keep a notebook deaf where what they await is ready at once, and go on in the background after an
 * interrupt. So each such loop of a cell begins its turns with a check that costs one clock reading: after 50 ms it
 * lets the event loop run, and it throws once its cell was stopped. Loops without await that stand in no function get the
 * check in every 64th turn, where the cell awaits elsewhere; in cells that do not await, the engine itself stops them.
 *
 * @param output the JavaScript of a cell; lines stay where they are
 * @param awaitsOutside does the cell await outside of its functions, so that it runs as an async function?
 */
export function letLoopsBreathe(output: string, awaitsOutside = false): string {
  if (!output.includes('await')) return output;
  const file = parsed(output);
  const inserts: { at: number; text: string }[] = [];
  const everyTurn = 'if (__quillshaft__.due()) await __quillshaft__.breathe();';
  const someTurns = 'if ((++__quillshaft__.turns & 63) === 0 && __quillshaft__.due()) await __quillshaft__.breathe();';
  const visit = (node: ts.Node, inFunction: boolean): void => {
    const check = !compiler.isIterationStatement(node, false) ? null : awaits(node) ? everyTurn : awaitsOutside && !inFunction ? someTurns : null;
    if (check !== null) {
      const body = (node as ts.IterationStatement).statement;
      if (compiler.isBlock(body)) inserts.push({ at: body.getStart(file) + 1, text: ` ${check}` });
      else inserts.push({ at: body.getStart(file), text: `{ ${check} ` }, { at: body.end, text: ' }' });
    }
    const inside = inFunction || compiler.isFunctionLike(node) || compiler.isClassLike(node);
    compiler.forEachChild(node, (child) => visit(child, inside));
  };
  visit(file, false);
  let text = output;
  for (const { at, text: extra } of inserts.sort((a, b) => b.at - a.at)) text = text.slice(0, at) + extra + text.slice(at);
  return text;
}

/** Does this JavaScript await outside of its functions, be it in `for await` alone? */
export function awaitsAtTop(output: string): boolean {
  return output.includes('await') && awaits(parsed(output));
}

function parsed(output: string): ts.SourceFile {
  return compiler.createSourceFile('cell.js', output, compiler.ScriptTarget.Latest, true);
}

/** Does this await in its own function, so that one more await may stand in it? */
function awaits(part: ts.Node): boolean {
  let found = false;
  const visit = (node: ts.Node): void => {
    if (found || compiler.isFunctionLike(node)) return;
    if (compiler.isAwaitExpression(node) || (compiler.isForOfStatement(node) && node.awaitModifier)) found = true;
    else compiler.forEachChild(node, visit);
  };
  visit(part);
  return found;
}

/** Gives cells the two functions that letLoopsBreathe writes into them. */
export function installBreathing(): void {
  fix(globalThis, '__quillshaft__', {
    turns: 0,
    due: (): boolean => performance.now() - breathed > patience,
    breathe: async (): Promise<void> => {
      await new Promise((resolve) => setImmediate(resolve));
      breathed = performance.now();
      if (cells.getStore()?.stopped) throw interrupted();
    },
  });
}

/** Keeps a property from being set by a cell, where the kernel, its compiler or every later cell needs it. */
export function fix(owner: object, name: string, value: unknown = (owner as Record<string, unknown>)[name]): void {
  Object.defineProperty(owner, name, { value, writable: false, configurable: true });
}

/** Lets messages and signals through that have come in. */
export async function letIn(): Promise<void> {
  // The first of the two turns may be the rest of one that began before they came.
  for (let turn = 0; turn < 2; turn++) await new Promise((resolve) => setImmediate(resolve));
  if (cells.getStore()?.stopped) throw interrupted();
}

function interrupted(): Error {
  return Object.assign(new Error('the cell was stopped'), { name: 'Interrupted' });
}

/** Runs a cell so that its loops can be stopped. `stop` may be called at any time, also after the cell has ended. */
export function runStoppable<T>(run: () => Promise<T>): { readonly done: Promise<T>; readonly stop: () => void } {
  const mark: CellMark = { stopped: false };
  breathed = performance.now();
  return { done: cells.run(mark, run), stop: () => { mark.stopped = true; } };
}
