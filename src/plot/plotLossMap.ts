import type { LossClasses, LossMap } from '../clean/lossMap.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { isUnit } from '../record/units.js';
import { axisTitle, counted, grouped, readable, shownIn } from './axes.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { pageWidth, panelPixels } from './page.js';
import { inks } from './theme.js';

/** Options of plotLossMap. */
export interface LossFigureOptions {
  readonly title?: string;
}

const where = 'plotLossMap';

/**
 * Draws where samples are lost: the share lost in each class of level and, where the shaft's angle is known, in each sector of a revolution; the mean share as a dashed line.
 *
 * @param map from lossMap
 * @param options title
 * @returns the figure
 * @throws InputError for something that is no loss map
 * @see plotHistory
 * @example
 * const torque = makeChannel({ name: 'T', unit: 'N·m', sampleRate: 10, values: [1, 2, 3, NaN, 5, 6, 7, 8] });
 * toSvg(plotLossMap(lossMap(torque, { classes: 2 }))).includes('Share lost / %') // => true
 */
export function plotLossMap(map: LossMap, options?: LossFigureOptions): Figure {
  const { title } = checkOptions(where, options, { optional: ['title'] });
  if (kindOf(map) !== 'LossMap') throw new InputError({ where, argument: 'map', expected: 'a LossMap', given: show(map), remedy: 'Make it with lossMap.' });
  const said = [`${readable(100 * map.share, 2)} % of ${grouped(map.samples)} samples lost in ${counted(map.gaps, 'gap')}`, chance('level', map.byLevel), map.byAngle ? chance('angle', map.byAngle) : ''].filter((s) => s !== '').join('; ');
  const panels = [panel(map.byLevel, map, null)];
  if (map.byAngle) panels.push(panel(map.byAngle, map, 'Shaft angle / °'));
  const height = 110 + 220 * panels.length;
  return makeFigure({
    title: title ?? `Where samples of ${map.channel} are lost`, subtitle: said, width: pageWidth(), height, notes: map.notes, caption: `Share of samples lost by level${map.byAngle ? ' and by shaft angle' : ''}, dashed the share of the whole record: ${said}.`,
    body: { vconcat: panels, spacing: 24 },
  });
}

function chance(what: string, { chance: p }: LossClasses): string {
  return p === null ? '' : `chance of such a spread over ${what} if loss were random: ${p < 0.001 ? 'below 0.1' : readable(100 * p, 2)} %`;
}

function panel(classes: LossClasses, map: LossMap, angle: string | null): Spec {
  const shown = angle === null && isUnit(classes.unit) ? shownIn(classes.unit, classes.edges.reduce((m, e) => Math.max(m, Math.abs(e)), 0)) : null;
  const factor = angle === null ? (shown?.factor ?? 1) : 180 / Math.PI;
  const rows = classes.share.map((share, k) => ({ from: classes.edges[k]! * factor, to: classes.edges[k + 1]! * factor, share: share === null ? 0 : 100 * share, samples: classes.samples[k]!, gaps: classes.gaps[k]!, floor: 0 })).filter((r) => r.samples > 0);
  const x = { field: 'from', type: 'quantitative', title: angle ?? shown?.title ?? axisTitle('Level', classes.unit), scale: { domain: [classes.edges[0]! * factor, classes.edges.at(-1)! * factor], nice: false }, axis: { grid: false, ...(angle === null ? {} : { values: [0, 60, 120, 180, 240, 300, 360] }) } };
  const y = { field: 'share', type: 'quantitative', title: axisTitle('Share lost', '%') };
  return {
    width: panelPixels(), height: 140,
    layer: [
      { data: { values: rows }, mark: { type: 'rect', color: inks[0], stroke: '#ffffff', strokeWidth: 0.6 }, encoding: { x, x2: { field: 'to' }, y, y2: { field: 'floor' }, tooltip: [{ field: 'share', type: 'quantitative', title: 'share lost / %' }, { field: 'samples', type: 'quantitative' }, { field: 'gaps', type: 'quantitative' }] } },
      { data: { values: [{ mean: 100 * map.share }] }, mark: { type: 'rule', strokeDash: [6, 3], color: inks[1], strokeWidth: 1.4 }, encoding: { y: { field: 'mean', type: 'quantitative' } } },
    ],
  };
}
