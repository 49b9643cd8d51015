import { createRequire } from 'node:module';
import { withLayout } from './draw.js';
import { checkFigure, type Figure } from './Figure.js';
import { PdfContext, type PdfDocument } from './pdfContext.js';
import { version } from '../record/version.js';

const require = createRequire(import.meta.url);

interface Writable extends PdfDocument {
  end(): void;
  read(): Uint8Array | null;
}

/**
 * Draws a figure as a PDF of one page that is as large as the figure, in vectors, text as text in the embedded font.
 *
 * Equal figures give equal bytes: the creation date in the file is fixed (1 January 1970).
 *
 * @param figure what a plot verb gave
 * @returns the bytes of the PDF file
 * @throws InputError for something that is no figure
 * @see toSvg
 * @example
 * const pdf = toPdf(plotHistory(makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [1, 3, 2] })));
 * String.fromCharCode(...pdf.subarray(0, 5)) // => "%PDF-"
 */
export function toPdf(figure: Figure): Uint8Array {
  checkFigure('toPdf', figure);
  const Document = require('pdfkit') as new (options: object) => Writable;
  return withLayout(figure, ({ view, vega, width, height, origin }) => {
    const points = 72 / 96;
    const info = { Title: figure.title, Subject: figure.caption, Creator: `quillshaft ${version}`, CreationDate: new Date(0) };
    const document = new Document({ size: [width * points, height * points], margin: 0, info, lang: 'en' });
    document.transform(points, 0, 0, points, 0, 0);
    const context = new PdfContext(document);
    new vega.CanvasRenderer(view.loader()).initialize(null, width, height, origin, 1, { externalContext: context }).background(view.background()).render(view.scenegraph().root);
    document.end();
    const parts: Uint8Array[] = [];
    for (let part = document.read(); part !== null; part = document.read()) parts.push(part);
    return Uint8Array.from(Buffer.concat(parts));
  });
}
