import { spaced } from '../fatigue/figures.js';

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

/** What may stand behind a number as its unit; longer units begin with one of these. */
const unit = '(?:%|‰|°C|°F|°|dB|rpm|(?:k|M)?Hz|(?:k|M)?N·m|(?:k|M|G)?Pa|[kM]?W|k?J|m?V|k?N|k?g|lbf|psi|ksi|µ?strain|rad|deg|K|[µm]?s|min|h|years?|[µm]?m|cm|cycles|samples|revolutions)(?![\\p{L}\\d])';
const betweenThem = new RegExp(`(?<=[\\d⁰¹²³⁴-⁹∞]) (?=${unit})|(?<=[±×]) (?=\\d)`, 'gu');
const largeNumber = new RegExp(`(?<![\\p{L}\\d.:/_-])\\d{4,}(?:\\.\\d+)?(?=(?: (?:to|and|±) [\\d.\\u202f]+)? ${unit})`, 'gu');

/** A text as a printer sets it: a number stays on one line with its unit, and where one follows it thousands are set apart. @example typeset('12345 N·m') // => "12\u202f345\u00a0N·m" */
export function typeset(text: string): string {
  return text.replace(largeNumber, spaced).replace(betweenThem, '\u00a0');
}

/** HTML with its texts typeset; figures, code and styles stay as they are. */
export function typesetHtml(page: string): string {
  return page.replace(/<(svg|math|style|pre|code)\b[^]*?<\/\1>|<[^>]*>|[^<]+/g, (part) => (part.startsWith('<') ? part : typeset(part)));
}
