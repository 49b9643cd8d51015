import { randomBytes } from 'node:crypto';
import { renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { toPng, toSvg } from './draw.js';
import { checkFigure, type Figure } from './Figure.js';
import { toPdf } from './toPdf.js';

const writers: readonly (readonly [ending: string, write: (figure: Figure) => string | Uint8Array])[] = [
  ['.svg', toSvg],
  ['.png', (figure) => toPng(figure)],
  ['.pdf', toPdf],
  ['.vl.json', (figure) => `${JSON.stringify(figure.spec, null, 1)}\n`],
];

/**
 * Saves a figure; the ending of the file's name says as what: `.svg`, `.png` (twice the figure's pixels), `.pdf` or `.vl.json` (the Vega-Lite
 * specification with its data).
 *
 * The file appears whole or not at all: it is written under another name beside it, then renamed.
 *
 * @param figure what a plot verb gave
 * @param file where to; the folder must exist
 * @returns the file's name
 * @throws InputError for something that is no figure, or another ending
 * @see toSvg
 * @example
 * (not run: writes a file)
 * saveFigure(plotHistory(torque), 'torque.svg');
 */
export function saveFigure(figure: Figure, file: string): string {
  checkFigure('saveFigure', figure);
  const writer = typeof file === 'string' ? writers.find(([ending]) => file.toLowerCase().endsWith(ending)) : undefined;
  if (!writer) throw new InputError({ where: 'saveFigure', argument: 'file', expected: `a name that ends in ${writers.map(([e]) => e).join(', ')}`, given: show(file) });
  const content = writer[1](figure);
  const temporary = join(dirname(file), `.${basename(file)}.${randomBytes(6).toString('hex')}`);
  try {
    writeFileSync(temporary, content);
    renameSync(temporary, file);
  } catch (error) {
    rmSync(temporary, { force: true });
    throw error;
  }
  return file;
}
