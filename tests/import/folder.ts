import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll } from 'vitest';

/** A temporary folder for one test file; `write` puts a file there and gives its path. */
export function temporaryFolder(): { readonly path: string; readonly write: (name: string, content: string | Uint8Array) => string; readonly at: (name: string) => string } {
  const path = mkdtempSync(join(tmpdir(), 'quillshaft-'));
  afterAll(() => rmSync(path, { recursive: true }));
  return {
    path,
    at: (name) => join(path, name),
    write: (name, content) => {
      const file = join(path, name);
      writeFileSync(file, content);
      return file;
    },
  };
}
