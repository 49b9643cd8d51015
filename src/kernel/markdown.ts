import katex from 'katex';
import { Marked } from 'marked';

/** Formulas between dollar signs, as in Jupyter: drawn as MathML, which browsers show without fonts or scripts. */
const formulas = {
  extensions: [
    {
      name: 'formula', level: 'inline' as const,
      start: (source: string): number | undefined => {
        const at = source.indexOf('$');
        return at < 0 ? undefined : at;
      },
      tokenizer(source: string): { type: string; raw: string; text: string; display: boolean } | undefined {
        const match = /^\$\$([^$]+)\$\$|^\$(?!\s)([^$\n]+?)(?<!\s)\$(?!\d)/.exec(source);
        return match ? { type: 'formula', raw: match[0], text: (match[1] ?? match[2])!, display: match[1] !== undefined } : undefined;
      },
      renderer: (token: { readonly [key: string]: unknown }): string => katex.renderToString(String(token['text']), { output: 'mathml', displayMode: token['display'] === true, throwOnError: false }),
    },
  ],
};

const reader = new Marked(formulas);

/** Markdown with formulas as HTML. */
export function markdownHtml(source: string): string {
  return reader.parse(source, { async: false });
}
