import { typeset } from '../fatigue/figures.js';

/** Text that is HTML already and must not be escaped again. */
export class Html {
  constructor(readonly text: string) {}
}

/** Escapes text for an element or a quoted attribute. */
export function escapeHtml(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');
}

/** A tagged template in which every value is escaped, unless it is Html; lists are joined. */
export function html(parts: TemplateStringsArray, ...values: unknown[]): Html {
  let text = parts[0]!;
  values.forEach((value, i) => {
    text += render(value) + parts[i + 1]!;
  });
  return new Html(text);
}

function render(value: unknown): string {
  if (value instanceof Html) return value.text;
  if (Array.isArray(value)) return value.map(render).join('');
  if (value === null || value === undefined || value === false) return '';
  return escapeHtml(String(value));
}

/** HTML with its texts typeset; figures, code and styles stay as they are. */
export function typesetHtml(page: string): string {
  return page.replace(/<(svg|math|style|pre|code)\b[^]*?<\/\1>|<[^>]*>|[^<]+/g, (part) => (part.startsWith('<') ? part : typeset(part)));
}
