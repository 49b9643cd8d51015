import { checkNumber, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { withPageWidth } from './page.js';

const pixelsPerMetre = 96 / 0.0254;

/**
 * Draws figures for another width than that of an A4 page's text (180 mm), so that they need not be shrunk to stand in a column: text keeps its
 * size (8 to 9 point), while titles and legends wrap, ticks thin out and labels are placed for the room there is.
 *
 * @param width of the figures, m, 0.08 … 0.4 (a column of a journal has 80 to 90 mm)
 * @param draw calls plot verbs and gives what is wanted of them; it must not be asynchronous
 * @returns what `draw` gave
 * @throws InputError for a width outside, or for a `draw` that is no function or gives a promise
 * @see saveFigure
 * @example
 * const torque = makeChannel({ name: 'torque', unit: 'N·m', sampleRate: 10, values: [0, 900, 200, 800, 0, 1000, 0] });
 * atWidth(mm(85), () => plotHistory(torque)).width // => 321
 * plotHistory(torque).width // => 680
 */
export function atWidth<T>(width: number, draw: () => T): T {
  const where = 'atWidth';
  checkNumber(where, 'width', width, { min: 0.08, max: 0.4, unit: 'm' });
  if (typeof draw !== 'function') throw new InputError({ where, argument: 'draw', expected: 'a function that draws', given: show(draw), remedy: 'Write atWidth(mm(85), () => plotHistory(torque)).' });
  const drawn = withPageWidth(Math.round(width * pixelsPerMetre), draw);
  if (drawn instanceof Promise) throw new InputError({ where, argument: 'draw', expected: 'a function that has drawn when it returns', given: 'one that gives a promise', remedy: 'Compute first, then draw.' });
  return drawn;
}
