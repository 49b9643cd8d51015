import type { Converter, ConvertResult } from 'tslab/dist/converter.js';
import { awaitsAtTop, letLoopsBreathe } from './breathing.js';
import { compileFault } from './diagnostics.js';
import type { CellFault } from './fault.js';
import { writeOutShorthand } from './shorthand.js';

/** What is known of the cell that was compiled last. */
export interface CompileState {
  source: string;
  output: string;
  fault: CellFault | null;
  /** Is the cell to be compiled only? What it became is then kept in `ahead` for its run. */
  only: boolean;
  ahead: ConvertResult | null;
}

/** What the executor is told so that it does not run a cell yet. */
const compiledOnly: ConvertResult = { diagnostics: [{ start: { offset: 0, line: 0, character: 0 }, end: { offset: 0, line: 0, character: 0 }, messageText: '', category: 0, code: 0 }] };

/** What wrapConverter adds to the compiler. */
export interface Wrapping {
  readonly state: CompileState;
  /** Names of the library. */
  readonly names: readonly string[];
  /** The source that stands for the declarations of the library. */
  readonly marker: string;
  readonly declaration: string;
  readonly isEarlier: (name: string) => boolean;
}

/** The compiler, with its messages made readable, its loops made stoppable, short properties written out, and the library's names declared at the start. */
export function wrapConverter(converter: Converter, { state, names, marker, declaration, isEarlier }: Wrapping): Converter {
  return {
    ...converter,
    convert(previous: string, source: string): ConvertResult {
      if (source === marker) return { declOutput: declaration, diagnostics: [] };
      if (!state.only && state.ahead) return state.ahead;
      const result = converter.convert(previous, source);
      state.source = source;
      if (result.diagnostics.length > 0) state.fault = compileFault(result.diagnostics, source, names);
      state.output = result.output ?? '';
      const hasToplevelAwait = result.hasToplevelAwait || awaitsAtTop(state.output);
      state.ahead = result.output ? { ...result, hasToplevelAwait, output: letLoopsBreathe(writeOutShorthand(result.output, isEarlier), hasToplevelAwait) } : result;
      return state.fault ? state.ahead : compiledOnly;
    },
    addModule(name, content, meta) {
      const messages = converter.addModule(name, content, meta);
      if (messages.length > 0) process.stderr.write(`${compileFault(messages, content, names).lines.join('\n')}\n`);
      return messages;
    },
  };
}
