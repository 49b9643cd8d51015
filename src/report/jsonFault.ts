/** Where a JSON text goes wrong. */
export interface JsonFault {
  /** Index of the offending character; the length of the text at its end. */
  readonly at: number;
  readonly expected: string;
  readonly found: string;
}

/** Deeper than any job; a text that nests on and on is no job. */
const deepest = 64;
const token = /"(?:[^"\\\u0000-\u001f]|\\(?:["\\/bfnrt]|u[0-9a-fA-F]{4}))*"|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][-+]?\d+)?|true|false|null|[{}[\],:]/y;

interface Level { readonly closing: '}' | ']'; readonly keys: Set<string> | null; next: 'value' | 'key' | 'colon' | 'end'; first: boolean }

/**
 * Finds the first place where a text is not the JSON of a job: a fault of the grammar (RFC 8259), a key given twice in one
 * object (JSON.parse would take the last without a word), or nesting beyond 64 levels. Returns null for a sound text.
 */
export function jsonFault(text: string): JsonFault | null {
  const levels: Level[] = [];
  let at = 0, done = false;
  for (;;) {
    while (at < text.length && ' \t\r\n'.includes(text[at]!)) at++;
    const level = levels.at(-1);
    const stands = at < text.length ? `the character ${JSON.stringify(String.fromCodePoint(text.codePointAt(at)!))}` : 'the end of the file';
    if (at >= text.length) return done ? null : { at, expected: 'valid JSON', found: stands };
    token.lastIndex = at;
    const word = token.exec(text)?.[0];
    if (word === undefined || done) return { at, expected: 'valid JSON', found: stands };
    const fault: JsonFault = { at, expected: 'valid JSON', found: stands };
    if (level && word === level.closing && (level.next === 'end' || level.first)) {
      levels.pop();
      done = levels.length === 0;
    } else if (level?.next === 'end') {
      if (word !== ',') return fault;
      level.next = level.keys ? 'key' : 'value';
    } else if (level?.next === 'colon') {
      if (word !== ':') return fault;
      level.next = 'value';
    } else if (level?.next === 'key') {
      if (!word.startsWith('"')) return fault;
      const key = JSON.parse(word) as string;
      if (level.keys!.has(key)) return { at, expected: 'every key once', found: `${JSON.stringify(key)} a second time` };
      level.keys!.add(key);
      level.next = 'colon';
      level.first = false;
    } else {
      if ('}],:'.includes(word)) return fault;
      if (level) {
        level.next = 'end';
        level.first = false;
      }
      if (word === '{' || word === '[') {
        if (levels.length === deepest) return { at, expected: `at most ${deepest} levels`, found: 'one more' };
        levels.push(word === '{' ? { closing: '}', keys: new Set(), next: 'key', first: true } : { closing: ']', keys: null, next: 'value', first: true });
      } else done = levels.length === 0;
    }
    at += word.length;
  }
}
