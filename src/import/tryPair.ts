import { fieldType, localDate, splitFields } from './fields.js';
import type { Delimiter } from './options.js';

/** One reading of the lines as rows, and how well it fits them. */
export interface Trial {
  readonly delimiter: Delimiter;
  readonly decimal: '.' | ',';
  /** Index of the first line of data. */
  readonly first: number;
  readonly width: number;
  readonly trailing: boolean;
  readonly score: number;
}

/** How well the lines read as rows under one delimiter and decimal mark; null where they do not. */
export function tryPair(lines: readonly string[], delimiter: Delimiter, decimal: '.' | ',', grouping: boolean): Trial | null {
  let best: Trial | null = null;
  const cache = new Map<number, Row | null>();
  const rowAt = (i: number): Row | null => {
    if (!cache.has(i)) cache.set(i, rowOf(lines[i]!, delimiter, decimal, grouping));
    return cache.get(i)!;
  };
  // Lines such as `Rate;100` above the header look like rows with a text in them; the table begins below the header.
  const labelled = (i: number): boolean => rowAt(i)!.good < rowAt(i)!.width;
  const isHeading = (below: number, width: number): boolean => below > 0 && below < 100 && lines[below - 1]!.trim() !== '' && rowAt(below - 1) === null && splitFields(lines[below - 1]!, delimiter).length === width;
  for (let first = 0; first < Math.min(lines.length, 400); first++) {
    const row = rowAt(first);
    if (!row) continue;
    let rows = 0, same = 0, run = 0, fields = 0, good = 0, trailing = true;
    for (let i = first; i < lines.length && rows < 60; i++) {
      if (lines[i]!.trim() === '') continue;
      rows++;
      const r = rowAt(i);
      if (!r || r.width !== row.width) continue;
      same++;
      if (same === rows) run = same;
      trailing &&= r.trailing;
      fields += r.width - (r.trailing ? 1 : 0);
      good += r.good;
    }
    // Two rows alike make a table; a later beginning must be much better than an earlier one.
    if (run < 2 && best !== null) continue;
    const score = (same / rows) * (good / Math.max(1, fields));
    const cut = trailing && row.width > 1;
    if (best === null || score > best.score + 0.3 || (score > 0.999 && labelled(best.first) && isHeading(first, row.width))) best = { delimiter, decimal, first, width: row.width - (cut ? 1 : 0), trailing: cut, score };
    if (score > 0.999) break;
  }
  return best;
}

/** What one line holds. */
export interface Row { readonly width: number; readonly good: number; readonly trailing: boolean }

/** One line under a delimiter and decimal mark; null where it holds no number. */
export function rowOf(line: string, delimiter: Delimiter, decimal: '.' | ',', grouping: boolean): Row | null {
  if (line.trim() === '' || /^\s*[#%]/.test(line)) return null;
  const fields = splitFields(line, delimiter);
  let numeric = 0, absent = 0;
  for (const field of fields) {
    const type = fieldType(field, decimal, grouping);
    if (type === 'number' || type === 'date-time' || localDate.test(field.trim())) numeric++;
    else if (type === 'missing') absent++;
  }
  const trailing = fields.length > 1 && fields.at(-1)!.trim() === '' && delimiter !== 'spaces';
  return numeric === 0 ? null : { width: fields.length, good: numeric + absent - (trailing ? 1 : 0), trailing };
}
