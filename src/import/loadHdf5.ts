interface Files { open: (path: string, flags: number, ...more: unknown[]) => unknown; close: (stream: unknown) => void; streams: unknown[] }

interface Library {
  readonly h5wasm: typeof import('h5wasm/node').h5wasm;
  /** Errors that it has thrown so far. */
  errors: number;
  /** Its way to open files. */
  readonly files: Files;
  readonly module: object;
}

let current: Promise<Library> | null = null;
let loads = 0;
const discarded = new WeakSet<Library>();

/** The HDF5 library, told to throw its errors instead of printing them; loaded once, and again after it was discarded. */
export async function loadHdf5(): Promise<Library> {
  for (;;) {
    const library = await (current ??= load());
    if (!discarded.has(library)) return library;
  }
}

async function load(): Promise<Library> {
  // A module of another address is another module, with a memory of its own.
  const again = loads++;
  const { h5wasm, ready } = again === 0 ? await import('h5wasm/node') : ((await import(/* @vite-ignore */ `${import.meta.resolve('h5wasm/node')}?${again}`)) as typeof import('h5wasm/node'));
  const module = await ready;
  // It prints why it aborts unless this throws first.
  (module as { onAbort?: (what: string) => void }).onAbort = (what) => {
    throw Object.assign(new Error(what), { name: 'RuntimeError' });
  };
  module.activate_throwing_error_handler();
  return { h5wasm, errors: 0, files: module.FS as unknown as Files, module };
}

/** Throws the library away with the streams that it left open; its memory is let go, which the module would keep for good. The next loadHdf5 loads it anew. */
export function discardHdf5(library: Library, streams: readonly unknown[]): void {
  discarded.add(library);
  current = null;
  closeStreams(library, streams);
  for (const part of [library.files, library.module]) for (const key of Object.getOwnPropertyNames(part)) Reflect.deleteProperty(part, key);
}

/** Closes those of the streams that are open still. */
export function closeStreams({ files }: Library, streams: readonly unknown[]): void {
  for (const stream of streams) if (files.streams.includes(stream)) files.close(stream);
}
