import { readable } from './axes.js';
import type { Spec } from './Figure.js';
import { panelPixels } from './page.js';
import { alertInk, inks } from './theme.js';

/** A place on the horizontal axis to mark, with its label. */
export interface Mark {
  readonly at: number;
  readonly label: string;
  /** Row of the label, from the top edge down. */
  readonly level: number;
  readonly top: number;
  readonly align: string;
}

/** A label with the pixels that it takes from the left edge. */
interface Sized { readonly at: number; readonly label: string; readonly here: number; readonly right: boolean; readonly begin: number; readonly end: number }

/** Labels in rows from the top edge down, so that none covers another or is crossed by a rule; `place` tells where a value lies, from 0 at the left edge to 1. */
export function placeMarks(wanted: readonly { readonly at: number; readonly name?: string }[], place: (at: number) => number): Mark[] {
  const columns = panelPixels() - 20;
  const sized = (at: number, label: string): Sized => {
    const here = columns * place(at);
    const size = label.length * 7 + 8;
    const right = here + size > columns;
    return { at, label, here, right, begin: here - (right ? size : 0), end: here + (right ? 0 : size) };
  };
  const short = (at: number): Sized => sized(at, `${readable(at)} Hz`);
  const all = wanted.filter(({ at }) => place(at) >= 0 && place(at) <= 1).map(({ at, name }) => {
    const named = name === undefined ? short(at) : sized(at, name);
    return named.begin < 0 ? short(at) : named;
  });
  // From the edge inwards that the labels lean on, so that a rule starts beneath the labels it would cross.
  const outwards = [...all.filter((m) => !m.right).sort((a, b) => a.at - b.at), ...all.filter((m) => m.right).sort((a, b) => b.at - a.at)];
  const done: (Sized & { readonly level: number })[] = [];
  const levelOf = (mark: Sized): number | undefined => Array.from({ length: done.length + 1 }, (_, k) => k).find((k) => done.every((other) =>
    !(other.level === k && other.begin < mark.end && mark.begin < other.end) && !(other.level < k && mark.begin < other.here && other.here < mark.end)
    && !(other.level > k && other.begin < mark.here && mark.here < other.end)));
  for (const mark of outwards) {
    const level = levelOf(mark);
    // A name with no room gives way to the frequency, which is short.
    const placed = level === undefined ? short(mark.at) : mark;
    done.push({ ...placed, level: level ?? levelOf(placed) ?? done.length });
  }
  return done.sort((a, b) => a.at - b.at).map(({ at, label, level, right }) => ({ at, label, level, top: 9 + 13 * level, align: right ? 'right' : 'left' }));
}

/** How many rows of labels there are. */
export function markRows(marks: readonly Mark[]): number {
  return marks.reduce((m, r) => Math.max(m, r.level + 1), 0);
}

/** Dotted rules from the labels down to a value on the vertical axis (`value` of each mark), and the labels. */
export function markLayers(marks: readonly (Mark & { readonly value: number })[], x: Spec, y: Spec): Spec[] {
  const at = { ...x, field: 'at', type: 'quantitative' };
  const down = { ...y, field: 'value', type: 'quantitative' };
  const levels = [...new Set(marks.map((m) => m.level))];
  const keys = [...new Set(marks.map((m) => `${m.level} ${m.align}`))];
  return [
    ...levels.map((level): Spec => ({
      data: { values: marks.filter((m) => m.level === level) }, mark: { type: 'rule', color: alertInk, strokeDash: [2, 2], strokeWidth: 0.9 }, encoding: { x: at, y: down, y2: { value: 4 + 13 * level } },
    })),
    ...keys.flatMap((key): Spec[] => {
      const values = marks.filter((m) => `${m.level} ${m.align}` === key);
      const { align, top } = values[0]!;
      const text = { type: 'text', align, dx: align === 'left' ? 4 : -4, baseline: 'middle' };
      const encoding = { x: at, y: { value: top }, text: { field: 'label', type: 'nominal' } };
      // On a white rim, for where a narrow page leaves no row free of rules.
      return [{ mark: { ...text, stroke: '#ffffff', strokeWidth: 3, strokeJoin: 'round' }, encoding }, { mark: { ...text, color: inks[0] }, encoding }].map((layer): Spec => ({ data: { values }, ...layer }));
    }),
  ];
}
