import type ts from '@tslab/typescript-for-tslab';
import { compiler } from './compiler.js';

/** What the compiler's binder leaves at a node that opens a scope. */
interface Scope {
  readonly locals?: ReadonlyMap<string, unknown>;
}

const bind = (compiler as unknown as { bindSourceFile(file: ts.SourceFile, options: ts.CompilerOptions): void }).bindSourceFile;

/**
 * tslab reads the names of earlier cells from `exports`, but leaves them as they are where a property is written short:
 * `{ gauge }` of an earlier `gauge` would fail. Here such a property is written out, `{ gauge: exports.gauge }`.
 *
 * @param output the JavaScript of a cell; lines stay where they are
 * @param isEarlier does an earlier cell have that name?
 */
export function writeOutShorthand(output: string, isEarlier: (name: string) => boolean): string {
  const file = compiler.createSourceFile('cell.js', output, compiler.ScriptTarget.Latest, true, compiler.ScriptKind.JS);
  bind(file, {});
  const inserts: { readonly at: number; readonly name: string }[] = [];
  const visit = (node: ts.Node): void => {
    if (compiler.isShorthandPropertyAssignment(node)) {
      const name = node.name.text;
      if (isEarlier(name) && !isLocal(node, name)) inserts.push({ at: node.name.end, name });
    }
    compiler.forEachChild(node, visit);
  };
  visit(file);
  let text = output;
  for (const { at, name } of inserts.reverse()) text = `${text.slice(0, at)}: exports.${name}${text.slice(at)}`;
  return text;
}

function isLocal(from: ts.Node, name: string): boolean {
  for (let node: ts.Node | undefined = from; node; node = node.parent) {
    if ((node as Scope).locals?.has(name)) return true;
  }
  return false;
}
