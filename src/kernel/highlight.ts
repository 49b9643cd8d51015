import ts from '@tslab/typescript-for-tslab';
import { escapeHtml } from '../report/html.js';

/** TypeScript source as HTML with its words marked: keywords, texts, numbers, comments. */
export function highlight(source: string): string {
  const scanner = ts.createScanner(ts.ScriptTarget.Latest, false, ts.LanguageVariant.Standard, source);
  let html = '';
  let depth: number[] = [];
  for (let kind = scanner.scan(); kind !== ts.SyntaxKind.EndOfFileToken; kind = scanner.scan()) {
    // The scanner alone does not know where a template goes on after an expression.
    if (kind === ts.SyntaxKind.TemplateHead) depth = [...depth, 0];
    else if (kind === ts.SyntaxKind.OpenBraceToken && depth.length > 0) depth[depth.length - 1]!++;
    else if (kind === ts.SyntaxKind.CloseBraceToken && depth.length > 0) {
      if (depth.at(-1) === 0) {
        kind = scanner.reScanTemplateToken(false);
        if (kind === ts.SyntaxKind.TemplateTail) depth = depth.slice(0, -1);
      } else depth[depth.length - 1]!--;
    }
    const text = escapeHtml(scanner.getTokenText());
    const className = classOf(kind);
    html += className ? `<span class="${className}">${text}</span>` : text;
  }
  return html;
}

function classOf(kind: ts.SyntaxKind): string | null {
  if (kind >= ts.SyntaxKind.FirstKeyword && kind <= ts.SyntaxKind.LastKeyword) return 'k';
  if (kind === ts.SyntaxKind.SingleLineCommentTrivia || kind === ts.SyntaxKind.MultiLineCommentTrivia) return 'c';
  if (kind === ts.SyntaxKind.NumericLiteral || kind === ts.SyntaxKind.BigIntLiteral) return 'n';
  const texts = [ts.SyntaxKind.StringLiteral, ts.SyntaxKind.NoSubstitutionTemplateLiteral, ts.SyntaxKind.TemplateHead, ts.SyntaxKind.TemplateMiddle, ts.SyntaxKind.TemplateTail, ts.SyntaxKind.RegularExpressionLiteral];
  return texts.includes(kind) ? 's' : null;
}
