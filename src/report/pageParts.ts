import { spaced } from '../fatigue/figures.js';
import type { ReportFigure, ReportSection } from './figures.js';
import { Html, html } from './html.js';

/** A table; `right` are the columns set flush right, those of numbers. */
export function table(columns: readonly string[], rows: readonly (readonly string[])[], right: readonly number[] = []): Html {
  if (rows.length === 0) return html`<p>None.</p>`;
  const cell = (k: number): Html => new Html(right.includes(k) ? ' class="n"' : '');
  return html`<div class="wide"><table><thead><tr>${columns.map((c, k) => html`<th${cell(k)}>${c}</th>`)}</tr></thead><tbody>${rows.map((row) => html`<tr>${row.map((c, k) => html`<td${cell(k)}>${right.includes(k) ? spaced(c.replace(/^-(?=\d)/, '−')) : c}</td>`)}</tr>`)}</tbody></table></div>`;
}

/** The figures of a section, numbered as they stand on the page. */
export function figuresOfSection(figures: readonly ReportFigure[], section: ReportSection): Html {
  return html`${figures.map(({ figure, svg, under }, i) => (under === section ? html`<figure><div class="wide">${new Html(svg)}</div><figcaption>Figure ${i + 1}. ${figure.caption}</figcaption></figure>` : ''))}`;
}

/** Longer tables are cut on the page; the CSV files hold every row. */
export const mostRows = 16;
