import type ts from '@tslab/typescript-for-tslab';
import { escapeHtml } from '../report/html.js';
import { compiler } from './compiler.js';

/** TypeScript source as HTML with its words marked: keywords, texts, numbers, comments. */
export function highlight(source: string): string {
  const scanner = compiler.createScanner(compiler.ScriptTarget.Latest, false, compiler.LanguageVariant.Standard, source);
  let html = '';
  let depth: number[] = [];
  for (let kind = scanner.scan(); kind !== compiler.SyntaxKind.EndOfFileToken; kind = scanner.scan()) {
    // The scanner alone does not know where a template goes on after an expression.
    if (kind === compiler.SyntaxKind.TemplateHead) depth = [...depth, 0];
    else if (kind === compiler.SyntaxKind.OpenBraceToken && depth.length > 0) depth[depth.length - 1]!++;
    else if (kind === compiler.SyntaxKind.CloseBraceToken && depth.length > 0) {
      if (depth.at(-1) === 0) {
        kind = scanner.reScanTemplateToken(false);
        if (kind === compiler.SyntaxKind.TemplateTail) depth = depth.slice(0, -1);
      } else depth[depth.length - 1]!--;
    }
    const text = escapeHtml(scanner.getTokenText());
    const className = classOf(kind);
    html += className ? `<span class="${className}">${text}</span>` : text;
  }
  return html;
}

function classOf(kind: ts.SyntaxKind): string | null {
  if (kind >= compiler.SyntaxKind.FirstKeyword && kind <= compiler.SyntaxKind.LastKeyword) return 'k';
  if (kind === compiler.SyntaxKind.SingleLineCommentTrivia || kind === compiler.SyntaxKind.MultiLineCommentTrivia) return 'c';
  if (kind === compiler.SyntaxKind.NumericLiteral || kind === compiler.SyntaxKind.BigIntLiteral) return 'n';
  const texts = [compiler.SyntaxKind.StringLiteral, compiler.SyntaxKind.NoSubstitutionTemplateLiteral, compiler.SyntaxKind.TemplateHead, compiler.SyntaxKind.TemplateMiddle, compiler.SyntaxKind.TemplateTail, compiler.SyntaxKind.RegularExpressionLiteral];
  return texts.includes(kind) ? 's' : null;
}
