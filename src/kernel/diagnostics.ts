import { conversionHint, isUnit, quantityOf } from '../record/units.js';
import { nearest } from '../record/check.js';
import type { CellFault } from './fault.js';

/** What the compiler says about a place in a cell. Lines and characters count from 0. */
export interface CompileMessage {
  readonly start: { readonly line: number; readonly character: number };
  readonly end: { readonly line: number; readonly character: number };
  readonly messageText: string;
  readonly code: number;
  readonly fileName?: string | undefined;
}

/**
 * What a notebook shows for a cell that does not compile: the message, the line with a mark under the place, and for a
 * unit mistake which unit was given, which one is needed and which verb leads there.
 *
 * @param messages at least one, in the compiler's order; the details of a message follow it at the same place
 * @param source the cell as written
 * @param names what is in scope, for the nearest spelling of a name that is not
 */
export function compileFault(messages: readonly CompileMessage[], source: string, names: readonly string[] = []): CellFault {
  const groups: CompileMessage[][] = [];
  for (const message of messages) {
    const last = groups.at(-1);
    if (last && samePlace(last[0]!, message)) last.push(message);
    else groups.push([message]);
  }
  const lines: string[] = [];
  let first = '';
  for (const group of groups.slice(0, 5)) {
    const text = unitMistake(group) ?? bareChannel(group) ?? nominalStress(group) ?? group.map((m) => m.messageText)[0]!;
    const hint = spellingHint(group[0]!, names);
    const sentence = hint ? `${text.replace(/\.$/, '')}. ${hint}` : text;
    first ||= sentence;
    lines.push(`${lines.length === 0 ? 'CompileError: ' : ''}${sentence}`, ...marked(group[0]!, source));
  }
  if (groups.length > 5) lines.push(`… and ${groups.length - 5} more`);
  return { name: 'CompileError', message: first, lines };
}

function samePlace(a: CompileMessage, b: CompileMessage): boolean {
  return a.start.line === b.start.line && a.start.character === b.start.character && a.end.line === b.end.line && a.end.character === b.end.character;
}

function marked(message: CompileMessage, source: string): string[] {
  const line = source.split('\n')[message.start.line];
  if (message.fileName || line === undefined) return [`  in ${message.fileName ?? 'the cell'}, line ${message.start.line + 1}`];
  const to = message.end.line === message.start.line ? message.end.character : line.length;
  const prefix = `  line ${message.start.line + 1}: `;
  return [`${prefix}${line}`, ' '.repeat(prefix.length + message.start.character) + '^'.repeat(Math.max(1, to - message.start.character))];
}

/** The sentence for a channel of one unit where another is needed, or null where this is something else. */
function unitMistake(group: readonly CompileMessage[]): string | null {
  const text = group.map((m) => m.messageText).join('\n');
  const match = /Channel<([^>]+)>' is not assignable to (?:parameter of )?type '[^']*?Channel<([^>]+)>/.exec(text);
  if (!match) return null;
  const given = unitsIn(match[1]!);
  const needed = unitsIn(match[2]!);
  if (needed.length === 0) return null;
  const need = needed.join(' or ');
  if (given.length !== 1) {
    return `This needs a channel in ${need}, but the unit of the one given is not known to the compiler. Say which it is when you take it: pick(recording, name, '${needed[0]}').`;
  }
  return `This needs a channel in ${need}, but the one given is in ${given[0]}. ${wayOut(given[0]!, needed)}`;
}

/** Options that are a channel. */
const companions: readonly string[] = ['speed', 'temperature', 'angle', 'pulses'];

/** The sentence for nominal stress where local stress is needed, or null where this is something else. */
function nominalStress(group: readonly CompileMessage[]): string | null {
  return /StressCycles<"nominal"[^']*' is not assignable to (?:parameter of )?type 'StressCycles<"local"/.test(group.map((m) => m.messageText).join('\n'))
    ? 'This needs local stress, but the one given is nominal. Use localStress with the notch factor of the place where it would break.' : null;
}

/** The sentence for a channel given where options are wanted that hold it, or null where this is something else. */
function bareChannel(group: readonly CompileMessage[]): string | null {
  const text = group.map((m) => m.messageText).join('\n');
  const key = /Property '(\w+)' is missing in type 'Channel</.exec(text)?.[1] ?? null;
  if (!/Channel<[^>]+>' is not assignable to (?:parameter of )?type '\w+'/.test(text)) return null;
  const given = /Channel<([^>]+)>/.exec(text)![1]!;
  return `This takes options, not a channel of ${unitsIn(given).join(' or ') || 'an unknown unit'}. ${key !== null && companions.includes(key) ? `Give it by name: { ${key}: channel }` : 'Write them in braces: { name: value }'}.`;
}

function unitsIn(text: string): string[] {
  return [...text.matchAll(/"([^"]+)"/g)].map((m) => m[1]!).filter(isUnit);
}

/** Which verb leads from a unit to one of those needed. */
function wayOut(given: string, needed: readonly string[]): string {
  if (!isUnit(given)) return '';
  if (given === '?') return `State it with assignUnit(channel, '${needed[0]}') if that is what it is.`;
  const same = needed.find((unit) => isUnit(unit) && quantityOf(unit) === quantityOf(given));
  if (same) return `Convert it: convert(channel, '${same}').`;
  const hints = needed.filter(isUnit).map((unit) => conversionHint(quantityOf(given), quantityOf(unit)));
  return hints.find((hint) => hint !== undefined) ?? `No verb leads from ${quantityOf(given)} to ${isUnit(needed[0]) ? quantityOf(needed[0]) : needed[0]}: take another channel.`;
}

function spellingHint(message: CompileMessage, names: readonly string[]): string | null {
  const missing = /^Cannot find name '([^']+)'\.?$/.exec(message.messageText);
  const near = missing ? nearest(missing[1]!, names) : null;
  return near ? `Did you mean '${near}'?` : null;
}
