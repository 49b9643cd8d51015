/** The hook by which Node's console and `util.inspect` ask an object for its own line. */
const inspectHook: unique symbol = Symbol.for('nodejs.util.inspect.custom') as never;
/** The open convention by which JavaScript notebook kernels ask an object for its rich view. */
const displayHook: unique symbol = Symbol.for('Jupyter.display') as never;
const kindHook: unique symbol = Symbol.for('quillshaft.kind') as never;

/** A rich view: one entry per MIME type. */
export type View = Readonly<Record<string, unknown>>;

let viewer: ((result: object, kind: string) => View) | null = null;

/** Sets what draws the rich view of every result. The outer folders call it once; the core only knows the hook. */
export function setViewer(draw: (result: object, kind: string) => View): void {
  viewer = draw;
}

/**
 * Freezes a result and gives it a readable line in consoles and notebooks. The hooks are not enumerable, so that
 * JSON, spreading and equality see plain data only.
 *
 * @param kind the name of the result's type, for example `'CycleCount'`
 * @param line one sentence that a reader of a notebook wants to see first
 */
export function makeResult<T extends object>(kind: string, data: T, line: (data: T) => string): Readonly<T> {
  Object.defineProperties(data, {
    [kindHook]: { value: kind },
    [inspectHook]: { value: () => line(data) },
    [displayHook]: { value: () => (viewer ? viewer(data, kind) : { 'text/plain': line(data) }) },
  });
  return Object.freeze(data);
}

/** What results were read from. Nothing of it is data of the result: neither JSON nor spreading nor equality sees it. */
const sources = new WeakMap<object, readonly object[]>();

/** The same result, which remembers the channels that it was read from, so that its card can draw them. */
export function readFrom<T extends object>(result: T, ...channels: readonly object[]): T {
  sources.set(result, channels);
  return result;
}

/** The channels that a result was read from; none where it does not remember any. */
export function sourcesOf(result: object): readonly object[] {
  return sources.get(result) ?? [];
}

/** The kind that makeResult gave an object, or null. */
export function kindOf(value: unknown): string | null {
  if (typeof value !== 'object' || value === null) return null;
  return (value as { [kindHook]?: string })[kindHook] ?? null;
}

/** The one-line description of a result of ours, or null for anything else. */
export function lineOf(value: unknown): string | null {
  if (kindOf(value) === null) return null;
  return (value as { [inspectHook]: () => string })[inspectHook]();
}
