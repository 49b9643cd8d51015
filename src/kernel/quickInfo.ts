import type ts from '@tslab/typescript-for-tslab';

const headings: Readonly<Record<string, string>> = { returns: 'Returns', throws: 'Throws', see: 'See', example: 'Example', references: 'References', deprecated: 'Deprecated' };

/** The signature and the documentation of a name as plain text, with every part under its heading. */
export function quickInfoText(info: ts.QuickInfo): string {
  const plain = (parts: readonly { readonly text: string }[] | undefined): string => (parts ?? []).map((part) => part.text).join('');
  const signature = plain(info.displayParts).replace(/^\(alias\) /, '').replace(/\nimport \w+$/, '');
  const tags = (info.tags ?? []).map((tag) => {
    const text = plain(tag.text).trim();
    if (tag.name === 'param') return `  ${text.replace(/\s+/g, ' ')}`;
    return `${headings[tag.name] ?? tag.name}: ${tag.name === 'example' ? `\n${text.replace(/^/gm, '  ')}` : text.replace(/\s+/g, ' ')}`;
  });
  return [signature, plain(info.documentation), tags.join('\n')].filter((part) => part !== '').join('\n\n');
}
