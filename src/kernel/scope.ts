import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import * as library from '../index.js';
import { compiler } from './compiler.js';

/** The folder of this package: what `import … from 'quillshaft'` means in a cell, wherever the notebook lies. */
export const packageDir: string = fileURLToPath(new URL('../..', import.meta.url)).replace(/[\\/]$/, '');

/** Everything the library exports, as cells see it. */
export const libraryModule: object = library;

/** The names of the library that are in scope from the first cell on: values, types, and the declaration that says so. */
export interface LibraryScope {
  readonly values: readonly string[];
  readonly all: readonly string[];
  readonly declaration: string;
}

/** Reads the names from the package's declaration file, so that types are in scope too. */
export function libraryScope(): LibraryScope {
  const file = join(packageDir, 'dist', 'index.d.ts');
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch {
    throw new Error(`${file} is missing: the kernel needs the built package. Run npm run build in ${packageDir}.`);
  }
  const all: string[] = [];
  for (const statement of compiler.createSourceFile('index.d.ts', text, compiler.ScriptTarget.Latest).statements) {
    if (compiler.isExportDeclaration(statement) && statement.exportClause && compiler.isNamedExports(statement.exportClause)) {
      all.push(...statement.exportClause.elements.map((element) => element.name.text));
    }
  }
  const values = Object.keys(library).filter((name) => all.includes(name));
  return { values, all, declaration: `import * as qs from 'quillshaft';\nimport { ${all.join(', ')} } from 'quillshaft';\n` };
}

/**
 * Makes the compiler find this package as `quillshaft` from any folder, without one being installed there: what it
 * asks for under node_modules/quillshaft of the notebook's folder is answered from here.
 */
export function resolveLibraryFrom(dir: string): void {
  const wanted = join(dir, 'node_modules', 'quillshaft').replace(/\\/g, '/');
  const real = (path: string): string => (path === wanted || path.startsWith(`${wanted}/`) ? packageDir + path.slice(wanted.length) : path);
  const { fileExists, directoryExists, getDirectories, readFile, realpath } = compiler.sys;
  compiler.sys.fileExists = (path) => fileExists(real(path));
  compiler.sys.directoryExists = (path) => directoryExists(real(path));
  // Of the packages of types only Node's is in scope by itself; the others come with their imports.
  compiler.sys.getDirectories = (path) => getDirectories(path).filter((name) => !/node_modules[\\/]@types[\\/]?$/.test(path) || name === 'node');
  compiler.sys.readFile = (path, encoding) => withTypes(path, readFile(real(path), encoding));
  compiler.sys.realpath = (path) => (realpath ? realpath(real(path)) : real(path));
}

/**
 * The compiler of the cells does not read `exports` in package files, and so misses the types of packages that state them
 * there only. It is given them in the older form.
 */
export function withTypes(path: string, text: string | undefined): string | undefined {
  if (text === undefined || !/node_modules[\\/](?:@[^\\/]+[\\/])?[^\\/]+[\\/]package\.json$/.test(path)) return text;
  try {
    const stated = JSON.parse(text) as { types?: unknown; typings?: unknown; exports?: { '.'?: unknown } };
    if (stated.types !== undefined || stated.typings !== undefined || stated.exports === undefined) return text;
    const types = typesOf(stated.exports['.'] ?? stated.exports);
    return types === null ? text : JSON.stringify({ ...stated, types });
  } catch {
    return text;
  }
}

/** The first file of types among nested conditions. */
function typesOf(conditions: unknown): string | null {
  if (typeof conditions !== 'object' || conditions === null) return null;
  for (const [condition, value] of Object.entries(conditions)) {
    if (condition === 'types' && typeof value === 'string') return value;
    const nested = typesOf(value);
    if (nested !== null) return nested;
  }
  return null;
}
