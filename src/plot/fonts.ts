import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

interface GlyphFont {
  readonly unitsPerEm: number;
  glyphForCodePoint(code: number): { readonly advanceWidth: number };
}

const require = createRequire(import.meta.url);

/** Paths of the font files that figures use, by weight. */
export function fontFiles(): { readonly normal: string; readonly bold: string } {
  const folder = join(dirname(require.resolve('dejavu-fonts-ttf/package.json')), 'ttf');
  return { normal: join(folder, 'DejaVuSans.ttf'), bold: join(folder, 'DejaVuSans-Bold.ttf') };
}

const fonts = new Map<string, { readonly font: GlyphFont; readonly widths: Map<number, number> }>();

function openFont(bold: boolean): { readonly font: GlyphFont; readonly widths: Map<number, number> } {
  const file = bold ? fontFiles().bold : fontFiles().normal;
  let opened = fonts.get(file);
  if (!opened) {
    const { openSync } = require('fontkit') as { openSync(path: string): GlyphFont };
    opened = { font: openSync(file), widths: new Map() };
    fonts.set(file, opened);
  }
  return opened;
}

/** Width of a text in pixels at a font size, from the advances of the font that draws it. */
export function textWidth(text: string, fontSize: number, bold = false): number {
  const { font, widths } = openFont(bold);
  let sum = 0;
  for (const character of text) {
    const code = character.codePointAt(0)!;
    let width = widths.get(code);
    if (width === undefined) widths.set(code, width = font.glyphForCodePoint(code).advanceWidth / font.unitsPerEm);
    sum += width;
  }
  return sum * fontSize;
}
