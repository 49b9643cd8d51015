import type { DisplayData, Sink } from './session.js';
import type { NotebookOutput } from './notebook.js';

/** What the parent asks: the code cells of one notebook, in order. */
export interface RunRequest {
  readonly cells: readonly { readonly id: string; readonly source: string; readonly mayFail: boolean }[];
}

/** What a running notebook tells its parent. */
export type RunEvent =
  | { readonly type: 'cell'; readonly id: string; readonly outputs: readonly NotebookOutput[]; readonly count: number; readonly failed: { readonly message: string } | null }
  | { readonly type: 'end' };

/** Gathers the outputs of one cell as a notebook stores them: streams joined, updates in the place of what they update. */
export function gatherOutputs(): { readonly sink: Sink; readonly outputs: NotebookOutput[] } {
  const outputs: NotebookOutput[] = [];
  const displays = new Map<string, number>();
  const sink: Sink = {
    stream(name, text) {
      const last = outputs.at(-1);
      if (last?.output_type === 'stream' && last.name === name) last.text = `${last.text as string}${text}`;
      else outputs.push({ output_type: 'stream', name, text });
    },
    display({ data, metadata, transient }: DisplayData, update) {
      const id = transient?.['display_id'] as string | undefined;
      const known = id === undefined ? undefined : displays.get(id);
      if (update && known !== undefined) {
        (outputs[known] as { data: DisplayData['data'] }).data = data;
        return;
      }
      if (id !== undefined) displays.set(id, outputs.length);
      outputs.push({ output_type: 'display_data', data, metadata: metadata ?? {} });
    },
    result(data, count) {
      outputs.push({ output_type: 'execute_result', data, metadata: {}, execution_count: count });
    },
  };
  return { sink, outputs };
}

/** Runs cells one by one in this process; tells each as it ends; stops at the first that fails. */
export async function runCells({ cells }: RunRequest, tell: (event: RunEvent) => void): Promise<void> {
  const [{ createSession }, { guardProcess }] = await Promise.all([import('./session.js'), import('./guardProcess.js')]);
  guardProcess();
  const session = createSession();
  for (const { id, source, mayFail } of cells) {
    const { sink, outputs } = gatherOutputs();
    const { fault, count } = await session.execute(source, sink, { stopOnError: !mayFail });
    // What was printed just before the end still arrives in this turn.
    await new Promise((resolve) => setImmediate(resolve));
    if (fault) outputs.push({ output_type: 'error', ename: fault.name, evalue: fault.message, traceback: fault.lines });
    tell({ type: 'cell', id, outputs: [...outputs], count, failed: fault ? { message: fault.lines.join('\n') } : null });
    if (fault && !mayFail) break;
  }
  session.close();
}

if (process.send && process.argv[1]?.endsWith('runCells.js')) {
  const send = process.send.bind(process);
  process.once('message', (request) => {
    void runCells(request as RunRequest, (event) => send(event)).then(() => send({ type: 'end' }, () => process.exit(0)), (error: unknown) => {
      process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`, () => process.exit(1));
    });
  });
}
