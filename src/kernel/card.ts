import { escapeHtml, typesetHtml } from '../report/html.js';

/** What a card shows of a result, besides its one line. */
export interface CardParts {
  /** Short facts, label and value. */
  readonly facts?: readonly { readonly label: string; readonly value: string }[];
  /** A figure as SVG. */
  readonly svg?: string | null;
  /** A table as HTML. */
  readonly table?: string | null;
  /** What a reader should know. */
  readonly notes?: readonly string[];
  /** Steps of a trail, one line each; folded away. */
  readonly trail?: readonly string[];
}

/** A compact card for a notebook: one `<div>` that carries its own looks, so that it is the same in every front end. */
export function cardHtml(kind: string, line: string, parts: CardParts): string {
  const name = kind.replace(/([a-z])([A-Z])/g, (_, a: string, b: string) => `${a} ${b.toLowerCase()}`);
  const said = [kind, name, name.replaceAll(' ', '-')].find((start) => line.startsWith(start));
  const title = said === undefined ? line : line.slice(said.length).replace(/^:? /, '');
  const facts = (parts.facts ?? []).map(({ label, value }) => `<span style="white-space:nowrap"><span style="color:#5a636e">${escapeHtml(label)}</span> <b style="font-weight:600">${escapeHtml(value)}</b></span>`);
  const notes = (parts.notes ?? []).map((note) => `<li>${escapeHtml(note)}</li>`);
  const trail = (parts.trail ?? []).map((step) => `<li style="overflow-wrap:anywhere"><code style="background:none">${escapeHtml(step)}</code></li>`);
  return typesetHtml([
    '<div style="max-width:720px;background:#fff;color:#22282f;border:1px solid #d7dce2;border-left:4px solid #16385c;border-radius:4px;padding:8px 12px;font:13px/1.5 \'DejaVu Sans\',Verdana,sans-serif">',
    `<div><span style="color:#16385c;font-weight:600">${escapeHtml(name)}</span> <span style="overflow-wrap:anywhere">${escapeHtml(title)}</span></div>`,
    facts.length > 0 ? `<div style="display:flex;flex-wrap:wrap;gap:2px 18px;margin:4px 0">${facts.join('')}</div>` : '',
    parts.svg ? `<div style="margin:4px 0 0">${fitting(parts.svg)}</div>` : '',
    parts.table ? `<div style="overflow-x:auto">${parts.table}</div>` : '',
    notes.length > 0 ? `<ul style="margin:4px 0;padding-left:18px;color:#4a525c">${notes.join('')}</ul>` : '',
    trail.length > 0 ? `<details style="color:#4a525c"><summary>Trail: ${trail.length} step${trail.length === 1 ? '' : 's'}</summary><ol style="margin:4px 0;padding-left:22px">${trail.join('')}</ol></details>` : '',
    '</div>',
  ].join(''));
}

/** An SVG that shrinks with the page. */
function fitting(svg: string): string {
  return svg.replace(/^<\?xml[^>]*\?>\s*|<!DOCTYPE[^>]*>\s*/g, '').replace(/<svg /, '<svg style="max-width:100%;height:auto" ');
}
