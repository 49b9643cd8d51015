import type { Train } from '../spectrum/Train.js';
import type { TorsionalModes } from '../spectrum/torsionalModes.js';
import { checkOptions, show } from '../record/check.js';
import { InputError } from '../record/errors.js';
import { kindOf } from '../record/result.js';
import { readable } from './axes.js';
import { pageWidth } from './page.js';
import { makeFigure, type Figure, type Spec } from './Figure.js';
import { alertInk, dashes, inks, shapes } from './theme.js';

/** Options of plotModeShapes. */
export interface ModeShapesOptions {
  /** The train itself: each shaft becomes a line, gears a gap, and the nodes of the shafts are marked. */
  readonly train?: Train;
  readonly title?: string;
}

const where = 'plotModeShapes';

/**
 * Draws how each inertia of a train turns in its torsional modes, the largest as 1, each about its own axis. Between the ends of a shaft the angle changes evenly, so a node lies where
 * the line passes 0.
 *
 * @param modes from torsionalModes; the six lowest that are no rigid turn are drawn
 * @param options train, to draw its shafts and their nodes; title
 * @returns the figure
 * @throws InputError for something that are no modes, a train of other inertias, or modes of rigid turning alone
 * @see plotCrossings
 * @example
 * const train = { inertias: [{ name: 'motor', inertia: 2 }, { name: 'pump', inertia: 3 }], shafts: [{ name: 'line', from: 'motor', to: 'pump', stiffness: 12000 }] };
 * toSvg(plotModeShapes(torsionalModes(train), { train })).includes('15.9 Hz') // => true
 */
export function plotModeShapes(modes: TorsionalModes, options?: ModeShapesOptions): Figure {
  const { train, title = 'Shapes of the torsional modes' } = checkOptions(where, options, { optional: ['train', 'title'] });
  if (kindOf(modes) !== 'TorsionalModes') throw new InputError({ where, argument: 'modes', expected: 'TorsionalModes', given: show(modes), remedy: 'Make them with torsionalModes.' });
  const names = modes.inertias;
  if (train && (train.inertias.length !== names.length || train.inertias.some((p, i) => p.name !== names[i]))) throw new InputError({ where, argument: 'train', expected: `with the inertias ${names.join(', ')}`, given: train.inertias.map((p) => p.name).join(', ') });
  const turning = modes.modes.filter((m) => m.frequency > 0);
  if (turning.length === 0) throw new InputError({ where, argument: 'modes', expected: 'at least one mode above 0 Hz', given: 'none' });
  const drawn = turning.slice(0, 6);
  const series = drawn.map((m) => `${readable(m.frequency)} Hz`);
  const at = (name: string): number => names.indexOf(name);
  const pairs = train ? train.shafts.map((s) => [at(s.from), at(s.to)] as const) : names.slice(1).map((_, i) => [i, i + 1] as const);
  const lines = drawn.flatMap(({ shape }, k) => pairs.flatMap(([a, b], p) => [a, b].map((i) => ({ i, angle: shape[i]!, series: series[k]!, piece: `${k} ${p}` }))));
  const nodes = train ? drawn.flatMap(({ shape }, k) => pairs.filter(([a, b]) => shape[a]! * shape[b]! < 0).map(([a, b]) => ({ i: a + ((b - a) * shape[a]!) / (shape[a]! - shape[b]!), angle: 0, series: series[k]! }))) : [];
  const points = drawn.flatMap(({ shape }, k) => names.map((_, i) => ({ i, angle: shape[i]!, series: series[k]! })));
  const crowded = Math.max(...names.map((n) => n.length)) * 7 > (pageWidth() - 80) / names.length;
  const x = { field: 'i', type: 'quantitative', title: null, scale: { domain: [-0.3, names.length - 0.7], nice: false }, axis: { values: names.map((_, i) => i), labelExpr: `${JSON.stringify(names)}[datum.value]`, labelOverlap: false, ...(crowded ? { labelAngle: -25, labelLimit: 130 } : { labelLimit: Math.floor((pageWidth() - 80) / names.length) }) } };
  const y = { field: 'angle', type: 'quantitative', title: 'Angle, largest = 1', scale: { domain: [-1.1, 1.1], nice: false } };
  const scale = (range: readonly unknown[]): Spec => ({ field: 'series', type: 'nominal', scale: { domain: series, range: range.slice(0, series.length) }, legend: { title: null } });
  const color = scale(inks);
  const said = `${series.join(', ')}${turning.length > drawn.length ? ` (${turning.length - drawn.length} higher modes left out)` : ''}`;
  return makeFigure({
    title, height: crowded ? 420 : 360, notes: modes.notes, subtitle: ['each inertia about its own axis', nodes.length > 0 ? 'crosses: nodes of the shafts' : '', train?.gears?.length ? 'gaps: gears' : ''].filter((s) => s !== '').join('; '),
    caption: `Shapes of the torsional modes at ${said}, each inertia about its own axis.`,
    body: {
      layer: [
        { data: { values: [{ angle: 0 }] }, mark: { type: 'rule', color: inks[5] }, encoding: { y } },
        { data: { values: lines }, mark: { type: 'line', strokeWidth: 1.7 }, encoding: { x, y, detail: { field: 'piece', type: 'nominal' }, order: { field: 'i', type: 'quantitative' }, color, strokeDash: scale(dashes) } },
        { data: { values: points }, mark: { type: 'point', size: 60, opacity: 1 }, encoding: { x, y, color, shape: scale(shapes) } },
        ...(nodes.length === 0 ? [] : [{ data: { values: nodes }, mark: { type: 'point', shape: 'M-1,-1L1,1M-1,1L1,-1', filled: false, size: 30, strokeWidth: 2, color: alertInk, opacity: 1 }, encoding: { x, y } }]),
      ],
    },
  });
}
