import { columnBelow } from '../plot/page.js';
import { escapeHtml, typesetHtml } from '../report/html.js';
import { highlight } from './highlight.js';
import { markdownHtml } from './markdown.js';
import { joined, type Notebook, type NotebookCell, type NotebookOutput, type NotebookText } from './notebook.js';

/** What stands before and after a page, for its links. */
export interface PageNeighbours {
  readonly before?: { readonly href: string; readonly title: string };
  readonly after?: { readonly href: string; readonly title: string };
}

/** The title of a notebook: its first heading, or else the name given. */
export function notebookTitle(notebook: Notebook, otherwise: string): string {
  for (const cell of notebook.cells) {
    const heading = cell.cell_type === 'markdown' ? /^#\s+(.+)$/m.exec(joined(cell.source)) : null;
    if (heading) return heading[1]!.replace(/[`*_]/g, '').trim();
  }
  return otherwise;
}

/** A notebook as one self-contained HTML page for reading: no script, nothing fetched, fits a phone, prints well. */
export function notebookPage(notebook: Notebook, name: string, { before, after }: PageNeighbours = {}): string {
  const title = notebookTitle(notebook, name);
  const links = [before && `<a href="${escapeHtml(before.href)}">← ${escapeHtml(before.title)}</a>`, after && `<a class="next" href="${escapeHtml(after.href)}">${escapeHtml(after.title)} →</a>`].filter(Boolean).join('');
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(title)}</title>
<link rel="icon" href="data:,">
<style>${style}</style>
</head>
<body>
<main>
${notebook.cells.map(cellHtml).join('\n')}
</main>
${links ? `<nav>${links}</nav>` : ''}
</body>
</html>
`;
}

function cellHtml(cell: NotebookCell): string {
  const source = joined(cell.source);
  if (cell.cell_type === 'markdown') return `<section class="prose">${typesetHtml(markdownHtml(source))}</section>`;
  if (cell.cell_type === 'raw') return `<pre>${escapeHtml(source)}</pre>`;
  const outputs = (cell.outputs ?? []).map(outputHtml).filter((html) => html !== '');
  return `<section class="code"><pre class="source"><code>${highlight(source)}</code></pre>${outputs.map((html) => `<div class="output">${html}</div>`).join('')}</section>`;
}

function outputHtml(output: NotebookOutput): string {
  if (output.output_type === 'stream') return `<pre class="${output.name}">${escapeHtml(joined(output.text))}</pre>`;
  if (output.output_type === 'error') return `<pre class="fault">${escapeHtml(output.traceback.join('\n').replace(/\u001b\[[\d;]*m/g, ''))}</pre>`;
  const text = (mime: string): string => joined(output.data[mime] as NotebookText);
  if ('text/html' in output.data) return text('text/html');
  if ('image/svg+xml' in output.data) return figureHtml(text('image/svg+xml').replace(/^<\?xml[^>]*\?>\s*|<!DOCTYPE[^>]*>\s*/g, ''));
  const image = ['image/png', 'image/jpeg', 'image/gif'].find((mime) => mime in output.data);
  if (image) return `<figure><img alt="${escapeHtml('text/plain' in output.data ? text('text/plain') : 'figure')}" src="data:${image};base64,${text(image).replace(/\s/g, '')}"></figure>`;
  if ('text/markdown' in output.data) return markdownHtml(text('text/markdown'));
  return 'text/plain' in output.data ? `<pre>${escapeHtml(text('text/plain'))}</pre>` : '';
}

/** A figure; one that was drawn for a column is not stretched on a small screen, where wider ones scroll in their box. */
function figureHtml(svg: string): string {
  const width = Number(/^<svg[^>]*? width="([\d.]+)"/.exec(svg)?.[1] ?? Infinity);
  return `<figure${width < columnBelow ? ' class="column"' : ''}>${svg}</figure>`;
}

const style = `
:root { color-scheme: light; --ink: #22282f; --soft: #4a525c; --line: #d7dce2; --ground: #fbfbf9; --code: #f1f4f6; --deep: #16385c; --warm: #a3420f; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--ink); font: 16px/1.6 "DejaVu Sans", Verdana, sans-serif; }
main { max-width: 56rem; margin: 0 auto; padding: 1.5rem 1.25rem 3rem; }
h1 { font-size: 1.7rem; line-height: 1.25; color: var(--deep); margin: 1rem 0 .75rem; }
h2 { font-size: 1.25rem; color: var(--deep); margin: 2.2rem 0 .5rem; }
h3 { font-size: 1.05rem; margin: 1.6rem 0 .4rem; }
p, ul, ol { margin: .6rem 0; max-width: 44rem; }
blockquote { margin: .8rem 0; padding: .1rem 1rem; border-left: 4px solid #c39a2c; background: #faf4e2; max-width: 44rem; }
code, pre { font: 13.5px/1.5 "DejaVu Sans Mono", Menlo, Consolas, monospace; }
p code, li code, td code { background: var(--code); padding: .1em .3em; border-radius: 3px; }
pre { margin: 0; padding: .7rem .9rem; overflow-x: auto; }
.code { margin: 1.1rem 0; }
.source { white-space: pre-wrap; overflow-wrap: anywhere; background: var(--code); border-left: 3px solid var(--deep); border-radius: 3px; }
.source .k { color: #16385c; font-weight: bold; } .source .s { color: #7a3b0c; } .source .n { color: #1d6b5f; } .source .c { color: #66707b; font-style: italic; }
.output { overflow-x: auto; padding: .5rem 0 .2rem; }
.output pre { padding: .4rem .9rem; white-space: pre-wrap; overflow-wrap: anywhere; }
.stderr { color: var(--warm); } .fault { color: #8c1420; background: #fbeceb; border-left: 3px solid #a31621; }
figure { margin: .3rem 0; } svg, img { max-width: 100%; height: auto; }
table { border-collapse: collapse; font-size: .86rem; font-variant-numeric: tabular-nums; margin: .5rem 0; }
th, td { padding: .25rem .7rem; border-bottom: 1px solid var(--line); text-align: right; } th:first-child, td:first-child { text-align: left; } th { color: var(--soft); border-bottom-color: var(--soft); }
nav { max-width: 56rem; margin: 0 auto; padding: 0 1.25rem 2.5rem; display: flex; gap: 1rem; } nav .next { margin-left: auto; text-align: right; }
a { color: #1d5f8a; }
@media (max-width: 30rem) { .output svg { min-width: 34rem; } .output .column svg { min-width: 0; } .output > div { overflow-x: auto; } body { font-size: 15px; } main { padding: .8rem .8rem 2rem; } h1 { font-size: 1.4rem; } code, pre { font-size: 12px; } }
@media print { body { background: #fff; font-size: 10.5pt; } main { max-width: none; padding: 0; } nav { display: none; } .code, figure, table { break-inside: avoid; } pre { white-space: pre-wrap; } }
`;
