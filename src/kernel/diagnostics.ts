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
  // Where a cell is not even written right, the compiler also complains that it can declare no types of it (4000 to 4999).
  const telling = messages.filter(({ code }) => code < 4000 || code > 4999);
  const groups: CompileMessage[][] = [];
  for (const message of telling.length > 0 ? telling : messages) {
    const last = groups.at(-1);
    if (last && samePlace(last[0]!, message)) last.push(message);
    else groups.push([message]);
  }
  const lines: string[] = [];
  let first = '';
  for (const group of groups.slice(0, 5)) {
    const text = missingStress(group) ?? unitMistake(group) ?? bareChannel(group) ?? group.map((m) => m.messageText)[0]!;
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

/** The names that the compiler prints for several units at once. */
const unitNames: Readonly<Record<string, string>> = { BridgeUnit: 'mV/V, V or another unit of a bridge', StrainUnit: 'strain' };

/** The sentence for a channel or a count of one unit where another is needed, or null where this is something else. */
function unitMistake(group: readonly CompileMessage[]): string | null {
  const text = group.map((m) => m.messageText).join('\n');
  const match = /(Channel|CycleCount)<([^>]+)>' is not assignable to (?:parameter of )?type '[^']*?\1<([^>]+)>/.exec(text);
  if (!match) return null;
  const what = match[1] === 'Channel' ? 'a channel' : 'a count';
  const given = unitsIn(match[2]!);
  const needed = unitsIn(match[3]!);
  const named = match[3]!.split('|').map((name) => unitNames[name.trim()]).filter((name) => name !== undefined);
  if (needed.length === 0 && named.length > 0 && given.length === 1) return `This needs ${what} in ${named.join(' or ')}, but the one given is in ${given[0]}. Take the signal of the bridge.`;
  if (needed.length === 0) return null;
  const need = needed.join(' or ');
  if (given.length !== 1) {
    return `This needs ${what} in ${need}, but the unit of the one given is not known to the compiler. Say which it is when you take it: pick(recording, name, '${needed[0]}').`;
  }
  return `This needs ${what} in ${need}, but the one given is in ${given[0]}. ${wayOut(given[0]!, needed)}${what === 'a count' ? ' Then count it again.' : ''}`;
}

/** Options that are a channel. */
const companions: readonly string[] = ['speed', 'temperature', 'angle', 'pulses'];

/** The sentence for torque or nominal stress where (local) stress is needed, or null where this is something else. */
function missingStress(group: readonly CompileMessage[]): string | null {
  const match = /(Channel|CycleCount|StressCycles)<"([^"]+)"[^']*' is not assignable to (?:parameter of )?type 'StressCycles<"(local|nominal)"/.exec(group.map((m) => m.messageText).join('\n'));
  if (!match) return null;
  const [, given, of, needed] = match as unknown as [string, string, string, string];
  if (given === 'StressCycles') return needed === 'local' && of === 'nominal' ? 'This needs local stress, but the one given is nominal. Use localStress with the notch factor of the place where it would break.' : null;
  const isStress = isUnit(of) && quantityOf(of) === quantityOf('Pa');
  const steps = [
    ...(given === 'Channel' ? ['count it with countCycles'] : []),
    isStress ? 'say which stress it is with stressCycles' : 'turn torque into stress with shearStress and the section',
    ...(needed === 'local' && !isStress ? ['use localStress with the notch factor'] : []),
  ];
  return `This needs cycles of ${needed} stress, but the one given is a ${given === 'Channel' ? 'channel' : 'count'} in ${of}. The way there: ${steps.join(', then ')}.`;
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
