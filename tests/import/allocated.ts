import zlib from 'node:zlib';
import { syncBuiltinESMExports } from 'node:module';

/** What one piece of work took. */
export interface Taken<T> {
  /** Its result, or what it threw. */
  readonly outcome: { readonly value: T } | { readonly error: unknown };
  /** Bytes of all buffers and typed arrays that were made or asked for on the way, whether or not they were let go again. */
  readonly bytes: number;
}

type Maker = new (...args: unknown[]) => ArrayBufferView | ArrayBuffer;
const makers = ['ArrayBuffer', 'SharedArrayBuffer', 'Float64Array', 'Float32Array', 'Int32Array', 'Uint32Array', 'Int16Array', 'Uint16Array', 'Int8Array', 'Uint8Array', 'BigInt64Array', 'BigUint64Array'] as const;
const globals = globalThis as unknown as Record<string, Maker>;

let counting = false;
let bytes = 0;
const add = (n: number): void => { if (counting) bytes += n; };

// Every way to allocate memory by a size is watched from here on: this process runs one test file and ends.
for (const name of makers) {
  const size = (globals[name] as unknown as { BYTES_PER_ELEMENT?: number }).BYTES_PER_ELEMENT ?? 1;
  globals[name] = new Proxy(globals[name]!, {
    construct: (target, args: unknown[], made) => {
      const [first] = args;
      if (typeof first === 'number') add(size * Math.max(0, first));
      else if (typeof first === 'object' && first !== null && 'length' in first) add(size * Number((first as ArrayLike<unknown>).length));
      return Reflect.construct(target, args, made) as object;
    },
  });
}
const watch = (holder: object, name: string, sizeOf: (args: unknown[], made: unknown) => number): void => {
  const functions = holder as Record<string, (...args: unknown[]) => unknown>;
  const own = functions[name]!;
  functions[name] = (...args: unknown[]): unknown => {
    const made = own.apply(holder, args);
    add(sizeOf(args, made));
    return made;
  };
};
for (const name of ['alloc', 'allocUnsafe', 'allocUnsafeSlow']) watch(Buffer, name, ([size]) => Number(size));
watch(Buffer, 'concat', (_, made) => (made as Buffer).length);
for (const name of ['inflateSync', 'gunzipSync']) watch(zlib, name, (_, made) => 2 * (made as Buffer).length);
syncBuiltinESMExports();

/**
 * Runs `work` and counts what it asks for: by the constructors of buffers and typed arrays (also where the engine refuses
 * the size), by Buffer's own functions, and by unpacking at once. What native code makes is seen in the process's count
 * of buffer memory; the larger of the two sums is given. Work must not run beside other work.
 */
export async function allocated<T>(work: () => Promise<T>): Promise<Taken<T>> {
  const before = process.memoryUsage().arrayBuffers;
  let outcome: Taken<T>['outcome'];
  bytes = 0;
  counting = true;
  try {
    outcome = { value: await work() };
  } catch (error) {
    outcome = { error };
  } finally {
    counting = false;
  }
  return { outcome, bytes: Math.max(bytes, process.memoryUsage().arrayBuffers - before) };
}
