import { createConverter } from 'tslab/dist/converter.js';
import { setTimeout } from 'node:timers';
import { createExecutor } from 'tslab/dist/executor.js';
import jupyter from 'tslab/dist/jupyter.js';
import { makeChannel } from '../record/Channel.js';
import { bundleOf, type Bundle } from './bundle.js';
import { fix, installBreathing, letIn, runStoppable } from './breathing.js';
import { quickInfoText } from './quickInfo.js';
import { faultOf, type CellFault } from './fault.js';
import { isWhole } from './isWhole.js';
import { libraryModule, libraryScope, resolveLibraryFrom } from './scope.js';
import { wrapConverter, type CompileState } from './wrapConverter.js';

/** Data that a cell displays, in the form of Jupyter's display_data message. */
export interface DisplayData {
  readonly data: Bundle;
  readonly metadata: Readonly<Record<string, unknown>>;
  readonly transient?: Readonly<Record<string, unknown>>;
}

/** Where the outputs of a cell go. */
export interface Sink {
  stream(name: 'stdout' | 'stderr', text: string): void;
  display(data: DisplayData, update: boolean): void;
  result(data: Bundle, count: number): void;
}

/** How a cell ended. */
export interface CellOutcome {
  readonly status: 'ok' | 'error' | 'aborted';
  readonly count: number;
  readonly fault: CellFault | null;
}

/** How a cell is to run. */
export interface CellOptions {
  /** Counts no cell and shows no result. */
  readonly silent?: boolean;
  /** Aborts the cells that wait behind one that fails; so it is unless told. */
  readonly stopOnError?: boolean;
  /** Told the number of the cell when its turn has come. */
  readonly onStart?: (count: number) => void;
}

/** A running notebook: the compiler's and the executor's state, and the names that its cells have made. */
export interface Session {
  /** Runs a cell after those that were asked for before it. */
  execute(code: string, sink: Sink, options?: CellOptions): Promise<CellOutcome>;
  /** What there is to say about the name at a place; null where there is nothing. */
  inspect(code: string, position: number): string | null;
  complete(code: string, position: number): { readonly start: number; readonly end: number; readonly candidates: readonly string[] };
  /** Can a cell end here, and if not, how is its next line indented? */
  isComplete(code: string): { readonly completed: boolean; readonly indent?: string };
  /** Stops the running cell; its loops with awaits end at their next turn. */
  interrupt(): void;
  /** Lets the compiler read the library's types, and then draws a figure, so that the first cell does not wait for either. */
  warm(): void;
  close(): void;
}

/** How long requests that were sent before an error was known are let in to be aborted, ms. */
const abortWindow = 30;

/** Makes a session whose cells resolve files and packages from the process's working folder. */
export function createSession(): Session {
  const dir = process.cwd();
  const scope = libraryScope();
  resolveLibraryFrom(dir);
  installBreathing();
  for (const [owner, name] of [[globalThis, 'JSON'], [JSON, 'parse'], [JSON, 'stringify']] as const) fix(owner, name);
  const compiled: CompileState = { source: '', output: '', fault: null, only: false, ahead: null };
  const converter = createConverter({ isJS: false, isBrowser: false });
  const setDeclarations = '/* names of the library */';
  const wrapped = wrapConverter(converter, {
    state: compiled, names: scope.all, marker: setDeclarations, declaration: scope.declaration, isEarlier: (name) => name in executor.locals,
  });
  let thrown: { readonly error: unknown } | null = null;
  let lastValue: { readonly value: unknown } | null = null;
  delete (globalThis as Record<string, unknown>)['__tslab__'];
  const executor = createExecutor(dir, { node: wrapped, browser: wrapped, close: () => converter.close() }, {
    log: (value: unknown) => { lastValue = { value }; },
    error: (first: unknown, ...rest: unknown[]) => { if (rest.length === 0) thrown = { error: first }; },
  });
  giveLibrary();
  Object.assign(executor.locals, pickValues(scope.values), { qs: libraryModule });
  const declared = executor.execute(setDeclarations);

  let count = 0;
  let aborting = false;
  let stopRunning: (() => void) | null = null;
  let queue: Promise<unknown> = declared;

  /** Runs a cell in two goes of the executor, so that an interrupt that comes while the cell compiles is heard before it runs. */
  async function compileAndRun(code: string): Promise<boolean> {
    compiled.only = true;
    compiled.ahead = null;
    const nothingToRun = await executor.execute(code);
    compiled.only = false;
    if (nothingToRun || compiled.fault) return nothingToRun;
    await letIn();
    return executor.execute(code);
  }

  async function runCell(code: string, sink: Sink, { silent = false, onStart }: CellOptions): Promise<CellOutcome> {
    if (!silent) count++;
    const number = count;
    onStart?.(number);
    takeStreams(sink);
    (jupyter as { lastWriteDisplayData: unknown }).lastWriteDisplayData = (data: DisplayData, update: boolean) => sink.display(data, Boolean(update));
    compiled.fault = thrown = lastValue = null;
    const exit = process.exit;
    process.exit = refuseExit;
    const cell = runStoppable(() => compileAndRun(code));
    stopRunning = cell.stop;
    const ok = await cell.done.catch((error: unknown) => { thrown = { error }; return false; });
    stopRunning = null;
    process.exit = exit;
    if (!ok) return { status: 'error', count: number, fault: compiled.fault ?? faultOf((thrown as { error: unknown } | null)?.error, code, compiled.output) };
    const last = lastValue as { value: unknown } | null;
    if (last && !silent) {
      try {
        sink.result(bundleOf(last.value), number);
      } catch (error) {
        return { status: 'error', count: number, fault: faultOf(error, code, compiled.output) };
      }
    }
    return { status: 'ok', count: number, fault: null };
  }

  return {
    execute(code, sink, options = {}) {
      const run = queue.then(async (): Promise<CellOutcome> => {
        if (aborting) return { status: 'aborted', count, fault: null };
        if (code.trim() === '') return { status: 'ok', count, fault: null };
        const outcome = await runCell(code, sink, options);
        if (outcome.status === 'error' && options.stopOnError !== false) {
          aborting = true;
          await new Promise<void>((resolve) => setTimeout(resolve, abortWindow));
          void queue.then(() => { aborting = false; });
        }
        return outcome;
      });
      queue = run.catch(() => undefined);
      return run;
    },
    inspect(code, position) {
      const info = executor.inspect(code, position);
      return info ? quickInfoText(info) : null;
    },
    complete: (code, position) => executor.complete(code, position),
    isComplete: isWhole,
    interrupt() {
      stopRunning?.();
      executor.interrupt();
    },
    warm() {
      executor.complete('qs.', 3);
      drawAhead();
    },
    close: () => executor.close(),
  };

  /** Draws a figure that nobody sees once no cell runs: the drawing library is loaded by the first one. */
  function drawAhead(): void {
    void queue.then(() => setTimeout(() => {
      if (stopRunning) drawAhead();
      else bundleOf(makeChannel({ name: 'first', unit: '1', sampleRate: 1, values: [0, 1] }));
    }, 20));
  }

  function pickValues(names: readonly string[]): Record<string, unknown> {
    return Object.fromEntries(names.map((name) => [name, (libraryModule as Record<string, unknown>)[name]]));
  }
}

/** What `process.exit` does in a cell: everything computed so far would be gone. */
function refuseExit(): never {
  const error = new Error('process.exit would end the notebook with all it holds. Throw an error to stop the cell, or restart the kernel.');
  Error.captureStackTrace(error, refuseExit);
  throw error;
}

/** Cells that import `quillshaft` get the library that the kernel itself runs, so that there is only one. */
function giveLibrary(): void {
  const cellScope = (globalThis as unknown as { __tslab__: { require: NodeJS.Require } }).__tslab__;
  fix(globalThis, '__tslab__');
  const require = cellScope.require;
  const give = (id: string): unknown => (id === 'quillshaft' ? libraryModule : require(id));
  cellScope.require = Object.assign(give, { resolve: require.resolve, cache: require.cache, main: require.main, extensions: require.extensions }) as NodeJS.Require;
}

/** What cells print goes to the notebook, as it does in other kernels also after the cell has ended. */
function takeStreams(sink: Sink): void {
  for (const name of ['stdout', 'stderr'] as const) {
    const decoder = new TextDecoder();
    process[name].write = ((chunk: string | Uint8Array, encoding?: unknown, done?: unknown): boolean => {
      sink.stream(name, typeof chunk === 'string' ? chunk : decoder.decode(chunk, { stream: true }));
      const callback = typeof encoding === 'function' ? encoding : done;
      if (typeof callback === 'function') queueMicrotask(() => (callback as () => void)());
      return true;
    }) as typeof process.stdout.write;
  }
}
