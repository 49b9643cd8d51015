import ts from '@tslab/typescript-for-tslab';
import { beforeAll, describe, expect, it } from 'vitest';
import { needDist, root } from '../kernel/dist.js';

beforeAll(needDist);

/** The settings with which tslab compiles cells, strict besides, so that nothing hides. */
const options: ts.CompilerOptions = {
  module: ts.ModuleKind.ESNext, moduleResolution: ts.ModuleResolutionKind.Node10, esModuleInterop: true, target: ts.ScriptTarget.ES2022,
  lib: ['lib.es2022.d.ts'], noEmit: true, strict: true, skipLibCheck: true, declaration: true, types: ['node'], typeRoots: [`${root}/node_modules/@types`],
};

function messages(program: ts.Program): string[] {
  return ts.getPreEmitDiagnostics(program).map((d) => `${d.file?.fileName.replace(root, '') ?? ''} ${ts.flattenDiagnosticMessageText(d.messageText, ' ')}`);
}

describe('a consumer with TypeScript 5.0 and node10 resolution', () => {
  it('is the version that tslab brings', () => {
    expect(ts.version).toBe('5.0.4');
  });

  it('compiles against the built package', () => {
    expect(messages(ts.createProgram([`${root}/tests/consumer/consumer.ts`], options))).toEqual([]);
  });

  it('finds no exported function that gives or takes any', () => {
    const program = ts.createProgram([`${root}/dist/index.d.ts`], options);
    const checker = program.getTypeChecker();
    const exported = checker.getExportsOfModule(checker.getSymbolAtLocation(program.getSourceFile(`${root}/dist/index.d.ts`)!)!);
    const wrong: string[] = [];
    let functions = 0;
    for (const symbol of exported) {
      const target = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol;
      if (!(target.flags & ts.SymbolFlags.Function)) continue;
      functions++;
      for (const signature of checker.getTypeOfSymbolAtLocation(target, target.valueDeclaration!).getCallSignatures()) {
        const types = [signature.getReturnType(), ...signature.getParameters().map((p) => checker.getTypeOfSymbolAtLocation(p, p.valueDeclaration!))];
        if (types.some((type) => type.flags & ts.TypeFlags.Any)) wrong.push(symbol.name);
      }
    }
    expect(wrong).toEqual([]);
    expect(functions).toBeGreaterThan(20);
  });

  it('finds no public declaration that only newer compilers understand', () => {
    const program = ts.createProgram([`${root}/dist/index.d.ts`], { ...options, skipLibCheck: false });
    const ours = program.getSourceFiles().filter((file) => file.fileName.startsWith(`${root}/dist/`));
    expect(ours.length).toBeGreaterThan(10);
    expect(ours.flatMap((file) => [...program.getSyntacticDiagnostics(file), ...program.getSemanticDiagnostics(file)]).map((d) => `${d.file?.fileName.replace(root, '')}: ${ts.flattenDiagnosticMessageText(d.messageText, ' ')}`)).toEqual([]);
  });
});
