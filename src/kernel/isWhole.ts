import { isCompleteCode } from 'tslab/dist/converter.js';
import { compiler } from './compiler.js';

/** What the compiler says of a comment and of a template that has no end. */
const unended: readonly number[] = [1010, 1160];

/** Can a cell end here, and if not, how is its next line indented? A comment or a template that is still open goes on as it is. */
export function isWhole(code: string): { readonly completed: boolean; readonly indent?: string } {
  const file = compiler.createSourceFile('cell.ts', code, compiler.ScriptTarget.Latest) as unknown as { readonly parseDiagnostics: readonly { readonly code: number }[] };
  return file.parseDiagnostics.some((found) => unended.includes(found.code)) ? { completed: false, indent: '' } : isCompleteCode(code);
}
